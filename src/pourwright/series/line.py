"""The line: fixtures that are loaded, filled, held and unloaded by so many people with one machine."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass
from typing import Any

from pourwright.series.model import SeriesRules

MOST_FIXTURES = 60
ROUNDS = 12  # that are followed where a shift is shorter, for the rhythm


@dataclass(frozen=True, slots=True)
class Line:
    """A shift of the line, followed event by event, and its rhythm by formula."""

    fixtures: int
    cycle_s: float  # between two parts, once it runs
    closed_cycle_s: float  # the same by formula: a bound that no order of work beats
    round_s: float  # of one fixture that waits for nobody
    first_s: float  # until the first part is out
    parts_per_shift: int
    bottleneck: str  # "fixtures" | "people" | "machine"
    machine_busy: float  # share of the shift
    people_busy: float
    enough: bool  # the parts that are wanted come out


def closed_cycle(
    fixtures: int, people: int, load_s: float, fill_s: float, hold_s: float, unload_s: float
) -> tuple[float, str]:
    """Time between parts that no order of work beats, and what sets it.

    The longest of the round of a fixture over their number, the work of a part over the people, and the fill.

    >>> closed_cycle(4, 2, 180.0, 60.0, 1200.0, 180.0)
    (405.0, 'fixtures')
    >>> closed_cycle(20, 2, 180.0, 60.0, 1200.0, 180.0)
    (210.0, 'people')
    """
    each = {
        "fixtures": (load_s + fill_s + hold_s + unload_s) / fixtures,
        "people": (load_s + fill_s + unload_s) / people,
        "machine": fill_s,
    }
    worst = max(each, key=lambda name: each[name])
    return each[worst], worst


def fixtures_for(rules: SeriesRules, fill_s: float, release_s: float) -> Line:
    """The line with as few fixtures as give the parts that are wanted; with those of the job where it says how many.

    Where no number of them does, because people or the machine are too few, the fewest that give the most.
    """
    if rules.fixtures is not None:
        return line_of(rules, rules.fixtures, fill_s, release_s)
    best: Line | None = None
    for count in range(1, MOST_FIXTURES + 1):
        line = line_of(rules, count, fill_s, release_s)
        if best is None or line.parts_per_shift > best.parts_per_shift:
            best = line
        if line.enough or (count > 2 and line.bottleneck != "fixtures" and line.parts_per_shift < best.parts_per_shift):
            break
    assert best is not None
    return best


def line_of(rules: SeriesRules, fixtures: int, fill_s: float, release_s: float) -> Line:
    """One shift with so many fixtures.

    Every fixture goes round: a person fills it with the machine, it holds, a person unloads it and loads it again. What
    is ready to be filled goes first, then who has waited longest. All times are as given: no chance in it. The first
    round begins with loading; parts count that are out by the end of the shift.
    """
    import simpy  # loaded by the one command that needs it

    world = simpy.Environment()
    crew = simpy.PriorityResource(world, rules.people)
    machine = simpy.Resource(world, 1)
    out: list[float] = []
    busy = {"machine": 0.0, "people": 0.0}

    def fixture() -> Generator[Any, Any, None]:
        with crew.request(priority=1) as person:
            yield person
            yield from at_work(rules.load_s)
        while True:
            with machine.request() as head:
                yield head
                with crew.request(priority=0) as person:
                    yield person
                    yield from at_work(fill_s)
                busy["machine"] += fill_s if world.now <= rules.shift_s else 0.0
            yield world.timeout(release_s)
            with crew.request(priority=1) as person:
                yield person
                yield from at_work(rules.unload_s)
                out.append(world.now)
                yield from at_work(rules.load_s)

    def at_work(seconds: float) -> Generator[Any, Any, None]:
        yield world.timeout(seconds)
        busy["people"] += seconds if world.now <= rules.shift_s else 0.0

    for _ in range(fixtures):
        world.process(fixture())
    one_round = rules.load_s + fill_s + release_s + rules.unload_s
    world.run(until=max(rules.shift_s, ROUNDS * one_round) + 1e-6)
    in_time = sum(at <= rules.shift_s + 1e-6 for at in out)
    closed, bottleneck = closed_cycle(fixtures, rules.people, rules.load_s, fill_s, release_s, rules.unload_s)
    return Line(
        fixtures=fixtures,
        cycle_s=_rhythm(out, fixtures),
        closed_cycle_s=closed,
        round_s=one_round,
        first_s=out[0] if out else math.nan,
        parts_per_shift=in_time,
        bottleneck=bottleneck,
        machine_busy=busy["machine"] / rules.shift_s,
        people_busy=busy["people"] / rules.shift_s / rules.people,
        enough=in_time >= rules.parts,
    )


def _rhythm(out: list[float], fixtures: int) -> float:
    """Mean time between parts over whole rounds of all fixtures, the first rounds left out."""
    rounds = (len(out) - 1) // fixtures
    skip = min(rounds - 1, 2)
    if rounds < 1:
        return math.nan
    first = skip * fixtures
    return (out[rounds * fixtures] - out[first]) / ((rounds - skip) * fixtures)
