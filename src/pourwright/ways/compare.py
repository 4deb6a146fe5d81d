"""Every way of filling one piece, planned on coarse cells, and those that are not dominated."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourwright.errors import PourwrightError
from pourwright.lining import Rules
from pourwright.plan import Job
from pourwright.progress import Progress, silent
from pourwright.ways.bench import Bench, Way
from pourwright.ways.names import cores_words
from pourwright.ways.proposals import mixtures, some_cores, spreads


@dataclass(frozen=True, slots=True)
class Ways:
    """All of them, solid first, then by thickness."""

    name: str
    place: str
    ways: tuple[Way, ...]
    skipped: tuple[str, ...]  # what cannot be done in this piece, in words
    shell_sha256: str = ""  # of the file that they are ways of filling


def compare_ways(
    job: Job, *, price_kg: float = math.nan, price_h: float = math.nan, progress: Progress = silent
) -> Ways:
    """Solid, with cores, with ribs, linings of several thicknesses by hand and on a frame, mixed by limb, and spread.

    Parameters
    ----------
    job : Job
        Its own ``fill`` is looked at as well.
    price_kg, price_h : float
        Of a kilogram of liquids and of an hour, in one currency; nan: no cost is told.
    """
    bench = Bench(job, progress)
    ways, skipped = [bench.solid()], []
    cores = job.fill if job.fill.core is not None else some_cores(bench)
    if isinstance(cores, str):
        skipped.append(cores)
    else:
        try:
            ways.append(bench.cored(cores))
        except PourwrightError as error:
            skipped.append(f"{cores_words(cores)}: {error}")
    for name, rules in bench.ribs():
        try:
            ways.append(bench.ribbed(name, rules))
        except PourwrightError as error:
            skipped.append(f"{name}: {error}")
    thick = bench.thicknesses()
    least = job.fill.least_m
    asked = [Rules("lining", t, "hand", least_m=least) for t in thick]
    asked += [Rules("lining", t, "frame", least_m=least) for t in thick[1:5:3]]
    for found in (mixtures(bench), spreads(bench, thick[1 : len(thick) // 2 + 1 : 3])):
        skipped += [found] if isinstance(found, str) else []
        asked += [] if isinstance(found, str) else found
    if job.fill.style == "lining" and job.fill not in asked:
        asked.append(job.fill)
    for k, rules in enumerate(asked):
        progress("ways", k / len(asked))
        try:
            ways.append(bench.lined(rules))
        except PourwrightError as error:
            skipped.append(str(error))
    progress("ways", 1.0)
    priced = [replace(way, cost=way.liquids_kg * price_kg + way.hours * price_h) for way in ways]
    return Ways(job.name, job.place, tuple(_with_beaten(priced)), tuple(dict.fromkeys(skipped)), bench.skin.sha256)


def _with_beaten(ways: list[Way]) -> list[Way]:
    """Marked where another is at least as good in weight, stiffness and hours, and better in one of them.

    A stiffness that is not known comes last; of hours that are not known nothing is said.
    """

    def marks(way: Way) -> tuple[float, float, float]:
        return round(way.total_kg, 6), math.inf if math.isnan(way.gain) else -round(way.gain, 6), round(way.hours, 6)

    out = []
    for way in ways:
        mine = marks(way)
        beaten = any(
            all(a <= b for a, b in zip(marks(other), mine, strict=True)) and marks(other) != mine
            for other in ways
            if not other.over or way.over
        )
        out.append(replace(way, beaten=beaten))
    return out
