"""Heat and rise in the real shape move the plan the right way, and decide where they have to."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from tests.reference.seen import pours_seen

from pourwright.document.plan_json import plan_json
from pourwright.evaluation import ByFormulas
from pourwright.findings import Code
from pourwright.lifts import judged

_pours = pours_seen


def _own(metres):
    return {"limits.lift": f"{metres} m", "limits.lift_reference": "a test"}


def test_thicker_lifts_stay_hot_longer(plan_of):
    thin, thick = (plan_of("column", **_own(high)) for high in (0.10, 0.20))
    assert len(thick.lift_plan.lifts) < len(thin.lift_plan.lifts)
    inner = [_pours(plan)[1] for plan in (thin, thick)]  # foam below, foam above
    assert inner[0].rise_m < inner[1].rise_m
    assert inner[0].heat.alone_s < inner[1].heat.alone_s
    assert inner[0].heat.hot_s[0][2] < inner[1].heat.hot_s[0][2]  # 95 % end, above caution
    assert inner[0].heat.skin_k.nominal <= inner[1].heat.skin_k.nominal + 0.2
    assert inner[0].rise.peak_pa < inner[1].rise.peak_pa


def test_denser_grades_stay_hot_longer_and_warm_the_skin_more(plan_of):
    light, dense = (
        plan_of("column", **_own(0.2), **{"foam.density": rho, "heat.rounds": 1}) for rho in ("48 kg/m3", "128 kg/m3")
    )
    for a, b in zip(_pours(light), _pours(dense), strict=True):
        assert b.heat.skin_k.nominal > a.heat.skin_k.nominal + 3
        assert b.heat.hot_s[0][2] > a.heat.hot_s[0][2]


def test_hotter_shops_run_hotter_wait_longer_and_pour_less_in_time(plan_of):
    cool, hot = (plan_of("column", **{"shop.air": air}) for air in ("18 degC", "36 degC"))
    for a, b in zip(_pours(cool), _pours(hot), strict=True):
        assert b.heat.peak_k.nominal == pytest.approx(a.heat.peak_k.nominal + 18, abs=4)  # the face it lands on too
        assert b.heat.hot_s[0][1] > a.heat.hot_s[0][1]  # likely heat, above caution
        assert b.heat.skin_k.nominal > a.heat.skin_k.nominal
    for a, b in zip(cool.lift_plan.lifts, hot.lift_plan.lifts, strict=True):
        assert b.wait_s >= a.wait_s
    first = [_pours(plan)[0].heat.peak_k.nominal for plan in (cool, hot)]  # lands on nothing
    assert first[1] == pytest.approx(first[0] + 18, abs=1.5)
    assert hot.foam.cream_s < cool.foam.cream_s
    limit = judged.POUR_TIME
    assert (
        next(c for c in _pours(hot)[0].checks if c.name == limit).limit
        < next(c for c in _pours(cool)[0].checks if c.name == limit).limit
    )


def test_less_wait_leaves_a_hotter_core_and_is_marked(plan_of, check_of):
    asked = {"heat.centre": "60 degC", "heat.centre_share": "30 %"}  # rules that only a job sets
    patient, hasty = plan_of("column", **asked), plan_of("column", **asked, **{"heat.longest_wait": "1 h"})
    assert all(2400 < lift.wait_s <= 3600 for lift in hasty.lift_plan.lifts[:-1])
    for a, b in zip(_pours(patient)[:-1], _pours(hasty)[:-1], strict=True):
        assert a.heat.wait_met
        assert not b.heat.wait_met
        assert b.heat.core_k > a.heat.core_k + 20
        assert check_of(a, judged.SURFACE_UNDER).verdict == "ok"
        assert check_of(b, judged.SURFACE_UNDER).verdict == "over"
    assert hasty.over_limit
    # hot on hot: the second lift of the hasty job has not shed what the patient one's has when its own successor comes
    assert _pours(hasty)[1].heat.core_k > _pours(hasty)[0].heat.core_k


def test_scorch_time_is_judged_by_the_jobs_own_figure(plan_of, check_of):
    strict = plan_of("column", **{"shop.air": "36 degC", "heat.scorch": "5 min", "heat.rounds": 1})
    over = [check_of(pour, judged.SCORCH) for pour in _pours(strict)]
    assert {check.verdict for check in over} == {"over"}
    assert "no published source" in over[0].source
    lax = plan_of("column", **{"shop.air": "36 degC"})
    assert {check_of(pour, judged.SCORCH).verdict for pour in _pours(lax)} == {"ok"}


NECK = {"grid.cell": "2 mm"}


def test_a_neck_too_narrow_leaves_a_void_with_place_and_volume(plan_of, check_of):
    plan = plan_of("narrow neck, one lift", **NECK, **{"heat.rounds": 1})
    (pour,) = _pours(plan)
    assert check_of(pour, judged.SHORT).verdict == "over"
    (void,) = pour.rise.voids
    assert void.reason == "gelled on the way"
    assert void.neck_m == pytest.approx(2 * 0.0035, rel=0.15)
    assert void.bottom_m > 0.09  # beyond the neck
    assert 0.3 * pour.volume_m3 < void.volume_m3 < pour.volume_m3
    assert check_of(pour, judged.SHORT).value == pytest.approx(void.volume_m3)
    # what is not filled is what the foam, pressed together below the neck, does not take
    assert void.measures.from_left_m == pytest.approx(0.09, abs=0.01)
    assert any(found.code == Code.LEAVES_EMPTY and found["neck_m"] > 0 for found in plan.warnings)
    assert plan.over_limit


def test_a_wide_neck_is_passed(plan_of, check_of):
    plan = plan_of("wide neck, one lift", **NECK)
    (pour,) = _pours(plan)
    assert not pour.rise.voids
    assert check_of(pour, judged.SHORT).verdict == "ok"
    assert pour.rise.packing >= pour.rise.packing_needed


def test_pressure_through_a_neck_asks_for_a_shorter_lift_and_gets_it(plan_of, check_of):
    asked = {"grid.cell": "3 mm"}
    first = plan_of("narrow neck", **asked, **{"heat.rounds": 1})
    assert check_of(_pours(first)[0], judged.PRESSURE).verdict == "over"
    assert _pours(first)[0].rise.peak_pa > 3 * _pours(first)[0].rise.closed_pressure_pa
    second = plan_of("narrow neck", **asked)
    assert second.computed.divisions == 2
    assert not second.over_limit
    assert second.lift_plan.lifts[0].top_m == pytest.approx(0.09, abs=0.004)  # cut where the neck ends
    assert second.lift_plan.lifts[0].limit == judged.PRESSURE
    assert "would press" in second.lift_plan.lifts[0].one_more.check.source
    assert any("taken" in line for line in second.computed.words)
    assert len(plan_of("wide neck", **asked).lift_plan.lifts) < len(second.lift_plan.lifts)


def test_volumes_stay_whole_when_divided_again(plan_of):
    plan = plan_of("narrow neck", **{"grid.cell": "3 mm"})
    total = sum(pour.volume_m3 for pour in _pours(plan)) + sum(s.volume_m3 for s in plan.lift_plan.unfilled)
    assert total == pytest.approx(plan.cavity.volume_m3, rel=1e-6)


def test_energy_closes_and_closed_forms_stand_beside(plan_of):
    plan = plan_of("column")
    heating = plan.computed.heating
    for result in (heating.nominal, heating.high):
        assert abs(result.energy_residual) < 2e-3
    for pour in _pours(plan):
        # no cell is hotter than a core that keeps all its heat and what its liquid took from the face it lay on
        assert pour.heat.peak_k.nominal <= pour.heat.closed_peak_k + 4
        assert pour.heat.peak_k.nominal > pour.heat.closed_peak_k - 3
        if pour.heat.wait_governed_by:
            wait_s = plan.lift_plan.lifts[pour.lift - 1].wait_s
            assert wait_s <= 1.1 * pour.heat.closed_wait_s + 300
        assert pour.rise.closed_pressure_pa > 0
        assert cooled_by_skin(plan, pour)


def cooled_by_skin(plan, pour):
    """The skin lies between the air and the core, and its place on the body."""
    heat = pour.heat
    inside = plan.frame.to_standing(heat.skin_point_m)
    on_body = (inside > -0.02).all() and (inside < plan.frame.size_m + 0.02).all()
    return plan.job.conditions.air_k < heat.skin_k.nominal < heat.peak_k.nominal and on_body


def test_the_skin_is_a_check_of_the_whole_piece(plan_of):
    plan = plan_of("column")
    (check,) = [c for c in plan.checks if c.name == judged.SKIN]
    assert check.value == max(p.heat.skin_k.high for p in _pours(plan))
    assert check.verdict == "ok"
    quick = plan_of("column", **{"heat.computed": False})
    (closed,) = [c for c in quick.checks if c.name == judged.SKIN]
    assert "formula" in closed.source
    assert closed.value == pytest.approx(check.value, abs=5.0)  # one pour on a flat skin against all of them
    assert all(p.heat is None and p.rise is None for p in _pours(quick))
    assert isinstance(quick.computed.heating, ByFormulas)
    assert quick.computed.steps


def test_a_held_skin_prints_and_is_valid_json(plan_of, check_of):
    plan = plan_of("column", **{"piece.support": "held"})
    check = check_of(_pours(plan)[0], judged.PRESSURE)
    assert math.isinf(check.limit)
    text = plan_json(plan)

    def refuse(name):
        raise AssertionError(f"{name} is no JSON")

    tree = json.loads(text, parse_constant=refuse)
    blocks = [c for c in tree["lifts"][0]["pours"][0]["checks"] if c["name"] == judged.PRESSURE]
    assert blocks[0]["limit"] is None
    assert blocks[0]["verdict"] == "ok"
    assert tree["computed"]["heat_cells"] == plan.computed.heating.nominal.cells


def test_vents_pass_the_computed_air(plan_of):
    plan = plan_of("column")
    assert len(plan.lift_plan.vents) == 4
    for vent, last in zip(plan.lift_plan.vents, _pours(plan)[-1].vents, strict=True):
        flows = [f for pour in _pours(plan) for f in pour.rise.vents if f.name == vent.name]
        assert vent.air_m3_s >= max(f.air_m3_s for f in flows)
        assert vent.hole_m * np.sqrt(vent.holes) >= max(f.hole_needed_m for f in flows) * 0.999
        assert vent.closed_air_m3_s > 0
        assert last.hole_m == vent.hole_m


def test_too_long_above_scorch_divides_again(plan_of, check_of):
    lax, strict = plan_of("column"), plan_of("column", **{"heat.scorch": "20 min"})
    assert max(pour.heat.hot_s[0][1] for pour in _pours(lax)) > 1200
    assert strict.computed.divisions >= 2
    assert len(strict.lift_plan.lifts) > len(lax.lift_plan.lifts)
    assert {check_of(pour, judged.SCORCH).verdict for pour in _pours(strict)} == {"ok"}
    assert strict.lift_plan.lifts[0].limit == judged.SCORCH
    assert strict.lift_plan.lifts[0].one_more.check.value > strict.lift_plan.lifts[0].one_more.check.limit


def test_what_does_not_help_is_not_taken(plan_of):
    # nothing makes a core cool within no time at all
    never = plan_of("column", **{"heat.scorch": "0 s", "limits.lift": "60 mm",
                                 "limits.lift_reference": "a test", "heat.rounds": 2})  # fmt: skip
    assert never.computed.divisions == 2
    assert never.over_limit
    plain = plan_of("column", **_own(0.06))
    assert len(never.lift_plan.lifts) >= len(plain.lift_plan.lifts)
