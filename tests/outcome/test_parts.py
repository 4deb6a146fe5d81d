"""Masses, centres and inertia against closed forms, and the corners against the plan's own totals."""

import math

import numpy as np
import pytest
import weighed

from pourwright.outcome import FINISHED, Item, Spot, corner_masses, item_parts, parts_at, weigh
from pourwright.ranges import Range


@pytest.fixture(scope="module")
def boxed(skin_of, stand):
    return weighed.boxed(skin_of, stand)


def test_foam_of_all_lifts_is_the_foam_of_the_plan(boxed):
    *_, outcome = boxed
    foam = [part for part in outcome.parts if part.kind == "foam"]
    for end in ("low", "nominal", "high"):
        assert sum(getattr(p.kg, end) for p in foam) == pytest.approx(getattr(outcome.foam_kg, end), rel=1e-9)


def test_corners_span_the_total_of_the_plan(boxed):
    # The thin wall goes with the large cavity: the ends are those of the plan, not the sums of the parts' ends.
    *_, outcome = boxed
    own = tuple(part for part in outcome.parts if part.kind in ("skin", "foam"))
    total = corner_masses(own).sum(axis=1)
    assert (total.min(), total[0], total.max()) == pytest.approx(
        (outcome.total_kg.low, outcome.total_kg.nominal, outcome.total_kg.high), rel=1e-9
    )
    assert total.max() < sum(part.kg.high for part in own)


def test_stages_are_empty_after_each_lift_and_finished(boxed):
    *_, lifts, outcome = boxed
    record = weigh(outcome.parts)
    assert [stage.number for stage in record.stages] == [0, *(lift.number for lift in lifts.lifts), FINISHED]
    weights = [stage.kg.nominal for stage in record.stages]
    assert weights == sorted(weights)
    # After the last lift, nearly: what the drill took out is not back yet.
    assert record.stages[-1].kg.nominal == pytest.approx(outcome.total_kg.nominal, rel=1e-9)
    assert record.stages[-1].centre_m == pytest.approx(outcome.centre_of_mass_m, abs=1e-6)


def test_holes_weigh_nothing_once_they_are_plugged(boxed):
    *_, outcome = boxed
    holes = [part for part in outcome.parts if part.kind in ("holes", "plugs")]
    assert {part.kind for part in holes} == {"holes", "plugs"}
    assert sum(part.kg.nominal for part in holes) == pytest.approx(0.0, abs=1e-12)
    assert len(parts_at(outcome.parts, 0)) == 2  # skin, and what the drill took out


def test_a_coating_lies_on_the_skin_and_hardware_in_its_spot(boxed):
    skin, cavity, *_, outcome = boxed
    items = (
        Item("paint", Range.about(0.5, 0.2), coating=True),
        Item("bolt", Range.exact(1.5), spot=Spot(from_left_m=0.1, from_back_m=0.05, from_base_m=0.2)),
    )
    paint, bolt = item_parts(items, outcome.parts[0], skin.area_m2, cavity.frame)
    assert paint.kg.nominal == pytest.approx(0.5 * skin.area_m2)
    assert paint.centre_m == pytest.approx(outcome.parts[0].centre_m)
    assert cavity.frame.to_standing(bolt.centre_m) == pytest.approx([0.1, 0.25, 0.2])


def test_the_corners_bound_any_drawing_between_them(lump):
    rng = np.random.default_rng(3)
    parts = tuple(lump(Range(1.0 + k, 2.0 + k, 4.0 + k), rng.normal(size=3)) for k in range(4))
    masses = corner_masses(parts)
    places = np.array([part.centre_m for part in parts])
    corner = masses @ places / masses.sum(axis=1)[:, None]
    drawn = rng.uniform([p.kg.low for p in parts], [p.kg.high for p in parts], (2000, 4))
    centres = drawn @ places / drawn.sum(axis=1)[:, None]
    assert (centres.min(axis=0) >= corner.min(axis=0) - 1e-12).all()
    assert (centres.max(axis=0) <= corner.max(axis=0) + 1e-12).all()


def test_a_hundred_loose_items_still_have_few_corners(lump):
    parts = tuple(lump(Range(1.0, 1.0 + 0.01 * k, 2.0 + 0.02 * k), (k, 0, 0)) for k in range(100))
    masses = corner_masses(parts)
    assert len(masses) <= 1 + 8 * 2**6
    assert masses.sum(axis=1).max() == pytest.approx(sum(p.kg.high for p in parts))
    assert masses.sum(axis=1).min() == pytest.approx(sum(p.kg.low for p in parts))
    assert math.isfinite(masses.sum())
