"""The day of a piece: limbs, cuts and starts from a coarse search, the best of them confirmed on fine cells."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Limbs, limbs_of
from pourwright.day.body import Body, Heat, Slabs, Source, slabs_of
from pourwright.day.model import Allowed, Day, Dose, Stretch, Work
from pourwright.day.offers import Offers, offers_of
from pourwright.day.search import Found, May, Search
from pourwright.day.timing import CLOSE, GRAIN_S, Piles, Timed, Timing, slab_starts
from pourwright.errors import LimitError
from pourwright.heat import SkinLayer, Surroundings
from pourwright.progress import Progress, silent

COARSE_CELLS, MIDDLE_CELLS, FINE_CELLS = 8_000, 27_000, 80_000
"""Heat cells of the search, of the choice and of the last word: about 24, 16 and 11 mm in a tenth of a cubic metre."""
TIMED_AGAIN = 4  # days of the front whose waits are found again on the middle cells before one is chosen
QUICK_CELLS = 4_000
COARSE_MARCHES, QUICK_MARCHES = 4000, 400
OTHER_MARCHES = 200  # for a day of another shop
MIDDLE_ROUNDS, FINE_ROUNDS = 3, 3
STRETCHES = 12
STRETCH = 1.05  # every wait longer by this share until the fine cells keep the dose too


@dataclass(frozen=True, eq=False)
class Choice:
    """What was found for a piece. ``front`` holds one day a number of pours, from the fewest up."""

    limbs: Limbs
    slabs: Slabs
    front: tuple[Day, ...]
    chosen: int  # index in ``front``
    busy_s: tuple[float, ...]  # how long one person is at each pour of the chosen day, in its order
    stray: tuple[np.ndarray, ...]  # nodes of loose spaces too small for a pour
    marches: int  # of the search
    cells: int  # of the search
    fine_cells: int  # of the last word; 0 where it was not asked for
    words: tuple[str, ...]
    offers: Offers | None = None  # what would shorten the day; None: not asked

    @property
    def day(self) -> Day:
        """The chosen day."""
        return self.front[self.chosen]


@dataclass(frozen=True, eq=False)
class Question:
    """What a day is asked for."""

    cavity: Cavity
    graph: LevelGraph
    source: Source
    skin: SkinLayer
    air: Surroundings
    work: Work
    allowed: Allowed
    least_m3: float  # foam that is worth a pour of its own
    stray_m3: float  # a loose space smaller than that stays empty
    spill_m: float
    tall_m: np.ndarray  # (levels,) thickness that other limits allow through each level
    aim: str = "hours"  # "hours" | "fewest pours" | "lightest"
    measured: tuple[tuple[str, Heat], ...] = ()  # what a measurement might show, in words, and the heat known then
    pours: int | None = None  # takes the day of so many pours from the front
    start_level: int = 0


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
        bench = _bench(asked, few, pool)
        timing = bench.timing(bench.body)
        search = bench.search(timing, QUICK_MARCHES if quick else COARSE_MARCHES, quick, progress)
        offers, fine_cells = None, 0
        if fewest:
            front = [search.shortest(search.fewest())]
        elif near is not None:
            front = [search.mended(near.day.stretches, near.day.start_s)]
        else:
            front = _with_so_many(search, search.run(), asked.pours)
        if not quick and not fewest:
            taken = front[pick(front, asked.aim, asked.pours)]
            offers = offers_of(taken, asked.work, asked.source.heat, asked.measured, bench.mended)
            fine_cells = bench.timed_again(front)
        best = pick(front, asked.aim, asked.pours)
        days = tuple(_day(found, timing, bench.slabs) for found in front)
    busy = tuple(asked.work.busy_s(bench.piles.foam_m3(s)) for s in days[best].stretches)
    progress("day", 1.0)
    return Choice(
        bench.limbs, bench.slabs, days, best, busy, bench.stray, timing.marches, bench.body.cells, fine_cells,
        _words(timing.marches, bench.body.cells, bench.body.cell_m, front, fine_cells), offers,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Bench:
    """The piece as the search sees it, and how days are timed on it."""

    asked: Question
    limbs: Limbs
    stray: tuple[np.ndarray, ...]
    slabs: Slabs
    piles: Piles
    body: Body  # of the search
    pool: ThreadPoolExecutor

    def timing(self, cells: Body, work: Work | None = None, heat: Heat | None = None) -> Timing:
        """Starts on these cells; another shop and another heat where given."""

        def doses(starts: list[np.ndarray]) -> list[Dose]:
            return list(self.pool.map(lambda start: cells.dose(start, heat), starts))

        return Timing(self.piles, work or self.asked.work, self.asked.allowed, doses)

    def search(self, timing: Timing, marches: int, quick: bool, progress: Progress = silent) -> Search:
        """A search with the hands and cups of ``timing``."""
        may = _may(replace(self.asked, work=timing.work), self.slabs, self.piles)
        return Search(self.piles, timing.work, self.asked.allowed, timing, may, marches, quick, progress)

    def mended(self, work: Work, heat: Heat, found: Found) -> Found:
        """A day of another shop and another heat: from ``found``, or from a short search of its own."""
        search = self.search(self.timing(self.body, work, heat), OTHER_MARCHES, True)
        return min((search.mended(found.stretches, found.timed.start_s, rounds=3), *search.run()), key=_order)

    def timed_again(self, front: list[Found]) -> int:
        """Waits of the cheapest days once more on finer cells, the chosen one on fine ones; their number."""
        asked, work = self.asked, self.asked.work
        middle = self.timing(_body(asked, self.slabs, MIDDLE_CELLS))
        for k in sorted(range(len(front)), key=lambda k: front[k].cost_s)[:TIMED_AGAIN]:
            front[k] = _again(front[k], middle, work, MIDDLE_ROUNDS)
        fine = _body(asked, self.slabs, FINE_CELLS)
        best = pick(front, asked.aim, asked.pours)
        front[best] = _again(front[best], self.timing(fine), work, FINE_ROUNDS, final=True)
        return fine.cells


def _bench(asked: Question, cells: int, pool: ThreadPoolExecutor) -> _Bench:
    graph = asked.graph
    limbs = limbs_of(graph, asked.least_m3, spill_m=asked.spill_m, start_level=asked.start_level)
    limbs, stray = without_stray(graph, limbs, asked.stray_m3)
    slabs = slabs_of(graph, limbs, _factor(asked, cells))
    piles = Piles(slabs.first, tuple(limb.below for limb in limbs.limbs), slabs.volume_m3)
    return _Bench(asked, limbs, stray, slabs, piles, _body(asked, slabs, cells), pool)


def _body(asked: Question, slabs: Slabs, cells: int) -> Body:
    factor = _factor(asked, cells)
    return Body(asked.cavity, asked.graph, slabs, asked.source, asked.skin, asked.air, factor)


def without_stray(graph: LevelGraph, limbs: Limbs, stray_m3: float) -> tuple[Limbs, tuple[np.ndarray, ...]]:
    """The limbs without loose spaces that are too small for a pour, and the nodes of those."""
    kept, stray = [], []
    for k, limb in enumerate(limbs.limbs):
        nodes = np.flatnonzero(limbs.of_node == k)
        alone = not limb.below and not limb.above
        if alone and len(limbs.limbs) > 1 and float(graph.node_volume_m3[nodes].sum()) < stray_m3:
            stray.append(nodes)
        else:
            kept.append(k)
    return limbs.only(kept), tuple(stray)


def _factor(asked: Question, cells: int) -> int:
    cavity = asked.cavity
    filled = cavity.volume_m3 / cavity.grid.cell_m**3
    return max(1, round((filled / cells) ** (1 / 3)))


def _may(asked: Question, slabs: Slabs, piles: Piles) -> May:
    """Whether a stretch keeps what can be mixed for one pour and the thickness that other limits ask for."""
    level = asked.graph.level_m
    most = asked.work.hands * asked.work.batch_m3 / asked.work.liquid_share
    tops = np.append(slabs.cut_level[1:], 0)

    def may(stretch: Stretch) -> bool:
        if piles.foam_m3(stretch) > most * (1 + 1e-9):
            return False
        low = int(slabs.cut_level[stretch.low])
        last = stretch.high == int(slabs.first[stretch.limb + 1])
        high = int(slabs.top_level[stretch.limb]) if last else int(tops[stretch.high - 1])
        thick = float(level[high] - level[low])
        return thick <= float(asked.tall_m[low:high].min(initial=np.inf)) * (1 + 1e-9)

    return may


def pick(front: list[Found], aim: str, pours: int | None) -> int:
    """Index of the day that is taken: among those that keep the dose; of equal ones that with fewer pours."""
    if pours is not None:
        exact = [k for k, found in enumerate(front) if len(found.stretches) == pours]
        if exact:
            return exact[0]
    kept = [k for k, found in enumerate(front) if found.kept]
    if not kept:
        return min(range(len(front)), key=lambda k: (round(float(front[k].timed.hours.max()), 2), k))
    if aim in ("fewest pours", "lightest"):  # every cut adds a dense layer: the fewest pours are the lightest
        return kept[0]
    return min(kept, key=lambda k: (front[k].cost_s, k))


def _again(found: Found, timing: Timing, work: Work, rounds: int, *, final: bool = False) -> Found:
    """The waits of a day once more on finer cells, made longer until those keep the dose as well."""
    timing.with_short = True
    timed = timing.find(found.stretches, found.timed.start_s, rounds=rounds)
    for _ in range(STRETCHES):
        if timed.excess_h <= CLOSE:
            break
        start = np.ceil(timed.start_s * STRETCH / GRAIN_S) * GRAIN_S
        timed = timing.find(found.stretches, start, rounds=0)
    if final and timed.excess_h <= CLOSE:
        timed = _cooler(found, timed, timing)
    cost = float(timed.start_s.max()) + work.price_s * len(found.stretches)
    return Found(found.stretches, timed, cost, timed.excess_h <= CLOSE)


def _cooler(found: Found, timed: Timed, timing: Timing) -> Timed:
    """Waits a little longer until no point passes the peak; as they were where that does not do.

    A pour on warm foam gets a few kelvin hotter near its floor than by itself.
    """
    longer = timed
    for _ in range(STRETCHES // 2):
        if timing.doses(found.stretches, [longer.start_s])[0].peak_k.max() <= timing.allowed.peak_k:
            return longer
        start = np.ceil(longer.start_s * STRETCH / GRAIN_S) * GRAIN_S
        longer = timing.find(found.stretches, start, rounds=0)
    return timed


def _order(found: Found) -> tuple[bool, float]:
    return not found.kept, found.cost_s


def _with_so_many(search: Search, front: list[Found], pours: int | None) -> list[Found]:
    """The front with a day of ``pours`` too, where such a day can be."""
    if pours is None or pours in [len(found.stretches) for found in front]:
        return front
    more = search.reached(front, pours) if pours > len(front[-1].stretches) else None
    if more is None:
        raise LimitError(
            f"a day of {pours} pours was asked for: from {len(front[0].stretches)} pours on there are days, and those "
            f"found have {', '.join(str(len(found.stretches)) for found in front)}"
        )
    return [*front, more]


def _day(found: Found, timing: Timing, slabs: Slabs) -> Day:
    order = np.lexsort((np.arange(len(found.stretches)), found.timed.start_s))
    stretches = tuple(found.stretches[k] for k in order)
    start = found.timed.start_s[order]
    doses = timing.doses(found.stretches, [found.timed.start_s])[0]
    hours = doses.hours
    dose = np.array([float(hours[s.low : s.high].max()) for s in stretches])
    high_h = float(doses.high_h.max()) if doses.high_h is not None else np.nan
    every = slab_starts(found.stretches, found.timed.start_s, len(slabs.cut_level))
    for array in (start, dose, every):
        array.setflags(write=False)
    return Day(stretches, start, dose, high_h, every, found.kept, timing.marches)


def _words(marches: int, cells: int, cell_m: float, front: list[Found], fine: int) -> tuple[str, ...]:
    fewest, most = len(front[0].stretches), len(front[-1].stretches)
    said = [
        f"Cuts and starts were searched together for {fewest} to {most} pours: heat was followed {marches} times on "
        f"{cells} cells of {cell_m * 1e3:.0f} mm. It is a search: a shorter day may exist."
    ]
    taken = ", ".join(
        f"{len(found.stretches)} in {float(found.timed.start_s.max()) / 3600.0:.1f} h" for found in front if found.kept
    )
    said.append(f"Pours and hours to the last that keep the limit: {taken or 'none'}.")
    if fine:
        said.append(f"The chosen day was timed again on {fine} cells.")
    return tuple(said)
