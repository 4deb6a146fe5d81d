"""What is set before it is buried: anchors and things inside, taped from one datum, held, and signed for."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pourwright import units
from pourwright.access import FALL_CLEAR, off_things_m
from pourwright.hanging import inserts_set_in
from pourwright.irons import Iron
from pourwright.lifts import Landing, Lift, Measures, Pour
from pourwright.outcome import Insert, Item
from pourwright.plan import Plan
from pourwright.wording.checks import to_hold
from pourwright.wording.places.anchors import burying, lifts_words, placed_anchors, taped
from pourwright.wording.status import place_words

BESIDE_CELLS = 1.0
"""Foam so near to a thing buries it [cells]."""
PLACES = " (places: Anchors and things inside)"
DATUM = (
    "Every measure counts from one datum: the lowest, the left-most and the front-most point of the piece as it stands "
    "on the bench. Strike it once, on the bench itself, before anything is set; set_out.svg (written with --drawings) "
    "is the same seen from above at full size, to lay under or over the piece."
)


@dataclass(frozen=True, eq=False)
class HardPoint:
    """One thing to set before it is buried; measures of the piece as it stands to be poured.

    ``start`` is where it meets the skin, or its first end; ``end`` its other end, the same for a point. ``across_m``
    is its diameter or wider side, 0 where not given; ``head_m`` the diameter of its head. ``lifts`` bury it;
    ``force_n`` is the most that their foam may push it with, nan where nothing is known of its size.
    """

    name: str
    kind: str  # "anchor" | "item"
    start: Measures
    end: Measures
    across_m: float
    head_m: float
    lifts: tuple[int, ...]
    force_n: float
    corners_m: np.ndarray  # (k, 3) of what is not round, standing; none of what is

    @property
    def formless(self) -> bool:
        """Whether it is a thing inside of which only the middle is known: any lift may bury a part of it."""
        return self.kind == "item" and self.across_m == 0.0


def hard_points(plan: Plan) -> list[HardPoint]:
    """Anchors and things inside before the first pour, in the order of the job."""
    inserts = {anchor.name: anchor.insert for anchor in plan.job.site.anchors}
    out = []
    for placed in placed_anchors(plan):
        insert = inserts[placed.name]
        across = insert.diameter_m if insert is not None else 0.0
        head = (insert.head_m or 0.0) if insert is not None else 0.0
        end = taped(plan.frame, placed.end_m)
        area = _faced_m2(insert) if insert is not None else math.nan
        size = (across, head, placed.lifts, _push_n(plan, placed.lifts, area))
        out.append(HardPoint(placed.name, "anchor", placed.bench, end, *size, np.zeros((0, 3))))
    for item in plan.job.site.items:
        if item.finished or item.coating:
            continue
        iron = item.iron(plan.frame)
        if iron is None:
            spots = np.repeat(item.spot.standing(plan.frame)[None], 2, axis=0)
            across, side = 0.0, math.nan
        else:
            spots = iron.middle_m + np.array([[-1.0], [1.0]]) * iron.half_m[0] * iron.axes[0]
            across = 2.0 * float(iron.half_m[1:].max())
            a, b, c = (2.0 * iron.half_m).tolist()
            side = max(a * b, a * c, b * c)
        lifts = _item_lifts(plan, item)
        start, end = (Measures(float(z), float(x), float(y)) for x, y, z in spots)
        corners = np.zeros((0, 3)) if iron is None or iron.round else iron.corners_m()
        out.append(HardPoint(item.name, "item", start, end, across, 0.0, lifts, _push_n(plan, lifts, side), corners))
    return out


def _item_lifts(plan: Plan, item: Item) -> tuple[int, ...]:
    """Numbers of the lifts that bury a thing inside; without a form those at its middle."""
    iron = item.iron(plan.frame)
    if iron is None:
        return burying(plan, item.spot.standing(plan.frame)[None])
    grid = plan.cavity.grid
    low, high = (
        (end - grid.origin_m) / grid.cell_m for end in (iron.corners_m().min(axis=0), iron.corners_m().max(axis=0))
    )
    sides = [np.arange(int(a) - 2, int(b) + 3) for a, b in zip(low, high, strict=True)]
    centres = grid.centres(np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1).reshape(-1, 3))
    return burying(plan, centres[iron.away_m(centres) <= BESIDE_CELLS * grid.cell_m])  # itself it is no cavity


def _faced_m2(insert: Insert) -> float:
    """Largest area that an insert can turn to one side [m2]: its shaft from the side, with its head from the end.

    >>> round(_faced_m2(Insert(0.016, 0.15)), 6)
    0.002601
    """
    return insert.diameter_m * insert.depth_m + 0.25 * math.pi * max(insert.diameter_m, insert.head_m or 0.0) ** 2


def _push_n(plan: Plan, lifts: tuple[int, ...], area_m2: float) -> float:
    """Foam's pressure at its highest on one side of it, none on the other: more than it can be; nan: not known."""
    peaks = [p.peak_pressure_pa.high for lift in plan.lift_plan.lifts if lift.number in lifts for p in lift.pours]
    return float(np.max(peaks)) * area_m2 if peaks else math.nan


@lru_cache(maxsize=1)
def _inserts(plan: Plan) -> tuple[tuple[int, Iron], ...]:
    """Shafts and heads of the anchors, each with the number of the lift that they are set before."""
    lifts = {placed.name: placed.lifts for placed in placed_anchors(plan)}
    inserts = inserts_set_in(plan.job.site, plan.skin, plan.frame)
    return tuple((lifts[one.name][0], one) for one in inserts if lifts[one.name])


def in_the_stream(plan: Plan, pour: Pour, landing: Landing) -> list[str]:
    """Anchors that stand before a pour where its stream would fall: no place was found that keeps clear of them."""
    at_m, floor_m = landing.measures, float(plan.frame.to_standing(landing.point_m)[2])
    stream = np.array([[at_m.from_left_m, at_m.from_front_m]])
    low, high = (np.array([height]) for height in (floor_m + FALL_CLEAR.value, at_m.from_base_m))
    there = [one for lift, one in _inserts(plan) if lift <= pour.lift]
    near = [one.name for one in there if off_things_m([one], stream, low, high)[0] < FALL_CLEAR.value]
    return list(dict.fromkeys(near))


def hold_words(point: HardPoint) -> str:
    """How to hold it, common practice without a source."""
    known = math.isfinite(point.force_n)
    against = f", against up to {to_hold(point.force_n)} of foam" if known else ", against a force that is NOT KNOWN"
    if point.kind == "anchor":
        return (
            "nut it to a board across the opening, or through the skin from outside with a washer, square to the wall "
            f"it will hang on, and tie its inner end{against}"
        )
    return f"fix its foot to base plate or skin and brace its upper end to the skin on two sides{against}"


def hard_rows(plan: Plan) -> list[tuple[str, str, str, str]]:
    """Things inside, as rows beside those of the anchors: name, place hanging, place on the bench, lift."""
    rows = []
    for point in hard_points(plan):
        if point.kind == "item":
            place = place_words(point.start)
            if point.end != point.start:
                place = f"from {place}; to {place_words(point.end)}"
            by = "not known: no form is given" if point.formless else lifts_words(point.lifts)
            rows.append((point.name, "inside", place, by))
    return rows


def hold_notes(plan: Plan) -> list[str]:
    """The datum, and how each is held; nothing where nothing is to be set."""
    points = hard_points(plan)
    if not points:
        return []
    groups: dict[str, list[str]] = {}
    for point in points:
        groups.setdefault(hold_words(point), []).append(point.name)
    return [DATUM, *(f"{', '.join(names)}: {how}." for how, names in groups.items())]


def hold_point_words(plan: Plan, lift: Lift) -> list[str]:
    """What is to be in place before a lift because it buries it, and the line to sign; only at the first that does."""
    begun = plan.lift_plan.lifts[0].number
    mine = [point for point in hard_points(plan) if (begun if point.formless else point.lifts[0]) == lift.number]
    if not mine:
        return []
    one, anchors = len(mine) == 1, [point.name for point in mine if point.kind == "anchor"]
    items = [point.name for point in mine if point.kind == "item" and not point.formless]
    formless = [point.name for point in mine if point.formless]
    lines = [f"anchors that the foam of this lift buries: {', '.join(anchors)}{PLACES}"] if anchors else []
    lines += [f"inside, and buried from this lift on: {', '.join(items)}{PLACES}"] if items else []
    lines += [f"inside, of a form that the job does not give: {', '.join(formless)}{PLACES}"] if formless else []
    return [
        *lines,
        f"hold point: {'it is' if one else 'all of them are'} taped again from the datum, fixed, and "
        f"{'does' if one else 'do'} not move when pulled by hand; nothing is mixed before this is signed: "
        "________________ at ________",
    ]


def span_words(point: HardPoint) -> str:
    """Heights of its two ends."""
    low, high = sorted((point.start.from_base_m, point.end.from_base_m))
    if high - low < 5e-4:
        return f"{units.tape(low)} up"
    return f"{units.tape(low)} to {units.tape(high)} up"
