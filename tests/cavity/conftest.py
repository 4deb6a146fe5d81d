"""Skins made from meshes, without going through a file."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.shell import Opening, Skin, SkinKind, SkinMaterial, WallBand

MATERIAL = SkinMaterial("test", "test", 1500.0, 7e9, 0.3, 5e6, 353.15, 1200.0, 0.2, True, {})


def skin_from(mesh, wall_m=None, *, kind=SkinKind.OUTSIDE, void=None, cap=None, bands=None, spread=0.1) -> Skin:
    """A skin from a closed mesh in metres; ``cap`` marks the faces of caps, ``void`` those of void faces."""
    n = len(mesh.faces)
    void = np.zeros(n, bool) if void is None else void
    cap = np.full(n, -1, np.int32) if cap is None else np.where(cap, 0, -1).astype(np.int32)
    if bands is None:
        bands = () if wall_m is None else (WallBand("wall", -np.inf, np.inf, wall_m, spread),)
    openings = ()
    if (cap >= 0).any():
        part = mesh.submesh([np.flatnonzero(cap >= 0)], append=True)
        loop = part.vertices[trimesh.grouping.group_rows(part.edges_sorted, require_count=1)[:0]]
        openings = (Opening("opening 1", loop, part.centroid, part.face_normals[0], float(part.area)),)
    return Skin(
        source="test.stl",
        sha256="0" * 64,
        unit="m",
        kind=kind,
        kind_reason="as the test says",
        vertices_m=np.asarray(mesh.vertices, float),
        faces=np.asarray(mesh.faces, np.int64),
        cap_opening=cap,
        void_face=void,
        openings=openings,
        bands=bands,
        material=MATERIAL,
        triangles=n,
        watertight=True,
        area_m2=float(mesh.area),
        enclosed_m3=float(mesh.volume),
        findings=(),
    )


@pytest.fixture
def make_skin():
    return skin_from


@pytest.fixture
def upright():
    def frame(skin, up=(0.0, 0.0, 1.0), front=(0.0, -1.0, 0.0)):
        return pour_frame(skin.vertices_m, np.asarray(up, float), np.asarray(front, float))

    return frame
