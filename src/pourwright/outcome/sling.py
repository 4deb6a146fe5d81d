"""A piece on a sling: whether the hook stands over the centre of mass, how it tilts, what each leg carries."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError, in_words
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
"""Of the flattest leg where the job gives neither lengths nor hook: our judgement, no published source."""
SLIGHT_RAD = math.radians(5.0)
"""A tilt or roll that is no more than this is not told: our judgement, no published source."""
MISS_M = 0.01
"""Legs that miss one hook by no more than this are tight: our judgement, no published source."""
LOWEST_ANGLE_RAD = math.radians(30.0)
"""Legs flatter than this over level are not recommended: common practice, no source."""
FLAT_WORDS = f"rigging practice: no leg flatter than {math.degrees(LOWEST_ANGLE_RAD):.0f} degrees (common figure)"
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
    slack: bool  # at any corner of the weights


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

    @property
    def turns_over(self) -> bool:
        """Whether the hook is below the centre of mass while the piece still stands, at any corner of its weights."""
        return self.greatest_tilt_rad > math.pi / 2


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
        No leg is named, the legs cannot meet, or a leg is not as long as it is far to the hook.
    """
    asked = piece.site.legs
    if not asked:
        raise UsageError("the job names no sling: give one [[sling]] a leg, in the job or by --job")
    points = np.array([leg.spot.standing(piece.frame) for leg in asked])
    record = weigh(piece.parts, piece.lined)
    centre = piece.frame.to_standing(record.stages[-1].centre_m)
    hook, words, warnings = _hook(piece, points, asked, centre)
    _agree(piece, points, asked, hook)
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
        words = "over the finished piece's centre of mass, so high that no leg is flatter than "
        words += f"{math.degrees(DEFAULT_ANGLE_RAD):.0f} degrees"
    return np.array([centre[0], centre[1], height]), words, []


def _agree(piece: Piece, points: np.ndarray, asked: tuple[Leg, ...], hook: np.ndarray) -> None:
    """Refuse legs that are not as long as it is from their points to a hook that is not found from their lengths."""
    placed = piece.site.hook.at_m is not None or piece.site.hook.above_m is not None
    if len(asked) == 1 or not (placed or any(leg.length_m is None for leg in asked)):
        return
    for leg, point in zip(asked, points, strict=True):
        far = float(np.linalg.norm(hook - point))
        if leg.length_m is not None and abs(leg.length_m - far) > MISS_M:
            remedy = "leave out hook.at and hook.above, or the lengths" if placed else "give the lengths of all legs"
            raise UsageError(
                f"{leg.name} is {in_words(leg.length_m)} long, and from its point to the hook it is "
                f"{in_words(far)}: {remedy}"
            )


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
    """One stage, low and high over the corners of its weights."""
    kg = Range.of_rows(total)
    beside = float(np.hypot(*(centres[0, :2] - hook[:2])))
    rest = _at_rest(points, lengths, hook, centres)
    tilt = np.arccos(np.clip(rest.up[:, 2], -1, 1))
    hangs = not np.isnan(rest.most).any()
    rows = [_leg_load(leg.name, rest, k, total * GRAVITY, hangs) for k, leg in enumerate(asked)]
    words = _words(
        name, hangs, beside, tilt, [leg.name for leg, k in zip(asked, rest.angle[0], strict=True) if math.isnan(k)]
    )
    return SlungStage(
        name,
        number,
        kg,
        beside,
        float(tilt[0]),
        float(tilt.max()),
        rest.up[0],
        rest.hooks[0],
        tuple(rows),
        hangs,
        words,
    )


@dataclass(frozen=True, eq=False)
class _Rest:
    """The piece at rest at every corner (c,) of its weights, by leg (n,); tensions are for a unit weight."""

    hooks: np.ndarray  # (c, 3) in the piece's axes
    up: np.ndarray  # (c, 3)
    even: np.ndarray  # (c, n) shared by stiffness; 0 where the leg is slack
    most: np.ndarray  # (c, n) that any safe path puts on it; nan where the piece cannot hang so
    angle: np.ndarray  # (c, n) over level; nan where the leg is slack


def _at_rest(points: np.ndarray, lengths: np.ndarray, hook: np.ndarray, centres: np.ndarray) -> _Rest:
    """Where a leg would have to push at a corner it is left out there, and the rest solved again."""
    c, n = len(centres), len(points)
    out = _Rest(np.zeros((c, 3)), np.zeros((c, 3)), np.zeros((c, n)), np.zeros((c, n)), np.full((c, n), math.nan))
    left_out = [(np.arange(c), np.arange(n))]
    while left_out:
        rows, left = left_out.pop()
        hooks = _hooks(points[left], lengths[left], hook, centres[rows])
        line = hooks - centres[rows]
        up = line / np.linalg.norm(line, axis=1)[:, None]
        legs = hooks[:, None] - points[left]
        even, most = _tensions(legs, up)
        again = np.isnan(most).any(axis=1) & ~np.isnan(even).all(axis=1) & (len(left) > 1)
        unit = legs / np.linalg.norm(legs, axis=2)[:, :, None]
        angle = np.arcsin(np.clip(np.einsum("cnd,cd->cn", unit, up), -1, 1))
        out.hooks[rows[~again]], out.up[rows[~again]] = hooks[~again], up[~again]
        for whole, part in ((out.even, even), (out.most, most), (out.angle, angle)):
            whole[np.ix_(rows[~again], left)] = part[~again]
        pushes = np.full(len(rows), -1)
        pushes[again] = np.nanargmin(even[again], axis=1) if again.any() else -1
        left_out += [(rows[pushes == k], np.delete(left, k)) for k in np.unique(pushes[again])]
    return out


def _leg_load(name: str, rest: _Rest, k: int, weight: np.ndarray, hangs: bool) -> LegLoad:
    """One leg over the corners; ``slack`` where it is so at any of them."""
    angle = rest.angle[:, k]
    if np.isnan(angle).all():
        return LegLoad(name, Range.exact(0.0), math.nan, math.nan, 0.0, True)
    tension = None
    if hangs:
        steady, most = np.maximum(rest.even[:, k], 0.0) * weight, rest.most[:, k] * weight
        tension = Range(float(np.min([steady, most])), float(steady[0]), float(np.max([steady, most])))
    least = float(np.nanmin(angle))
    high = math.nan if tension is None else tension.high
    inward_force = high * math.cos(least)
    slack = hangs and bool((rest.most[:, k] <= 1e-9).any())
    return LegLoad(name, tension, float(angle[0]), least, inward_force, slack)


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
        if stage.turns_over:
            lines.append(finding(Code.TURNS_OVER_ON_SLING, stage.name))
        elif stage.greatest_tilt_rad > SLIGHT_RAD:
            lines.append(finding(Code.TILTS_ON_SLING, stage.name, tilt_rad=stage.greatest_tilt_rad))
        slack = tuple(leg.name for leg in stage.legs if leg.slack)
        if slack:
            lines.append(finding(Code.LEGS_SLACK, stage.name, legs=slack))
        flat = [leg for leg in stage.legs if leg.least_angle_rad < LOWEST_ANGLE_RAD]
        if flat:
            least = min(flat, key=lambda leg: leg.least_angle_rad)
            lines.append(
                finding(
                    Code.LEG_TOO_FLAT,
                    stage.name,
                    leg=least.name,
                    angle_rad=least.least_angle_rad,
                    least_rad=LOWEST_ANGLE_RAD,
                )
            )
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
                    FLAT_WORDS,
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
