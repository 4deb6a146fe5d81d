"""Plans of plain bodies with heat and rise computed, on few cells."""

from __future__ import annotations

from dataclasses import replace

import pytest
import trimesh

from pourwright.intake import job_from_shell
from pourwright.plan import make_plan


def _box(x0, x1, y0, y1, z0, z1):
    return trimesh.creation.box(bounds=[[x0, y0, z0], [x1, y1, z1]])


def _neck(radius, top):
    """A low chamber, a neck of 30 mm and a high chamber; outside faces, a wall of 4 mm still to be taken off."""
    return trimesh.creation.revolve(
        [(0, 0), (0.09, 0), (0.09, 0.06), (radius, 0.06), (radius, 0.09), (0.09, 0.09), (0.09, top), (0, top)],
        sections=64,
    )


@pytest.fixture(scope="session")
def solids():
    """Bodies in metres by name."""
    return {
        "tank": _box(0, 0.4, 0, 0.3, 0, 0.25),
        "column": _box(0, 0.2, 0, 0.2, 0, 0.41),
        "narrow neck": _neck(0.009, 0.30),
        "narrow neck, one lift": _neck(0.0075, 0.19),
        "wide neck": _neck(0.05, 0.30),
        "wide neck, one lift": _neck(0.05, 0.19),
    }


@pytest.fixture(scope="session")
def plan_of(solids, tmp_path_factory):
    """``plan_of(name, **{dotted key: value})``: a plan made once for the same question."""
    folder = tmp_path_factory.mktemp("solids")
    kept = {}

    def make(name, holes=None, **asked):
        key = (name, repr(holes), repr(sorted(asked.items())))
        if key not in kept:
            path = folder / f"{name.replace(' ', '_')}.stl"
            if not path.exists():
                solids[name].export(path)
            plain = {
                "piece.unit": "m",
                "wall.thickness": "4 mm",
                "foam.grade": "rigid-3",
                "grid.cell": "8 mm",
                "heat.cells": 4000,
                "structure.computed": False,  # closed-form panels judge the pressure
            }
            job = job_from_shell(path, {**plain, **asked})
            if holes is not None:
                job = replace(job, limits=replace(job.limits, holes=holes))
            kept[key] = make_plan(job)
        return kept[key]

    return make


@pytest.fixture(scope="session")
def check_of():
    return lambda pour, name: next(check for check in pour.checks if check.name == name)
