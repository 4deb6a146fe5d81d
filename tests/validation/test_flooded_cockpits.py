"""Box barges with cockpits: hydrostatics by hand, T = V / (L B), KB + BM - KG less i / V of every free surface.

The formulae are those of any text on naval architecture (from memory); each expected value is worked beside its check.
A hull of slanted sides is checked against trimesh's capped cuts of hull and cockpit as two solids.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from scipy.optimize import brentq

from pourwright.outcome import second_moment
from pourwright.water import FloatingBody, settle
from pourwright.water.hollows import Hollows
from pourwright.water.state import FILLS, Body, Load, float_state

UP, BOW = np.array([0.0, 0, 1]), np.array([1.0, 0])
WATER = 1000.0
LONG, WIDE, TALL = 3.0, 1.4, 0.6
WELL, SOLE = (1.8, 0.8), 0.35


def box(size, at):
    """A box by its size and the middle of its base."""
    x, y, z = at
    return trimesh.creation.box(size, transform=trimesh.transformations.translation_matrix((x, y, z + size[2] / 2)))


def cut(hull, *away):
    made = trimesh.boolean.difference([hull, *away], engine="manifold")
    return Body(np.asarray(made.vertices, float), np.asarray(made.faces))


def at_rest(body, kg, centre, water, name="test"):
    return float_state(Load(name, np.array([kg]), np.array([centre], float), water), "fresh", WATER, body, BOW)


@pytest.fixture(scope="module")
def barge():
    """A cockpit 1.8 x 0.8 m whose sole is 0.35 m up, open above."""
    return cut(box((LONG, WIDE, TALL), (0, 0, 0)), box((*WELL, 1.0), (0, 0, SOLE)))


def by_hand(kg, height, well, sole, depth):
    """Draft and metacentric height of the barge with a depth of water in a well."""
    held = well[0] * well[1] * depth
    volume = kg / WATER + held
    draft = volume / (LONG * WIDE)
    centre = (kg * height + WATER * held * (sole + depth / 2)) / (WATER * volume)
    surface = well[0] * well[1] ** 3 / 12 if held else 0.0
    return draft, draft / 2 + WIDE**2 / (12 * draft) - centre - surface / volume


@pytest.mark.parametrize("kg", [150.0, 250.0, 400.0])
def test_full_cockpit_over_the_water(barge, kg):
    """Sole over the water outside: 360 kg of water on board and i / V off GM; open to the water nothing is in it."""
    full, dry, opened = (at_rest(barge, kg, (0, 0, 0.3), water) for water in ("full", "dry", "open"))
    draft, gm = by_hand(kg, 0.3, WELL, SOLE, TALL - SOLE)
    assert draft < SOLE
    assert full.draft_m.nominal == pytest.approx(draft, rel=1e-6)
    assert full.gm_m == pytest.approx(gm, rel=1e-5)
    assert full.held_m3 == pytest.approx(WELL[0] * WELL[1] * (TALL - SOLE), rel=1e-6)
    assert full.freeboard_m == pytest.approx(TALL - draft, rel=1e-6)
    for state in (dry, opened):
        assert (state.draft_m.nominal, state.gm_m) == pytest.approx(by_hand(kg, 0.3, WELL, SOLE, 0.0), rel=1e-5)
        assert state.held_m3 == 0.0


def test_a_full_cockpit_heels_to_its_reduced_metacentric_height(barge):
    """A weight a little off the middle: tan(heel) = y / GM of all weight, small angles, both sides of M g cancel."""
    kg, aside = 400.0, 0.002
    full = at_rest(barge, kg, (0, aside, 0.3), "full")
    draft, gm = by_hand(kg, 0.3, WELL, SOLE, TALL - SOLE)
    arm = kg * aside / (WATER * draft * LONG * WIDE)
    assert abs(full.heel_rad) == pytest.approx(arm / gm, rel=0.02)


def test_a_sill_lets_out_what_stands_over_it():
    """A notch through the stern coaming down to 0.45 m: water stands 0.10 m deep, no more."""
    body = cut(
        box((LONG, WIDE, TALL), (0, 0, 0)), box((*WELL, 1.0), (0, 0, SOLE)), box((1.0, 0.2, 1.0), (-1.2, 0, 0.45))
    )
    notch = 0.6 * 0.2 * (TALL - 0.45)  # what the notch takes out of the solid counts as no more than that
    assert notch < 0.02
    full = at_rest(body, 250.0, (0, 0, 0.3), "full")
    assert full.held_m3 == pytest.approx(WELL[0] * WELL[1] * 0.10, rel=1e-5)
    assert full.draft_m.nominal == pytest.approx(by_hand(250.0, 0.3, WELL, SOLE, 0.10)[0], rel=1e-5)


def test_a_cockpit_whose_edge_goes_under_is_as_high_as_outside():
    """A deep well in a heavy barge: full it would go down over its edge, so it is swamped: 4.2 T - 1.44 (T - 0.1)."""
    body = cut(box((LONG, WIDE, TALL), (0, 0, 0)), box((*WELL, 1.0), (0, 0, 0.1)))
    kg = 1850.0
    full, opened = (at_rest(body, kg, (0, 0, 0.2), water) for water in ("full", "open"))
    area = WELL[0] * WELL[1]
    draft = (kg / WATER - area * 0.1) / (LONG * WIDE - area)
    assert draft > TALL  # it has no more than its own solid, 1.8 m3
    assert not full.floats
    assert not opened.floats
    lighter = 1300.0
    full, opened = (at_rest(body, lighter, (0, 0, 0.2), water) for water in ("full", "open"))
    draft = (lighter / WATER - area * 0.1) / (LONG * WIDE - area)
    brim = (lighter / WATER + area * (TALL - 0.1)) / (LONG * WIDE)
    assert draft < brim < TALL
    assert opened.draft_m.nominal == pytest.approx(draft, rel=1e-6)
    assert full.draft_m.nominal == pytest.approx(brim, rel=1e-6)
    assert opened.held_m3 == pytest.approx(area * (draft - 0.1), rel=1e-5)


def test_two_cockpits_of_their_own_edge_have_two_free_surfaces():
    """Fore and aft wells with soles of their own: i of each, and water in each up to the deck."""
    wells = ((0.8, 0.9), 0.30), ((0.9, 0.7), 0.40)
    at = (0.7, -0.7)
    body = cut(
        box((LONG, WIDE, TALL), (0, 0, 0)), *(box((*w, 1.0), (x, 0, s)) for (w, s), x in zip(wells, at, strict=True))
    )
    assert len(body.found) == 2
    held = [w[0] * w[1] * (TALL - s) for w, s in wells]
    # Weight put where the water's trim is taken out again, so that it floats level.
    kg = 300.0
    back = -WATER * sum(v * x for v, x in zip(held, at, strict=True)) / kg
    full = at_rest(body, kg, (back, 0, 0.3), "full")
    volume = kg / WATER + sum(held)
    draft = volume / (LONG * WIDE)
    height = (kg * 0.3 + WATER * sum(v * (s + TALL) / 2 for v, (_, s) in zip(held, wells, strict=True))) / WATER
    surface = sum(w[0] * w[1] ** 3 / 12 for w, _ in wells)
    gm = draft / 2 + WIDE**2 / (12 * draft) - height / volume - surface / volume
    assert full.trim_rad == pytest.approx(0.0, abs=1e-6)
    assert full.draft_m.nominal == pytest.approx(draft, rel=1e-6)
    assert full.gm_m == pytest.approx(gm, rel=1e-5)


def test_the_lower_edge_gives_the_freeboard():
    """A locker with a coaming of 0.6 m does not hide a cockpit whose sill is at 0.45 m."""
    body = cut(
        box((LONG, WIDE, TALL), (0, 0, 0)), box((1.0, 0.8, 1.0), (-0.6, 0, 0.25)),
        box((1.0, 0.2, 1.0), (-1.2, 0, 0.45)), box((0.5, 0.5, 1.0), (0.9, 0, 0.3)),
    )  # fmt: skip
    assert [h.edge_m for h in body.found] == pytest.approx([0.45, 0.6], abs=1e-6)
    dry = at_rest(body, 250.0, (0, 0, 0.2), "dry")
    assert dry.freeboard_m == pytest.approx(0.45 - dry.draft_m.nominal, abs=0.01)  # it trims a little


def test_a_laden_open_boat_floats_by_its_hollow():
    """800 kg on a barge whose own solid displaces 552 kg: dry it floats at 800 / (2 x 1); only full does it sink."""
    body = cut(box((2.0, 1.0, 0.5), (0, 0, 0)), box((1.6, 0.8, 1.0), (0, 0, 0.15)))
    assert body.hollows.solid_m3 == pytest.approx(1.0 - 1.6 * 0.8 * 0.35, rel=1e-6)
    dry = at_rest(body, 800.0, (0, 0, 0.15), "dry")
    assert dry.draft_m.nominal == pytest.approx(0.4, rel=1e-6)
    assert dry.gm_m == pytest.approx(0.2 + 1 / (12 * 0.4) - 0.15, rel=1e-5)
    assert not at_rest(body, 800.0, (0, 0, 0.15), "full").floats


def test_filling_a_wide_cockpit_is_worst_with_little_in_it(barge):
    """Least GM over the depths that are looked at, each by hand; a wide shallow well takes more than there is."""
    kg, height = 250.0, 0.3
    depths = [share * (TALL - SOLE) for share in FILLS]
    least = min(by_hand(kg, height, WELL, SOLE, depth)[1] for depth in depths)
    assert barge.filling(kg, np.array([0, 0, height]), WATER, UP)[0] == pytest.approx(least, rel=1e-5)
    wide = (2.8, 1.36)
    body = cut(box((LONG, WIDE, TALL), (0, 0, 0)), box((*wide, 1.0), (0, 0, SOLE)))
    gm, held = body.filling(900.0, np.array([0, 0, 0.5]), WATER, UP)
    by_depth = [
        by_hand(900.0, 0.5, wide, SOLE, depth) for depth in depths if by_hand(900.0, 0.5, wide, SOLE, depth)[0] < TALL
    ]
    assert gm == pytest.approx(min(g for _, g in by_depth), rel=1e-5)
    assert gm < 0
    assert held > 0


def frustum(base, top, low, high):
    """A solid whose level sections are rectangles that grow evenly from ``base`` to ``top``."""
    corners = [
        (x * size[0] / 2, y * size[1] / 2, z)
        for size, z in ((base, low), (top, high))
        for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    return trimesh.convex.convex_hull(np.array(corners))


def skiff(bottom, top):
    """Hull, cockpit as a solid, and the body that is left: rectangles that grow from keel to gunwale, 0.5 m up."""
    outer, inner = frustum((2.2, 0.7), (2.8, 1.2), 0.0, 0.5), frustum((1.6, bottom), (2.0, top), 0.25, 0.5)
    over = frustum((2.0, top), (2.0, top), 0.5, 0.6)
    return outer, inner, cut(outer, trimesh.boolean.union([inner, over], engine="manifold"))


def below(solid, normal, level):
    """What of a solid lies under a plane, capped."""
    return trimesh.intersections.slice_mesh_plane(solid, -np.asarray(normal), np.asarray(normal) * level, cap=True)


def test_a_skiff_of_slanted_sides_full_to_the_gunwale():
    """trimesh's capped cut of the hull, shapely's sections and a root for the draft."""
    outer, inner, body = skiff(0.35, 0.6)
    kg, height = 200.0, 0.22
    volume = kg / WATER + inner.volume
    draft = brentq(lambda z: below(outer, UP, z).volume - volume, 0.05, 0.4999)
    plane = outer.section(plane_origin=[0, 0, draft], plane_normal=UP).to_2D()[0].polygons_full[0]
    brim = inner.section(plane_origin=[0, 0, 0.5 - 1e-7], plane_normal=UP).to_2D()[0].polygons_full[0]
    least = [
        min(np.linalg.eigvalsh(second_moment(p) - p.area * np.outer(p.centroid.coords[0], p.centroid.coords[0])))
        for p in (plane, brim)
    ]
    centre = (kg / WATER * height + inner.volume * inner.center_mass[2]) / volume
    full = at_rest(body, kg, (0, 0, height), "full")
    assert full.held_m3 == pytest.approx(inner.volume, rel=1e-5)
    assert full.draft_m.nominal == pytest.approx(draft, rel=1e-5)
    metacentre = below(outer, UP, draft).center_mass[2] + (least[0] - least[1]) / volume
    assert full.gm_m == pytest.approx(metacentre - centre, rel=1e-4)
    assert full.gm_m > 0


def test_a_skiff_that_is_not_stable_full_lolls_and_spills_to_a_balance():
    """A wider cockpit: where it comes to rest, hull and water under their planes weigh up and stand plumb (trimesh)."""
    outer, inner, body = skiff(0.5, 0.9)
    kg, height = 200.0, 0.22
    full = at_rest(body, kg, (0, 0, height), "full")
    normal, level = np.array(full.plane[:3]), full.plane[3]
    assert "lolls" in full.words
    assert full.heel_rad != pytest.approx(0.0, abs=0.05)
    edge = min(np.array([x, y, 0.5]) @ normal for x in (-1.0, 1.0) for y in (-0.45, 0.45))
    water, wet = below(inner, normal, edge), below(outer, normal, level)
    assert full.held_m3 == pytest.approx(water.volume, rel=1e-5)
    assert full.held_m3 < 0.8 * inner.volume
    assert kg / WATER + water.volume == pytest.approx(wet.volume, rel=1e-5)
    centre = (kg / WATER * np.array([0, 0, height]) + water.volume * water.center_mass) / wet.volume
    arm = wet.center_mass - centre
    assert np.linalg.norm(arm - normal * (arm @ normal)) < 1e-5


def test_hollows_have_the_lowest_pass_of_a_turned_body(barge):
    """Tilted by 0.1, water stops at the lower side of the opening: a box less a wedge."""
    tilt = 0.1
    n = np.array([0.0, math.sin(tilt), math.cos(tilt)])
    hollow = barge.full(barge.found[0], n)
    low_side = np.array([0.0, -WELL[1] / 2, TALL]) @ n
    assert hollow.edge_m == pytest.approx(low_side, rel=1e-6)
    lost = 0.5 * WELL[0] * WELL[1] ** 2 * math.tan(tilt)
    assert hollow.water.volume_m3 == pytest.approx(WELL[0] * WELL[1] * (TALL - SOLE) - lost, rel=1e-5)


def test_a_bump_outside_and_a_dimple_are_no_hollows():
    body = trimesh.boolean.union(
        [box((2, 1, 0.5), (0, 0, 0)), box((0.2, 0.2, 0.2), (0.5, 0, -0.1)), box((0.2, 0.2, 0.3), (-0.5, 0, -0.2))],
        engine="manifold",
    )
    dimpled = trimesh.boolean.difference([body, box((0.05, 0.05, 0.1), (0, 0, 0.48))], engine="manifold")
    assert Hollows(dimpled.vertices, dimpled.faces).find(UP) == ()


def test_settle_without_loose_water_is_as_it_was(barge):
    """The same barge by the plain call."""
    rest = settle(FloatingBody(barge.hull, 250.0, np.array([0, 0, 0.3]), WATER), UP)
    assert rest.floating.metacentric_m[0] == pytest.approx(by_hand(250.0, 0.3, WELL, SOLE, 0.0)[1], rel=1e-5)


def test_pieces_that_hold_nothing_are_walked_once(barge, monkeypatch):
    """Loose corners and specks, as a scan has by the thousand, are one more tree to no one: same hollow, one walk."""
    from pourwright.water import hollows

    calls: list[int] = []
    walk = hollows.minimum_spanning_tree
    monkeypatch.setattr(hollows, "minimum_spanning_tree", lambda graph: calls.append(1) or walk(graph))
    rng = np.random.default_rng(5)
    specks = rng.uniform(-1, 1, (3000, 3))
    speck = trimesh.creation.box((0.01, 0.01, 0.01)).apply_translation((0, 0, 2.0))
    points = np.concatenate([barge.points, specks, speck.vertices])
    faces = np.concatenate([barge.faces, speck.faces + len(barge.points) + len(specks)])
    found = Hollows(points, faces).find(UP)
    assert len(calls) == 1
    assert [h.edge_m for h in found] == pytest.approx([TALL])
    assert found[0].water.volume_m3 == pytest.approx(WELL[0] * WELL[1] * (TALL - SOLE), rel=1e-5)
    assert Hollows(points, faces).edge_of(found[0].seed, UP) == pytest.approx(TALL)
