"""Where the anchors are, taped on the piece as it hangs and as it stands to be poured, and which lift buries them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.hanging import hanging_pose, hung_point, insert_spans
from pourwright.irons import rod
from pourwright.lifts import Measures
from pourwright.outcome import Insert, Spot, Surface
from pourwright.plan import Plan
from pourwright.wording.phrases import listing
from pourwright.wording.status import place_words

LEAST_M = 1e-3
"""What lies in no pour and reaches less far into a lift is not said to be buried by it."""
HEAD = 1e-3
"""Share of an insert's length that its head is taken to be thick."""
HANGS = 1  # column of `HEADS` that only what hangs has
HEADS = ("anchor", "as it hangs", "as it stands on the bench while pouring", "buried by")


@dataclass(frozen=True, eq=False)
class PlacedAnchor:
    """An anchor at its place. Points in the shell file's axes; ``lifts`` are the numbers of those that bury it."""

    name: str
    point_m: np.ndarray
    begin_m: np.ndarray  # where its insert begins, at the foam; the point itself where it has none
    end_m: np.ndarray  # inner end of its insert, its depth into the foam; the point itself where it has none
    hanging: Measures
    bench: Measures
    lifts: tuple[int, ...]


@lru_cache(maxsize=1)
def placed_anchors(plan: Plan) -> tuple[PlacedAnchor, ...]:
    """The job's anchors in both poses; none where the job does not say how the piece hangs. Traced once a plan."""
    asked = plan.job.site.hang
    if asked is None:
        return ()
    pose = hanging_pose(plan.skin.vertices_m, asked)
    out = []
    skin, anchors = plan.skin, plan.job.site.anchors
    outside = ~skin.void_face
    surface = Surface(skin.vertices_m, skin.faces[outside], skin.cap_opening[outside] >= 0, skin.faces[skin.void_face])
    for anchor, (begin, end) in zip(
        anchors, insert_spans(anchors, surface, asked, skin.bands, skin.regions, skin.gauge), strict=True
    ):
        point = hung_point(anchor.spot, pose)
        lifts = burying(plan, _body_m(plan, begin, end, anchor.insert))
        bench = taped(plan.frame, point)
        out.append(PlacedAnchor(anchor.name, point, begin, end, taped(pose.frame, point), bench, lifts))
    return tuple(out)


def taped(frame: PourFrame, point_m: np.ndarray) -> Measures:
    """Measures of a point (3,) of the shell file's axes from the extents of the piece as it stands in ``frame``."""
    left, front, base = (float(value) for value in frame.to_standing(point_m))
    return Measures(base, left, front)


def _body_m(plan: Plan, begin_m: np.ndarray, end_m: np.ndarray, insert: Insert | None) -> np.ndarray:
    """Points (n, 3) all through an insert and its head, standing; the one point of an anchor without an insert."""
    begin, end = plan.frame.to_standing(np.array([begin_m, end_m]))
    if insert is None or np.allclose(begin, end):
        return begin[None]
    step = 0.5 * plan.cavity.grid.cell_m
    parts = [rod("", begin, end, insert.diameter_m)]
    if insert.head_m is not None:
        parts.append(rod("", end + HEAD * (begin - end), end, insert.head_m))
    points = [part.points_m(step)[part.away_m(part.points_m(step)) <= 0.0] for part in parts]
    return np.vstack([begin, end, *points])


def burying(plan: Plan, points_m: np.ndarray) -> tuple[int, ...]:
    """Numbers of the lifts whose foam lies at any of the standing points (n, 3).

    Limbs are cut each at its own heights, so a lift is asked for by where its pours lie and not by its height. Of what
    lies in no pour it is the lift at its height, else the nearest.
    """
    grid, label = plan.cavity.grid, plan.graph.label
    at = np.floor((points_m - grid.origin_m) / grid.cell_m).astype(int)
    at = at[((at >= 0) & (at < label.shape)).all(axis=1)]
    nodes = np.unique(label[tuple(at.T)]).astype(int) - 1
    lifts = plan.lift_plan.lifts
    found = {lift.number for lift in lifts for pour in lift.pours if np.isin(nodes[nodes >= 0], pour.nodes).any()}
    if found or not lifts:
        return tuple(sorted(found))
    low, high = float(points_m[:, 2].min()), float(points_m[:, 2].max())
    level = tuple(one.number for one in lifts if min(high, one.top_m) - max(low, one.bottom_m) > LEAST_M)
    middle = 0.5 * (low + high)
    return level or (min(lifts, key=lambda one: max(one.bottom_m - middle, middle - one.top_m, 0.0)).number,)


def anchor_rows(plan: Plan) -> list[tuple[str, str, str, str]]:
    """A row of `HEADS` for each anchor."""
    rows = []
    for placed in placed_anchors(plan):
        by = lifts_words(placed.lifts)
        rows.append((placed.name, place_words(placed.hanging), place_words(placed.bench), by))
    return rows


def anchor_notes(plan: Plan, others: bool = False) -> list[str]:
    """What stands below the places of the anchors; of a job without any nothing beside the places of ``others``."""
    if not plan.job.site.anchors:
        return [] if others else ["The job names no anchors. The command hang answers for those of a job that does."]
    lines = []
    flat = [a.name for a in plan.job.site.anchors if not _deep(a.spot)]
    if flat:
        lines.append(
            f"{', '.join(flat)}: the job gives no depth, so the place is on the plane of the piece's back; where the "
            "skin lies before that plane, go straight in from it."
        )
    return [*lines, "Their loads and margins are on the sheet that the command hang writes."]


def _deep(spot: Spot) -> bool:
    return any(value is not None for value in (spot.at_m, spot.from_front_m, spot.from_back_m))


def lifts_words(lifts: tuple[int, ...]) -> str:
    """Which lifts bury it.

    >>> lifts_words((2,)), lifts_words((2, 3)), lifts_words(())
    ('lift 2', 'lifts 2 and 3', 'no lift')
    """
    if not lifts:
        return "no lift"
    return f"lift{'' if len(lifts) == 1 else 's'} {listing(tuple(str(number) for number in lifts))}"
