"""How far liquid runs is known to the search of the day: where it would be too far, pours are cut shorter."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import trimesh

from pourwright.intake import job_from_shell
from pourwright.lifts import judged
from pourwright.plan import make_plan
from pourwright.plan.judge import flow_asks

KEYS = {
    "piece.unit": "m", "piece.material": "grp", "piece.support": "held", "wall.thickness": "4 mm",
    "foam.grade": "rigid-3", "grid.cell": "12 mm", "heat.cells": 15_000, "heat.rise": "100 K",
    "structure.computed": False, "structure.gains": False, "shop.parts": "18 degC", "shop.air": "18 degC",
    "shop.skin": "18 degC", "shop.mix": "25 s", "shop.largest_batch": "2 L", "day.search": True,
}  # fmt: skip


def slope(width=0.08, run=0.9, climb=0.7):
    """A pipe that leans: what is poured into its top runs down all of it."""
    box = trimesh.creation.box(extents=[width, width, float(np.hypot(run, climb))])
    turn = trimesh.transformations.rotation_matrix(np.arctan2(run, climb), [0, 1, 0])
    return box.apply_transform(turn)


def flows(plan):
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    return {p.name: next(c for c in p.checks if c.name == judged.FLOW_DISTANCE) for p in pours}


@pytest.mark.parametrize("reach", ["2 m", "0.5 m"])
def test_a_leaning_pipe_is_cut_where_its_liquid_would_run_too_far(tmp_path, reach):
    path = tmp_path / "pipe.stl"
    slope().export(path)
    plan = make_plan(job_from_shell(path, {**KEYS, "limits.reach": reach}))
    print(reach, {k: (c.value, c.limit, c.verdict) for k, c in flows(plan).items()}, plan.computed.words)
    assert all(check.verdict == "ok" for check in flows(plan).values())
    assert len(flows(plan)) == 1 if reach == "2 m" else len(flows(plan)) > 1
