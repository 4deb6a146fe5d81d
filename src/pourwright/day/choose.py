"""The day of a piece: limbs, cuts and starts from a coarse search; then the best of them confirmed on fine cells."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial

import numpy as np

from pourwright.day.bench import bench_of
from pourwright.day.first_look import first_look
from pourwright.day.mending import mended_front
from pourwright.day.model import Day
from pourwright.day.offers import Offers, offers_of
from pourwright.day.question import Choice, Question
from pourwright.day.search import Found, Search
from pourwright.errors import LimitError
from pourwright.progress import Progress, silent

COARSE_CELLS, QUICK_CELLS = 9_000, 4_000
"""Heat cells of the search: 9,000 are about 33 mm wide and 11 mm thick in a tenth of a cubic metre."""
COARSE_MARCHES, AGAIN_MARCHES, QUICK_MARCHES = 4000, 1500, 400
"""Common marches of a search, of one from days that were found before, of a short one: by what heat takes to follow."""


def choose_day(
    asked: Question,
    *,
    quick: bool = False,
    fewest: bool = False,
    near: Choice | None = None,
    progress: Progress = silent,
) -> Choice:
    """Search the day of a piece.

    Parameters
    ----------
    asked : Question
    quick : bool
        Stay with the coarse cells and a short search: a first answer, said to be one.
    fewest : bool
        No search: as few pours as may be, with the shortest waits.
    near : Choice, optional
        A day of the same piece that was found under fewer limits: its pours are cut where they break these, and timed
        again, in place of a search.
    progress : Progress

    Returns
    -------
    Choice
        Where no day keeps the dose, the one that is over by least is chosen and ``Day.keeps`` is False.
    """
    few = QUICK_CELLS if quick or fewest else COARSE_CELLS
    with ThreadPoolExecutor(2) as pool:
        bench = bench_of(asked, few, pool)
        timing = bench.timing(bench.body)
        marches = QUICK_MARCHES if quick else COARSE_MARCHES if near is None else AGAIN_MARCHES
        search = bench.search(timing, marches, progress)
        timing.most = 2.0 * marches
        if fewest:
            front = [search.shortest(search.fewest())]
        elif near is not None:
            front = mended_front(search, [(day.stretches, day.start_s) for day in _cheapest_first(asked, near)])
        else:
            front = first_look(search) if quick else search.run()
        if not fewest:
            front = [bench.eased(found, timing) for found in _with_so_many(search, front, asked.pours)]
        days = bench.days(front, timing)
    best = pick(front, asked.aim, asked.pours, [day.foam_kg for day in days])
    progress("day", 1.0)
    return Choice(
        bench.limbs, bench.slabs, days, best, bench.busy_s(days[best]), bench.stray, timing.marches, bench.body.cells,
        0, _words(timing.marches, bench.body.cells, bench.body.cell_m, front, 0, quick),
    )  # fmt: skip


def confirm_day(asked: Question, choice: Choice, *, held: bool = False, progress: Progress = silent) -> Choice:
    """The waits of the day that is taken once more on fine cells; of others too as long as one promises to be better.

    Parameters
    ----------
    asked : Question
        That was asked for ``choice``.
    choice : Choice
    held : bool
        The day stays that was chosen.
    progress : Progress

    Returns
    -------
    Choice
    """
    progress("day", 0.0)
    with ThreadPoolExecutor(2) as pool:
        bench = bench_of(asked, COARSE_CELLS, pool)
        timing = bench.timing(bench.body)
        front = [bench.found(day, timing) for day in choice.front]

        def other() -> int:
            kg = [bench.foam_kg(found.stretches) for found in front]
            return choice.chosen if held else pick(front, asked.aim, asked.pours, kg)

        best, cells = bench.on_fine_cells(front, choice.chosen, other)
        days = bench.days(front, timing)
    progress("day", 1.0)
    words = _words(choice.marches, choice.cells, bench.body.cell_m, front, cells)
    hinders = None if front[best].kept else bench.hinders(front[best])
    return replace(
        choice, front=days, chosen=best, busy_s=bench.busy_s(days[best]), fine_cells=cells,
        words=(*words, *([hinders.words] if hinders else [])), offers=None, hinders=hinders,
    )  # fmt: skip


def offers_for(asked: Question, choice: Choice) -> Offers:
    """What would shorten the day, and what measuring would make of it: each searched, on the cells of the search.

    What counts as all of the limits there is what the chosen day uses of them: its waits were found on finer ones.
    """
    with ThreadPoolExecutor(2) as pool:
        bench = bench_of(asked, COARSE_CELLS, pool)
        found = bench.found(choice.day, bench.timing(bench.body))
        mend = partial(bench.mended, whole=bench.whole_of(found))
        return offers_of(found, asked.work, asked.source.heat, asked.measured, mend)


def pick(front: list[Found], aim: str, pours: int | None, foam_kg: list[float]) -> int:
    """Index of the day that is taken: among those that keep the dose; of equal ones that with fewer pours."""
    if pours is not None:
        exact = [k for k, found in enumerate(front) if len(found.stretches) == pours]
        if exact:
            return exact[0]
    kept = [k for k, found in enumerate(front) if found.kept]
    if not kept:
        return min(range(len(front)), key=lambda k: (round(float(front[k].timed.used.max()), 2), k))
    if aim == "fewest pours":
        return kept[0]
    if aim == "lightest":
        return min(kept, key=lambda k: (round(foam_kg[k], 3), front[k].cost_s, k))
    return min(kept, key=lambda k: (front[k].cost_s, k))


def _cheapest_first(asked: Question, choice: Choice) -> list[Day]:
    """The days of a front, those that keep the limits first."""

    def order(day: Day) -> tuple[bool, float, int]:
        return not day.keeps, 3600.0 * day.hours + asked.work.price_s * len(day.stretches), len(day.stretches)

    return sorted(choice.front, key=order)


def _with_so_many(search: Search, front: list[Found], pours: int | None) -> list[Found]:
    """The front with a day of ``pours`` too, where such a day can be."""
    if pours is None or pours in [len(found.stretches) for found in front]:
        return front
    search.timing.most = np.inf  # it is asked for
    more = search.reached(front, pours) if pours > len(front[-1].stretches) else None
    if more is None:
        raise LimitError(
            f"a day of {pours} pours was asked for: from {len(front[0].stretches)} pours on there are days, and those "
            f"found have {', '.join(str(len(found.stretches)) for found in front)}"
        )
    return [*front, more]


def _words(
    marches: int, cells: int, cell_m: float, front: list[Found], fine: int, quick: bool = False
) -> tuple[str, ...]:
    fewest, most = len(front[0].stretches), len(front[-1].stretches)
    said = [
        f"Cuts and starts were searched together for {fewest} to {most} pours: heat was followed {marches} times on "
        f"{cells} cells of {cell_m * 1e3:.0f} mm. It is a search: a shorter day may exist."
    ]
    taken = ", ".join(
        f"{len(found.stretches)} in {float(found.timed.start_s.max()) / 3600.0:.1f} h" for found in front if found.kept
    )
    said.append(f"Pours and hours to the last that keep the limit: {taken or 'none'}.")
    if quick:
        said.append(
            "This was a short search on coarse cells, for a first look: pours start one by one at the best times only "
            "in its two cheapest days, the others have even waits. Without --quick it is longer and checked."
        )
    if fine:
        said.append(f"The chosen day was timed again on {fine} cells.")
    return tuple(said)
