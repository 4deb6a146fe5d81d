"""Heat of lifts that are left, from what was really poured and when: the sheet's waits, longer where the foam asks."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pourwright.evaluation import ByFormulas, Evaluation, HeatHistory
from pourwright.lifts import Division, Lift
from pourwright.plan import (
    DAY_S,
    Case,
    DayRules,
    Heating,
    HeatRules,
    LiftPlan,
    Step,
    heating_of,
    hot_lifts,
    lift_plan_of,
    lifts_judged,
    schedule_of,
    waits_left,
)
from pourwright.progress import Progress, silent
from pourwright.record.ground import SheetPour
from pourwright.record.model import Entry

CELLS = 4
"""The heat cells of a plan over those that waits are tried on at the bench, where somebody waits for them."""
LONGER, TURNS, LAST_TURNS = 1.15, 8, 3
"""What waits are lengthened by, how often at most on those cells, and on all; our judgement."""
HELPS, NEARLY = 0.25, 0.1
"""Share of what a lift is over that the longest waits have to take away, and share of that from which no more is waited
for where they leave something; our judgement: a wait of 30 min that grew to 156 min for a minute less at temperature
was no help."""
_CLOCK = re.compile(r"\b([01]?\d|2[0-3])[:.]([0-5]\d)\b")


@dataclass(frozen=True, eq=False)
class AtHand:
    """A job that is begun. ``whole`` has the poured lifts and those that are left, which ``division`` has alone.

    ``waits`` [s] of each lift, see `sheet_waits`; ``liquids_k`` of poured pours that were mixed at another temperature
    than the day's; ``begun`` by the clock, see `begun_s`.
    """

    whole: Division
    division: Division
    found: Evaluation  # for ``division``
    waits: Mapping[int, float]
    liquids_k: Mapping[str, float]
    begun: Mapping[int, float]


@dataclass(frozen=True, eq=False)
class HeatedRest:
    """What is left with its heat and its schedule."""

    left: LiftPlan
    heating: Heating | ByFormulas
    steps: tuple[Step, ...]
    words: str
    day: DayRules  # the shift with the clock that what is left goes by

    @property
    def said(self) -> tuple[str, ...]:
        """How its heat was found, in one sentence; none by formulas."""
        if not isinstance(self.heating, Heating):
            return ()
        cells = f"{self.heating.nominal.cells} heat cells of {self.heating.nominal.cell_m * 1e3:.3g} mm"
        return (f"The heat of what is left was computed from what is poured and when, on {cells}.",)


@dataclass(frozen=True, eq=False)
class _Tried:
    """What is left with its heat at some waits after each lift but the last."""

    lifts: tuple[Lift, ...]
    heating: Heating
    heats: Mapping[str, HeatHistory]
    between: list[float]


@dataclass(frozen=True, eq=False)
class _Day:
    """What is asked again for every set of waits."""

    case: Case
    at_hand: AtHand
    fixed: int  # waits that are over
    progress: Progress

    def heated(self, between: Sequence[float], rules: HeatRules) -> _Tried:
        """What is left with the heat of the whole history, at these waits after each lift but the last."""
        now, case = self.at_hand, self.case.by_rules(rules)
        found = heating_of(case, now.whole, self.progress, waits_s=tuple(between), liquids_k=now.liquids_k)
        heats = {
            p.name: found.pours[p.name] for lift in now.division.lifts for p in lift.pours if p.name in found.pours
        }
        lifts = lifts_judged(now.division, replace(now.found, heats=heats), case)
        return _Tried(lifts, found, heats, list(between))

    def sought(self, first: Sequence[float], rules: HeatRules) -> list[float]:
        """The shortest waits behind those that are over, lift by lift."""
        now = self.at_hand
        return list(waits_left(self.case.by_rules(rules), now.whole, tuple(first), now.liquids_k, self.progress))


def sheet_waits(sheet: Sequence[SheetPour], entries: Sequence[Entry]) -> dict[int, float]:
    """Wait [s] of each lift from the start of its first mix: by the clock where it was noted, else as on the sheets.

    Lifts that have neither are left out.
    """
    waits: dict[int, float] = {}
    for planned in [*(pour.planned for pour in sheet), *(entry.planned for entry in entries)]:
        if planned.wait_s is not None:
            waits[planned.lift] = max(planned.wait_s, waits.get(planned.lift, 0.0))
    begun = begun_s(entries)
    clocked = {a: (begun[b] - begun[a]) % DAY_S for a, b in pairwise(sorted(begun)) if b == a + 1}
    return {**waits, **clocked}


def clock_s(words: str) -> float | None:
    """Seconds after midnight of the first time of day in what was said; None where there is none.

    >>> clock_s("Monday 9:40"), clock_s("after lunch")
    (34800.0, None)
    """
    found = _CLOCK.search(words)
    return None if found is None else 3600.0 * int(found[1]) + 60.0 * int(found[2])


def begun_s(entries: Sequence[Entry]) -> dict[int, float]:
    """Time of day [s] at which each lift was begun, where it was noted by the clock; smaller: the next day."""
    begun: dict[int, float] = {}
    for entry in entries:
        at = clock_s(entry.at) if entry.kind == "pour" else None
        if at is not None and entry.planned.lift not in begun:
            begun[entry.planned.lift] = at
    return begun


def day_left(day: DayRules, begun: Mapping[int, float], waits: Mapping[int, float], first: int) -> DayRules:
    """The shift for what is left: its clock goes on from what was noted; with nothing noted there is none.

    ``waits`` [s] of each lift; ``first`` is the lowest lift that is left.
    """
    if day.start_s is None or not any(number < first for number in waits):
        return day
    before = max(number for number in waits if number < first)
    at = begun.get(first, begun[before] + waits[before] if before in begun else None)
    if at is None:
        return replace(day, start_s=None, end_s=None)
    return replace(day, start_s=at % DAY_S, shift_s=day.morning_s)


def heated_rest(case: Case, at_hand: AtHand, progress: Progress = silent) -> HeatedRest | None:
    """The lifts that are left, heated by what is poured, with the sheet's waits where they still do.

    Parameters
    ----------
    case : Case
        With the grade and the temperatures that hold now, and the rules of the job as it was planned first.
    at_hand : AtHand
        Where a wait is not known, as of lifts that were cut anew, the waits that are not over yet are sought.
    progress : Progress

    Returns
    -------
    HeatedRest or None
        None where nothing is left, and where neither heat is computed nor all waits are known.
    """
    job, rules, waits = case.job, case.rules, at_hand.waits
    numbers = [lift.number for lift in at_hand.whole.lifts]
    mine = [lift.number for lift in at_hand.division.lifts]
    known = all(number in waits for number in numbers)
    if not mine or not (known or rules.computed):
        return None
    first = min(mine)
    day = _Day(case, at_hand, max(sum(number < first for number in numbers) - 1, 0), progress)
    between, told, found = [waits.get(n, rules.shortest_wait_s) for n in numbers[:-1]], "", at_hand.found
    heating: Heating | ByFormulas = ByFormulas()
    if rules.computed:
        tried, told = _computed(day, rules, between, known)
        heating, between, found = tried.heating, tried.between, replace(found, heats=tried.heats)
        last = tried.heating.lift_waits_s[-1]
    else:
        last = waits[numbers[-1]]
    by_number = dict(zip(numbers, [*between, last], strict=True))
    left = lift_plan_of(at_hand.division, replace(found, waits_s={n: by_number[n] for n in mine}), case)
    hours = day_left(job.day, at_hand.begun, by_number, first)
    steps = schedule_of(left, case.foam, job.limits, rules.between_s, hours)
    before = [number for number in numbers if number < first]
    if before:
        wait = f"{by_number[before[-1]] / 60:.0f} min"
        told += f"Lift {first} is mixed no sooner than {wait} after the first mix of lift {before[-1]}."
    return HeatedRest(left, heating, steps, told, hours)


def _computed(day: _Day, rules: HeatRules, between: list[float], known: bool) -> tuple[_Tried, str]:
    """Waits that keep the time above caution: the sheet's where they do on all cells; others on few, then on all."""
    if known:
        asked = day.heated(between, rules)
        if _over(asked, rules) <= 0:
            return asked, ""
    few = replace(rules, cells=max(2000, rules.cells // CELLS))
    told = "" if known else "Waits of what is left were sought again, from what is poured and when. "
    tried = _lengthened(day, few, between if known else day.sought(between[: day.fixed], few), TURNS)
    if known and _over(tried, few) > 0:
        again = _lengthened(day, few, day.sought(between[: day.fixed], few), TURNS)
        tried = min(tried, again, key=lambda one: _worse(one, few, between))
    found = _lengthened(day, rules, tried.between, LAST_TURNS)
    if known and found.between != between:
        told = "Waits are not those of the sheet before: the foam as it is now asks for them. "
    return found, told


def _hot(tried: _Tried, rules: HeatRules) -> dict[int, float]:
    return hot_lifts(tried.lifts, tried.heats, rules)


def _over(tried: _Tried, rules: HeatRules) -> float:
    return sum(_hot(tried, rules).values())


def _worse(tried: _Tried, rules: HeatRules, sheet: list[float]) -> tuple[bool, float, bool, float]:
    """Order of waits: those that keep the limit, then those over by less, in tenths; of these the sheet's, the shorter.

    A sheet that somebody works by changes for a reason only.
    """
    over = _over(tried, rules)
    return over > 0, round(over, 1), tried.between != sheet, sum(tried.between)


def _lengthened(day: _Day, rules: HeatRules, between: list[float], turns: int) -> _Tried:
    """The waits before and after each lift that stays above caution too long made longer, as long as that helps it.

    What they would make of it at their longest is tried first: what a lift is over by itself no wait takes away, and
    beside it none grows; another lift whose own excess they do take away is waited for all the same.
    """
    tried = day.heated(between, rules)
    over = _hot(tried, rules)
    longest = _longer(day, between, set(over), LONGER**turns)
    if longest == between:
        return tried
    enough = _enough(over, _hot(day.heated(longest, rules), rules))
    for _ in range(turns):
        now = _hot(tried, rules)
        longer = _longer(day, tried.between, {n for n in enough if now.get(n, 0.0) > enough[n]}, LONGER)
        if longer == tried.between:
            break
        trial = day.heated(longer, rules)
        if _over(trial, rules) > _over(tried, rules) - 1e-6:
            break
        tried = trial
    return tried


def _enough(over: Mapping[int, float], least: Mapping[int, float]) -> dict[int, float]:
    """What may be left of each lift's excess, of those that the longest waits help, which leave ``least`` of it."""
    out: dict[int, float] = {}
    for number, now in over.items():
        left = least.get(number, 0.0)
        if now > 0 and left <= (1.0 - HELPS) * now:
            out[number] = 0.0 if left <= 0 else left + NEARLY * (now - left)
    return out


def _longer(day: _Day, between: Sequence[float], beside: set[int], share: float) -> list[float]:
    """Waits with those beside some lifts so many times as long, where they are not over yet."""
    numbers = [lift.number for lift in day.at_hand.whole.lifts]
    near = {at for n in beside for at in (numbers.index(n) - 1, numbers.index(n))}
    mine = [k in near and k >= day.fixed for k in range(len(between))]
    return [60.0 * math.ceil(share * w / 60.0) if go else w for go, w in zip(mine, between, strict=True)]
