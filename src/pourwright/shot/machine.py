"""The dispenser, and what it gives each port in turn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pourwright.lifts import Pour


@dataclass(frozen=True, slots=True)
class MeasuredShot:
    """One shot as it was weighed."""

    seconds: float  # that the head was open
    kg: float


@dataclass(frozen=True, slots=True)
class Machine:
    """A dispenser that meters and mixes: liquid comes mixed, at once. SI; defaults are our judgement."""

    output_kg_s: float  # of both parts, one head
    heads: int = 1  # that work on one part at the same time
    ratio_tolerance: float = 0.02  # plus or minus share of the ratio of the parts
    pause_s: float = 5.0  # from the end of a shot to the start of the next of the same head, port to port
    shortest_s: float = 0.5  # a shorter shot is not metered well
    longest_s: float = 300.0
    repeat_share: float = 0.01  # standard deviation of the weight of a shot
    measured: tuple[MeasuredShot, ...] = ()  # two or more, by their seconds, each heavier than the one before

    def seconds_of(self, kg: float) -> float:
        """How long a head is open for a weight.

        Straight between shots that were weighed, and on beyond the ends as between the two nearest; by ``output_kg_s``
        where none were. A head that takes half a second to come up to its output:

        >>> measured = (MeasuredShot(2.0, 0.9), MeasuredShot(5.0, 2.7))
        >>> machine = Machine(0.6, measured=measured)
        >>> [round(machine.seconds_of(kg), 3) for kg in (0.9, 1.8, 3.3)], round(Machine(0.6).seconds_of(1.8), 3)
        ([2.0, 3.5, 6.0], 3.0)
        """
        if not self.measured:
            return kg / self.output_kg_s
        weights = np.array([one.kg for one in self.measured])
        times = np.array([one.seconds for one in self.measured])
        k = int(np.clip(np.searchsorted(weights, kg) - 1, 0, len(weights) - 2))
        share = (kg - weights[k]) / (weights[k + 1] - weights[k])
        return float(max(times[k] + share * (times[k + 1] - times[k]), 0.0))


@dataclass(frozen=True, slots=True)
class PortShot:
    """One shot into one port. Shots of one head follow each other."""

    pour: str
    port: str
    head: int  # 1, 2, ..
    kg: float
    start_s: float  # from the first shot
    seconds: float


def shots_of(pours: Iterable[Pour], machine: Machine) -> tuple[PortShot, ...]:
    """Shots in the order they are given: pour by pour, the largest first, each by the head that is free first.

    A shot longer than the machine's longest stands as it is; a check says so.
    """
    free = [0.0] * machine.heads
    out = []
    for pour in pours:
        for landing in sorted(pour.landings, key=lambda one: -one.kg):
            head = min(range(machine.heads), key=lambda k: free[k])
            seconds = machine.seconds_of(landing.kg)
            out.append(PortShot(pour.name, landing.port.name, head + 1, landing.kg, free[head], seconds))
            free[head] += seconds + machine.pause_s
    return tuple(out)
