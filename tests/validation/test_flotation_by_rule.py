"""33 CFR 183 by the rule a boat falls under, foam by chamber and what it loses: a box boat of two blocks, by hand.

The modified level method asks for less for persons than the level method (Boatbuilder's Handbook, definitions, read on
the Coast Guard's pages); its test without persons is 183.335, read in a public copy: as 183.235. How much less could
not be read, so only what follows from "less" is held.
"""

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.answers.drawn.afloat import enough
from pourwright.answers.float_page import float_page
from pourwright.outcome import Boat, FoamChamber, Site, Spot
from pourwright.outcome.verdict import refusals, unknowns
from pourwright.physics.buoyancy import HANDBOOK_WATER
from pourwright.ranges import Range
from pourwright.water import afloat

LOW_M3 = 0.18 * 50 / 55  # foam of the made piece at its lowest yield
FIRST = 550 * 0.45359237


@pytest.fixture(scope="module")
def boat(made, lump):
    """Hull 2 x 1 x 0.5 m, 110 kg; foam 3 : 1 in a fore and an aft chamber."""
    hull = trimesh.creation.box((2, 1, 0.5))

    def make(**described):
        at = (0.0, 0.0, -0.1)
        foam = replace(lump(Range(8.0, 10.0, 12.0), at, "foam", name="foam, lift 1"), after_lift=1)
        described = {"load_at": Spot(at_m=(0.0, 0.0, -0.1)), **described}
        site = Site(boat=Boat(**described))
        piece, surface = made([lump(100.0, at, "skin", name="skin"), foam], site, hull)
        chambers = FoamChamber(0.15, np.array([0.4, 0.0, 0.0])), FoamChamber(0.05, np.array([-0.8, 0.0, 0.0]))
        return replace(piece, foam=replace(piece.foam, chambers=chambers)), surface

    return make


def persons_level(persons, capacity):
    return 0.5 * min(persons, FIRST) + 0.125 * max(persons - FIRST, 0) + 0.25 * (capacity - persons)


def test_each_rule_is_checked_alone_and_both_where_none_is_named(boat):
    names = {
        rule: [check.name for check in afloat(*boat(persons_kg=50.0, flotation=rule)).checks]
        for rule in ("", "basic", "level", "modified")
    }
    assert [len(names[rule]) for rule in ("", "basic", "level", "modified")] == [2, 1, 1, 1]
    assert names[""] == names["basic"] + names["level"]
    assert "modified level" in names["modified"][0]


@pytest.mark.parametrize(
    ("persons", "motor", "verdict"), [(50.0, 0.0, "ok"), (500.0, 0.0, "unknown"), (500.0, 200.0, "over")]
)
def test_modified_level_is_kept_by_what_keeps_level_lost_by_what_the_boat_alone_sinks_and_else_not_known(
    boat, persons, motor, verdict
):
    """By hand: foam carries 0.1636 m3 x (999.55 - 55) = 154.6 kg; the boat alone, then with level's persons."""
    result = afloat(*boat(persons_kg=persons, propulsion_kg=motor, flotation="modified"))
    carries = LOW_M3 * (HANDBOOK_WATER - 55.0)
    alone = result.flotation.structure_kg + motor
    expected = "over" if alone > carries else "ok" if alone + persons_level(persons, persons) <= carries else "unknown"
    assert [check.verdict for check in result.checks] == [expected] == [verdict]
    assert any("modified level" in words for words in unknowns(result)) == (verdict == "unknown")
    assert any("modified level" in words for words in refusals(result)) == (verdict == "over")


def test_a_chamber_carries_its_share_and_the_others_do_for_the_rest(boat):
    result = afloat(*boat(persons_kg=300.0, uptake=0.04))
    large, small = result.flotation.regions
    carries = LOW_M3 * (HANDBOOK_WATER - 55.0) * 0.96
    assert (large.share, small.share) == pytest.approx((0.75, 0.25))
    assert (large.carries_kg, small.carries_kg) == pytest.approx((0.75 * carries, 0.25 * carries))
    assert (large.rest_m3, small.rest_m3) == pytest.approx((0.25 * LOW_M3, 0.75 * LOW_M3))
    assert large.middle_m[0] - small.middle_m[0] == pytest.approx(1.2)


@pytest.mark.parametrize("counted", [None, 0.0, 0.1])
def test_what_foam_may_lose_is_where_the_rest_just_carries_whatever_is_counted(boat, counted):
    """By hand: with a share u lost the foam carries (1 - u) of it; level flotation of 100 kg persons is just kept."""
    result = afloat(*boat(persons_kg=100.0, uptake=counted))
    found = result.flotation
    carries = LOW_M3 * (HANDBOOK_WATER - 55.0)
    asked = found.structure_kg + persons_level(100.0, 100.0)
    assert found.allowance.level_bears == pytest.approx(1 - asked / carries, rel=1e-9)
    assert np.isnan(found.allowance.share) == (counted is None)


def test_an_allowance_that_is_not_given_is_told_not_known_and_one_that_is_has_its_reference(boat):
    def said(**described):
        piece, surface = boat(persons_kg=100.0, **described)
        page = float_page(piece, afloat(piece, surface), "")
        section = next(s for s in page.sections if s.title == "Lift that the foam loses to water")
        return " ".join(section.lines)

    assert "NOT KNOWN" in said()
    given = said(uptake=0.05, uptake_reference="tank of ours, 3 years")
    assert "NOT KNOWN" not in given
    assert "5 %" in given
    assert "tank of ours, 3 years" in given


@pytest.mark.parametrize(("persons", "motor"), [(0.0, 1200.0), (6000.0, 200.0)])
def test_only_the_weights_for_persons_of_the_modified_test_are_more_than_it_asks_for(boat, persons, motor):
    """1200 kg of motor on 112 kg sink 1 m3, whatever stands for persons: lost. 6000 kg of persons may be too many."""
    result = afloat(*boat(persons_kg=persons, propulsion_kg=motor, uptake=0.0, flotation="modified"))
    lost = {state.name: state for state in result.states if not state.floats or state.end_sinks}
    alone = "level test load without persons, swamped and leaking"
    assert (alone in lost) == (motor > 1000.0)
    assert any(words.startswith(alone) for words in refusals(result)) == (motor > 1000.0)
    assert not any(words.startswith(alone) for words in unknowns(result))
    assert "level test load, swamped and leaking" in lost
    assert any(words.startswith("level test load, swamped and leaking") for words in unknowns(result))
    assert not any(words.startswith("level test load, ") for words in refusals(result))


def test_a_chamber_without_which_the_modified_method_may_still_be_kept_is_not_known(boat):
    """Level flotation of 150 kg asks for more than one chamber has; the boat alone for less than the larger has."""

    def said(rule):
        piece, surface = boat(persons_kg=150.0, flotation=rule)
        page = float_page(piece, afloat(piece, surface), "")
        rows = next(s for s in page.sections if s.title == "Foam by chamber").table.rows
        return [row[-1] for row in rows]

    assert said("level") == ["level NO", "level NO"]
    result = afloat(*boat(persons_kg=150.0, flotation="modified"))
    alone = result.flotation.structure_kg / (HANDBOOK_WATER - 55.0)
    without_large, without_small = 0.25 * LOW_M3, 0.75 * LOW_M3
    assert without_large < alone < without_small  # so that both words are tried
    assert said("modified") == ["modified level NO", "modified level not known"]


def test_a_loss_to_water_that_is_not_given_is_not_taken_as_none(boat):
    unknown = "lift that the foam loses to water: boat.uptake"
    kept = afloat(*boat(persons_kg=10.0))
    assert all(check.verdict == "ok" for check in kept.checks)
    assert unknown in unknowns(kept)
    assert unknown not in unknowns(afloat(*boat(persons_kg=10.0, uptake=0.0)))
    assert unknown not in unknowns(afloat(*boat(persons_kg=10.0, uptake=0.05)))


def test_foam_that_cannot_be_counted_on_bears_no_share_that_is_known(boat):
    piece, surface = boat(persons_kg=100.0, uptake=0.05)
    none = replace(piece, foam=replace(piece.foam, volume_m3=Range(0.0, 0.2, 0.22)))
    result = afloat(none, surface)
    assert np.isnan([result.flotation.allowance.basic_bears, result.flotation.allowance.level_bears]).all()
    assert [check.verdict for check in result.checks] == ["over", "over"]
    section = next(s for s in float_page(none, result, "").sections if s.title == "Lift that the foam loses to water")
    assert any("no foam can be counted on" in line for line in section.lines)


@pytest.mark.parametrize(
    ("persons", "motor", "uptake", "said"),
    [
        (10.0, 0.0, 0.05, "is enough"),
        (10.0, 0.0, None, "is not known"),
        (500.0, 0.0, 0.05, "is not known"),
        (500.0, 200.0, 0.05, "is NOT ENOUGH"),
    ],
)
def test_the_sheet_calls_foam_enough_or_not_only_where_that_is_known(boat, persons, motor, uptake, said):
    """What level flotation of 500 kg asks for is more than there is, what the boat alone does is less."""
    described = {"persons_kg": persons, "propulsion_kg": motor, "uptake": uptake, "flotation": "modified"}
    words = enough(afloat(*boat(**described)).flotation)
    assert words.endswith(said)
    assert ("is enough" in words) == (persons == 10.0)
    assert ("is NOT ENOUGH" in words) == (motor > 0.0)


@pytest.mark.parametrize(("aside", "far"), [(0.02, False), (0.45, True)])
@pytest.mark.parametrize("rule", ["level", "modified"])
def test_a_boat_that_heels_by_more_than_its_test_allows_is_refused(boat, aside, far, rule):
    """183.235 (183.335 as that): without persons 10 degrees of heel at most; the rule with persons was not read.

    Wall sides heel with tan = w y / (W GM) and more; a level box 1 m wide, its motor of 90 kg to one side.
    """
    spot = Spot(at_m=(0.0, aside, -0.1))
    result = afloat(*boat(persons_kg=60.0, propulsion_kg=90.0, uptake=0.0, flotation=rule, load_at=spot))
    alone, manned = ("level test load without persons, swamped", "level test load, swamped")
    heeled = {state.name: abs(np.degrees(state.heel_rad)) for state in result.states}
    assert (next(v for name, v in heeled.items() if name.startswith(alone)) > 10.0) == far
    assert any(why.startswith(alone) and "10 degrees" in why for why in refusals(result)) == far
    assert any(why.startswith(manned) and "10 degrees" in why for why in unknowns(result)) == far
    assert not any(why.startswith(manned) for why in refusals(result))
