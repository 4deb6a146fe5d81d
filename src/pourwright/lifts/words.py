"""Sentences of the lifts stage: what bound a lift, what was minimised, and what to be warned of."""

from __future__ import annotations

import numpy as np

from pourwright.divide.bands import CLOSING, LIQUID, THICKNESS, Growth
from pourwright.divide.even import BestCuts
from pourwright.lifts import judged
from pourwright.lifts.checks import verdict
from pourwright.lifts.limits import BatchCap, LiftCap
from pourwright.lifts.model import Check, OneMore, ShopLimits, Tighter


def limit_of(
    growth: Growth,
    level_m: np.ndarray,
    bottom: int,
    height: int,
    limits: ShopLimits,
    cap: LiftCap,
    batch: BatchCap,
    tighter: tuple[Tighter, ...] = (),
) -> tuple[str, OneMore | None, str]:
    """What bound the lift that begins at level ``bottom`` (of the division) and has ``height`` levels.

    ``level_m`` are the heights of the division's levels, from the lowest up. Returns the name of the first limit it
    meets as it grows, what the first level too many would need (None for the last lift, which reaches the top), and a
    sentence.
    """
    kind = int(growth.kind[bottom])
    if kind == 0:
        return judged.FULL, None, "It reaches the top of the cavity before any limit."
    value, limit = float(growth.value[bottom]), float(growth.limit[bottom])
    name = judged.LIFT_THICKNESS
    if kind == THICKNESS:
        what = "the cap on the thickness of risen foam"
        check = _check(name, value, limit, "m", cap.source, cap.remedy)
        asks = [ask for ask in tighter if ask.thickness_m <= limit * (1 + 1e-9)] if limit < cap.thickness_m else []
        if asks:
            asked = min(asks, key=lambda ask: abs(ask.thickness_m - limit))
            name = asked.name
            what = f"the thickness that {asked.name} asks for there ({asked.words})"
            check = _check(name, value, limit, "m", asked.words, "")
    elif kind == LIQUID:
        name = judged.POUR_TIME if batch.by_time else judged.BATCH
        what = (
            f"the liquid that can be {'shot before its first gels' if limits.fresh else 'poured before it creams'}"
            if batch.by_time
            else f"the liquid that can be {'shot' if limits.fresh else 'mixed'} in one go"
        )
        by_hand = "cooler liquids or quicker pouring" if batch.by_time else "or a larger cup"
        remedy = judged.MORE_OUTPUT if limits.fresh else f"one more person mixing at the same time, {by_hand}"
        check = _check(name, value / limits.hands, limit / limits.hands, "m^3", "given in the job (shop)", remedy)
        if growth.joined[bottom]:
            name, what = judged.JOIN, f"a join of pools, which would together need more than {what}"
    else:
        name = judged.PRESSURE
        what = "the pressure that the weakest panel near it stands" + (
            ", once it closes a pocket" if kind == CLOSING else ""
        )
        remedy = "support the skin from outside there, or pack less"
        check = _check(name, value, limit, "Pa", "flattest panel near", remedy)
    forced, short = bool(growth.forced[bottom]), bool(growth.tallest[bottom] > height)
    words = f"The first limit it meets as it grows is {what}"
    if forced:
        words = f"Not even one level keeps within {what}: the lift is as thin as the grid allows"
    if short:
        words += "; it stops short of that so that the lifts are even"
    top = bottom + int(growth.tallest[bottom]) + (not forced)
    more = OneMore(check, float(level_m[min(top, len(level_m) - 1)]), forced, short)
    return name, more, words + "." + (f" What would lift it: {check.remedy}." if check.remedy else "")


def _check(name: str, value: float, limit: float, unit: str, source: str, remedy: str) -> Check:
    return Check(name, value, limit, unit, verdict(value, limit), source, remedy)


def objective_words(division: BestCuts, sliver_share: float) -> str:
    """What was minimised, in order, with the value reached."""
    return (
        f"fewest lifts: {division.lifts}; then fewest neighbours of which one is thinner than {sliver_share:.0%} of "
        f"the other: {division.slivers}; then fewest pours, landings their extents in plan call for, and pieces too "
        f"small for a pour: {division.pours}; then most even: {division.squares} as the sum of squared levels"
    )
