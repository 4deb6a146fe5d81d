"""What it would be worth to measure the rise before the day: the same lifts, with the rise that cups would show."""

from __future__ import annotations

import math
from dataclasses import replace

from pourwright.day import Choice
from pourwright.foam import FoamAtShop, rise_of, with_readings
from pourwright.heat import find_waits
from pourwright.lifts import Division, EvenBands, judged
from pourwright.plan.case import Case
from pourwright.plan.heating import COARSE, Heating, problem_of, wait_rule

CUPS = 3
WORTH_S = 900.0
"""Less waiting than this is not worth a line; our judgement."""
STEP_K = 10.0
"""What cups might show is told in round steps of this."""


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
    return known.rise_k.nominal + known.conditions.parts_k > known.grade.stop_k


def _of_day(choice: Choice, foam: FoamAtShop) -> str:
    """The same for a searched day, which was searched again with what the cups would show."""
    offers = choice.offers
    if offers is None or not offers.measured:
        return ""
    if offers.kept and all(offers.hours - offer.hours < WORTH_S / 3600.0 for offer in offers.measured):
        return ""
    hot = {words for words, known in as_cups_show(foam) if _past_stop(known)}
    said = []
    for offer in offers.measured:
        days = f"{_hours(3600.0 * offer.hours)} and {offer.pours} pours"
        if not offer.kept:
            days = "no day that keeps the limit was found"
        said.append(f"{offer.change}, {'cooler liquids are needed' if offer.change in hot else days}")
    today = f"{_hours(3600.0 * offers.hours)} to the last pour and {offers.pours} pours"
    kept = "" if offers.kept else ", with more time at temperature than allowed"
    return (
        f"What measuring is worth: as known today {today}{kept}; three cups with a thermocouple in the middle (foam at "
        f"least 90 mm across): {'; '.join(said)}. (All on the {choice.cells} cells of the search.)"
    )


def _hours(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
