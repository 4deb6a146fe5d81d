"""Masses, centres and inertia against closed forms, and the corners against the plan's own totals."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity, build_levels
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.outcome import FINISHED, Item, Spot, cavity_moments, corner_masses, item_parts, parts_at, predict, weigh
from pourwright.ranges import Range
from pourwright.shell import panels

ROOM = Conditions(295.372, 295.372, 295.372)
BOX, WALL = np.array([0.4, 0.3, 0.5]), 0.01


@pytest.fixture(scope="module")
def boxed(skin_of, stand):
    mesh = trimesh.creation.box(BOX)
    skin = skin_of(mesh, WALL)
    frame = stand(skin)
    cavity = build_cavity(skin, frame, cell_m=0.01)
    graph = build_levels(cavity)
    foam = at_conditions(load_grade("rigid-3"), ROOM)
    flat = panels(skin)
    lifts = plan_lifts(skin, frame, cavity, graph, foam, ShopLimits(hands=4, largest_batch_m3=0.02), flat)
    outcome = predict(skin, flat, cavity, graph, foam, lifts, loss_share=0.1)
    return skin, cavity, graph, lifts, outcome


def test_the_cavity_of_a_box_has_the_second_moments_of_a_box(boxed):
    # Inside a x b x c: integral of x^2 about its middle is V a^2 / 12.
    _, cavity, graph, *_ = boxed
    inner = BOX - 2 * WALL
    found = cavity_moments(cavity, graph)
    volume, middle = found.volume_m3.sum(), found.middle_m()
    spread = found.second_m5.sum(axis=0) / volume - np.outer(middle, middle)
    assert volume == pytest.approx(inner.prod(), rel=1e-6)
    assert middle == pytest.approx(BOX / 2, abs=1e-9)
    assert spread == pytest.approx(np.diag(inner**2 / 12), rel=1e-6, abs=1e-9)


def test_a_slanted_box_that_fits_no_cells_has_them_too(skin_of, stand):
    turn = trimesh.transformations.rotation_matrix(0.7, (1.0, 2.0, 0.5))
    mesh = trimesh.creation.box(BOX, transform=turn)
    skin = skin_of(mesh, WALL)
    cavity = build_cavity(skin, stand(skin), cell_m=0.013)
    found = cavity_moments(cavity, build_levels(cavity))
    inner = BOX - 2 * WALL
    volume, middle = found.volume_m3.sum(), found.middle_m()
    spread = found.second_m5.sum(axis=0) / volume - np.outer(middle, middle)
    axes = turn[:3, :3]  # the frame stands upright: its axes are the shell's
    assert axes.T @ spread @ axes == pytest.approx(np.diag(inner**2 / 12), rel=2e-3, abs=2e-6)
    assert cavity.frame.to_shell(middle) == pytest.approx(np.zeros(3), abs=2e-5)


def test_the_wall_of_a_box_turns_like_one_box_less_another(boxed):
    skin, *_, outcome = boxed
    part = outcome.parts[0]
    inner = BOX - 2 * WALL
    outside, inside = BOX.prod(), inner.prod()
    spread = (outside * BOX**2 - inside * inner**2) / 12 / (outside - inside)
    assert part.kg.nominal == pytest.approx((outside - inside) * skin.material.density_kg_m3, rel=5e-3)
    assert np.diag(part.spread_m2) == pytest.approx(spread, rel=5e-3)
    assert part.centre_m == pytest.approx([0, 0, 0], abs=1e-6)


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


def test_the_filled_box_turns_like_a_box(boxed):
    # Skin and foam as two boxes: I_x = sum m (b^2 + c^2) / 12, the skin as a large box less a small one.
    skin, _, _, _, outcome = boxed
    inner, density = BOX - 2 * WALL, skin.material.density_kg_m3
    foam = outcome.foam_kg.nominal

    def turn(mass, size):
        return mass * (size @ size - size**2) / 12

    expected = turn(density * BOX.prod(), BOX) - turn(density * inner.prod(), inner) + turn(foam, inner)
    assert np.diag(weigh(outcome.parts).stages[-1].inertia_kgm2) == pytest.approx(expected, rel=6e-3)


def test_a_sphere_of_two_masses_on_a_rod(lump):
    # Two points of 2 kg, 0.5 m either side of their middle: I = 2 * 2 * 0.25 across, 0 along.
    record = weigh((lump(2.0, (0.5, 0, 0), "skin"), lump(2.0, (-0.5, 0, 0))))
    assert np.diag(record.stages[0].inertia_kgm2) == pytest.approx([0.0, 1.0, 1.0])


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
