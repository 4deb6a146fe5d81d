"""A box boat with a well: draft, freeboard, reserve and the regulation, each worked beside its check."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from tests.reference.told import told

from pourwright.findings import Code
from pourwright.outcome import Boat, Item, Site, Spot, refusals
from pourwright.ranges import Range
from pourwright.water import afloat, foam_volume
from pourwright.wording.findings import sentences

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


def test_the_hollow_and_its_edge(boat):
    result = afloat(*boat())
    assert result.edge_m == pytest.approx(0.5, abs=1e-4)
    assert result.hollow_m3 == pytest.approx(WELL, rel=1e-3)


def test_foam_at_the_lowest_yield(boat):
    piece, _ = boat()
    assert foam_volume(piece.foam) == Range(0.18 * 50 / 55, 0.2, 0.22)


def test_a_weight_towards_the_bow_puts_it_down(boat, lump):
    result = afloat(*boat(extra=[lump(10.0, (0.8, 0.0, 0.0), name="anchor")]))
    state = result.states[0]
    assert state.trim_rad < 0
    assert state.bow_m > state.stern_m
    port = afloat(*boat(extra=[lump(10.0, (0.0, 0.3, 0.0), name="battery")])).states[0]
    # Bow along +x, so +y is to port: that side goes down.
    assert port.heel_rad < 0


@pytest.mark.parametrize(
    ("skin_kg", "mast_kg", "over"),
    [
        (Range(100.0, 100.0, 100.0), Range(2.0, 40.0, 78.0), True),
        (Range(100.0, 300.0, 500.0), Range(2.0, 40.0, 78.0), True),
        (Range(100.0, 100.0, 100.0), Range(2.0, 20.0, 38.0), False),
    ],
)
def test_a_boat_that_capsizes_only_at_one_end_of_its_weights_is_refused(boat, lump, skin_kg, mast_kg, over):
    """GM = B^2 / 12 d + d / 2 - KG of a box 1 m wide, all of it at its base but for a mast 2.75 m over that.

    In the second case neither the lightest nor the heaviest does, but the light hull with the heavy mast.
    """

    def gm(hull, mast):
        draft = (hull + mast) / (2.0 * 999.1)
        return 1.0 / (12.0 * draft) + 0.5 * draft - 2.75 * mast / (hull + mast)

    assert gm(skin_kg.nominal + 10.0, mast_kg.nominal) > 0.1
    assert (gm(skin_kg.low + 10.0, mast_kg.high) < -0.05) == over
    if skin_kg.high > 200.0:
        assert min(gm(skin_kg.high + 12.0, mast_kg.high), gm(skin_kg.low + 8.0, mast_kg.low)) > 0.02
    mast = replace(lump(mast_kg, (0.0, 0.0, 2.5)), kind="item", name="mast")
    piece, surface = boat(kg=skin_kg, at=(0.0, 0.0, -0.25), extra=[mast])
    result = afloat(piece, surface)
    state = result.states[0]
    assert not state.capsizes
    assert state.end_capsizes == over
    assert ("empty, dry, fresh water: capsizes" in refusals(result)) == over
    assert any("end of its weights it CAPSIZES" in line for line in sentences(result.warnings)) == over


def test_a_top_heavy_boat_capsizes_and_is_refused(boat, lump):
    result = afloat(*boat(extra=[lump(60.0, (0.0, 0.0, 2.5), name="mast")]))
    assert result.states[0].capsizes
    assert Code.FLOATS_BADLY in told(result)
    assert "CAPSIZES" in told(result)[Code.FLOATS_BADLY]["words"]
    assert any("capsizes" in name for name in refusals(result))


def test_a_boat_of_lead_sinks_and_is_refused(boat):
    result = afloat(*boat(kg=1200.0))
    assert not result.states[0].floats
    assert math.isinf(result.states[0].draft_m.nominal)
    assert any("sinks" in name for name in refusals(result))
    assert min(r.kg.low for r in result.reserves) < 0


def test_triangles_of_any_size_have_the_same_share_above(boat, hull, made):
    piece, surface = boat(boat=Boat(persons_kg=100.0))
    fine = hull.subdivide().subdivide()
    finer = replace(surface, vertices_m=fine.vertices, faces=fine.faces, cap=np.zeros(len(fine.faces), bool))
    shares = [afloat(piece, s).flotation.weights[0].above for s in (surface, finer)]
    assert shares[1] == pytest.approx(shares[0], rel=1e-6)


def test_a_cap_over_an_opening_is_no_skin(boat):
    """The bottom of the hull as a cap: the skin is without its 2 m2, all of them under water."""
    piece, surface = boat(boat=Boat(persons_kg=100.0))
    low = (surface.vertices_m[surface.faces][:, :, 2] < -0.25 + 1e-9).all(axis=1)
    whole, capped = afloat(piece, surface), afloat(piece, replace(surface, cap=low))
    area = 3.0 + 1.76 + 0.96 + 1.04 + 2.0
    expected = whole.flotation.weights[0].above * area / (area - 2.0)
    assert capped.flotation.weights[0].above == pytest.approx(expected, rel=1e-6)


def test_without_a_place_of_the_load_the_tests_are_said_to_be_missing(boat):
    result = afloat(*boat(boat=Boat(persons_kg=150.0)))
    assert not any("test load" in s.name for s in result.states)
    assert Code.NO_PLACE_OF_LOAD in told(result)


def test_filling_up_to_instability_is_said(made, lump):
    """A shallow tray of a boat, 2 x 1 m with a well nearly as wide: i / V of a film of water is more than GM."""
    inner = trimesh.creation.box((1.9, 0.96, 0.3), transform=trimesh.transformations.translation_matrix([0, 0, 0.2]))
    tray = trimesh.boolean.difference([trimesh.creation.box((2, 1, 0.3)), inner])
    at = (0.0, 0.0, 0.25)
    skin, foam = lump(190.0, at, "skin", name="skin"), lump(10.0, at, "foam", name="foam, lift 1", after_lift=1)
    result = afloat(*made([skin, foam], None, tray))
    dry = next(s for s in result.states if s.name == "empty, dry" and s.water == "fresh")
    assert dry.gm_m > 0
    assert result.filling[0].gm_m < 0
    assert Code.UNSTABLE_WHILE_FILLING in told(result)


def test_a_piece_that_is_no_boat_has_no_flotation(boat):
    result = afloat(*boat())
    assert result.flotation is None
    assert result.checks == ()


def test_a_boat_at_the_end_of_its_reserve_and_openings_that_count_as_shut_are_told(boat):
    piece, surface = boat(kg=980.0)
    result = told(afloat(replace(piece, open_ends=2), surface))
    assert result[Code.NO_RESERVE]["kg"] <= 0
    assert result[Code.OPENINGS_COUNTED_SHUT]["count"] == 2.0
    fine = told(afloat(*boat()))
    assert Code.NO_RESERVE not in fine
    assert Code.OPENINGS_COUNTED_SHUT not in fine


def test_a_float_without_a_hollow_is_told_so(made, lump, boat):
    skin, foam = lump(100.0, (0, 0, 0), "skin", name="skin"), lump(10.0, (0, 0, 0), "foam", name="foam", after_lift=1)
    assert Code.NO_HOLLOW in told(afloat(*made([skin, foam], None, trimesh.creation.box((2, 1, 0.5)))))
    assert Code.NO_HOLLOW not in told(afloat(*boat()))


def test_a_hollow_that_is_shut_and_foam_of_unknown_strength_are_told_as_such(made, lump):
    skin, foam = lump(100.0, (0, 0, 0), "skin", name="skin"), lump(10.0, (0, 0, 0), "foam", name="foam", after_lift=1)
    piece, surface = made([skin, foam], None, trimesh.creation.box((2, 1, 0.5)))
    lined = replace(piece, foam=replace(piece.foam, hollow_m3=0.4, compressive_pa=math.nan))
    said = sentences(afloat(lined, surface).warnings)
    assert any("The hollow that stays in it, 400 L" in line for line in said)
    assert any("NOT KNOWN: its compressive strength is not" in line for line in said)
    assert not any("nan" in line for line in said)


def test_what_the_rule_of_a_boat_lacks_is_told(boat, made, lump):
    cleat = Item("cleat", Range.exact(3.0), spot=Spot(at_m=(0.9, 0.0, 0.25)))
    piece, surface = boat(boat=Boat(persons_kg=0.0, air_chambers_m3=0.01), items=(cleat,))
    lacking = told(afloat(replace(piece, skin_kg_m3=950.0), surface))
    assert lacking[Code.ITEM_WITHOUT_DENSITY].subject == ("cleat",)
    assert {Code.NO_PERSONS, Code.AIR_CHAMBERS, Code.SKIN_LIGHTER_THAN_WATER} <= lacking.keys()
    fine = told(afloat(*boat(boat=Boat(persons_kg=150.0))))
    assert not {Code.NO_PERSONS, Code.AIR_CHAMBERS, Code.SKIN_LIGHTER_THAN_WATER, Code.BOAT_TOO_LONG} & fine.keys()
    parts = [lump(400.0, (0, 0, -0.1), "skin", name="skin"), lump(40.0, (0, 0, 0), "foam", name="foam", after_lift=1)]
    long = made(parts, Site(boat=Boat(persons_kg=150.0)), trimesh.creation.box((6.5, 1.2, 0.5)))
    assert told(afloat(*long))[Code.BOAT_TOO_LONG]["length_m"] == pytest.approx(6.5)
