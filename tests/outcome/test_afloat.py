"""A box boat with a well: draft, freeboard, reserve and the regulation, each worked beside its check."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.outcome import Boat, Item, Site, Spot, afloat, foam_volume, refusals
from pourwright.physics.buoyancy import FRESH_WATER, HANDBOOK_WATER, SEA_WATER
from pourwright.ranges import Range

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


def test_the_hollow_and_its_edge(boat):
    result = afloat(*boat())
    assert result.edge_m == pytest.approx(0.5, abs=1e-4)
    assert result.hollow_m3 == pytest.approx(WELL, rel=1e-3)


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


def test_foam_at_the_lowest_yield(boat):
    piece, _ = boat()
    assert foam_volume(piece.foam) == Range(0.18 * 50 / 55, 0.2, 0.22)


def test_swamped_it_floats_lower_once_the_sole_is_under(boat):
    result = afloat(*boat(kg=390.0))
    dry, wet = (
        next(s for s in result.states if s.water == "fresh" and s.name == f"empty, {n}") for n in ("dry", "swamped")
    )
    assert dry.draft_m.nominal == pytest.approx(400 / (2 * FRESH_WATER), rel=1e-6)
    # 2 T - 0.96 (T - 0.1) = 0.4 / 0.9991
    assert wet.draft_m.nominal == pytest.approx((400 / FRESH_WATER - 0.096) / (2 - 0.96), rel=1e-4)


def test_a_weight_towards_the_bow_puts_it_down(boat, lump):
    result = afloat(*boat(extra=[lump(10.0, (0.8, 0.0, 0.0), name="anchor")]))
    state = result.states[0]
    assert state.trim_rad < 0
    assert state.bow_m > state.stern_m
    port = afloat(*boat(extra=[lump(10.0, (0.0, 0.3, 0.0), name="battery")])).states[0]
    # Bow along +x, so +y is to port: that side goes down.
    assert port.heel_rad < 0


def test_a_load_at_its_place(boat):
    described = Boat(persons_kg=150.0, capacity_kg=200.0, load_at=Spot(at_m=(0.0, 0.0, 0.1)))
    loaded = next(s for s in afloat(*boat(boat=described)).states if s.name == "loaded, dry")
    draft = 310.0 / (2 * FRESH_WATER)
    assert loaded.draft_m.nominal == pytest.approx(draft, rel=1e-6)
    centre = (110 * 0.15 + 200 * 0.35) / 310
    assert loaded.gm_m == pytest.approx(draft / 2 + 1 / (12 * draft) - centre, rel=1e-4)


def test_a_top_heavy_boat_capsizes_and_is_refused(boat, lump):
    result = afloat(*boat(extra=[lump(60.0, (0.0, 0.0, 2.5), name="mast")]))
    assert result.states[0].capsizes
    assert any("CAPSIZES" in line for line in result.warnings)
    assert any("capsizes" in name for name in refusals(result))


def test_a_boat_of_lead_sinks_and_is_refused(boat):
    result = afloat(*boat(kg=1200.0))
    assert not result.states[0].floats
    assert math.isinf(result.states[0].draft_m.nominal)
    assert any("sinks" in name for name in refusals(result))
    assert min(r.kg.low for r in result.reserves) < 0


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


def test_a_piece_that_is_no_boat_has_no_flotation(boat):
    result = afloat(*boat())
    assert result.flotation is None
    assert result.checks == ()


def test_crush_depth_of_bare_foam_warns(boat):
    """276 kPa at 48 kg/m3, thinned to 45: 276 (45/48)^1.5 kPa over rho g."""
    result = afloat(*boat())
    depth = 276e3 * (45 / 48) ** 1.5 / (FRESH_WATER * 9.80665)
    assert [crush.fresh_m for crush in result.crush] == pytest.approx([depth, depth / 2, depth / 4])
    assert any("is not one for bare foam" in line for line in result.warnings)
