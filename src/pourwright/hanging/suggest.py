"""Where to put a number of anchors: the places at which the largest use of a limit, with any one gone, is smallest."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from pourwright.errors import AnchorError, UsageError
from pourwright.hanging.hang import hang
from pourwright.hanging.hang_cases import judge
from pourwright.hanging.hang_checks import anchor_rules, room_m
from pourwright.hanging.hang_loads import Combined
from pourwright.hanging.hang_model import HangResult
from pourwright.hanging.hang_setup import SetUp, loads_on, set_up
from pourwright.hanging.hang_solve import situation
from pourwright.hanging.rule import Rule
from pourwright.hanging.suggest_bound import in_line, lower_bounds
from pourwright.hanging.traced import Traced, trace
from pourwright.outcome import (
    Anchor,
    Hang,
    Piece,
    Silhouette,
    Spot,
    Surface,
    chosen_factor,
    refusals,
    six_views,
    unknowns,
)

MOST_SETS = 30_000
"""Sets of places that are compared; the grid of candidates is made coarser until there are no more."""
COARSE = 9
"""Lines each way on which it is first looked where an anchor fits."""
FINEST_M = 0.005
"""Places are refined to this, which a tape tells."""
ALIKE, MIDDLE = 0.02, 0.01
"""Shares of a mirrored piece by which its gap and foam may differ, and its weight be off the middle."""

Places = np.ndarray


@dataclass(frozen=True, eq=False)
class Suggestion:
    """Places found, and what is held there. ``before`` is the use with the job's own anchors; nan: it has none."""

    anchors: tuple[Anchor, ...]
    before: float
    utilisation: float
    result: HangResult
    candidates: int
    compared: int  # sets of candidates
    solved: int  # of them, solved in full; the others cannot be better
    spacing_m: float
    mirrored: bool
    known: bool  # nothing is unknown at them that is known at other places


@dataclass(frozen=True, eq=False)
class _Search:
    """What a set of places is judged by."""

    made: SetUp
    piece: Piece
    asked: Hang
    like: Anchor
    loads: tuple[Combined, ...]  # cut down to the corners that count
    rules_of: Callable[[Traced], tuple[Rule, ...]]  # with those whose limit is not known
    open: frozenset[str] | None = None  # names of rules that may be unknown at a place; None: any


@refusals.register
def _(result: Suggestion) -> tuple[str, ...]:
    return refusals(result.result)


@unknowns.register
def _(result: Suggestion) -> tuple[str, ...]:
    return unknowns(result.result)


def suggest(piece: Piece, surface: Surface, count: int) -> Suggestion:
    """Places for ``count`` anchors like the job's first one.

    Parameters
    ----------
    piece : Piece
        With ``site.hang``, whose ``places`` say where anchors may be, and an anchor to take the insert of.
    surface : Surface
    count : int
        3 or more: with one gone, two are left.

    Returns
    -------
    Suggestion

    Raises
    ------
    UsageError
        No anchor to go by, too few anchors, or no set of places that keeps the piece with any one of them gone.

    Notes
    -----
    On the grid of candidates the search is exact: every set has a lower bound of its use (shear by the elastic method,
    pull where nothing bears), and sets are solved in full from the least bound up until no bound is below the best
    found. The corners of the weights are the nominal, the heaviest and the two that turn it most. From the best set
    each place then moves by halved steps. What is found at the end is judged at every corner.

    A limit that is not known at a place is no lower use: sets are first sought among the places at which all is known
    that is known anywhere, and among the others only where these keep no set within its limits.
    """
    asked = piece.site.hang
    if asked is None or not piece.site.anchors:
        raise UsageError("suggested places are for anchors like the job's first: give [hang] and one [[anchor]]")
    if count < 3:
        raise UsageError(f"--suggest {count}: give 3 or more, as two are to be left when one is gone")
    made = set_up(piece, surface, asked)
    views = six_views(made.frame.to_standing(surface.vertices_m), surface.faces)
    factor = chosen_factor("", asked.factor_value, asked.factor_reference)
    like = piece.site.anchors[0]

    def rules_of(traced: Traced) -> tuple[Rule, ...]:
        return anchor_rules(like, piece, factor, traced)

    search = _Search(made, piece, asked, like, _fewer(loads_on(piece, made, views)), rules_of)
    places, traces, spacing, mirrored = _candidates(search, count)
    rules = [search.rules_of(one) for one in traces]
    keeping, kept = _known(search, places, rules, mirrored)
    found = _best(keeping, places[kept], [rules[k] for k in kept], count, mirrored)
    if not found.used <= 1.0 and len(kept) < len(places):
        found = _best(search, places, rules, count, mirrored)
    if not len(found.places):
        raise UsageError(
            f"--suggest {count}: no {count} of {len(places)} places keep the piece when one of them is gone; give more "
            "anchors, or more places"
        )
    at = _refined(found.search, found.places, found.used, 0.5 * spacing, mirrored)
    anchors = _anchors(search, at)
    final = hang(replace(piece, site=replace(piece.site, anchors=anchors)), surface, views)
    before = _before(piece, surface, views)
    return Suggestion(
        anchors, before, final.utilisation, final, found.candidates, found.compared, found.solved, spacing, mirrored,
        found.search.open is not None,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Found:
    """The best set of some candidates."""

    search: _Search
    places: Places  # none where no set keeps the piece
    used: float
    candidates: int
    compared: int
    solved: int


def _best(search: _Search, places: Places, rules: list[tuple[Rule, ...]], count: int, mirrored: bool) -> _Found:
    """The set of candidates with the least use of a limit, by bounds from the least up."""
    sets = _sets(places, count, mirrored) if len(places) >= count else np.zeros((0, count), int)
    best, at, solved = math.inf, places[:0], 0
    if len(sets):
        limited = [_limited(mine) for mine in rules]
        bounds = lower_bounds(sets, places, limited, [one.wrench for one in search.loads])
        for k in np.argsort(bounds, kind="stable"):
            if bounds[k] >= best:
                break
            solved += 1
            used = use_of_places(search, places[sets[k]])
            if used < best:
                best, at = used, places[sets[k]]
    return _Found(search, at, best, len(places), len(sets), solved)


def _limited(rules: tuple[Rule, ...]) -> tuple[Rule, ...]:
    """Rules with a limit; without any, the load itself."""
    known = tuple(rule for rule in rules if not math.isnan(rule.limit))
    return known or (Rule("load", "N", 1.0, "", "", lambda v, out: np.hypot(v, out)),)


def _unknown(rules: tuple[Rule, ...]) -> frozenset[str]:
    return frozenset(rule.name for rule in rules if math.isnan(rule.limit))


def _known(
    search: _Search, places: Places, rules: list[tuple[Rule, ...]], mirrored: bool
) -> tuple[_Search, np.ndarray]:
    """The search that keeps to places at which no more is unknown than at every one, and which candidates those are."""
    unknown = [_unknown(mine) for mine in rules]
    everywhere = frozenset.intersection(*unknown)
    good = np.array([one <= everywhere for one in unknown])
    if mirrored:
        wide = places[:, 0].min() + places[:, 0].max()
        known = {(round(x, 6), round(y, 6)) for (x, y), one in zip(places, good, strict=True) if one}
        good &= np.array([(round(wide - x, 6), round(y, 6)) in known for x, y in places])
    return replace(search, open=everywhere), np.flatnonzero(good)


def _before(piece: Piece, surface: Surface, views: tuple[Silhouette, ...]) -> float:
    try:
        own = hang(piece, surface, views)
    except AnchorError:
        return math.inf
    stays = own.in_balance and not own.lost and all(gone.stays for gone in own.one_gone)
    return own.utilisation if stays else math.inf


def _fewer(loads: tuple[Combined, ...]) -> tuple[Combined, ...]:
    """The corners that count: nominal, the heaviest, and the two that turn the piece most."""
    out = []
    for one in loads:
        wrench = one.wrench
        rows = [0, *(int(np.abs(wrench[:, k]).argmax()) for k in (1, 3, 5))]
        kept = np.array(list(dict.fromkeys(rows)))
        applied = tuple(replace(a, at_m=a.at_m[kept], force_n=a.force_n[kept]) for a in one.applied)
        out.append(replace(one, applied=applied))
    return tuple(out)


def use_of_places(search: _Search, places: Places) -> float:
    """Largest use of a limit of anchors at places (n, 2) in the wall with any one gone; inf where that cannot be."""
    traces = [_fits(search, float(x), float(y)) for x, y in places]
    if any(one is None for one in traces):
        return math.inf
    apart = np.linalg.norm(places[:, None] - places[None], axis=2) + np.diag(np.full(len(places), math.inf))
    near = [replace(one, neighbour_m=float(far)) for one, far in zip(traces, apart.min(axis=1), strict=True) if one]
    made = tuple(search.rules_of(one) for one in near)
    if search.open is not None and not all(_unknown(mine) <= search.open for mine in made):
        return math.inf
    rules = tuple(_limited(mine) for mine in made)
    hung = search.made.hung(np.column_stack([places, np.zeros(len(places))]), np.ones(len(places)))
    names = tuple(str(k) for k in range(len(places)))
    wrench = np.vstack([one.wrench for one in search.loads])
    most = 0.0
    for gone in (None, *range(len(places))):
        left = places if gone is None else np.delete(places, gone, axis=0)
        if in_line(left):
            return math.inf
        state = situation(hung, wrench, gone)
        if not state.stays:
            return math.inf
        values = judge(state, search.loads[0], names, rules).values
        for k, (mine, rows) in enumerate(zip(rules, values, strict=True)):
            if k != gone:
                most = max(most, *(float(row.max()) / rule.limit for rule, row in zip(mine, rows, strict=True)))
    return most


def _fits(search: _Search, x: float, y: float) -> Traced | None:
    """What a rod meets where an anchor may be; None where it may not."""
    places, solid, insert = search.asked.places, search.made.solid, search.like.insert
    if any(box.left_m < x < box.right_m and box.base_m < y < box.top_m for box in places.keep_out):
        return None
    found = trace(solid, x, y, None if insert is None else insert.depth_m)
    if not found.foam_depth_m > 0:
        return None
    if insert is None or (found.foam_depth_m >= insert.depth_m and found.narrowest_m >= room_m(insert)):
        return found
    return None


def _candidates(search: _Search, count: int) -> tuple[Places, list[Traced], float, bool]:
    """Places (c, 2) where an anchor fits: on the job's studs and joints, or on a grid as fine as can be compared."""
    size = search.made.frame.size_m
    wide, high = float(size[0]), float(size[2] / search.made.pose.to_wall[1, 2])
    asked = search.asked.places
    spacing = asked.spacing_m or _first_spacing(search, count, wide, high)
    while True:
        across = _lines(asked.studs_m, wide, spacing)
        up = _lines(asked.joints_m, high, spacing)
        grid = np.array([(x, y) for y in up for x in across])
        found = [_fits(search, float(x), float(y)) for x, y in grid]
        kept = np.array([one is not None for one in found])
        places, traces = grid[kept], [one for one in found if one is not None]
        mirrored = not asked.studs_m and _mirrored(search, places, traces)
        if len(places) < count:
            raise UsageError(
                f"--suggest {count}: an anchor like {search.like.name} fits at {len(places)} of the places"
            )
        if _number(places, count, mirrored, wide) <= MOST_SETS:
            return places, traces, spacing, mirrored
        if asked.studs_m and asked.joints_m:
            raise UsageError(
                f"--suggest {count}: {len(places)} places are too many to compare: give fewer studs or joints"
            )
        spacing *= 1.05


def _first_spacing(search: _Search, count: int, wide: float, high: float) -> float:
    """About as fine as can be compared, by where an anchor fits on a coarse grid."""
    most = count
    while math.comb(most + 1, count) <= MOST_SETS:
        most += 1
    tried = [(x, y) for x in _lines((), wide, wide / COARSE) for y in _lines((), high, high / COARSE)]
    fit = sum(_fits(search, float(x), float(y)) is not None for x, y in tried)
    return math.sqrt(max(fit, 1) / len(tried) * wide * high / most)


def _lines(given: tuple[float, ...], length: float, spacing: float) -> np.ndarray:
    if given:
        return np.array(given)
    parts = max(int(length / spacing), 1)
    return np.asarray((np.arange(parts) + 0.5) * length / parts)


def _number(places: Places, count: int, mirrored: bool, wide: float) -> int:
    if not mirrored:
        return math.comb(len(places), count)
    middle = np.abs(places[:, 0] - 0.5 * wide) < 1e-9
    pairs, single = int((~middle).sum()) // 2, int(middle.sum())
    return sum(math.comb(single, k) * math.comb(pairs, (count - k) // 2) for k in range(count % 2, count + 1, 2))


def _mirrored(search: _Search, places: Places, traces: list[Traced]) -> bool:
    """Whether the piece is the same left and right, by what its rods meet and where its weight is."""
    size = search.made.frame.size_m
    if abs(float(search.made.centres_m[0, 0]) - 0.5 * size[0]) > MIDDLE * size[0] or not len(places):
        return False
    there = {(round(x, 6), round(y, 6)): one for (x, y), one in zip(places, traces, strict=True)}
    for (x, y), one in there.items():
        other = there.get((round(float(size[0]) - x, 6), y))
        if other is None:
            return False
        apart = abs(one.gap_m - other.gap_m) + abs(one.foam_depth_m - other.foam_depth_m)
        if apart > ALIKE * float(size.max()):
            return False
    return True


def _sets(places: Places, count: int, mirrored: bool) -> np.ndarray:
    """Every set of places (s, n) by number, mirrored ones only where the piece is."""
    if not mirrored:
        return np.array(list(combinations(range(len(places)), count)))
    wide = places[:, 0].min() + places[:, 0].max()
    at = {(round(x, 6), round(y, 6)): k for k, (x, y) in enumerate(places)}
    single = [k for (x, y), k in at.items() if abs(x - 0.5 * wide) < 1e-6]
    pairs = [(k, at[round(wide - x, 6), y]) for (x, y), k in at.items() if x < 0.5 * wide - 1e-6]
    out = []
    for alone in range(count % 2, count + 1, 2):
        for one in combinations(single, alone):
            out += [[*one, *(k for pair in two for k in pair)] for two in combinations(pairs, (count - alone) // 2)]
    return np.array(out)


def _refined(search: _Search, places: Places, best: float, step: float, mirrored: bool) -> Places:
    """Each place moved by halved steps as long as that helps, along its stud or joint where those are given."""
    asked = search.asked.places
    ways = [(1.0, 0.0)] * (not asked.studs_m) + [(0.0, 1.0)] * (not asked.joints_m)
    moves = [np.array(way) * sign for way in ways for sign in (1.0, -1.0)]
    wide = float(search.made.frame.size_m[0])
    places = np.round(places / FINEST_M) * FINEST_M if ways and not (asked.studs_m or asked.joints_m) else places
    best = min(best, use_of_places(search, places)) if len(ways) == 2 else best
    while ways and step >= 0.5 * FINEST_M:
        size = max(round(step / FINEST_M), 1) * FINEST_M
        better = True
        while better:
            better = False
            for k in range(len(places)):
                for move in moves:
                    tried = _moved(places, k, size * move, wide if mirrored else None)
                    used = use_of_places(search, tried)
                    if used < best - 1e-9:
                        best, places, better = used, tried, True
        step *= 0.5
    return places


def _moved(places: Places, k: int, by: np.ndarray, wide: float | None) -> Places:
    out = places.copy()
    twin = None
    if wide is not None:
        far = np.linalg.norm(places - np.array([wide - places[k, 0], places[k, 1]]), axis=1)
        twin = int(far.argmin())
        if twin == k:
            by = by * [0.0, 1.0]
    out[k] += by
    if twin is not None and twin != k:
        out[twin] = [wide - out[k, 0], out[k, 1]] if wide is not None else out[twin]
    return out


def _anchors(search: _Search, places: Places) -> tuple[Anchor, ...]:
    """Anchors like the first, from above and from the left."""
    order = np.lexsort((places[:, 0], -places[:, 1]))
    out = []
    for number, (x, y) in enumerate(places[order], 1):
        point = search.made.to_frame(np.array([x, y, 0.0]))
        spot = Spot(from_left_m=float(point[0]), from_base_m=float(point[2]))
        out.append(replace(search.like, name=f"S{number}", spot=spot, stiffness=1.0))
    return tuple(out)
