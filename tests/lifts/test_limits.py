"""What one pour is allowed: caps, batches, pressures, waits; numbers worked by hand beside each."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.lifts.conftest import box

from pourwright.divide.bands import Rules
from pourwright.errors import LimitError
from pourwright.findings import Code
from pourwright.lifts import ShopLimits, judged
from pourwright.lifts.checks import Facts, batches_for, checks_of, verdict
from pourwright.lifts.limits import (
    BatchCap,
    batch_cap,
    closing_pressure,
    lift_cap,
    open_pressure,
    rules_of,
    surface_under_limit_k,
)
from pourwright.lifts.thermal import heat_of
from pourwright.lifts.vents import holes_for
from pourwright.physics import heat, orifice
from pourwright.ranges import Range
from pourwright.sources import Cited


def test_the_grades_judgement_counts_without_a_suppliers_figure(foam):
    cap = lift_cap(foam(), ShopLimits())
    assert cap.thickness_m == pytest.approx(9.6 / 48.06, rel=1e-3)
    assert cap.judged
    assert "judgement" in cap.source
    assert "supplier" in cap.remedy


@pytest.mark.parametrize("figure", [0.1, 0.35])
def test_a_suppliers_figure_with_its_reference_replaces_the_judgement(foam, figure):
    cap = lift_cap(foam(), ShopLimits(max_lift_m=figure, max_lift_reference="data sheet, page 2"))
    assert (cap.thickness_m, cap.judged) == (figure, False)
    assert "data sheet, page 2" in cap.source


def test_without_a_reference_a_figure_can_only_lower_the_cap(foam):
    assert lift_cap(foam(), ShopLimits(max_lift_m=0.1)).thickness_m == 0.1
    higher = lift_cap(foam(), ShopLimits(max_lift_m=0.35))
    assert higher.thickness_m == foam().grade.max_lift_m
    assert higher.judged


def test_against_a_data_sheet_the_lower_figure_counts(foam):
    sheet = replace(foam(), grade=replace(foam().grade, max_lift_m=0.25, max_lift_is_judgement=False))
    high = ShopLimits(max_lift_m=0.4, max_lift_reference="letter")
    low = ShopLimits(max_lift_m=0.2, max_lift_reference="letter")
    assert lift_cap(sheet, high).thickness_m == 0.25
    assert lift_cap(sheet, low).thickness_m == 0.2


def test_batch_is_the_smaller_of_the_cup_and_the_time(foam):
    day = foam()
    assert day.cream_s == pytest.approx(40.0, abs=0.1)
    # 20 s are left to pour at 0.25 L/s: 5 L, more than the cup of 4 L
    cup = batch_cap(day, ShopLimits())
    assert cup.volume_m3 == 0.004
    assert not cup.by_time
    # 0.1 L/s: 2 L
    slow = batch_cap(day, ShopLimits(pour_rate_m3_s=1e-4))
    assert slow.volume_m3 == pytest.approx(0.002, rel=0.01)
    assert slow.by_time


def test_hot_liquids_leave_less_time(foam):
    limits = ShopLimits(pour_rate_m3_s=1e-4)
    assert batch_cap(foam(parts_k=308.15), limits).volume_m3 < batch_cap(foam(), limits).volume_m3


def test_a_mix_that_creams_in_the_cup_is_over_its_time(foam, bodies, planned, every_pour):
    made = planned(bodies["sphere"], limits=ShopLimits(mix_s=50.0))
    assert len(made.lifts) < 10  # no use in thin lifts
    for pour in every_pour(made.plan):
        assert next(c for c in pour.checks if c.name == "pour time").verdict == "over"
    assert any(found.code == Code.NO_TIME_TO_POUR for found in made.plan.warnings)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"largest_batch_m3": 0.0}, "largest batch"),
        ({"flow_distance_m": math.nan}, "flow distance"),
        ({"hands": 0}, "number of hands"),
        ({"pour_rate_m3_s": -1.0}, "pour rate"),
        ({"drill_m": ()}, "drills"),
        ({"max_lift_m": 0.0}, "largest lift"),
    ],
)
def test_a_limit_that_nothing_can_keep_is_refused(foam, change, named):
    with pytest.raises(LimitError, match=named):
        rules_of(foam(), replace(ShopLimits(), **change), 0.01)


def test_rules_in_numbers(foam):
    day, limits = foam(), ShopLimits(hands=2)
    rules = rules_of(day, limits, 0.012)
    assert isinstance(rules, Rules)
    assert rules.liquid_m3 == 0.008
    # 48.06 kg/m3 with 3 % for the dense layers, of liquids of 1155 kg/m3
    assert rules.open_share == pytest.approx(48.06 * 1.03 / 1155, rel=2e-3)
    assert rules.closed_share == pytest.approx(48.06 * 1.10 / 1155, rel=2e-3)
    assert rules.head_pa_m == pytest.approx(day.open_density_kg_m3.nominal * 9.80665, rel=1e-9)


def test_closing_pressure_is_the_gas_law_bound(foam):
    """Packed 1.10, free rise 48.06 kg/m3, solid 1200: 10.60 kPa (worked from the ideal gas law)."""
    held = closing_pressure(foam())
    free = foam().free_rise_density_kg_m3.nominal
    room = lambda density: 1 / density - 1 / 1200  # noqa: E731
    worked = 101325 * (room(free) / room(1.1 * free) - 1)
    assert held.nominal == pytest.approx(worked, rel=1e-9)
    assert held.nominal == pytest.approx(10.6e3, rel=2e-3)
    hotter = 101325 * (room(free) / room(1.1 * free) * 1.05 - 1)
    assert held.high == pytest.approx(hotter, rel=1e-9)


def test_open_pressure_is_planning_value_and_head(foam):
    """2 to 7 kPa, and 1 m of 49.5 kg/m3 adds 0.485 kPa."""
    free = open_pressure(foam(), 1.0)
    head = foam().open_density_kg_m3.nominal * 9.80665
    assert (free.low, free.nominal, free.high) == pytest.approx((1980 + head, 4500 + head, 7020 + head))
    assert head == pytest.approx(485, rel=0.01)


def test_wait_of_a_first_lift(foam):
    """Slab, both faces cooled, until the centre is as far below 150 °C as the next lift is above it, by the series."""
    day = foam()
    g = day.grade
    alpha = g.conductivity_hot_w_mk / (48.0 * g.specific_heat_j_kgk)
    made = heat_of(day, 48.0, 0.15, 9.0, False, 400.0)
    left = float(heat.slab_share((made.wait_s - day.rise_end_s) * alpha / 0.15**2))
    peak = 295.372 + 255e3 / 1750
    assert 295.372 + left * (peak - 295.372) == pytest.approx(2 * 423.15 - peak, abs=0.1)
    warm = float(heat.slab_share(made.caution_s * alpha / 0.15**2))
    assert 295.372 + warm * (peak - 295.372) == pytest.approx(423.15, abs=0.1)
    assert made.hot_s == pytest.approx(0.25778 * 0.15**2 / alpha, rel=1e-3)
    assert made.peak_k.nominal == pytest.approx(peak, abs=0.01)
    assert made.peak_k.high == pytest.approx(peak + 1.96 * 15.8, abs=0.01)


def test_on_foam_four_times_as_long(foam):
    day = foam()
    cold, on_foam = (heat_of(day, 48.0, 0.15, 9.0, side, 400.0) for side in (False, True))
    assert (on_foam.wait_s - day.rise_end_s) / (cold.wait_s - day.rise_end_s) == pytest.approx(4.0)
    assert on_foam.hot_s / cold.hot_s == pytest.approx(4.0)


def test_a_thin_limb_cools_over_its_width(foam):
    day = foam()
    limb = heat_of(day, 48.0, 0.2, 0.05, True, 400.0)
    slab = heat_of(day, 48.0, 0.05, 9.0, False, 400.0)
    assert limb.hot_s == pytest.approx(slab.hot_s)
    assert limb.caution_s == pytest.approx(slab.caution_s)


def test_a_cool_landing_is_waited_for_by_the_film_over_the_top(foam):
    """Half of 50 mm under 2 W/(m2 K): the series of section 3.11 gives back the landing."""
    day = foam()
    made = heat_of(day, 48.0, 0.05, 9.0, False, 303.15)
    assert made.surface_under_k == pytest.approx(303.15, abs=0.01)
    assert made.wait_s > heat_of(day, 48.0, 0.05, 9.0, False, 380.0).wait_s >= 600.0


def test_what_a_pour_may_land_on_makes_it_cream_a_quarter_sooner_where_it_touches(foam):
    """By hand: 33 kJ/mol, 22 °C: 1/T = 1/295.37 + 8.3145 ln(0.75)/33000, 6.5 K; times (636 + 51)/51 over the liquid."""
    day = foam()
    limit = surface_under_limit_k(day, ShopLimits())
    assert limit - day.conditions.parts_k == pytest.approx(6.47 * (636 + 51) / 51, rel=0.03)
    assert surface_under_limit_k(day, ShopLimits(surface_under_k=333.15)) == 333.15
    assert surface_under_limit_k(day, ShopLimits(quickening=0.1)) < limit


def test_a_shop_hotter_than_the_landing_has_no_wait(foam):
    made = heat_of(foam(air_k=313.0), 48.0, 0.15, 9.0, False, 312.0)
    assert math.isinf(made.wait_s)
    assert math.isnan(made.surface_under_k)


def _facts(**change):
    day_heat = change.pop("heat")
    base = Facts(0.1, 0.001, 1, 1, Range(2e3, 5e3, 8e3), 1e4, "panel", 1, 0.3, day_heat)
    return replace(base, **change)


def test_checks_say_ok_over_and_unknown(foam):
    day, limits = foam(), ShopLimits()
    warm = heat_of(day, 48.0, 0.1, 9.0, False, surface_under_limit_k(day, limits))
    make = lambda **change: {  # noqa: E731
        c.name: c
        for c in checks_of(
            _facts(**{"heat": warm, **change}), day, limits, lift_cap(day, limits), batch_cap(day, limits)
        )
    }
    assert {c.verdict for c in make().values()} == {"ok"}
    assert make(rise_m=0.21)["lift thickness"].verdict == "over"
    assert make(at_once=2)["hands"].verdict == "over"
    assert make(at_once=2, cup_m3=0.00205)["batch"].verdict == "ok"  # two batches, each within the largest
    assert make(at_once=2, cup_m3=0.00205)["batch"].value == pytest.approx(0.00205)
    assert make(flow_distance_m=math.nan)["flow distance"].verdict == "unknown"
    assert make(flow_distance_m=0.61)["flow distance"].verdict == "over"
    assert make(strength_pa=math.nan)["pressure on the skin"].verdict == "unknown"
    assert make(strength_pa=4e3)["pressure on the skin"].verdict == "over"
    held = make(strength_pa=math.inf)["pressure on the skin"]
    assert (held.verdict, held.limit) == ("ok", math.inf)
    assert "carried by the support" in held.source
    hot = replace(day, rise_k=Range.exact(150.0))
    over = heat_of(hot, 48.0, 0.1, 9.0, False, surface_under_limit_k(day, limits))
    assert over.peak_k.nominal == pytest.approx(day.conditions.parts_k + 150.0)
    assert make(heat=over)["peak temperature"].verdict == "over"


def test_verdict_never_takes_nan_for_safe():
    assert verdict(math.nan, 1.0) == verdict(1.0, math.nan) == "unknown"
    assert verdict(math.inf, 1.0) == "over"


def test_batches_are_rounded_up_but_not_for_rounding():
    cap = BatchCap(0.004, 0.005)
    assert [batches_for(v, cap) for v in (0.0, 0.001, 0.004, 0.004 * (1 + 1e-12), 0.0041, 0.0121)] == [1, 1, 1, 1, 2, 4]


def test_holes_pass_the_flow_with_the_smallest_drill_that_does():
    limits = ShopLimits()
    # 6 mm passes 0.2227 L/s at 100 Pa (sharp edge, Cd 0.61, air 1.2 kg/m3)
    assert holes_for(0.2e-3, 1.0, limits) == (0.006, 1)
    assert holes_for(0.23e-3, 1.0, limits) == (0.008, 1)
    each = orifice.orifice_flow(0.032, 100.0)
    assert holes_for(2.2 * each, 1.0, limits) == (0.032, 3)
    diameter, count = holes_for(1.05 * each, 1.0, limits)
    assert count == 2
    assert diameter < 0.032
    assert count * orifice.orifice_flow(diameter, 100.0) >= 1.05 * each


def test_holes_are_no_wider_than_the_limb_takes():
    diameter, count = holes_for(1e-3, 0.015, ShopLimits())
    assert diameter <= 0.6 * 0.015
    assert count * orifice.orifice_flow(diameter, 100.0) >= 1e-3


def test_judged_numbers_carry_their_standing():
    cited = [v for v in vars(judged).values() if isinstance(v, Cited)]
    assert len(cited) > 8
    assert all(np.isfinite(v.value) and (v.note or v.source) for v in cited)


def test_hands_are_counted_where_people_pour_and_the_way_out_says_how_many(bodies, planned, every_pour):
    """Four cups at once and one person: three more people, not one. A machine has no hands to count."""
    few = ShopLimits(largest_batch_m3=5e-5)
    over = [
        check
        for pour in every_pour(planned(bodies["sphere"], limits=few).plan)
        for check in pour.checks
        if check.name == "hands" and check.value >= 3
    ]
    assert over
    for check in over:
        assert check.remedy.startswith(f"{check.value - 1:.0f} more people ")
    shot = ShopLimits(fresh=True, largest_batch_m3=0.05)
    names = {check.name for pour in every_pour(planned(bodies["legs"], limits=shot).plan) for check in pour.checks}
    assert "hands" not in names
    assert "batch" in names


def test_a_cup_for_many_holes_takes_the_time_to_go_from_one_to_the_next(bodies, planned, every_pour):
    """Five holes along a boat were filled from one cup in the three seconds that a single hole takes."""
    trough = box(0, 2.4, 0, 0.2, 0, 0.12)
    alone = planned(trough, limits=ShopLimits(flow_distance_m=0.4))
    (pour, *_) = every_pour(alone.plan)
    limits = ShopLimits(flow_distance_m=0.4)
    assert len(pour.landings) >= 3
    (check,) = [check for check in pour.checks if check.name == "pour time"]
    still = limits.mix_s + pour.batch.total_m3 / limits.pour_rate_m3_s
    assert check.value == pytest.approx(still + 4.0 * (len(pour.landings) - 1))
    helped = every_pour(planned(trough, limits=replace(limits, hands=3)).plan)[0]
    (check,) = [check for check in helped.checks if check.name == "pour time"]
    each = -(-len(helped.landings) // min(3 // helped.batches, len(helped.landings)))
    still = limits.mix_s + helped.batch.total_m3 / limits.pour_rate_m3_s
    assert check.value == pytest.approx(still + 4.0 * (each - 1))


def test_liquids_that_are_cool_enough_already_are_not_asked_for(foam):
    """It asked for liquids of 23 °C or less where they were at 20: the shape, not the formula, was over."""
    from pourwright.lifts import cooler_liquids

    day = foam()
    grade, today = day.grade, day.conditions.parts_k
    warmest = min(grade.stop_k - day.rise_k.nominal, grade.emergency_k - day.rise_k.high)
    said = cooler_liquids(day)
    if warmest >= today:
        assert said.startswith(f"liquids cooler than the {today - 273.15:.0f} °C they are at")
    hot = replace(day, conditions=replace(day.conditions, parts_k=warmest + 2.0))
    assert cooler_liquids(hot).startswith(f"liquids of {warmest - 273.15:.0f} °C or less")
    cool = replace(day, conditions=replace(day.conditions, parts_k=warmest - 2.0))
    assert cooler_liquids(cool).startswith(f"liquids cooler than the {warmest - 2.0 - 273.15:.0f} °C they are at")
