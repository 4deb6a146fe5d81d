"""What closes each hole: all that foam rises past have a plug, held against pressure times area, out late enough."""

from __future__ import annotations

import math

import pytest

from pourwright.document.plan_json import plan_document
from pourwright.plugs import plugs_of
from pourwright.wording.closing import bung_line
from pourwright.wording.lifts import hole_lines


def test_every_hole_that_is_closed_has_its_plug(plan_of):
    plan = plan_of("tank")
    plugs = {plug.hole: plug for plug in plugs_of(plan.lift_plan)}
    assert set(plugs) == {closing.hole for closing in plan.lift_plan.closings}
    assert plugs
    ports = {port.name: port for port in plan.lift_plan.ports}
    for name, plug in plugs.items():
        if name in ports:
            assert plug.kind == "bung"
            assert plug.hole_m == ports[name].hole_m


def test_what_pushes_is_pressure_times_area_by_hand(plan_of):
    """The last pour's own pressure on the round of the hole, and it is the hardest there."""
    plan = plan_of("tank")
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    for plug in plugs_of(plan.lift_plan):
        worst = max(pour.peak_pressure_pa.high for pour in pours)
        assert plug.force_n.high <= worst * math.pi / 4 * plug.hole_m**2 * 1.001
        assert plug.force_n.high > 0


def test_it_stays_in_until_the_last_pour_beside_it_has_had_its_wait(plan_of):
    lifts = plan_of("tank").lift_plan.lifts
    for plug in plugs_of(plan_of("tank").lift_plan):
        assert plug.out_lift == lifts[-1].number
        assert plug.out_after == lifts[-1].pours[0].name
        assert plug.out_s == pytest.approx(lifts[-1].wait_s, nan_ok=True)


def test_told_with_the_hole_in_the_list_to_buy_and_in_the_document(plan_of):
    plan = plan_of("tank")
    (buy,) = bung_line(plan.lift_plan)
    assert "1 bung of 40 mm" in buy
    assert any("with a bung of 40 mm" in line and "out no sooner than" in line for line in hole_lines(plan))
    assert [plug.hole for plug in plan_document(plan).plugs] == [plug.hole for plug in plugs_of(plan.lift_plan)]
