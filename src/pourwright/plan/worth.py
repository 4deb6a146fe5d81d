"""What it would be worth to measure the rise before the day: the same lifts, with the rise that cups would show."""

from __future__ import annotations

import math
from dataclasses import replace

from pourwright.day import Choice
from pourwright.foam import FoamAtShop, rise_of, with_readings
from pourwright.heat import find_waits
from pourwright.lifts import Division, EvenBands, judged
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan.case import Case
from pourwright.plan.heating import COARSE, Heating, problem_of, wait_rule

CUPS = 3
WORTH_S = 900.0
"""Less waiting than this is not worth a line; our judgement."""
STEP_K = 10.0
"""What cups might show is told in round steps of this."""
NEAR_STOP_K = 5.0
"""A pour that by itself comes closer than this to the stop temperature has next to nothing left for what it is poured
on; our judgement."""


def worth_words(case: Case, plan: Division, heating: Heating) -> str:
    """One sentence on the hours that three cups would save with these lifts; empty where there is nothing to say.

    The waits with the cups are sought on few cells and stretched as those of today were.
    """
    foam, rules = case.foam, case.rules
    if not isinstance(plan.day, EvenBands):
        return _of_day(plan.day, foam)
    if heating.sought_s <= 0:  # one lift: nothing waits
        return ""
    today = sum(wait.seconds for wait in heating.waits.waits)
    stretched = today / heating.sought_s
    shortest = len(heating.waits.waits) * rules.shortest_wait_s
    if foam.grade.rise_sd_k < judged.KNOWN_SD.value or today < shortest + WORTH_S:
        return ""
    said = []
    for words, known in as_cups_show(foam):
        if _past_stop(known):
            said.append(f"{words}, cooler liquids are needed")
            continue
        measured = case.of_foam(known)
        problem = problem_of(measured, plan, max(2000, rules.cells // COARSE))
        found = find_waits(replace(problem, end_s=0.0), wait_rule(measured))
        spent = stretched * sum(wait.seconds for wait in found.waits)
        said.append(f"{words}, {_hours(spent)}")
    return (
        f"What measuring is worth, with these lifts: as known today {_hours(today)} from the first mix to the last "
        f"lift; three cups with a thermocouple in the middle (foam at least 90 mm across): {'; '.join(said)}."
    )


def as_cups_show(foam: FoamAtShop) -> tuple[tuple[str, FoamAtShop], ...]:
    """The foam as three cups would show it: at the likely rise, rounded up and down to a step; none for a known one."""
    if foam.grade.rise_sd_k < judged.KNOWN_SD.value:
        return ()
    low = STEP_K * math.floor(foam.rise_k.nominal / STEP_K)
    out = []
    for shown in (low + STEP_K, low):
        grade = with_readings(foam.grade, [shown] * CUPS, "thermocouple", "cups that nobody has made yet")
        out.append((f"if they show {shown:.0f} ± 6 K", replace(foam, grade=grade, rise_k=rise_of(grade))))
    return tuple(out)


def _past_stop(known: FoamAtShop) -> bool:
    """Whether a pour by itself passes the stop temperature."""
    return _alone_k(known) > known.grade.stop_k


def _alone_k(known: FoamAtShop) -> float:
    return known.rise_k.nominal + known.conditions.parts_k


def _near_stop(known: FoamAtShop | None) -> str:
    """Why, where a pour by itself is near the stop temperature already."""
    if known is None or _alone_k(known) < known.grade.stop_k - NEAR_STOP_K:
        return ""
    alone, stop = (value - ZERO_CELSIUS_K for value in (_alone_k(known), known.grade.stop_k))
    return f" (a core by itself comes to {alone:.0f} °C of the {stop:.0f} °C that it may reach: use cooler liquids)"


def _of_day(choice: Choice, foam: FoamAtShop) -> str:
    """The same for a searched day, which was searched again with what the cups would show."""
    offers = choice.offers
    if offers is None or not offers.measured:
        return ""
    if offers.kept and all(offers.hours - offer.hours < WORTH_S / 3600.0 for offer in offers.measured):
        return ""
    shown = dict(as_cups_show(foam))
    said = []
    for offer in offers.measured:
        days = f"{_hours(3600.0 * offer.hours)} and {offer.pours} pours"
        if not offer.kept:
            days = f"no day that keeps the limits was found{_near_stop(shown.get(offer.change))}"
        past = offer.change in shown and _past_stop(shown[offer.change])
        said.append(f"{offer.change}, {'cooler liquids are needed' if past else days}")
    today = f"{_hours(3600.0 * offers.hours)} to the last pour and {offers.pours} pours"
    kept = "" if offers.kept else ", with more time at temperature than allowed"
    return (
        f"What measuring is worth: as known today {today}{kept}; three cups with a thermocouple in the middle (foam at "
        f"least 90 mm across): {'; '.join(said)}. (All on the {choice.cells} cells of the search.)"
    )


def _hours(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
