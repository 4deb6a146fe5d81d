"""All that is asked about moving the finished piece, answered together."""

from __future__ import annotations

import math

import numpy as np

from pourwright.errors import UsageError, in_words
from pourwright.findings import Finding, Verdict
from pourwright.lifts import Check
from pourwright.moving.bar import bar_under
from pourwright.moving.cradle import cradle, tipping
from pourwright.moving.model import CRATE_BOARDS, CRATE_MORE, LEAST_M, Bar, Crate, MoveResult, Tailing
from pourwright.moving.tail import tailing
from pourwright.outcome import (
    FLAT_WORDS,
    GRAVITY,
    LOWEST_ANGLE_RAD,
    Moving,
    Piece,
    SlingResult,
    Surface,
    corner_centres,
    corner_masses,
    not_known,
    over,
    refusals,
    sling,
    unknowns,
)
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

SIDE_LOAD = Cited(
    0.7,
    "-",
    Standing.MEMORY,
    "ASME B30.26",
    "shackles pulled aside: 70 % of the load in line up to 45 degrees, 50 % up to 90",
)
IN_LINE_RAD = math.radians(5.0)
"""A shackle pulled aside by no more than this is pulled in line: our judgement, no published source."""


@refusals.register
def _(result: MoveResult) -> tuple[str, ...]:
    return (*result.lost, *over(result.checks))


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
    bar = bar_under(piece, asked, weights, centres)
    chocks, inside = cradle(piece, asked, weights, centres)
    hook = jerk * (float(weights.max()) + asked.rigging_kg * GRAVITY)
    slung = sling(piece) if piece.site.legs and asked.lug is not None else None
    pulls = _pulls(piece, asked, slung)
    checks = [*_hook_checks(asked, hook, turned, jerk), *_bar_checks(asked, bar), *_shackles(asked, pulls)]
    checks += [] if slung is None else slung.checks
    checks += [
        _held(f"chock {k}: floor under it", chock.pressure_pa, asked.floor_pa, "Pa", "moving.floor", "a wider pad")
        for k, chock in enumerate(chocks, 1)
    ]
    said = [() if turned is None else turned.found, () if bar is None else bar.found, tipping(inside)]
    said += [() if slung is None else _of_the_sling(slung)]
    return MoveResult(
        kg=kg,
        hook_n=hook,
        dynamic=jerk,
        tailing=turned,
        bar=bar,
        chocks=chocks,
        inside_m=inside,
        crate=_crate(piece, asked, kg),
        checks=tuple(checks),
        lost=(*_lost(turned, bar, inside), *_not_slung(slung), *_pulled_back(pulls)),
        warnings=tuple(line for lines in said for line in lines),
    )


def _lost(turned: Tailing | None, bar: Bar | None, inside: Range) -> tuple[str, ...]:
    """What cannot be done so, in short; the warnings have the figures."""
    out = [] if turned is None else [f"turned on two hooks: {why}" for why in turned.lost]
    out += [] if bar is None else [f"under the spreader bar: {why}" for why in bar.lost]
    return (*out, *(("on its cradle: it tips",) if inside.low < 0.0 else ()))


def _not_slung(slung: SlingResult | None) -> list[str]:
    """What keeps the piece from hanging on its sling; what is over a limit there is among the checks."""
    if slung is None:
        return []
    checked = over(slung.checks)
    return [f"on its sling: {why}" for why in refusals(slung) if why not in checked]


def _of_the_sling(slung: SlingResult) -> tuple[Finding, ...]:
    """What there is to tell of the sling, of stages before the last only where the piece does not hang as it should."""
    sound = {stage.name for stage in slung.stages[:-1] if stage.hangs and not stage.turns_over}
    return tuple(one for one in slung.warnings if sound.isdisjoint(one.subject))


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
    if float(np.linalg.norm(main - tail)) < LEAST_M:
        raise UsageError(
            f"moving.main and moving.tail are less than {in_words(LEAST_M)} apart: two hooks hold the piece at two "
            "places, so give two"
        )
    unit = frame.rotation @ (np.asarray(up, float) / np.linalg.norm(up))
    out = None if hang is None else frame.rotation @ (np.asarray(hang.out, float) / np.linalg.norm(hang.out))
    return tailing(main, tail, weights, centres, points, unit, out)


def _crate(piece: Piece, asked: Moving, kg: Range) -> Crate:
    inside = tuple(float(v) + 2.0 * asked.clearance_m for v in piece.frame.size_m)
    outside = tuple(side + 2.0 * asked.board_m for side in inside)
    a, b, c = inside
    empty = 2.0 * (a * b + b * c + c * a) * asked.board_m * CRATE_BOARDS.value * CRATE_MORE.value
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
    flat, limit = math.pi / 2 - bar.flat_rad, math.pi / 2 - LOWEST_ANGLE_RAD
    verdict = Verdict.OK if flat <= limit else Verdict.OVER
    return [
        Check(
            "slings over the bar: flatness",
            flat,
            limit,
            "rad",
            verdict,
            FLAT_WORDS,
            "" if flat <= limit else "raise it",
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
    return SIDE_LOAD.value if angle_rad <= math.pi / 4 else math.nan if pulled_back(angle_rad) else 0.5


def pulled_back(angle_rad: float) -> bool:
    """Whether a shackle is pulled beyond a right angle, where none is rated.

    >>> [pulled_back(math.radians(a)) for a in (90, 91)]
    [False, True]
    """
    return angle_rad > math.pi / 2 + 1e-9  # what rounding makes of a right angle


def _pulls(piece: Piece, asked: Moving, slung: SlingResult | None) -> dict[str, tuple[float, float]]:
    """By leg: the angle out of line at which it pulls its shackle, and its greatest tension with jerks.

    The largest angle of all: as the piece stands, and as it comes to rest at every stage.
    """
    if asked.lug is None or slung is None:
        return {}
    lug = piece.frame.rotation @ (np.asarray(asked.lug, float) / np.linalg.norm(asked.lug))
    hooks = np.array([slung.hook_m, *(stage.hook_m for stage in slung.stages)])
    out = {}
    for k, leg in enumerate(piece.site.legs):
        ways = hooks - slung.points_m[k]
        angle = math.acos(float(np.clip(ways @ lug / np.linalg.norm(ways, axis=1), -1.0, 1.0).min()))
        tensions = [stage.legs[k].tension_n for stage in slung.stages]
        most = max((t.high for t in tensions if t is not None), default=math.nan)
        out[leg.name] = angle, math.nan if any(t is None for t in tensions) else most * slung.dynamic
    return out


def _shackles(asked: Moving, pulls: dict[str, tuple[float, float]]) -> list[Check]:
    """The shackle at each leg of the sling, against its load in line, less what a pull from the side takes."""
    if asked.shackle_n is not None and not pulls:
        needed = "moving.lug" if asked.lug is None else "[[sling]]"
        return [_held("shackles", math.nan, None, "N", needed, "")]
    checks = []
    for name, (angle, most) in pulls.items():
        limit = None if asked.shackle_n is None else asked.shackle_n * side_share(angle)
        where = f", pulled {math.degrees(angle):.0f} degrees out of its line ({SIDE_LOAD.words()})"
        checks.append(_held(f"{name}: shackle", most, limit, "N", "moving.shackle", "turn the lug into the leg", where))
    return checks


def _pulled_back(pulls: dict[str, tuple[float, float]]) -> tuple[str, ...]:
    return tuple(
        f"{name}: shackle pulled {math.degrees(angle):.0f} degrees out of its line, beyond a right angle"
        for name, (angle, _) in pulls.items()
        if pulled_back(angle)
    )


def _held(name: str, value: float, limit: float | None, unit: str, needed: str, remedy: str, more: str = "") -> Check:
    source = f"given in the job{more}"
    if limit is None:
        return Check(name, value, math.nan, unit, Verdict.UNKNOWN, f"no limit is given{more}", f"give {needed}")
    if math.isnan(limit) or math.isnan(value):
        return Check(name, value, math.nan, unit, Verdict.UNKNOWN, f"not known{more}", "mend what is refused first")
    verdict = Verdict.OK if value <= limit else Verdict.OVER
    return Check(name, value, limit, unit, verdict, source, "" if value <= limit else remedy)
