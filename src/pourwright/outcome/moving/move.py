"""All that is asked about moving the finished piece, answered together."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

from pourwright.errors import UsageError
from pourwright.findings import Verdict
from pourwright.lifts import Check
from pourwright.outcome.balance import corner_centres, corner_masses
from pourwright.outcome.moving.model import Bar, Chock, Crate, MoveResult, Tailing
from pourwright.outcome.moving.tail import tailing
from pourwright.outcome.piece import GRAVITY, Piece, Surface
from pourwright.outcome.site import Moving
from pourwright.outcome.sling import LOWEST_ANGLE_RAD, sling
from pourwright.outcome.verdict import not_known, over, refusals, unknowns
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

BOARDS = Cited(600.0, "kg/m^3", Standing.MEMORY, note="plywood of softwood, 450 to 650")
BATTENS = Cited(1.3, "-", Standing.JUDGEMENT, note="battens, skids and screws over the boards alone")
SIDE_LOAD = Cited(
    0.7,
    "-",
    Standing.MEMORY,
    "ASME B30.26",
    "shackles pulled aside: 70 % of the load in line up to 45 degrees, 50 % up to 90",
)
IN_LINE_RAD = math.radians(5.0)


@refusals.register
def _(result: MoveResult) -> tuple[str, ...]:
    lost = () if result.tailing is None or result.tailing.possible else ("turned on two hooks: not in balance",)
    return (*lost, *over(result.checks))


@unknowns.register
def _(result: MoveResult) -> tuple[str, ...]:
    return not_known(result.checks)


def move(piece: Piece, surface: Surface) -> MoveResult:
    """Turning on two hooks, a spreader bar, shackles, a cradle, a crate: what of it the job asks.

    Raises
    ------
    UsageError
        The job has no [moving].
    """
    asked = piece.site.moving
    if asked is None:
        raise UsageError("the job says nothing of moving the piece: give [moving], in the job or by --job")
    frame = piece.frame
    masses = corner_masses(piece.parts)
    centres = frame.to_standing(corner_centres(piece.parts, masses))
    weights = GRAVITY * masses.sum(axis=1)
    points = frame.to_standing(surface.vertices_m)
    kg = Range(*(float(v) / GRAVITY for v in (weights.min(), weights[0], weights.max())))
    jerk = piece.site.hook.dynamic
    turned = _tailing(piece, asked, weights, centres, points)
    bar = _bar(piece, asked, weights, centres)
    chocks = _chocks(piece, asked, weights, centres)
    hook = jerk * (float(weights.max()) + asked.rigging_kg * GRAVITY)
    checks = [*_hook_checks(asked, hook, turned, jerk), *_bar_checks(asked, bar), *_shackles(piece, asked)]
    checks += [
        _held(f"chock {k}: floor under it", chock.pressure_pa, asked.floor_pa, "Pa", "moving.floor", "a wider pad")
        for k, chock in enumerate(chocks, 1)
    ]
    crate = _crate(piece, asked, kg)
    warnings = () if turned is None else turned.words
    return MoveResult(kg, hook, jerk, turned, bar, chocks, crate, tuple(checks), (*warnings, *_said(chocks, bar)))


def _tailing(
    piece: Piece, asked: Moving, weights: np.ndarray, centres: np.ndarray, points: np.ndarray
) -> Tailing | None:
    if asked.main is None or asked.tail is None:
        return None
    frame, hang = piece.frame, piece.site.hang
    up = asked.up or (None if hang is None else hang.up) or piece.site.stand.up
    if up is None:
        raise UsageError("moving.up: say which way is up at the end, as neither [hang] nor [stand] does")
    main, tail = (spot.standing(frame) for spot in (asked.main, asked.tail))
    if float(np.linalg.norm(main - tail)) < 0.05:
        raise UsageError("moving.tail is where moving.main is: two hooks hold it at two points")
    unit = frame.rotation @ (np.asarray(up, float) / np.linalg.norm(up))
    out = None if hang is None else frame.rotation @ (np.asarray(hang.out, float) / np.linalg.norm(hang.out))
    return tailing(main, tail, weights, centres, points, unit, out)


def _bar(piece: Piece, asked: Moving, weights: np.ndarray, centres: np.ndarray) -> Bar | None:
    """Two plumb legs under a bar, one hook over the centre of mass."""
    if not asked.bar_at:
        return None
    ends = np.array([spot.standing(piece.frame) for spot in asked.bar_at])
    level = (ends[1] - ends[0])[:2]
    apart = float(np.linalg.norm(level))
    if apart < 0.05:
        raise UsageError("moving.bar_at: two points at least 50 mm apart, level")
    share = (centres[:, :2] - ends[0, :2]) @ level / apart**2
    second, first = weights * share, weights * (1.0 - share)
    jerk, own = piece.site.hook.dynamic, 0.5 * asked.rigging_kg * GRAVITY
    height = asked.bar_above_m
    nearest = np.clip(share, 0.0, 1.0)
    push = float((jerk * (weights + 2 * own) * nearest * (1.0 - nearest) * apart / height).max())
    angles = [math.atan2(height, float((apart * part).max())) for part in (nearest, 1.0 - nearest)]
    loads = [float((jerk * (end + own)).max()) for end in (first, second)]
    top = (math.hypot(loads[0], push), math.hypot(loads[1], push))
    return Bar(apart, (_range(first), _range(second)), push, top, min(angles))


def _chocks(piece: Piece, asked: Moving, weights: np.ndarray, centres: np.ndarray) -> tuple[Chock, ...]:
    if not asked.cradle:
        return ()
    at = np.array([spot.standing(piece.frame) for spot in asked.cradle])[:, :2]
    shares = chock_shares(at, centres[:, :2])
    out = []
    for k in range(len(at)):
        load = shares[:, :, k] * weights[:, None]
        known = load[~np.isnan(load)]
        nominal = float(np.nanmean(load[0])) if (~np.isnan(load[0])).any() else math.nan
        ends = (float(known.min()), nominal, float(known.max())) if len(known) else (math.nan,) * 3
        value = (
            Range(min(ends[0], ends[1]), ends[1], max(ends[1:])) if not math.isnan(nominal) else Range(*[math.nan] * 3)
        )
        out.append(Chock(value, value.high / asked.pad_m**2))
    return tuple(out)


def chock_shares(at: np.ndarray, centres: np.ndarray) -> np.ndarray:
    """Shares (c, sets, n) of the weight on chocks at (n, 2) with the centre of mass above (c, 2).

    Two chocks: by the lever along their line. Three and more: every three of them that bear it without pulling; nan
    where a set does not.

    >>> chock_shares(np.array([[0.0, 0], [1, 0], [0, 1]]), np.array([[0.25, 0.25]])).tolist()
    [[[0.5, 0.25, 0.25]]]
    """
    n = len(at)
    if n == 2:
        way = at[1] - at[0]
        share = (centres - at[0]) @ way / float(way @ way)
        whole = np.column_stack([1.0 - share, share])[:, None]
        whole[(share < 0.0) | (share > 1.0)] = np.nan
        return np.asarray(whole)
    sets = list(combinations(range(n), 3))
    out = np.full((len(centres), len(sets), n), np.nan)
    for number, chosen in enumerate(sets):
        matrix = np.vstack([np.ones(3), at[list(chosen)].T])
        if abs(float(np.linalg.det(matrix))) < 1e-9:
            continue
        found = np.linalg.solve(matrix, np.column_stack([np.ones(len(centres)), centres]).T).T
        good = (found >= -1e-9).all(axis=1)
        rows = np.zeros((len(centres), n))
        rows[:, list(chosen)] = found
        out[good, number] = rows[good]
    return out


def _crate(piece: Piece, asked: Moving, kg: Range) -> Crate:
    inside = tuple(float(v) + 2.0 * asked.clearance_m for v in piece.frame.size_m)
    outside = tuple(side + 2.0 * asked.board_m for side in inside)
    a, b, c = inside
    empty = 2.0 * (a * b + b * c + c * a) * asked.board_m * BOARDS.value * BATTENS.value
    return Crate((a, b, c), (outside[0], outside[1], outside[2]), empty, kg + Range.exact(empty))


def _hook_checks(asked: Moving, hook: float, turned: Tailing | None, jerk: float) -> list[Check]:
    rigging = jerk * asked.rigging_kg * GRAVITY
    checks = [_held("hook: piece and rigging", hook, asked.hook_n, "N", "moving.hook", "a stronger hoist")]
    if turned is not None:
        most = jerk * turned.tail_most_n + rigging
        checks.append(_held("tail hook", most, asked.tail_hook_n, "N", "moving.tail_hook", "a stronger hoist"))
    return checks


def _bar_checks(asked: Moving, bar: Bar | None) -> list[Check]:
    if bar is None:
        return []
    source = "rigging practice: no sling flatter than 30 degrees (common figure)"
    flat, limit = math.pi / 2 - bar.flat_rad, math.pi / 2 - LOWEST_ANGLE_RAD
    verdict = Verdict.OK if flat <= limit else Verdict.OVER
    return [
        Check(
            "slings over the bar: flatness", flat, limit, "rad", verdict, source, "" if flat <= limit else "raise it"
        ),
        _held("bar: pushed along", bar.push_n, asked.bar_n, "N", "moving.bar_load", "a stronger bar, or a higher hook"),
    ]


def side_share(angle_rad: float) -> float:
    """Share of its load in line that a shackle keeps when it is pulled aside; nan beyond a right angle.

    >>> [side_share(math.radians(a)) for a in (0, 30, 60)]
    [1.0, 0.7, 0.5]
    """
    if angle_rad <= IN_LINE_RAD:
        return 1.0
    return SIDE_LOAD.value if angle_rad <= math.pi / 4 else 0.5 if angle_rad <= math.pi / 2 else math.nan


def _shackles(piece: Piece, asked: Moving) -> list[Check]:
    """The shackle at each leg of the sling, against its load in line, less what a pull from the side takes."""
    if asked.lug is None or not piece.site.legs:
        return []
    lug = piece.frame.rotation @ (np.asarray(asked.lug, float) / np.linalg.norm(asked.lug))
    slung, checks = sling(piece), []
    for k, leg in enumerate(piece.site.legs):
        way = slung.hook_m - slung.points_m[k]
        angle = math.acos(float(np.clip(way @ lug / np.linalg.norm(way), -1.0, 1.0)))
        tensions = [stage.legs[k].tension_n for stage in slung.stages]
        most = max((t.high for t in tensions if t is not None), default=math.nan)
        most = math.nan if any(t is None for t in tensions) else most * slung.dynamic
        limit = None if asked.shackle_n is None else asked.shackle_n * side_share(angle)
        where = f", pulled {math.degrees(angle):.0f} degrees out of its line ({SIDE_LOAD.words()})"
        checks.append(
            _held(f"{leg.name}: shackle", most, limit, "N", "moving.shackle", "turn the lug into the leg", where)
        )
    return checks


def _held(name: str, value: float, limit: float | None, unit: str, needed: str, remedy: str, more: str = "") -> Check:
    source = f"given in the job{more}"
    if limit is None or math.isnan(limit) or math.isnan(value):
        why = f"no limit is given{more}" if limit is None else f"not known{more}"
        return Check(name, value, math.nan, unit, Verdict.UNKNOWN, why, f"give {needed}")
    verdict = Verdict.OK if value <= limit else Verdict.OVER
    return Check(name, value, limit, unit, verdict, source, "" if value <= limit else remedy)


def _range(values: np.ndarray) -> Range:
    return Range(float(values.min()), float(values[0]), float(values.max()))


def _said(chocks: tuple[Chock, ...], bar: Bar | None) -> tuple[str, ...]:
    lines = []
    if any(math.isnan(chock.load_n.nominal) for chock in chocks):
        lines.append("The cradle does not bear it: its centre of mass lies beside what the chocks cover.")
    if bar is not None and min(leg.low for leg in bar.legs_n) < 0:
        lines.append("The centre of mass does not lie between the points of the bar: one leg would have to push.")
    return tuple(lines)
