"""Sentences of the lifts stage: what bound a lift, what was minimised, and what to be warned of."""

from __future__ import annotations

import math

from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.lifts.bands import CLOSING, LIQUID, OPEN, THICKNESS, Growth
from pourwright.lifts.checks import verdict
from pourwright.lifts.divide import Division
from pourwright.lifts.limits import BatchCap, LiftCap
from pourwright.lifts.model import Check, ShopLimits

KELVIN = 273.15


def limit_of(
    growth: Growth, bottom: int, height: int, limits: ShopLimits, cap: LiftCap, batch: BatchCap
) -> tuple[str, Check | None, str]:
    """What bound the lift that begins at level ``bottom`` (of the division) and has ``height`` levels.

    Returns the name of the limit, the check that fails where the lift is grown by the first level too many (None for a
    lift that could have reached the top), and a sentence.
    """
    tallest, kind = int(growth.tallest[bottom]), int(growth.kind[bottom])
    spare = tallest - height
    even = " It stops short of that so that the lifts are even." if spare > 0 else ""
    if kind == 0:
        words = "Nothing limits it below the top of the cavity."
        if bottom + height < len(growth.tallest):
            words += " It stops short of the top so that the lifts are even."
        return judged.FULL, None, words
    value, limit = float(growth.value[bottom]), float(growth.limit[bottom])
    forced = (
        "Not even one level keeps this limit: the lift is as thin as the grid allows. " if growth.forced[bottom] else ""
    )
    if kind == THICKNESS:
        check = _check(judged.LIFT_THICKNESS, value, limit, "m", cap.source, cap.remedy)
        return (
            judged.LIFT_THICKNESS,
            check,
            f"{forced}Any taller and the risen foam would be thicker than its cap.{even}",
        )
    if kind == LIQUID:
        name = judged.POUR_TIME if batch.by_time else judged.BATCH
        what = "pour before it creams" if batch.by_time else "mix in one go"
        remedy = "one more person mixing at the same time, " + (
            "cooler liquids or quicker pouring" if batch.by_time else "or a larger cup"
        )
        check = _check(name, value / limits.hands, limit / limits.hands, "m^3", "given in the job (shop)", remedy)
        if growth.joined[bottom]:
            return (
                judged.JOIN,
                check,
                f"{forced}Pools join there, and together they would need more liquid at one time than the shop can "
                f"{what}.{even}",
            )
        return (
            name,
            check,
            f"{forced}Any taller and it would need more liquid at one time than the shop can {what}.{even}",
        )
    assert kind in (CLOSING, OPEN)
    reason = "it would close a pocket beside a panel" if kind == CLOSING else "its head would add up beside a panel"
    check = _check(
        judged.PRESSURE, value, limit, "Pa", "flattest panel near", "support the skin from outside there, or pack less"
    )
    return judged.PRESSURE, check, f"{forced}Any taller and {reason} that does not stand the pressure.{even}"


def _check(name: str, value: float, limit: float, unit: str, source: str, remedy: str) -> Check:
    return Check(name, value, limit, unit, verdict(value, limit), source, remedy)


def objective_words(division: Division, sliver_share: float) -> str:
    """What was minimised, in order, with the value reached."""
    return (
        f"fewest lifts: {division.lifts}; then fewest neighbours of which one is thinner than {sliver_share:.0%} of "
        f"the other: {division.slivers}; then fewest pours, and landings their extents in plan call for: "
        f"{division.pours}; "
        f"then most even: {division.squares} as the sum of squared levels"
    )


def celsius(kelvin: float) -> str:
    """A temperature for a sentence."""
    return f"{kelvin - KELVIN:.0f} °C"


def litres(volume_m3: float) -> str:
    """A volume for a sentence."""
    value = volume_m3 * 1e3
    if value <= 0:
        return "0 L"
    digits = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:.{digits}f} L"


def listing(names: list[str], most: int = 6) -> str:
    """Names in a sentence: a, b and c, or the first few and how many more."""
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def foam_name(foam: FoamAtShop) -> str:
    """The grade for a sentence."""
    return foam.grade.title
