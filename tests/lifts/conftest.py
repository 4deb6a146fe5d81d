"""Bodies of plain shapes, and plans of them."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.panels import panels

ROOM = 295.372


def box(x0, x1, y0, y1, z0, z1):
    return trimesh.creation.box(bounds=[[x0, y0, z0], [x1, y1, z1]])


def joined(*parts):
    return trimesh.boolean.union(list(parts), engine="manifold")


@pytest.fixture(scope="session")
def bodies():
    """Solid bodies in metres, by name; made once and not to be changed."""
    return {
        "sphere": trimesh.creation.icosphere(subdivisions=4, radius=0.3),
        "legs": joined(box(0, 0.16, 0, 0.2, 0, 0.5), box(0.4, 0.6, 0, 0.2, 0, 0.5), box(0, 0.6, 0, 0.2, 0.45, 0.9)),
        # the tip hangs beside the trunk from 0.30 up and joins it at 0.60
        "horn": joined(
            box(0, 0.25, 0, 0.2, 0, 0.9),
            box(0.4, 0.55, 0.02, 0.18, 0.3, 0.7),
            box(0.2, 0.55, 0.02, 0.18, 0.6, 0.75),
        ),
        "u": joined(box(0, 0.2, 0, 0.2, 0, 0.7), box(0.5, 0.7, 0, 0.2, 0, 0.7), box(0, 0.7, 0, 0.2, 0, 0.2)),
        "h": joined(box(0, 0.2, 0, 0.2, 0, 0.8), box(0.5, 0.7, 0, 0.2, 0, 0.8), box(0, 0.7, 0, 0.2, 0.3, 0.5)),
        "arch": joined(box(0, 0.2, 0, 0.2, 0, 0.7), box(0.5, 0.7, 0, 0.2, 0, 0.7), box(0, 0.7, 0, 0.2, 0.5, 0.7)),
        "hourglass": trimesh.creation.revolve(
            [(0, 0), (0.2, 0), (0.2, 0.25), (0.04, 0.4), (0.22, 0.6), (0, 0.7)], sections=48
        ),
        "bowl": trimesh.intersections.slice_mesh_plane(
            trimesh.creation.icosphere(subdivisions=4, radius=0.3), [0, 0, -1], [0, 0, 0.05], cap=True
        ),
    }


@pytest.fixture(scope="session")
def foam():
    """``foam(grade, parts_k)``: a grade at 22 degC."""

    def make(grade="rigid-3", parts_k=ROOM, air_k=ROOM):
        return at_conditions(load_grade(grade), Conditions(air_k, parts_k, air_k))

    return make


@pytest.fixture(scope="session")
def planned(skin_of, stand, foam):
    """``planned(mesh, wall, cell, limits, ...)``: skin, cavity, graph and lift plan of a body."""

    kept = {}

    def plan_body(
        mesh,
        wall=0.005,
        cell=0.01,
        limits=None,
        grade=None,
        up=(0, 0, 1.0),
        front=(0, -1.0, 0),
        start=0,
        stress=None,
        irons=(),
        set_in=(),
        **kind,
    ):
        skin = skin_of(mesh, wall, **kind)
        if stress is not None:
            skin = replace(skin, material=replace(skin.material, design_stress_pa=stress))
        frame = stand(skin, up, front)
        cavity = build_cavity(skin, frame, cell_m=cell, irons=irons)
        graph = build_levels(cavity)
        plan = plan_lifts(
            Space(skin, cavity, graph, panels(skin, 16), set_in),
            foam() if grade is None else grade,
            ShopLimits() if limits is None else limits,
            start_level=start,
        )
        return SimpleNamespace(skin=skin, frame=frame, cavity=cavity, graph=graph, plan=plan, lifts=plan.lifts)

    def make(mesh, **options):
        """Planned once for the same body and options: results are frozen."""
        key = (id(mesh), repr(sorted(options.items(), key=lambda item: item[0])))
        if key not in kept:
            kept[key] = (mesh, plan_body(mesh, **options))
        return kept[key][1]

    return make


@pytest.fixture(scope="session")
def every_pour():
    return lambda plan: [pour for lift in plan.lifts for pour in lift.pours]


@pytest.fixture(scope="session")
def cap_of():
    """Faces of a mesh that lie flat at height z and look along ``way``."""

    def make(mesh, z, way=1.0):
        flat = np.abs(mesh.triangles[:, :, 2] - z).max(axis=1) < 1e-6
        return flat & (mesh.face_normals[:, 2] * way > 0.9)

    return make
