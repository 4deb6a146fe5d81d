"""What a card asks for can be done by the people who are there: cups, surfaces, dips."""

from dataclasses import replace
from types import SimpleNamespace as N

import pytest
from tests.report.test_sheet import seen

from pourwright.foam import Parts
from pourwright.lifts import ShopLimits
from pourwright.report.card import _boxes
from pourwright.report.cups import cup_words, cups_of, weighed_for
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
