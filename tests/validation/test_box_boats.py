"""A box boat with a well: draft, freeboard, reserve and flotation (33 CFR 183), each worked beside its check."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from tests.reference.told import told

from pourwright.findings import Code
from pourwright.outcome import Boat, Item, Site, Spot
from pourwright.physics.buoyancy import FRESH_WATER, HANDBOOK_WATER, SEA_WATER
from pourwright.ranges import Range
from pourwright.water import afloat

# Hull 2 x 1 x 0.5 m with a well 1.6 x 0.6 x 0.4 m deep, open above.
WELL = 1.6 * 0.6 * 0.4


@pytest.fixture(scope="module")
def hull():
    inner = trimesh.creation.box((1.6, 0.6, 0.5), transform=trimesh.transformations.translation_matrix([0, 0, 0.1]))
    return trimesh.boolean.difference([trimesh.creation.box((2, 1, 0.5)), inner])


@pytest.fixture(scope="module")
def boat(made, lump, hull):
    def make(kg=100.0, at=(0.0, 0.0, -0.1), boat=None, items=(), extra=()):
        skin = lump(kg, at, "skin", name="skin")
        foam = replace(lump(Range(8.0, 10.0, 12.0), at, "foam", name="foam, lift 1"), after_lift=1)
        return made([skin, foam, *extra], Site(boat=boat, items=items), hull)

    return make


def test_a_box_boat_floats_at_its_weight(boat):
    result = afloat(*boat())
    for water, density in (("fresh", FRESH_WATER), ("sea", SEA_WATER)):
        state = next(s for s in result.states if s.water == water and s.name == "empty, dry")
        draft = 110.0 / (density * 2.0)
        assert state.draft_m.nominal == pytest.approx(draft, rel=1e-6)
        assert (state.draft_m.low, state.draft_m.high) == pytest.approx(
            (108 / (density * 2), 112 / (density * 2)), rel=1e-6
        )
        # KB + BM - KG: T/2 + 1 / (12 T) - 0.15
        assert state.gm_m == pytest.approx(draft / 2 + 1 / (12 * draft) - 0.15, rel=1e-5)
        assert state.freeboard_m == pytest.approx(0.5 - draft, abs=1e-4)
        assert (state.trim_rad, state.heel_rad) == pytest.approx((0.0, 0.0), abs=1e-9)
        assert (state.bow_m, state.stern_m) == pytest.approx((draft, draft), rel=1e-6)


def test_reserve_dry_and_swamped(boat):
    """Dry: to the gunwale it displaces 1 m3. Swamped: 1 m3 less the well, less what the foam leaves and soaks."""
    result = afloat(*boat())
    dry = next(r for r in result.reserves if r.water == "fresh" and r.name.startswith("dry"))
    assert dry.kg.nominal == pytest.approx(FRESH_WATER * 1.0 - 110.0, rel=1e-3)
    assert dry.kg.low == pytest.approx(FRESH_WATER * 1.0 - 112.0, rel=1e-3)
    wet = next(r for r in result.reserves if r.water == "fresh" and r.name.startswith("swamped"))
    solid = 1.0 - WELL
    lost = 0.22 - 0.18 * 50 / 55
    assert wet.kg.nominal == pytest.approx(FRESH_WATER * solid - 110.0, rel=1e-4)
    assert wet.kg.low == pytest.approx(FRESH_WATER * (solid - lost) - 112.0, rel=1e-4)


def test_swamped_it_floats_lower_once_the_sole_is_under(boat):
    result = afloat(*boat(kg=390.0))
    dry, wet = (
        next(s for s in result.states if s.water == "fresh" and s.name == f"empty, {n}") for n in ("dry", "swamped")
    )
    assert dry.draft_m.nominal == pytest.approx(400 / (2 * FRESH_WATER), rel=1e-6)
    # 2 T - 0.96 (T - 0.1) = 0.4 / 0.9991
    assert wet.draft_m.nominal == pytest.approx((400 / FRESH_WATER - 0.096) / (2 - 0.96), rel=1e-4)


def test_a_load_at_its_place(boat):
    described = Boat(persons_kg=150.0, capacity_kg=200.0, load_at=Spot(at_m=(0.0, 0.0, 0.1)))
    loaded = next(s for s in afloat(*boat(boat=described)).states if s.name == "loaded, dry")
    draft = 310.0 / (2 * FRESH_WATER)
    assert loaded.draft_m.nominal == pytest.approx(draft, rel=1e-6)
    centre = (110 * 0.15 + 200 * 0.35) / 310
    assert loaded.gm_m == pytest.approx(draft / 2 + 1 / (12 * draft) - centre, rel=1e-4)


def test_basic_and_level_flotation_by_hand(boat):
    """GRP SG 1.5: K 1/3 of what is under; B = 62.4 lb/ft3 less foam at its densest, 2 % soaked."""
    described = Boat(persons_kg=300.0, capacity_kg=400.0, propulsion_kg=20.0, uptake=0.02)
    cleat = Item("cleat", Range.exact(3.0), spot=Spot(at_m=(0.9, 0.0, 0.25)), density_kg_m3=2700.0)
    piece, surface = boat(boat=described, items=(cleat,))
    part = replace(piece.parts[0], name="cleat", kind="item", kg=Range.exact(3.0), centre_m=np.array([0.9, 0.0, 0.25]))
    result = afloat(replace(piece, parts=(*piece.parts, part)), surface)
    f = result.flotation
    skin, on_deck = f.weights
    factor = (1500 / HANDBOOK_WATER - 1) / (1500 / HANDBOOK_WATER)
    assert skin.factor == pytest.approx(factor)
    assert 0.2 < skin.above < 0.8
    assert skin.counts_kg == pytest.approx(100.0 * (skin.above + (1 - skin.above) * factor))
    assert (on_deck.above, on_deck.counts_kg) == (1.0, 3.0)
    carries = (HANDBOOK_WATER - 55.0) * 0.98
    assert f.lift_kg_m3 == pytest.approx(carries)
    assert f.basic_load_kg == pytest.approx(300 * 2 / 15 + 0.25 * 100)
    assert f.basic_m3 == pytest.approx((f.structure_kg + 20 + max(65.0, 0.25 * 400)) / carries)
    first = 550 * 0.45359237
    persons = 0.5 * first + 0.125 * (300 - first) + 0.25 * 100
    assert f.level_m3 == pytest.approx((f.structure_kg + 20 + persons) / carries, rel=1e-6)
    assert [check.limit for check in f.checks] == pytest.approx([0.18 * 50 / 55] * 2)
    assert [check.verdict for check in f.checks] == ["over", "over"]
    assert "could not be read" in f.edition


def above_by_hand(draft):
    """Share of the box boat's skin above a waterline under its sole: sides, gunwale, the whole of the well."""
    dry = 2 * (1.6 + 0.6) * 0.4 + 1.6 * 0.6 + (2 * 1 - 1.6 * 0.6)
    return (6 * (0.5 - draft) + dry) / (6 * 0.5 + dry + 2 * 1)


def test_the_skin_above_the_water_is_cut_where_the_water_stands(boat):
    """The sides are two triangles each: by their middles none of their area would be above, or half of it."""
    f = afloat(*boat(boat=Boat(persons_kg=100.0))).flotation
    result = afloat(*boat(boat=Boat(persons_kg=100.0)))
    wet = next(s for s in result.states if s.name == "empty, swamped and leaking")
    assert wet.draft_m.nominal < 0.1
    assert f.weights[0].above == pytest.approx(above_by_hand(wet.draft_m.nominal), rel=1e-5)


def test_a_full_well_weighs_and_slops_and_its_drained_twin_is_not_told_twice(boat):
    """Full to the gunwale 384 L stand in the well; open to the water nothing does, and that is the dry boat again."""
    result = afloat(*boat())
    names = [s.name for s in result.states if s.water == "fresh"]
    assert names == ["empty, dry", "empty, full", "empty, swamped and leaking"]
    full = next(s for s in result.states if s.water == "fresh" and s.name == "empty, full")
    volume = 110.0 / FRESH_WATER + WELL
    draft = volume / 2.0
    assert full.held_m3 == pytest.approx(WELL, rel=1e-5)
    assert full.draft_m.nominal == pytest.approx(draft, rel=1e-5)
    centre = (110.0 / FRESH_WATER * 0.15 + WELL * 0.3) / volume
    gm = draft / 2 + 2 / 12 / volume - centre - 1.6 * 0.6**3 / 12 / volume
    assert full.gm_m == pytest.approx(gm, rel=1e-4)
    assert Code.HOLLOWS_DRAIN in told(result)


def test_swamped_under_the_loads_it_is_tested_with(boat):
    """Basic 2/15 x 150 + 50/4 = 32.5 kg, level 75 + 12.5 = 87.5 kg, on the heaviest boat with the leak of its foam."""
    described = Boat(persons_kg=150.0, capacity_kg=200.0, load_at=Spot(at_m=(0.0, 0.0, -0.1)))
    result = afloat(*boat(boat=described))
    leak = FRESH_WATER * (0.22 - 0.18 * 50 / 55)
    for name, load in (("basic", 2 / 15 * 150 + 50 / 4), ("level", 0.5 * 150 + 50 / 4)):
        heavy = 112.0 + leak + load
        by_name = {s.name: s for s in result.states if s.name.startswith(name)}
        assert {s.water for s in by_name.values()} == {"fresh"}
        swamped, full = (
            by_name[f"{name} test load, swamped and leaking"],
            by_name[f"{name} test load, full and leaking"],
        )
        # Open to the water: 2 T - 0.96 (T - 0.1) once the sole is under, else 2 T.
        draft = heavy / FRESH_WATER / 2
        draft = draft if draft < 0.1 else (heavy / FRESH_WATER - 0.096) / (2 - 0.96)
        assert swamped.draft_m.nominal == pytest.approx(draft, rel=1e-4)
        assert full.draft_m.nominal == pytest.approx((heavy / FRESH_WATER + WELL) / 2, rel=1e-4)
        assert full.upright_asked == (name == "level")


def test_crush_depth_of_bare_foam_warns(boat):
    """276 kPa at 48 kg/m3, thinned to 45: 276 (45/48)^1.5 kPa over rho g."""
    result = afloat(*boat())
    depth = 276e3 * (45 / 48) ** 1.5 / (FRESH_WATER * 9.80665)
    assert [crush.fresh_m for crush in result.crush] == pytest.approx([depth, depth / 2, depth / 4])
    assert told(result)[Code.BARE_FOAM_CRUSHES]["fresh_m"] == pytest.approx(depth)
