"""The skin while the foam rises: how far it bulges lift by lift, and where a shore would hold it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pourwright.errors import ShellError
from pourwright.sources import Cited, Standing
from pourwright.structure.model import LiftBulge, PressedLift, Prop
from pourwright.structure.pressed import PressedPart, Under

PAD = Cited(0.06, "m", Standing.JUDGEMENT, note="radius of the pad of a shore")
BOARDS = (1.0, 2.0, 3.5)  # pads of a shore, then boards under it, over the radius of a pad
MOST_PROPS = 12  # to one lift; a piece that needs more wants a cradle
MANY = 3.0  # times what it may: pads alone are not tried
ROUNDS = 4  # of shores added where the skin still moves too far
THINNER = (0.75, 0.5, 0.35, 0.25)
HARDLY_THINNER = (0.95, 0.9, 0.84, *THINNER)
LEAST_LIFT = 0.05  # [m]
STEPS = 2  # on a power law, to the pressure at which the skin is at its limit
LEAST_POWER = 0.3  # of the pressure that a bulge grows with; a held plate far beyond its wall has 1/3
HALVINGS = 3  # of such a step


def lift_bulge(under: Under, lift: PressedLift, thinner: bool = True, props: bool = True) -> LiftBulge:
    """How far the skin bulges under one lift, and what would hold it.

    Parameters
    ----------
    under : Under
    lift : PressedLift
    thinner : bool
        Whether to look for a thinner lift too where it bulges too far.
    props : bool
        Whether to look for shores there.

    Returns
    -------
    LiftBulge
        ``unknown`` where no rest was found: never to be taken as safe. Where the whole pressure takes the skin beyond
        its theory, it is ``over``, by the lower pressure at which it is at its limit already (``beyond``).

    Notes
    -----
    The lift's pressure acts on the skin between its bottom and top. Below, set foam only pushes (bonded: also pulls);
    above, the skin is empty. What faces the ground on the lowest band stays on it; with ``props`` the force that this
    may take is told (``hold_down_n``). The pressure is brought to balance, vessel by vessel, by the drag of the foam
    along the wall (``structure.balance``). Membrane stretch counts where the linear bulge is more than half the wall.
    Skin more than 0.6 widths beyond the lift is taken as still. Stress is told where the skin can bend: not where a
    whole triangle lies against the ground, a pad or a board.
    """
    limit = under.material.design_stress_pa
    nothing = np.full(3, np.nan)
    if under.held:
        return LiftBulge(
            lift.number, lift.pressure_pa, math.nan, nothing, math.nan, math.nan, limit, False, "held",
            words="held from outside: the mould or cradle takes the pressure",
        )  # fmt: skip
    if not math.isfinite(lift.pressure_pa):
        return LiftBulge(
            lift.number, lift.pressure_pa, math.nan, nothing, math.nan, math.nan, limit, False, "unknown",
            words="its pressure is not known",
        )  # fmt: skip
    part = PressedPart(under, lift)
    if part.empty:
        return LiftBulge(
            lift.number, lift.pressure_pa, math.nan, nothing, math.nan, math.nan, limit, False, "unknown",
            words="no triangle of the coarse skin lies within this lift: ask for more triangles",
        )  # fmt: skip
    try:
        bulge = _bulged(part)
    except ShellError as error:
        return LiftBulge(
            lift.number, lift.pressure_pa, math.nan, nothing, math.nan, math.nan, limit, True, "unknown",
            words=str(error),
        )  # fmt: skip
    if bulge.verdict == "over" and props:
        bulge = _propped(part, bulge)
    if bulge.verdict == "over" and thinner:
        bulge = replace(bulge, thinner_m=thinner_lift(under, lift))
    return replace(bulge, hold_down_n=_hold_down(under, part)) if props else bulge


def _bulged(part: PressedPart) -> LiftBulge:
    """The bulge under the whole pressure; where there is no figure for it, under how much less it is at its limit."""
    try:
        bulge = part.solve(())
    except ShellError as error:
        why = str(error)
    else:
        if not bulge.beyond:
            return bulge
        why = bulge.beyond
    there, stands = _at_limit(part)
    whole = part.lift.pressure_pa
    if not stands < whole:
        raise ShellError(why)
    part.scaled(whole / there.pressure_pa)
    return replace(
        there, pressure_pa=whole, outward_m=math.nan, stress_pa=math.nan, bulge_used=math.nan, used=whole / stands,
        stands_pa=stands, large=True, verdict="over", beyond=why,
    )  # fmt: skip


def limit_pressure(under: Under, lift: PressedLift, bulge: LiftBulge) -> float:
    """Pressure [Pa] at which the first of both limits is reached without shores, where ``bulge`` is that of the lift.

    inf where nothing moves; nan where it is not known.
    """
    if not math.isnan(bulge.stands_pa) or math.isnan(bulge.used):
        return bulge.stands_pa
    if not bulge.large or bulge.used <= 0:
        return bulge.pressure_pa / bulge.used if bulge.used > 0 else math.inf
    try:
        return _at_limit(PressedPart(under, lift))[1]
    except ShellError:  # the safe end of the power law
        return bulge.pressure_pa / bulge.used ** (1.0 / LEAST_POWER if bulge.used > 1 else 1.0)


def _at_limit(part: PressedPart) -> tuple[LiftBulge, float]:
    """The bulge near the pressure at which the skin is at its limit, and that pressure [Pa].

    Begins where it would be in proportion, which is never too much, as a skin that stretches only gets stiffer; from
    there two steps on a power law. A step into what the theory does not hold for is halved; where that does not help,
    the last pressure that was within is taken.
    """
    start = part.solve((), stretch=False).used
    if not start > 0:
        raise ShellError("nothing moves under this lift")
    share, power = 1.0 / start, 0.5
    last = part.solve((), share)
    for _ in range(STEPS):
        want = share / last.used ** (1.0 / power)
        found = _within(part, share, want)
        if found is None:
            return last, share * part.lift.pressure_pa
        more, bulge = found
        if abs(math.log(more / share)) > 1e-6:
            power = min(max(math.log(bulge.used / last.used) / math.log(more / share), LEAST_POWER), 1.0)
        share, last = more, bulge
    return last, share / last.used ** (1.0 / power) * part.lift.pressure_pa


def _within(part: PressedPart, good: float, want: float) -> tuple[float, LiftBulge] | None:
    """The share of the pressure nearest to ``want``, from ``good`` on, for which there is a figure; with the bulge."""
    for _ in range(HALVINGS):
        try:
            bulge = part.solve((), want)
        except ShellError:
            pass
        else:
            if not bulge.beyond and bulge.used > 0:
                return want, bulge
        want = math.sqrt(good * want)
    return None


def _hold_down(under: Under, part: PressedPart) -> float:
    """Force [N] that keeps the side on the ground from bellying, its pressure over its area; 0 where it need not.

    A lift pushes its floor down as it pushes its walls out; the ground pushes back with no more than the piece weighs.
    Without the ground, the side is as free as any other: where it then moves by more than it may, the piece is to be
    held down (its own weight counts towards it).
    """
    on = part.floor[part.model.triangles].all(axis=1) & part.pressed
    if not on.any():
        return 0.0
    free = PressedPart(under, part.lift, held=False)
    try:
        free.solve(())
    except ShellError:
        pass
    else:
        if free.share[part.floor].max() <= 1.0:
            return 0.0
    area = part.model.area_m2[on] * part.pressed_share[on]
    return float(part.lift.pressure_pa * (area * -part.model.normals[on, 2]).sum())


def _propped(part: PressedPart, bulge: LiftBulge) -> LiftBulge:
    """Shores where the skin moves most, until it passes: on pads, on boards, at last on boards over flat sides."""
    best = bulge
    for size in (*BOARDS[not bulge.used <= MANY :], math.inf):
        whole = math.isinf(size)
        pad = max(PAD.value if whole else size * PAD.value, 1.2 * part.under.mesh.side_m)
        props: tuple[Prop, ...] = ()
        last = bulge
        for k in range(ROUNDS):
            more = part.sides(props) if whole else part.bulges(last, props, pad, wide=k == 0)
            if not more or len(props) + len(more) > MOST_PROPS:
                break
            try:
                last = part.solve((*props, *more))
            except ShellError:
                break
            props = last.props
            if last.verdict == "ok":
                return _with(bulge, last, "")
        if props and (not best.props or last.stress_pa < best.stress_pa):
            best = last
    if not best.props:
        return replace(bulge, words="no rest was found with shores: hold the skin in a mould or cradle")
    return _with(bulge, best, "not within its limits with these shores either: hold the skin in a mould or cradle")


def _with(bulge: LiftBulge, last: LiftBulge, words: str) -> LiftBulge:
    return replace(
        bulge,
        props=tuple(prop for prop in last.props if prop.force_n > 0),
        propped_m=math.nan if last.beyond else last.outward_m,
        propped_pa=math.nan if last.beyond else last.stress_pa,
        passes=last.verdict == "ok",
        words=words,
    )


def thinner_lift(under: Under, lift: PressedLift, shares: tuple[float, ...] = THINNER) -> float:
    """The thickest of some thinner lifts, from the same bottom under the same pressure, that passes; nan if none.

    ``shares`` of its thickness are tried. Where the thinnest does not pass, no other would.
    """
    high = lift.top_m - lift.bottom_m
    return _thinner(under, high, shares, lambda thick: replace(lift, top_m=lift.bottom_m + thick))


def higher_start(under: Under, lift: PressedLift, shares: tuple[float, ...] = HARDLY_THINNER) -> float:
    """As `thinner_lift`, to the same top: the lowest bottom [m] of a lift that passes; nan if none."""
    high = lift.top_m - lift.bottom_m
    return lift.top_m - _thinner(under, high, shares, lambda thick: replace(lift, bottom_m=lift.top_m - thick))


def _thinner(under: Under, high: float, shares: tuple[float, ...], of: Callable[[float], PressedLift]) -> float:
    thicks = [share * high for share in shares if share * high >= LEAST_LIFT]

    def passes(thick: float) -> bool:
        trial = PressedPart(under, of(thick))
        try:
            return not trial.empty and trial.solve(()).verdict == "ok"
        except ShellError:
            return False

    if not thicks or not passes(thicks[-1]):
        return math.nan
    return next((thick for thick in thicks[:-1] if passes(thick)), thicks[-1])
