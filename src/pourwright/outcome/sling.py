"""A piece on a sling: whether the hook stands over the centre of mass, how it tilts, what each leg carries."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError
from pourwright.findings import Code, Finding, Verdict, finding
from pourwright.lifts import Check
from pourwright.outcome.balance import corner_centres, corner_masses, parts_at, weigh
from pourwright.outcome.factors import chosen_factor
from pourwright.outcome.piece import GRAVITY, Piece
from pourwright.outcome.site import Leg
from pourwright.outcome.sling_pose import hook_of_lengths, hook_over_two, shares
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

DEFAULT_ANGLE_RAD = math.radians(60.0)
TILT_RAD = math.radians(5.0)
MISS_M = 0.01
LOWEST_ANGLE_RAD = math.radians(30.0)
"""Legs flatter than this above the horizontal are not recommended by rigging practice (common figure)."""
WIDE = Cited(
    math.radians(90.0),
    "rad",
    Standing.MEMORY,
    "ASME B30.10",
    "angle between legs on one hook up to which it is loaded as it is meant",
)


@dataclass(frozen=True, eq=False)
class LegLoad:
    """One leg at one stage. Static: jerks of the hoist are not in it."""

    name: str
    tension_n: Range | None  # None: the piece cannot hang so
    angle_rad: float  # above the horizontal, nominal
    least_angle_rad: float
    inward_force_n: float  # its level pull on the piece, at the high tension
    slack: bool


@dataclass(frozen=True, eq=False)
class SlungStage:
    """The piece on the hook at one stage of filling."""

    name: str
    number: int
    kg: Range
    beside_m: float  # centre of mass beside the hook while the piece still stands, nominal
    tilt_rad: float  # from standing, nominal
    greatest_tilt_rad: float
    up: np.ndarray  # (3,) upwards at rest, standing axes, nominal
    hook_m: np.ndarray  # (3,) in standing axes
    legs: tuple[LegLoad, ...]
    hangs: bool
    words: str


@dataclass(frozen=True, eq=False)
class SlingResult:
    """The piece on its sling. Points in standing axes: right, back, up."""

    points_m: np.ndarray  # (n, 3)
    hook_m: np.ndarray  # (3,) while it still stands
    hook_words: str
    lengths_m: np.ndarray  # (n,)
    centre_m: np.ndarray  # (3,) of the finished piece
    stages: tuple[SlungStage, ...]
    dynamic: float
    factor: Cited | None
    checks: tuple[Check, ...]
    warnings: tuple[Finding, ...]


def sling(piece: Piece) -> SlingResult:
    """Tilt and leg tensions at every stage of filling.

    The hook keeps its place in the piece's own axes (legs do not stretch or slip); the piece turns until its centre of
    mass is under it. Two legs let the piece swing about the line of their points as well. Of more than three legs the
    rope's give decides, and the high tension is the most that any three of them that hold alone would carry.

    Raises
    ------
    UsageError
        No leg is named, or the legs cannot meet.
    """
    asked = piece.site.legs
    if not asked:
        raise UsageError("the job names no sling: give one [[sling]] a leg, in the job or by --job")
    points = np.array([leg.spot.standing(piece.frame) for leg in asked])
    record = weigh(piece.parts)
    centre = piece.frame.to_standing(record.stages[-1].centre_m)
    hook, words, warnings = _hook(piece, points, asked, centre)
    lengths = np.array([leg.length_m or float(np.linalg.norm(hook - p)) for leg, p in zip(asked, points, strict=True)])
    stages = []
    for stage in record.stages:
        parts = parts_at(piece.parts, stage.number)
        masses = corner_masses(parts)
        centres = piece.frame.to_standing(corner_centres(parts, masses))
        stages.append(_slung(stage.name, stage.number, points, lengths, hook, masses.sum(axis=1), centres, asked))
    factor = chosen_factor(piece.site.hook.factor, piece.site.hook.factor_value, piece.site.hook.factor_reference)
    warnings += [*_warnings(stages), *_wide(points, hook, asked)]
    checks = _checks(asked, stages, piece.site.hook.dynamic, factor)
    return SlingResult(
        points, hook, words, lengths, centre, tuple(stages), piece.site.hook.dynamic, factor, checks, tuple(warnings)
    )


def _hook(
    piece: Piece, points: np.ndarray, asked: tuple[Leg, ...], centre: np.ndarray
) -> tuple[np.ndarray, str, list[Finding]]:
    hook = piece.site.hook
    given = [leg.length_m for leg in asked if leg.length_m is not None]
    if hook.at_m is not None:
        return piece.frame.to_standing(np.asarray(hook.at_m)), "where the job puts it", []
    if hook.above_m is None and len(given) == len(asked) and len(asked) >= 2:
        lengths = np.array(given)
        if len(asked) == 2:
            found = hook_over_two(points[0], points[1], lengths[0], lengths[1], centre)
            return found, "where the two legs meet", []
        found, miss = hook_of_lengths(points, lengths)
        warnings = []
        if miss > MISS_M:
            warnings.append(finding(Code.LEGS_MISS_HOOK, miss_m=miss))
        return found, "where the legs meet", warnings
    top = float(points[:, 2].max())
    if hook.above_m is not None:
        height, words = top + hook.above_m, "at the job's height, over the finished piece's centre of mass"
    else:
        reach = np.hypot(*(points[:, :2] - centre[:2]).T)
        height = float(np.max(points[:, 2] + reach * math.tan(DEFAULT_ANGLE_RAD)))
        height = max(height, top + 0.3)
        words = "over the finished piece's centre of mass, so high that no leg is flatter than 60 degrees"
    return np.array([centre[0], centre[1], height]), words, []


def _slung(
    name: str,
    number: int,
    points: np.ndarray,
    lengths: np.ndarray,
    hook: np.ndarray,
    total: np.ndarray,
    centres: np.ndarray,
    asked: tuple[Leg, ...],
) -> SlungStage:
    """One stage; where a leg would have to push it is left out and the rest solved again."""
    kg = Range(float(total.min()), float(total[0]), float(total.max()))
    left = np.arange(len(points))
    beside = float(np.hypot(*(centres[0, :2] - hook[:2])))
    while True:
        hooks = _hooks(points[left], lengths[left], hook, centres)
        line = hooks - centres
        up = line / np.linalg.norm(line, axis=1)[:, None]
        legs = hooks[:, None] - points[left]
        even, most = _tensions(legs, up)
        if not np.isnan(most).any():
            break
        if len(left) <= 1 or np.isnan(even[0]).all():
            break
        left = np.delete(left, int(np.nanargmin(even[0])))
    tilt = np.arccos(np.clip(up[:, 2], -1, 1))
    hangs = not np.isnan(most).any()
    unit = legs / np.linalg.norm(legs, axis=2)[:, :, None]
    angle = np.arcsin(np.clip(np.einsum("cnd,cd->cn", unit, up), -1, 1))
    rows = []
    for k, leg in enumerate(asked):
        if k not in left:
            rows.append(LegLoad(leg.name, Range.exact(0.0), math.nan, math.nan, 0.0, True))
            continue
        j = int(np.flatnonzero(left == k)[0])
        tension = None
        if hangs:
            weight = total * GRAVITY
            steady = np.maximum(even[:, j], 0.0) * weight
            most_n = most[:, j] * weight
            tension = Range(float(np.min([steady, most_n])), float(steady[0]), float(np.max([steady, most_n])))
        high = math.nan if tension is None else tension.high
        least = float(angle[:, j].min())
        inward_force = high * math.cos(least)
        slack = hangs and most[0, j] <= 1e-9
        rows.append(LegLoad(leg.name, tension, float(angle[0, j]), least, inward_force, bool(slack)))
    words = _words(name, hangs, beside, tilt, [asked[k].name for k in range(len(asked)) if k not in left])
    return SlungStage(
        name, number, kg, beside, float(tilt[0]), float(tilt.max()), up[0], hooks[0], tuple(rows), hangs, words
    )


def _hooks(points: np.ndarray, lengths: np.ndarray, hook: np.ndarray, centres: np.ndarray) -> np.ndarray:
    """Place of the hook in the piece's axes at rest, a row for each corner."""
    if len(points) == 1:
        line = points[0] - centres
        return np.asarray(points[0] + line / np.linalg.norm(line, axis=1)[:, None] * lengths[0])
    if len(points) == 2:
        return np.array([hook_over_two(points[0], points[1], lengths[0], lengths[1], centre) for centre in centres])
    return np.repeat(hook[None], len(centres), axis=0)


def _tensions(legs: np.ndarray, up: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    if np.ptp(legs, axis=0).max() < 1e-12:
        return shares(legs[0], up)
    pairs = [shares(own, row[None]) for own, row in zip(legs, up, strict=True)]
    return np.concatenate([even for even, _ in pairs]), np.concatenate([most for _, most in pairs])


def _words(name: str, hangs: bool, beside: float, tilt: np.ndarray, dropped: list[str]) -> str:
    if not hangs:
        return f"{name}: the hook does not stand over the sling points in any way that keeps every leg tight."
    where = "over the centre of mass" if beside < 1e-3 else f"{1e3 * beside:.0f} mm beside the centre of mass"
    words = f"{name}: the hook stands {where}; the piece tilts by {math.degrees(float(tilt[0])):.1f} degrees"
    if tilt.max() - tilt[0] > math.radians(0.1):
        words += f", up to {math.degrees(float(tilt.max())):.1f} over the range of the weights"
    if dropped:
        words += f"; {', '.join(dropped)} hang{'s' if len(dropped) == 1 else ''} slack"
    return words + "."


def _warnings(stages: list[SlungStage]) -> list[Finding]:
    lines = []
    for stage in stages:
        if not stage.hangs:
            lines.append(finding(Code.SLUNG_OUT_OF_BALANCE, stage.name, words=stage.words))
            continue
        if stage.greatest_tilt_rad > math.pi / 2:
            lines.append(finding(Code.TURNS_OVER_ON_SLING, stage.name))
        elif stage.greatest_tilt_rad > TILT_RAD:
            lines.append(finding(Code.TILTS_ON_SLING, stage.name, tilt_rad=stage.greatest_tilt_rad))
        slack = tuple(leg.name for leg in stage.legs if leg.slack)
        if slack:
            lines.append(finding(Code.LEGS_SLACK, stage.name, legs=slack))
        flat = [leg for leg in stage.legs if leg.least_angle_rad < LOWEST_ANGLE_RAD]
        if flat:
            least = min(flat, key=lambda leg: leg.least_angle_rad)
            lines.append(finding(Code.LEG_TOO_FLAT, stage.name, leg=least.name, angle_rad=least.least_angle_rad))
    if any(len(stage.legs) == 1 for stage in stages[:1]):
        lines.append(finding(Code.ONE_LEG))
    return lines


def _wide(points: np.ndarray, hook: np.ndarray, asked: tuple[Leg, ...]) -> tuple[Finding, ...]:
    """Legs that stand too far apart to be gathered on one hook or in one shackle."""
    ways = hook - points
    ways = ways / np.linalg.norm(ways, axis=1)[:, None]
    apart = np.arccos(np.clip(ways @ ways.T, -1.0, 1.0))
    widest = float(apart.max())
    if widest <= WIDE.value + 1e-9:
        return ()
    one, other = np.unravel_index(int(apart.argmax()), apart.shape)
    pair = asked[one].name, asked[other].name
    return (finding(Code.LEGS_TOO_WIDE, *pair, apart_rad=widest, most_rad=WIDE.value, source=WIDE.words()),)


def _checks(
    asked: tuple[Leg, ...], stages: list[SlungStage], dynamic: float, factor: Cited | None
) -> tuple[Check, ...]:
    """Angle and tension of every leg at its worst stage."""
    checks = []
    for k, leg in enumerate(asked):
        angles = [stage.legs[k].least_angle_rad for stage in stages if not math.isnan(stage.legs[k].least_angle_rad)]
        if angles:
            verdict = Verdict.OK if min(angles) >= LOWEST_ANGLE_RAD else Verdict.OVER
            remedy = "" if verdict == Verdict.OK else "longer legs, or a spreader beam"
            checks.append(
                Check(
                    f"{leg.name}: flatness of the leg",
                    math.pi / 2 - min(angles),
                    math.pi / 2 - LOWEST_ANGLE_RAD,
                    "rad",
                    verdict,
                    "rigging practice: no leg flatter than 30 degrees (common figure)",
                    remedy,
                )
            )
        tensions = [stage.legs[k].tension_n for stage in stages]
        worst = math.nan if any(t is None for t in tensions) else max(t.high for t in tensions if t is not None)
        value = worst * dynamic
        source = f"high tension of the worst stage times the hoisting factor {dynamic:g}"
        if leg.rating_n is None or (leg.breaking and factor is None):
            remedy = "give sling.load" if leg.rating_n is None else "the load is a breaking load: give hook.factor"
            checks.append(Check(f"{leg.name}: tension", value, math.nan, "N", Verdict.UNKNOWN, source, remedy))
            continue
        limit = leg.rating_n
        if leg.breaking and factor is not None:
            limit /= factor.value
            source += f"; design factor {factor.value:g} ({factor.words()})"
        verdict = Verdict.UNKNOWN if math.isnan(value) else Verdict.OK if value <= limit else Verdict.OVER
        remedy = "a stronger leg, or a steeper one" if verdict == Verdict.OVER else ""
        checks.append(Check(f"{leg.name}: tension", value, limit, "N", verdict, source, remedy))
    return tuple(checks)
