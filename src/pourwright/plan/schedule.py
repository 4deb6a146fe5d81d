"""Who does what when: mixes, rises and waits of the whole job."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourwright.foam import FoamAtShop
from pourwright.lifts import Division, Lift, Pour, ShopLimits, cup_empty_s
from pourwright.plan.rules import DayRules


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happens. Times from the start of the first mix."""

    kind: str  # "mix" | "pour" | "rise" | "wait"; a wait runs from the start of its lift's first mix
    lift: int
    pour: str  # "" for the wait after a lift
    batch: int  # of the pour, from 1; 0 where it is none
    hand: int  # who does it, from 1; 0 where nobody has to
    start_s: float
    end_s: float


def rounds_of(lift: Lift) -> list[tuple[Pour, ...]]:
    """Pours of a lift that go in the same round: those that run into each other; the others one after another.

    One that rises over another comes after it.
    """
    rounds: list[tuple[Pour, ...]] = []
    left = list(lift.pours)
    while left:
        names = {pour.name for pour in left}
        first = next((pour for pour in left if not names.intersection(pour.after)), left[0])
        together = tuple(p for p in left if p.name == first.name or p.name in first.together)
        rounds.append(together)
        left = [pour for pour in left if pour not in together]
    return rounds


def first_mix(lift: Lift) -> str:
    """The pour whose first mix opens the lift: its wait counts from that. Pours that are in already are left out."""
    left = tuple(pour for pour in lift.pours if not pour.poured)
    return rounds_of(replace(lift, pours=left))[0][0].name if left else ""


def whole_wait(seconds: float) -> float:
    """A wait as it is printed, never shorter: whole minutes, whole hours from a day on.

    >>> whole_wait(1921.0), whole_wait(600.0), whole_wait(90_001.0)
    (1980.0, 600.0, 93600.0)
    """
    if not math.isfinite(seconds):
        return seconds
    grain = 60.0 if seconds <= 86_340.0 else 3600.0
    return grain * math.ceil(seconds / grain - 1e-6)


def held_wait(lift: Lift, foam: FoamAtShop, limits: ShopLimits, between_s: float, wait_s: float) -> float:
    """The wait of a lift [s], from the start of its first mix, that holds for every mix of it.

    ``wait_s`` counts from the same start, each pour taken as mixed at once when its first mix is: its last mix gets as
    long, and has risen.
    """
    mixes = _starts(lift, foam, limits, between_s)
    last = max(max(mine) for mine in mixes.values()) + foam.rise_end_s
    return whole_wait(max(wait_s + max(max(mine) - min(mine) for mine in mixes.values()), last))


def closed_wait(lift: Lift, foam: FoamAtShop, limits: ShopLimits, between_s: float) -> float:
    """The same by formulas: each pour's own ``wait_s``, counted from its last mix."""
    mixes = _starts(lift, foam, limits, between_s)
    return whole_wait(max(max(mixes[pour.name]) + pour.wait_s for pour in lift.pours))


def _starts(lift: Lift, foam: FoamAtShop, limits: ShopLimits, between_s: float) -> dict[str, list[float]]:
    """Starts of the mixes of each pour after the start of its lift [s]."""
    out: dict[str, list[float]] = {}
    for step in _mixes(lift, foam, limits, between_s, 0.0):
        if step.kind == "mix":
            out.setdefault(step.pour, []).append(step.start_s)
    return out


def offsets(lift: Lift, foam: FoamAtShop, limits: ShopLimits, between_s: float) -> dict[str, float]:
    """Start of the first mix of each pour after the start of its lift [s]."""
    return {name: min(mine) for name, mine in _starts(lift, foam, limits, between_s).items()}


DAY_S = 86_400.0
"""Seconds of a day."""


def on_shift(start_s: float, work_s: float, day: DayRules) -> float:
    """When a lift may start that is ready at ``start_s`` and keeps hands for ``work_s`` [s from the first mix].

    The same, or the next morning where it would not be done before the shift ends. A lift that is longer than a whole
    shift starts in the morning all the same.

    >>> day = DayRules(start_s=8 * 3600.0, end_s=17 * 3600.0)
    >>> on_shift(3600.0, 600.0, day) / 3600, on_shift(8.9 * 3600.0, 600.0, day) / 3600
    (1.0, 24.0)
    """
    if day.start_s is None or day.end_s is None:
        return start_s
    clock = day.start_s + start_s
    today = DAY_S * (clock // DAY_S)
    morning = today + day.morning_s
    if clock < morning - 1e-6:
        return morning - day.start_s
    if clock + work_s <= today + day.end_s + 1e-6 or abs(clock - morning) < 1e-6:
        return start_s
    return morning + DAY_S - day.start_s


def schedule_of(
    plan: Division, foam: FoamAtShop, limits: ShopLimits, between_s: float, day: DayRules | None = None
) -> tuple[Step, ...]:
    """Every step of the job.

    Parameters
    ----------
    plan : Division
        With the wait of each lift; where that is not known its own work is all that is counted.
    foam : FoamAtShop
    limits : ShopLimits
        Hands, time to mix, how fast a cup is poured.
    between_s : float
        From the end of one mix to the start of the next of the same person.
    day : DayRules, optional
        With the shift that the work has to fit in; the wait before a lift that goes on the next day is as much longer.

    Returns
    -------
    tuple of Step
        In order of their start.
    """
    steps: list[Step] = []
    start = 0.0
    for lift in plan.lifts:
        mine = _mixes(lift, foam, limits, between_s, start)
        if day is not None:
            busy = max(s.start_s for s in mine if s.kind == "mix") + foam.rise_end_s - start
            later = on_shift(start, busy, day)
            if later > start:
                steps = [replace(s, end_s=later) if s.kind == "wait" and s.end_s == start else s for s in steps]
                start = later
                mine = _mixes(lift, foam, limits, between_s, start)
        for pour in lift.pours:
            begin = min(s.start_s for s in mine if s.pour == pour.name)
            last = max(s.start_s for s in mine if s.pour == pour.name and s.kind == "mix")
            mine.append(Step("rise", lift.number, pour.name, 0, 0, begin + foam.cream_s, last + foam.rise_end_s))
        risen = max(step.end_s for step in mine)
        end = max(risen, start + lift.wait_s) if math.isfinite(lift.wait_s) else risen
        mine.append(Step("wait", lift.number, "", 0, 0, start, end))
        steps += sorted(mine, key=lambda s: (s.start_s, s.kind, s.pour, s.batch))
        start = end
    return tuple(steps)


def _mixes(lift: Lift, foam: FoamAtShop, limits: ShopLimits, between_s: float, start: float) -> list[Step]:
    """Mixing and pouring of a lift: the mixes of a round shared out over the hands, as many at a time as there are."""
    steps: list[Step] = []
    now = start
    risen: dict[str, float] = {}
    for group in rounds_of(lift):
        now = max([now, *(risen.get(name, now) for pour in group for name in pour.after)])
        # One mix of each pour in turn, so that all pours of a round rise as nearly together as the hands allow.
        queue = [(n, p) for n in range(1, max(p.batches for p in group) + 1) for p in group if n <= p.batches]
        for first in range(0, len(queue), limits.hands):
            end = now
            for hand, (number, pour) in enumerate(queue[first : first + limits.hands], start=1):
                mixed = now + limits.mix_s
                poured = now + cup_empty_s(pour, limits)
                steps.append(Step("mix", lift.number, pour.name, number, hand, now, mixed))
                steps.append(Step("pour", lift.number, pour.name, number, hand, mixed, poured))
                risen[pour.name] = now + foam.rise_end_s
                end = max(end, poured)
            now = end + between_s
    return steps
