"""What a card asks for can be done by the people who are there: cups, surfaces, dips."""

import json
from dataclasses import replace
from types import SimpleNamespace as N

import pytest
from tests.report.test_sheet import seen

from pourwright import units
from pourwright.cli.record_said import entry_said, said_of, to_weigh_kg
from pourwright.document.plan_json import plan_document
from pourwright.findings import Code, finding
from pourwright.foam import Parts
from pourwright.lifts import ShopLimits
from pourwright.lifts.judged import MOVE_ON
from pourwright.report.card import _boxes, card
from pourwright.report.cups import cup_words, cups_of, share_of_shared, weighed_for
from pourwright.report.sheet import sheet_html


def test_people_who_pour_at_the_same_time_have_a_cup_each():
    """It had two people share one cup that creams in 44 s, with nothing said of who pours off how much."""
    holes = [N(kg=kg, tube=None) for kg in (1.58, 1.02, 0.42)]
    pour = N(landings=holes, batches=1, checks=(), parts=Parts(1.61, 1.41, 0.00131, 0.00131))
    cups = cups_of(pour, ShopLimits(hands=2))
    assert cups == ((holes[0],), (holes[1], holes[2]))
    parts = [weighed_for(pour, cup) for cup in cups]
    assert sum(one.a_kg for one in parts) == pytest.approx(1.61)
    assert sum(one.b_kg for one in parts) == pytest.approx(1.41)
    assert parts[0].total_kg == pytest.approx(1.58, abs=2e-3)
    said = [cup_words(pour, cups, hole, ("part A", "part B")) for hole in holes]
    assert said[0] == "cup 1 (part A 842 g (29.7 oz), part B 738 g (26.0 oz)), "
    assert said[1] == "cup 2 (part A 768 g (27.1 oz), part B 672 g (23.7 oz)), about 3/4 of it, "
    assert said[2] == "the rest of cup 2, "
    assert cups_of(pour, ShopLimits(hands=1)) == ()


def test_no_surface_is_asked_for_where_nobody_sees_it(hand_plan):
    """A leg filled through a hole in its foot that is bunged in time had a box for the surface of its foam."""
    plan = hand_plan()
    first = plan.lift_plan.lifts[0].pours[0]
    words = " ".join("".join(seen(sheet_html(plan)).words).split())
    assert (
        words.count("Surface, hottest") == words.count("surface cooler than") == 1
    )  # 1a; 2a, 2b fill up to their caps
    shut = replace(plan.lift_plan, closings=(N(hole="P1", inside="1a", before="2a"),))
    keys = [box["key"] for box in _boxes(replace(plan, lift_plan=shut), first, False)]
    assert not {"infrared", "dip"} & {*keys}


def _of_one_cup(plan):
    values = {"total_m3": 1.1e-4, "least_m3": 1e-4, "takes_s": 34.0, "cream_s": 42.0}
    return replace(plan, warnings=(*plan.warnings, finding(Code.ONE_CUP, "2a", "2b", **values)))


def test_a_cup_that_two_pours_share_is_weighed_once_on_the_card_of_the_first(hand_plan):
    """A warning had both weighed into one cup, while each card asked for a cup of its own."""
    plan = _of_one_cup(hand_plan())
    pours = {pour.name: pour for lift in plan.lift_plan.lifts for pour in lift.pours}
    of_2a, of_2b = (card(plan, plan.lift_plan.lifts[1], pours[name], True) for name in ("2a", "2b"))
    total = sum(pours[name].to_weigh.a_kg for name in ("2a", "2b"))
    assert next(mark[1] for mark in of_2a["marks"]) == units.mass(total)
    assert of_2b["marks"] == []
    assert "One cup for 2a and 2b" in of_2a["each"]
    assert of_2b["each"] == "Out of the cup of 2a, straight after it: nothing is weighed for this pour."
    keys = {name: {box["key"] for box in made["boxes"]} for name, made in (("2a", of_2a), ("2b", of_2b))}
    assert {"a", "b"} <= keys["2a"]
    assert not {"a", "b"} & keys["2b"]
    shop = plan.job.limits
    liquid_m3 = sum(pours[name].batch.a_m3 + pours[name].batch.b_m3 for name in ("2a", "2b"))
    assert [len(pours[name].landings) for name in ("2a", "2b")] == [2, 0]  # none told: it is poured in one place
    walks_s = 2 * MOVE_ON.value
    for made in (of_2a, of_2b):  # it is empty when both are poured, from hole to hole
        assert dict(json.loads(made["clock_marks"]))["empty by"] == round(
            shop.mix_s + liquid_m3 / shop.pour_rate_m3_s + walks_s
        )
    holes = [N(kg=kg) for kg in (0.06, 0.03, 0.03)]
    mates = (N(parts=N(total_kg=0.09), landings=holes[:2]), N(parts=N(total_kg=0.03), landings=holes[2:]))
    said = [share_of_shared(mates, mates[k == 2], hole) for k, hole in enumerate(holes)]
    assert said == ["about 1/2 of the cup, ", "about 1/4 of the cup, ", "the rest of the cup, "]
    assert "weight on its own card" not in " ".join("".join(seen(sheet_html(plan)).words).split())


def test_what_is_weighed_into_a_shared_cup_is_recorded_by_shares(hand_plan):
    """Weights of a cup of two pours, 10 % over: each of them has 10 % more than planned."""
    document = plan_document(_of_one_cup(hand_plan()))
    planned = {pour.name: pour for lift in document.lifts for pour in lift.pours}
    assert planned["2b"].one_cup == ["2a", "2b"]
    assert planned["1a"].one_cup == []
    whole = to_weigh_kg(document, planned["2b"])
    assert whole == pytest.approx(to_weigh_kg(document, planned["2a"]))
    for name in ("2a", "2b"):
        given = said_of(part_a=f"{1.1 * whole[0]:.9f} kg", part_b=f"{1.1 * whole[1]:.9f} kg", full=True)
        entry = entry_said(document, name, given)
        assert entry["part_a_kg"] == pytest.approx(1.1 * planned[name].part_a_kg)
        assert entry["part_b_kg"] == pytest.approx(1.1 * planned[name].part_b_kg)
