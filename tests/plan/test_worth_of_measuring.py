"""What a plan says of measuring the rise, and what measuring then does."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from types import SimpleNamespace

import pytest
from tests.reference.seen import pours_seen

from pourwright.day import Offer, Offers
from pourwright.findings import Code
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import judged
from pourwright.plan.worth import _of_day, as_cups_show
from pourwright.wording.findings import sentences

SHOP = {"shop.air": "17 degC", "shop.parts": "17 degC", "heat.scorch_high": "40 min", "heat.rounds": 1}
CUPS = {"cup.parts": "17 degC", "cup.across": "100 mm"}


def _waited(plan):
    return sum(wait.seconds for wait in plan.computed.heating.waits.waits)


def test_a_plan_says_what_cups_would_save_and_they_save_it(plan_of):
    known, cups = (
        plan_of("column", **SHOP),
        plan_of("column", **SHOP, **CUPS, **{"cup.peaks": ["151 degC", "157 degC", "163 degC"]}),
    )
    said = known.computed.measuring
    assert "as known today" in said
    hours, minutes = re.search(r"140 ± 6 K, (?:(\d+) h )?(\d+) min", said).groups()
    promised = 3600 * int(hours or 0) + 60 * int(minutes)
    assert _waited(cups) < _waited(known)
    assert _waited(cups) == pytest.approx(promised, abs=600, rel=0.25)
    assert not cups.computed.measuring  # known well enough


def test_a_measured_rise_narrows_every_temperature(plan_of):
    known, cups = (
        plan_of("column", **SHOP),
        plan_of("column", **SHOP, **CUPS, **{"cup.peaks": ["151 degC", "157 degC", "163 degC"]}),
    )
    for a, b in zip(pours_seen(known), pours_seen(cups), strict=False):
        assert b.heat.peak_k.high - b.heat.peak_k.low < 0.5 * (a.heat.peak_k.high - a.heat.peak_k.low)


def test_probe_required_where_only_the_likely_heat_holds(plan_of):
    plan = plan_of(
        "column", **{"shop.air": "17 degC", "shop.parts": "17 degC", "heat.scorch_high": "5 min", "heat.rounds": 1}
    )
    (said,) = sentences(found for found in plan.warnings if found.code == Code.PROBE_REQUIRED)
    assert "5 min are allowed" in said
    assert all(
        check.verdict == "ok"
        for lift in plan.lift_plan.lifts
        for p in lift.pours
        for check in p.checks
        if check.name == judged.SCORCH
    )
    calm = plan_of("column", **{"shop.air": "17 degC", "shop.parts": "17 degC"})
    assert not [line for line in sentences(calm.warnings) if "Probe" in line or "heat" in line]


def test_a_piece_of_one_lift_has_no_waits_to_shorten(plan_of):
    plan = plan_of("wide neck, one lift", **{"day.search": False})
    assert len(plan.lift_plan.lifts) == 1
    assert plan.computed.measuring == ""


def _emergency(plan):
    return [c for lift in plan.lift_plan.lifts for p in lift.pours for c in p.checks if c.name == judged.EMERGENCY]


def test_what_only_an_unmeasured_heat_would_pass_is_not_known_and_asks_for_a_probe(plan_of):
    warm = {"shop.air": "22 degC", "shop.parts": "22 degC", "heat.rounds": 1, "heat.emergency": "190 degC"}
    plan = plan_of("column", **warm)
    past = [check for check in _emergency(plan) if check.value > check.limit]
    assert past
    assert {check.verdict for check in past} == {"unknown"}
    assert judged.EMERGENCY in {check.name for check in plan.not_known}
    assert judged.EMERGENCY not in {check.name for check in plan.over_limit}
    assert any(line.startswith("Probe required") and "190 °C" in line for line in sentences(plan.warnings))
    # the same high end, but known: it is over
    rise = plan.foam.rise_k.high
    known = plan_of("column", **{**warm, "heat.rise": f"{rise} K"})
    assert {check.verdict for check in _emergency(known) if check.value > check.limit} == {"over"}


def test_cups_that_would_show_a_peak_over_the_stop_ask_for_cooler_liquids_in_a_searched_day_too():
    foam = at_conditions(load_grade("rigid-3"), Conditions(295.0, 295.0, 295.0))
    words = [said for said, _ in as_cups_show(foam)]
    offers = Offers(3.0, 9, True, (), (), (Offer(words[0], 2.0, 8, True), Offer(words[1], 1.0, 7, False)), math.nan)
    said = _of_day(SimpleNamespace(offers=offers, cells=1000), foam)
    assert "150 ± 6 K, cooler liquids are needed" in said
    assert "140 ± 6 K, no day that keeps the limits was found" in said
    assert "a core by itself" not in said  # 140 K on 22 °C leaves 8 K
    cooler = at_conditions(load_grade("rigid-3"), Conditions(291.0, 291.0, 291.0))
    none = replace(offers, measured=(Offer(words[0], 1.0, 7, False),))
    said = _of_day(SimpleNamespace(offers=none, cells=1000), cooler)
    assert "150 ± 6 K, no day that keeps the limits was found (a core by itself comes to 167 °C of the 170 °C" in said
