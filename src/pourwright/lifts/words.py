"""What bound a lift as it grew, and what was minimised."""

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
) -> tuple[str, OneMore | None]:
    """What bound the lift that begins at level ``bottom`` (of the division) and has ``height`` levels.

    ``level_m`` are the heights of the division's levels, from the lowest up. Returns the name of the first limit it
    meets as it grows, and what the first level too many would need (None for the last lift, which reaches the top).
    """
    kind = int(growth.kind[bottom])
    if kind == 0:
        return judged.FULL, None
    value, limit = float(growth.value[bottom]), float(growth.limit[bottom])
    name = judged.LIFT_THICKNESS
    if kind == THICKNESS:
        check = _check(name, value, limit, "m", cap.source, cap.remedy)
        asks = [ask for ask in tighter if ask.thickness_m <= limit * (1 + 1e-9)] if limit < cap.thickness_m else []
        if asks:
            asked = min(asks, key=lambda ask: abs(ask.thickness_m - limit))
            name = asked.name
            check = _check(name, value, limit, "m", asked.words, "")
    elif kind == LIQUID:
        name = judged.POUR_TIME if batch.by_time else judged.BATCH
        by_hand = "cooler liquids or quicker pouring" if batch.by_time else "or a larger cup"
        remedy = judged.MORE_OUTPUT if limits.fresh else f"one more person mixing at the same time, {by_hand}"
        check = _check(name, value / limits.hands, limit / limits.hands, "m^3", "given in the job (shop)", remedy)
        if growth.joined[bottom]:
            name = judged.JOIN
    else:
        name = judged.PRESSURE
        remedy = "support the skin from outside there, or pack less"
        check = _check(
            name,
            value,
            limit,
            "Pa",
            "flattest panel near" + (", once it closes a pocket" if kind == CLOSING else ""),
            remedy,
        )
    forced, short = bool(growth.forced[bottom]), bool(growth.tallest[bottom] > height)
    top = bottom + int(growth.tallest[bottom]) + (not forced)
    return name, OneMore(check, float(level_m[min(top, len(level_m) - 1)]), forced, short)


def _check(name: str, value: float, limit: float, unit: str, source: str, remedy: str) -> Check:
    return Check(name, value, limit, unit, verdict(value, limit), source, remedy)


def objective_words(division: BestCuts, sliver_share: float) -> str:
    """What was minimised, in order, with the value reached."""
    return (
        f"fewest lifts: {division.lifts}; then fewest neighbours of which one is thinner than {sliver_share:.0%} of "
        f"the other: {division.slivers}; then fewest pours, landings their extents in plan call for, and pieces too "
        f"small for a pour: {division.pours}; then most even: {division.squares} as the sum of squared levels"
    )
