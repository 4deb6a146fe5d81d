"""Hand-made cavities: a mask of cells is all a level graph needs."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.cavity import Cavity, Grid, build_levels, pour_frame
from pourwright.shell import Opening, Skin, SkinKind, SkinMaterial, WallBand


def _cavity(mask, cell):
    mask = np.asarray(mask, bool)
    size = np.array(mask.shape) * cell
    frame = pour_frame(np.array([[0.0, 0, 0], size]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    volume = float(mask.sum()) * cell**3
    return Cavity(
        grid=Grid(np.zeros(3), cell, mask.shape),
        frame=frame,
        fraction=(mask * 255).astype(np.uint8),
        volume_m3=volume,
        volume_low_m3=volume,
        volume_high_m3=volume,
        crumbs=0,
        crumbs_m3=0.0,
        crumb_limit_m3=0.0,
        method="by hand",
    )


@pytest.fixture(scope="session")
def cells():
    """``cells(mask, cell, ripple)`` -> cavity and level graph of a boolean mask (nx, ny, nz)."""

    def make(mask, cell=0.01, ripple=None):
        cavity = _cavity(mask, cell)
        return cavity, build_levels(cavity, ripple_m=ripple)

    return make


def _mask(shape, *boxes):
    out = np.zeros(shape, bool)
    for x0, x1, y0, y1, z0, z1 in boxes:
        out[x0:x1, y0:y1, z0:z1] = True
    return out


@pytest.fixture(scope="session")
def shapes():
    """Masks by name, cells of any size: what the planner has to understand."""
    return {
        "column": _mask((10, 10, 40), (0, 10, 0, 10, 0, 40)),
        # two legs, joined from level 30 on
        "legs": _mask((30, 10, 60), (0, 8, 0, 10, 0, 30), (20, 30, 0, 10, 0, 30), (0, 30, 0, 10, 30, 60)),
        # a tip that begins at level 20 beside the trunk and joins it at level 40
        "horn": _mask((30, 10, 60), (0, 12, 0, 10, 0, 60), (20, 26, 0, 10, 20, 40), (0, 26, 0, 10, 40, 50)),
        "hourglass": _mask((20, 20, 60), (0, 20, 0, 20, 0, 25), (8, 12, 8, 12, 25, 35), (0, 20, 0, 20, 35, 60)),
        # two uprights and a bar between them at mid height
        "h": _mask((40, 10, 60), (0, 10, 0, 10, 0, 60), (30, 40, 0, 10, 0, 60), (0, 40, 0, 10, 25, 35)),
        "arch": _mask((40, 10, 50), (0, 10, 0, 10, 0, 50), (30, 40, 0, 10, 0, 50), (0, 40, 0, 10, 40, 50)),
        "u": _mask((40, 10, 50), (0, 10, 0, 10, 0, 50), (30, 40, 0, 10, 0, 50), (0, 40, 0, 10, 0, 10)),
    }


def _skin(mesh, wall_m=None, *, kind=SkinKind.OUTSIDE, void=None, cap=None, bands=None, spread=0.1, clean=True):
    n = len(mesh.faces)
    cap = np.zeros(n, bool) if cap is None else np.asarray(cap, bool)
    if bands is None:
        bands = () if wall_m is None else (WallBand("wall", -np.inf, np.inf, wall_m, spread),)
    openings = ()
    if cap.any():
        corners = mesh.vertices[mesh.faces[cap]].reshape(-1, 3)
        normal = mesh.face_normals[cap][0]
        openings = (Opening("opening 1", corners, corners.mean(axis=0), normal, float(mesh.area_faces[cap].sum())),)
    return Skin(
        source="test.stl",
        sha256="0" * 64,
        unit="m",
        kind=kind,
        kind_reason="as the test says",
        vertices_m=np.asarray(mesh.vertices, float),
        faces=np.asarray(mesh.faces, np.int64),
        cap_opening=np.where(cap, 0, -1).astype(np.int32),
        void_face=np.zeros(n, bool) if void is None else np.asarray(void, bool),
        openings=openings,
        bands=bands,
        material=SkinMaterial("test", "test", 1500.0, 7e9, 0.3, 5e6, 353.15, 1200.0, 0.2, True, {}),
        triangles=n,
        watertight=True,
        area_m2=float(mesh.area),
        enclosed_m3=float(mesh.volume),
        findings=(),
        clean=clean,
    )


@pytest.fixture(scope="session")
def skin_of():
    """``skin_of(mesh, wall_m, kind=, void=, cap=, bands=)``: a skin from a closed mesh in metres, without a file.

    ``cap`` and ``void`` mark the faces of caps and of voids; ``clean=False`` has the inside voted.
    """
    return _skin


@pytest.fixture(scope="session")
def stand():
    """``stand(skin, up, front)`` -> pour frame."""

    def make(skin, up=(0.0, 0.0, 1.0), front=(0.0, -1.0, 0.0)):
        return pour_frame(skin.vertices_m, np.asarray(up, float), np.asarray(front, float))

    return make


@pytest.fixture(scope="session")
def stool_plan(tmp_path_factory):
    """A real plan of a small round body on two legs, 0.6 m tall: two pools that join, made in a second or two."""
    import trimesh

    from pourwright.intake import job_from_shell
    from pourwright.plan import make_plan

    body = trimesh.creation.icosphere(subdivisions=4, radius=1.0)
    body.apply_scale((0.26, 0.16, 0.15))
    body.apply_translation((0.0, 0.0, 0.44))
    legs = [trimesh.creation.capsule(0.28, 0.05, count=[24, 24]) for _ in range(2)]
    for leg, x in zip(legs, (-0.075, 0.075), strict=True):
        leg.apply_translation((x, 0.0, 0.19))
    path = tmp_path_factory.mktemp("stool") / "stool.stl"
    trimesh.boolean.union([body, *legs], engine="manifold").export(path)
    asked = {"piece.unit": "m", "piece.name": "Stool", "piece.place": "Test bench", "wall.thickness": "5 mm"}
    return make_plan(job_from_shell(path, {**asked, "foam.grade": "rigid-3", "grid.cell": "8 mm"}))
