"""Suggested places: against every set of candidates solved in full; keep-outs and studs kept, mirrored where it is."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import trimesh

from pourwright.errors import UsageError
from pourwright.hanging import suggest
from pourwright.hanging.hang_checks import anchor_rules
from pourwright.hanging.hang_setup import loads_on, set_up
from pourwright.hanging.suggest import _candidates, _fewer, _limited, _Search, _sets, use_of_places
from pourwright.hanging.suggest_bound import lower_bounds
from pourwright.outcome import Anchor, Box, Hang, Insert, Load, Places, Site, Spot
from pourwright.outcome.piece import SkinSolid
from pourwright.outcome.silhouette import six_views
from pourwright.shell import WallBand

EDGES = (0.08, 0.3, 0.7, 0.92)
OUT, UP = (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)
LOADS = (Load("gale", "wind", "right", pressure_pa=300.0), Load("hand", "person", "down", force_n=200.0,
         spot=Spot(from_left_m=0.2, from_front_m=0.0, from_base_m=0.5)))  # fmt: skip


def site(places, loads=LOADS, standoff=0.0):
    like = Anchor(
        "A", Spot(from_left_m=0.5, from_base_m=0.5), insert=Insert(0.04, 0.2), shear_n=4e3, pull_n=3e3, breaking=False
    )
    return Site(anchors=(like,), hang=Hang(OUT, UP, standoff_m=standoff, loads=loads, places=places))


def search_of(piece, surface):
    made, asked = set_up(piece, surface, piece.site.hang), piece.site.hang
    like = piece.site.anchors[0]

    def rules(traced):
        return anchor_rules(like, piece, None, traced)

    views = six_views(made.frame.to_standing(surface.vertices_m), surface.faces)
    return _Search(made, piece, asked, like, _fewer(loads_on(piece, made, views)), rules)


@pytest.mark.parametrize(
    ("count", "aside", "standoff"), [(3, 0.1, 0.0), (4, 0.1, 0.0), (4, -0.05, 0.04), (4, 0.0, 0.0)]
)
def test_the_best_set_of_the_candidates_is_that_of_brute_force(made, lump, monkeypatch, count, aside, standoff):
    """Every set of candidates is solved in full; the search finds one that is as good, and refining never loses."""
    piece, surface = made([lump(30.0, (aside, 0.0, 0.05))], site(Places(spacing_m=0.3), standoff=standoff))
    search = search_of(piece, surface)
    places, _, _, mirrored = _candidates(search, count)
    every = {one: use_of_places(search, places[list(one)]) for one in combinations(range(len(places)), count)}
    allowed = [tuple(sorted(one)) for one in _sets(places, count, mirrored)]
    wanted = min(every[one] for one in (allowed if mirrored else every))
    monkeypatch.setattr(sys.modules["pourwright.hanging.suggest"], "_refined", lambda search, at, *rest: at)
    found = suggest(piece, surface, count)
    at = np.array([[a.spot.from_left_m, a.spot.from_base_m] for a in found.anchors])
    assert use_of_places(search, at) == pytest.approx(wanted, rel=1e-9)
    monkeypatch.undo()
    assert suggest(piece, surface, count).utilisation <= wanted + 1e-6


@pytest.mark.parametrize("count", [3, 4])
def test_no_bound_is_above_what_it_bounds(made, lump, count):
    piece, surface = made([lump(30.0, (0.1, 0.05, 0.0))], site(Places(spacing_m=0.34)))
    search = search_of(piece, surface)
    places, traces, _, _ = _candidates(search, count)
    sets = np.array(list(combinations(range(len(places)), count)))
    bounds = lower_bounds(
        sets, places, [_limited(search.rules_of(t)) for t in traces], [one.wrench for one in search.loads]
    )
    for one, bound in zip(sets, bounds, strict=True):
        assert bound <= use_of_places(search, places[one]) + 1e-9


def test_keep_outs_and_studs_are_kept(made, lump):
    box = Box(0.0, 1.0, 0.55, 1.0)
    piece, surface = made([lump(30.0, (0.1, 0.0, 0.0))], site(Places(studs_m=(0.2, 0.45, 0.8), keep_out=(box,))))
    found = suggest(piece, surface, 4)
    for anchor in found.anchors:
        assert anchor.spot.from_left_m in (0.2, 0.45, 0.8)
        assert anchor.spot.from_base_m <= 0.55


def test_places_of_a_mirrored_piece_are_mirrored(made, lump):
    piece, surface = made([lump(30.0, (0.0, 0.0, 0.0))], site(Places(), loads=()))
    found = suggest(piece, surface, 4)
    assert found.mirrored
    at = {(round(a.spot.from_left_m, 6), round(a.spot.from_base_m, 6)) for a in found.anchors}
    assert {(round(1.0 - x, 6), y) for x, y in at} == at


def test_what_a_place_is_held_to_is_worked_once_for_all_sets_of_places(made, lump, monkeypatch):
    """A place by itself, without neighbours; loads so great that no set is within its limits, so all are looked at."""
    module, worked = sys.modules["pourwright.hanging.suggest"], []

    def rules(like, piece, factor, traced):
        if math.isinf(traced.neighbour_m):
            worked.append(traced)
        return anchor_rules(like, piece, factor, traced)

    monkeypatch.setattr(module, "anchor_rules", rules)
    monkeypatch.setattr(module, "_refined", lambda search, at, *rest: at)
    piece, surface = made([lump(3000.0, (0.0, 0.0, 0.0))], site(Places(studs_m=EDGES, joints_m=EDGES)))
    found = suggest(piece, surface, 3)
    assert found.utilisation > 1.0
    assert worked
    assert len({id(one) for one in worked}) == len(worked)


def test_two_anchors_or_no_room_are_refused(made, lump):
    piece, surface = made([lump(30.0, (0.0, 0.0, 0.0))], site(Places()))
    with pytest.raises(UsageError, match="3 or more"):
        suggest(piece, surface, 2)
    nowhere = site(Places(keep_out=(Box(-1.0, 2.0, -1.0, 2.0),)))
    with pytest.raises(UsageError, match="fits at 0 of the places"):
        suggest(*made([lump(30.0, (0.0, 0.0, 0.0))], nowhere), 4)


@pytest.mark.parametrize("places", [Places(studs_m=EDGES, joints_m=EDGES), Places(spacing_m=0.2)])
def test_places_at_which_the_skin_is_not_known_are_no_better_than_those_at_which_it_is_good(made, lump, places):
    """By the edge of the skin its stress is not known, so such a place has one limit less: it used to win for that."""
    like = Anchor("A", Spot(from_left_m=0.5, from_base_m=0.5), insert=Insert(0.03, 0.2, plate_m=0.1, bond_pa=2e5))
    asked = Site(anchors=(like,), hang=Hang(OUT, UP, places=places))
    piece, surface = made([lump(8.0, (0.0, 0.0, 0.0))], asked, trimesh.creation.box((1.0, 0.5, 1.0)))
    foam = replace(piece.foam, grade_modulus_pa=8e6, poisson=0.3)
    bands = (WallBand("wall", -math.inf, math.inf, 0.006, 0.1),)
    piece = replace(piece, skin=SkinSolid(6.5e9, 0.33, 1.3e7, True, 0.1), foam=foam, bands=bands)
    found = suggest(piece, surface, 3)
    assert found.known
    skins = [c for load in found.result.anchors for c in load.checks if c.name.endswith("skin round the insert")]
    assert len(skins) == 3
    assert {check.verdict for check in skins} == {"ok"}
    assert all(EDGES[0] < a.spot.from_left_m < EDGES[-1] for a in found.anchors)
