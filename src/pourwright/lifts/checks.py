"""The limits of one pour as checks: data for whoever decides, never an exception."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.lifts.limits import (
    BatchCap,
    LiftCap,
    cooler_liquids,
    empty_s,
    in_by_s,
    surface_under_limit_k,
    surface_under_words,
)
from pourwright.lifts.model import Check, Pour, ShopLimits
from pourwright.ranges import Range
from pourwright.sources import Standing

if TYPE_CHECKING:
    from pourwright.lifts.thermal import Heat  # loads solvers, which whoever reads a made plan has no use for

JOB = Standing.JOB.value


@dataclass(frozen=True, slots=True)
class Facts:
    """What the checks of one pour need to know. SI."""

    rise_m: float
    cup_m3: float  # liquid of one of its mixes
    at_once: int  # mixes of all pours that rise together with it, its own among them
    together: int  # number of those pours
    pressure_pa: Range
    strength_pa: float  # inf: held from outside; nan: unknown
    panel_words: str
    landings: int
    flow_distance_m: float  # nan without a landing
    heat: Heat
    in_limb: bool = False  # cut from a limb by its heat, not a band of even height


def verdict(value: float, limit: float) -> Verdict:
    """``ok``, ``over``, or ``unknown`` where either is not a number."""
    if math.isnan(value) or math.isnan(limit):
        return Verdict.UNKNOWN
    return Verdict.OK if value <= limit * (1 + 1e-9) else Verdict.OVER


def until_measured(check: Check, foam: FoamAtShop) -> Check:
    """A check at the 95 % end of a heat that nobody has measured: what is over there only is not known, not over."""
    unmeasured = foam.grade.rise_sd_k >= judged.KNOWN_SD.value
    return replace(check, verdict=Verdict.UNKNOWN) if check.verdict == Verdict.OVER and unmeasured else check


def checks_of(facts: Facts, foam: FoamAtShop, limits: ShopLimits, cap: LiftCap, batch: BatchCap) -> tuple[Check, ...]:
    """All checks of one pour, in a fixed order."""
    # A judged thickness means nothing in a limb that was cut by its heat: there only a supplier's own figure counts.
    thick = [_check(judged.LIFT_THICKNESS, facts.rise_m, cap.thickness_m, "m", cap.source, cap.remedy)]
    return (
        *([] if cap.judged and facts.in_limb else thick),
        *_of_hands(facts, foam, limits, batch),
        *_of_heat(facts, foam, limits),
        _pressure(facts),
    )


def _of_hands(facts: Facts, foam: FoamAtShop, limits: ShopLimits, batch: BatchCap) -> tuple[Check, ...]:
    """What can be mixed, poured in time, and reached; a machine has no hands to count."""
    each, in_by = facts.cup_m3, "gel" if limits.fresh else "cream"
    moving = moving_s(facts.landings, facts.at_once, limits)
    work = "a shot" if limits.fresh else "mixing and pouring a cup"
    return (
        _check(
            judged.BATCH,
            each,
            batch.largest_m3,
            "m^3",
            f"{JOB} (shop): liquid of one {'shot' if limits.fresh else 'cup'}",
            "a longer shot" if limits.fresh else "a larger cup",
        ),
        _check(
            judged.POUR_TIME,
            empty_s(each, limits, moving),
            in_by_s(foam, limits),
            "s",
            f"{in_by} time at the shop's temperature against {work}",
            f"{judged.FEWER if moving > 0 else ''}cooler liquids, or "
            f"{judged.MORE_OUTPUT if limits.fresh else 'quicker mixing and pouring'}",
        ),
        *([] if limits.fresh else [_hands(facts, limits)]),
        _check(
            judged.FLOW_DISTANCE,
            facts.flow_distance_m,
            limits.flow_distance_m,
            "m",
            f"{JOB} (shop), {Standing.JUDGEMENT.value} where left at its default: way of the liquid over the floor",
            "one more port",
        ),
    )


def pourers(landings: int, at_once: int, limits: ShopLimits) -> int:
    """People who pour one cup: those who have none of their own share it, each with holes of their own."""
    return max(1, min(landings, limits.hands // max(at_once, 1)))


def moving_s(landings: int, at_once: int, limits: ShopLimits) -> float:
    """Time that goes by between the holes that a cup is poured through [s]; a machine's shots are each by themselves.

    >>> moving_s(5, 1, ShopLimits(hands=2)), moving_s(1, 1, ShopLimits())
    (8.0, 0.0)
    """
    if limits.fresh or landings < 2:
        return 0.0
    return judged.MOVE_ON.value * (math.ceil(landings / pourers(landings, at_once, limits)) - 1)


def at_once_of(pour: Pour) -> int:
    """Cups that have to be poured at the same time with those of a pour."""
    return max((round(check.value) for check in pour.checks if check.name == judged.HANDS), default=pour.batches)


def cup_empty_s(pour: Pour, limits: ShopLimits) -> float:
    """When a cup of a pour is empty, from the start of its mixing [s]: down its slowest tube, round all its holes."""
    slowest = min((one.tube.flow_m3_s for one in pour.landings if one.tube is not None), default=math.inf)
    return empty_s(pour.batch.total_m3, limits, moving_s(len(pour.landings), at_once_of(pour), limits), slowest)


def _hands(facts: Facts, limits: ShopLimits) -> Check:
    """People for the cups that have to be poured at the same time."""
    together = "" if facts.together == 1 else f", for {facts.together} pours that rise together"
    more = max(facts.at_once - limits.hands, 1)
    return _check(
        judged.HANDS,
        float(facts.at_once),
        float(limits.hands),
        "",
        f"{JOB} (shop): cups that have to be poured at the same time{together}",
        f"{'one more person' if more == 1 else f'{more} more people'} mixing at the same time, or a larger cup",
    )


def _of_heat(facts: Facts, foam: FoamAtShop, limits: ShopLimits) -> tuple[Check, ...]:
    """The core by itself, and what the next pour lands on, by formula."""
    return (
        _check(
            judged.PEAK,
            facts.heat.peak_k.nominal,
            foam.grade.stop_k,
            "K",
            _cited(foam, "stop_k"),
            cooler_liquids(foam),
        ),
        until_measured(
            _check(
                judged.EMERGENCY,
                facts.heat.peak_k.high,
                foam.grade.emergency_k,
                "K",
                f"{_cited(foam, 'emergency_k')}; at the 95 % end of the heat",
                cooler_liquids(foam),
            ),
            foam,
        ),
        _check(
            judged.SURFACE_UNDER,
            facts.heat.surface_under_k,
            surface_under_limit_k(foam, limits),
            "K",
            f"{surface_under_words(limits)}; top of this pour after its wait, formula",
            "a longer wait, or a cooler shop",
        ),
    )


def batches_for(liquid_m3: float, batch: BatchCap) -> int:
    """Mixes that ``liquid_m3`` has to be divided into, at least one."""
    return max(1, math.ceil(liquid_m3 / batch.volume_m3 - 1e-9))


def _pressure(facts: Facts) -> Check:
    value = facts.pressure_pa.nominal
    if math.isinf(facts.strength_pa):
        return Check(judged.PRESSURE, value, math.inf, "Pa", Verdict.OK, "carried by the support outside the skin", "")
    return _check(
        judged.PRESSURE,
        value,
        facts.strength_pa,
        "Pa",
        facts.panel_words,
        "support the skin from outside there, pack less, or stiffen the panel",
    )


def _cited(foam: FoamAtShop, name: str) -> str:
    cited = foam.grade.cited.get(name)
    return cited.words() if cited is not None else "unknown"


def _check(name: str, value: float, limit: float, unit: str, source: str, remedy: str) -> Check:
    return Check(name, value, limit, unit, verdict(value, limit), source, remedy)
