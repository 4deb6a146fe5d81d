"""A piece of a few lumps, so that every question can be worked by hand beside it."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.outcome import FoamSolid, Part, Piece, Site, Surface
from pourwright.ranges import Range


def _part(kg, at, kind="item", after_lift=0, name=None, spread=None):
    kg = kg if isinstance(kg, Range) else Range.exact(float(kg))
    spread = np.zeros((3, 3)) if spread is None else spread
    return Part(name or f"{kind} {at}", kind, after_lift, kg, kg, kg, "", np.array(at, float), spread)


def _made(parts, site=None, mesh=None, front=(0.0, -1.0, 0.0)):
    mesh = trimesh.creation.box((1.0, 0.5, 1.0)) if mesh is None else mesh
    frame = pour_frame(mesh.vertices, np.array([0.0, 0, 1]), np.array(front))
    piece = Piece(
        name="Test",
        place="",
        frame=frame,
        parts=tuple(parts),
        site=site or Site(),
        foam=FoamSolid("rigid-3", Range(0.18, 0.2, 0.22), Range(45.0, 50.0, 55.0), 276e3, 200e3, 48.0),
        skin_title="test",
        skin_kg_m3=1500.0,
        enclosed_m3=float(mesh.volume),
        area_m2=float(mesh.area),
        open_ends=0,
    )
    surface = Surface(np.asarray(mesh.vertices, float), np.asarray(mesh.faces), np.zeros(len(mesh.faces), bool))
    return piece, surface


@pytest.fixture(scope="session")
def lump():
    """``lump(kg, at, kind, after_lift)`` -> a part whose mass is in one point."""
    return _part


@pytest.fixture(scope="session")
def made():
    """``made(parts, site, mesh)`` -> piece and surface; a box 1 x 0.5 x 1 m about the origin without a mesh."""
    return _made
