"""Who does what when: mixes, rises and waits of the whole job."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourwright.foam import FoamAtShop
from pourwright.lifts import Lift, LiftPlan, Pour, ShopLimits


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happens. Times from the start of the first mix."""

    kind: str  # "mix" | "pour" | "rise" | "wait"
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


def offsets(lift: Lift, foam: FoamAtShop, limits: ShopLimits, between_s: float) -> dict[str, float]:
    """Start of the first mix of each pour after the start of its lift [s]."""
    mixes = _mixes(lift, foam, limits, between_s, 0.0)
    return {step.pour: step.start_s for step in reversed(mixes) if step.kind == "mix"}


def schedule_of(
    plan: LiftPlan, foam: FoamAtShop, limits: ShopLimits, between_s: float, wait_s: tuple[float, ...]
) -> tuple[Step, ...]:
    """Every step of the job.

    Parameters
    ----------
    plan : LiftPlan
    foam : FoamAtShop
    limits : ShopLimits
        Hands, time to mix, how fast a cup is poured.
    between_s : float
        From the end of one mix to the start of the next of the same person.
    wait_s : tuple of float
        For each lift, from its start to the start of the next (of the last: until it is cool); may be infinite or nan,
        and then the lift's own work is all that is counted.

    Returns
    -------
    tuple of Step
        In order of their start.
    """
    steps: list[Step] = []
    start = 0.0
    for lift, wait in zip(plan.lifts, wait_s, strict=True):
        mine = _mixes(lift, foam, limits, between_s, start)
        work_end = max(step.end_s for step in mine)
        for pour in lift.pours:
            begin = min(s.start_s for s in mine if s.pour == pour.name)
            last = max(s.start_s for s in mine if s.pour == pour.name and s.kind == "mix")
            mine.append(Step("rise", lift.number, pour.name, 0, 0, begin + foam.cream_s, last + foam.rise_end_s))
        risen = max(step.end_s for step in mine)
        end = max(risen, start + wait) if math.isfinite(wait) else risen
        mine.append(Step("wait", lift.number, "", 0, 0, work_end, end))
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
                poured = mixed + pour.batch.total_m3 / limits.pour_rate_m3_s
                steps.append(Step("mix", lift.number, pour.name, number, hand, now, mixed))
                steps.append(Step("pour", lift.number, pour.name, number, hand, mixed, poured))
                risen[pour.name] = now + foam.rise_end_s
                end = max(end, poured)
            now = end + between_s
    return steps
