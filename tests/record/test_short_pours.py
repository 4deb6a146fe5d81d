"""A lift that ended far short: its room is made up by a pour of its own, which is recorded like any other."""

import numpy as np
import pytest
from tests.record.test_account import Bench

from pourwright.findings import Code
from pourwright.lifts import port_mouth
from pourwright.record.holes import without_buried
from pourwright.wording.findings import sentence


@pytest.fixture(scope="module")
def searched(tmp_path_factory):
    return Bench(tmp_path_factory.mktemp("limbs"), **{"day.search": True})


def test_a_pour_that_fell_far_short_is_made_up_by_one_of_its_own(searched):
    """The pour over it used to take all of the room: as thick as both, cut by its heat for one."""
    before = searched.pours()
    first = min(before.values(), key=lambda pour: (pour.lift, pour.name))
    over = min((pour for pour in before.values() if pour.lift > first.lift), key=lambda pour: (pour.lift, pour.name))
    for pour in before.values():
        if pour.lift == first.lift and pour is not first:
            searched.add(pour.name)
    searched.add(first.name, -0.7 * (first.top_m - first.bottom_m))
    searched.holds()
    (said,) = [found for found in searched.plan.warnings if found.code == Code.SHORT_MADE_UP]
    after, now = searched.pours(), dict(zip(said["renamed"][::2], said["renamed"][1::2], strict=True))
    assert said["by"] == (first.name,)
    assert set(now) == {name for name, pour in before.items() if pour.lift >= over.lift}
    for old, new in now.items():
        assert old not in after
        assert after[new].volume_m3 == pytest.approx(before[old].volume_m3)
    (extra,) = (after[name] for name in said.subject)
    assert extra.volume_m3 == pytest.approx(before[first.name].volume_m3 - after[first.name].volume_m3)
    assert after[first.name].lift < extra.lift < after[now[over.name]].lift
    (landing,) = extra.landings
    at = searched.ground.cavity.frame.to_standing(landing.point_m)
    assert extra.bottom_m - 1e-9 <= at[2] < extra.top_m  # on the foam that is there, or on the skin beside it
    assert landing.measures.from_base_m > extra.top_m
    was = before[over.name].landings[0]
    if was.port.name == landing.port.name:
        assert landing.fall_m - was.fall_m == pytest.approx(over.bottom_m - at[2], abs=0.02)
    assert landing.kg == pytest.approx(extra.parts.total_kg)
    searched.add(extra.name)  # and is recorded like any other
    searched.holds()


def test_room_that_no_hole_leads_to_is_taken_on_by_the_pour_over_it_and_told(searched, monkeypatch):
    monkeypatch.setattr("pourwright.record.short._landing", lambda *given: None)
    searched.clear()
    before = searched.pours()
    first = min(before.values(), key=lambda pour: (pour.lift, pour.name))
    for pour in before.values():
        if pour.lift == first.lift and pour is not first:
            searched.add(pour.name)
    searched.add(first.name, -0.7 * (first.top_m - first.bottom_m))
    (said,) = [found for found in searched.plan.warnings if found.code == Code.SHORT_TAKEN_ON]
    after = searched.pours()
    assert said["by"] == (first.name,)
    (over,) = said.subject
    lacks = before[first.name].volume_m3 - after[first.name].volume_m3
    assert after[over].volume_m3 == pytest.approx(before[over].volume_m3 + lacks)
    assert said["more"] == pytest.approx(lacks / before[over].volume_m3)
    assert over in sentence(said)
    assert first.name in sentence(said)


def test_a_hole_that_foam_has_set_behind_is_not_to_be_closed_again(searched):
    """The bungs of a heron's feet were to be put in before the fourth lift, with both legs full."""
    searched.clear()
    plan, ground = searched.plan.lift_plan, searched.ground
    behind = np.zeros(len(ground.graph.node_level), bool)
    assert plan.closings
    assert without_buried(plan, behind, ground).closings == plan.closings
    mine = plan.closings[0].hole
    behind[
        next(port_mouth(ground.skin, ground.cavity, ground.graph, p).nodes for p in plan.ports if p.name == mine)
    ] = True
    assert mine not in {one.hole for one in without_buried(plan, behind, ground).closings}
    assert without_buried(plan, ~np.zeros_like(behind), ground).closings == ()
