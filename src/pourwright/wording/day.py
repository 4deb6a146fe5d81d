"""The days a plan was chosen from, and what would shorten it, for people."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pourwright import units
from pourwright.lifts import EvenBands

if TYPE_CHECKING:
    from pourwright.day import Choice, Day, Offer
    from pourwright.plan import Plan

DAY_HEAD = ("pours", "to the last", "hottest point above the limit", "with its margins", "foam", "")


def shown_days(plan: Plan, choice: Choice) -> list[tuple[int, Day, tuple[float, float]]]:
    """Number, day and dose [h], likely and high, of the days to choose from: of the one that is taken as the plan has
    it, computed on its own cells, of others as the search found it.
    """
    computed = plan.lift_plan.dose_h
    return [
        (k, day, computed if k == choice.chosen and math.isfinite(computed[0]) else (day.worst_h, day.high_h))
        for k, day in ((k, choice.front[k]) for k in choice.shown)
    ]


def day_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Pours, time to the last, time of the hottest point above the caution temperature, and which one is taken."""
    choice = plan.lift_plan.day
    if isinstance(choice, EvenBands) or len(choice.shown) < 2:
        return []
    rows: list[tuple[str, ...]] = []
    for k, day, (likely, high) in shown_days(plan, choice):
        above = "never" if likely <= 0 else units.time(3600 * likely)
        if math.isfinite(high) and high > likely:
            above += f", at the high end of the heat {units.time(3600 * high)}"
        rows.append(
            (
                str(len(day.stretches)),
                units.time(3600 * day.hours),
                above,
                "kept" if day.keeps else "not kept",
                units.mass(day.foam_kg),
                "this plan" if k == choice.chosen else f"--take {len(day.stretches)}" if day.keeps else "",
            )
        )
    return rows


def offer_lines(plan: Plan) -> list[str]:
    """What a change of shop or foam would make of the day, as computed; empty where that was not asked."""
    choice = plan.lift_plan.day
    if isinstance(choice, EvenBands) or choice.offers is None:
        return []
    offers = choice.offers
    lines = [f"{offer.change[0].upper()}{offer.change[1:]}: {_offered(offer)}." for offer in offers.worth]
    if lines:
        now = f"{offers.pours} pours, {units.time(3600 * offers.hours)} to the last"
        as_is = f"As it is: {now}" if offers.kept else f"As it is, on the same cells: {now}, and the limit not kept"
        lines.append(f"{as_is}.")
    if offers.nothing:
        lines.append(f"Of no worth for this day: {', '.join(offers.nothing)}.")
    if not offers.kept and math.isfinite(offers.keeps_to_k):
        lines.append(
            f"These pours keep the limit where the foam's rise is {units.difference(offers.keeps_to_k)} or less: "
            "measure cups, or take cooler liquids or another foam."
        )
    return [units.in_both(line) for line in lines]


def _offered(offer: Offer) -> str:
    kept = "" if offer.kept else ", and the limit still not kept"
    return f"{offer.pours} pours, {units.time(3600 * offer.hours)} to the last{kept}"
