"""A flat-lidded tank: vents in its corners or a tilt, and the rise computed with them leaves no air."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.document.plan_json import plan_document
from pourwright.findings import Code
from pourwright.lifts import HoleRules, KeepOut, judged
from pourwright.wording.lifts import hole_lines

UNDER = "air under a level ceiling"


def _voids(plan):
    return [void for rise in plan.lift_plan.rises.values() for void in rise.voids]


def test_corner_vents_leave_no_air_under_a_level_lid(plan_of):
    plan = plan_of("tank")
    inside = np.array([[x, y] for x in (0.004, 0.396) for y in (0.004, 0.296)])
    vents = np.array([vent.point_m for vent in plan.lift_plan.vents])
    assert len(vents) == 4
    for corner in inside:
        assert np.linalg.norm(vents[:, :2] - corner, axis=1).min() < 0.04
    last = plan.lift_plan.lifts[-1].pours[0]
    assert {vent.name for vent in last.vents} == {"V1", "V2", "V3", "V4"}
    assert last.name in plan.lift_plan.rises
    assert _voids(plan) == []


def test_told_with_the_tilt_and_its_blocks(plan_of):
    plan = plan_of("tank")
    document = plan_document(plan)
    (ceiling,) = document.ceilings
    assert ceiling.vents == ["V1", "V2", "V3", "V4"]
    assert ceiling.air_left_m3 == 0
    least = np.tan(np.radians(3.0))
    assert abs(document.tilt.right_m) == pytest.approx(0.4 * least, rel=1e-3)
    assert abs(document.tilt.back_m) == pytest.approx(0.3 * least, rel=1e-3)
    lines = " ".join(hole_lines(plan))
    assert "tilt the piece: 21 mm" in lines
    assert "16 mm" in lines


def test_planned_with_the_tilt_one_vent_does_and_no_air_stays(plan_of):
    up = plan_document(plan_of("tank")).tilt.up
    plan = plan_of("tank", **{"piece.up": list(up)})
    assert len(plan.lift_plan.vents) == 1
    assert plan.lift_plan.ceilings == ()
    assert _voids(plan) == []


def test_air_in_a_corner_where_no_hole_may_be_is_told_and_over_its_limit(plan_of):
    keep = HoleRules(keep_out=(KeepOut(box_m=((0.2, -1.0, -1.0), (1.0, 1.0, 1.0))),))
    plan = plan_of("tank", holes=keep)
    left = [void for void in _voids(plan) if void.reason == UNDER]
    assert left
    assert left[0].point_m[0] > 0.2
    assert judged.SHORT in {check.name for check in plan.over_limit}
    assert any(found.code == Code.LEAVES_EMPTY and found["reason"] == UNDER for found in plan.warnings)
