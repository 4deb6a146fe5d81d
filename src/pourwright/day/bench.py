"""The piece as the search sees it: limbs, slabs and heat cells; and how days are timed and mended on them."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import LevelGraph, Limbs, limbs_of
from pourwright.day.body import Body, Heat, Slabs, slabs_of
from pourwright.day.first_look import first_look
from pourwright.day.mending import mended, order
from pourwright.day.model import Day, Dose, Hinder, Stretch, Work
from pourwright.day.question import Question
from pourwright.day.search import Found, May, Search
from pourwright.day.timing import CLOSE, GRAIN_S, Piles, Timed, Timing, over_s, slab_starts
from pourwright.progress import Progress, silent

TIMED_AGAIN = 3  # days at most whose waits are found again on them before one is chosen
FINE_CELLS = 125_000
"""Heat cells of the last word at most, about 12 mm in a fifth of a cubic metre: as in the staged heat of a plan. The
layers of a search, and the slabs it moves cuts by, are as thick as they."""
MOST_ACROSS = 4  # of them lie side by side in a cell of a search, whose layers are as thick as they
OTHER_MARCHES = 200  # common ones, for a day of another shop
FINE_ROUNDS, REPEATS = 5, 4
FINE_MARCHES = 4000  # common ones: waits are found again as long as no more are spent, and then only made longer
STRETCHES = 12
NEAR_ALL = 0.8  # of what is allowed: a day that uses less has its length from hands and cups; our judgement
NEXT_TO_NOTHING, EASED = 0.1, 1.01  # over what is allowed by no more; every wait longer by this share at a time
LONGER = (1.01, 1.02, 1.03, 1.05, 1.08, 1.12, 1.2, 1.3, 1.5, 1.8)  # times every wait, until the fine cells keep it too


@dataclass(frozen=True, eq=False)
class Bench:
    """The piece as the search sees it, and how days are timed on it."""

    asked: Question
    limbs: Limbs
    stray: tuple[np.ndarray, ...]
    slabs: Slabs
    piles: Piles
    body: Body  # of the search
    pool: ThreadPoolExecutor
    cells: int  # asked for

    def timing(self, cells: Body, work: Work | None = None, heat: Heat | None = None, whole: float = 1.0) -> Timing:
        """Starts on these cells; another shop and another heat where given, and ``whole`` as `Timing` has it."""

        def doses(starts: list[np.ndarray]) -> list[Dose]:
            return list(self.pool.map(lambda start: cells.dose(start, heat), starts))

        return Timing(self.piles, work or self.asked.work, self.asked.allowed, doses, whole)

    def search(self, timing: Timing, marches: int, progress: Progress = silent) -> Search:
        """A search with the hands and cups of ``timing``."""
        may = _may(replace(self.asked, work=timing.work), self.slabs, self.piles)
        least = max(1, int(self.asked.thin_m / (_fine(self.asked) * self.asked.cavity.grid.cell_m)))
        return Search(timing, may, marches, progress, least, self.asked.least_m3)

    def whole_of(self, found: Found) -> float:
        """What a day that keeps the limits on fine cells uses of them on those of the search, where it is near all.

        A day by hands and cups alone uses little; that is no reason to allow others less.
        """
        most = float(found.timed.used.max())
        return most if found.kept and most > NEAR_ALL else 1.0

    def mended(
        self,
        work: Work,
        heat: Heat,
        found: Found,
        *,
        cooler_k: float = 0.0,
        inside_w_m2k: float | None = None,
        whole: float = 1.0,
    ) -> Found:
        """A day of another shop and another heat: from ``found``, or from a short search of its own."""
        body, asked = self.body, self.asked
        if cooler_k or inside_w_m2k is not None:
            source = replace(asked.source, start_k=asked.source.start_k - cooler_k)
            film = asked.air.inside_film_w_m2k if inside_w_m2k is None else inside_w_m2k
            other = replace(asked, source=source, air=replace(asked.air, inside_film_w_m2k=film))
            body = _body(other, self.slabs, self.cells)
        timing = self.timing(body, work, heat, whole)
        timing.most = 2.0 * OTHER_MARCHES
        search = self.search(timing, OTHER_MARCHES)
        return min((mended(search, found.stretches, found.timed.start_s, rounds=3), *first_look(search)), key=order)

    def found(self, day: Day, timing: Timing) -> Found:
        """A day as the search has it."""
        timing.with_short = True
        limbs = sorted(range(len(day.stretches)), key=lambda k: (day.stretches[k].limb, day.stretches[k].low))
        stretches, start = tuple(day.stretches[k] for k in limbs), day.start_s[limbs]
        used = timing.used(stretches, [start])[0]
        cost = float(start.max()) + self.asked.work.price_s * len(stretches)
        return Found(stretches, Timed(start, used, None, max(0.0, float(used.max()) - 1.0)), cost, day.keeps)

    def on_fine_cells(self, front: list[Found], best: int, other: Callable[[], int]) -> tuple[int, int]:
        """Waits of one day once more on fine cells, then of ``other`` where that is better now; it, and their number.

        They are cubes as thick as the layers of the search, so that the cuts lie between them: a cut inside cells
        would make one lift thicker than it is, and the next one thinner.
        """
        fine = _body(self.asked, self.slabs)
        timing = self.timing(fine)
        timing.most = FINE_MARCHES
        done: set[int] = set()
        while best not in done and len(done) < TIMED_AGAIN and not (done and timing.spent > timing.most):
            front[best] = _again(front[best], timing, self.asked.work, FINE_ROUNDS)
            done.add(best)
            best = other()
        best = best if best in done else min(done, key=lambda k: order(front[k]))
        return best, fine.cells

    def eased(self, found: Found, timing: Timing) -> Found:
        """A day over by next to nothing with all its waits a little longer; as it was where that does not do."""
        start = found.timed.start_s
        for _ in range(0 if found.kept or found.timed.excess_h > NEXT_TO_NOTHING else STRETCHES):
            start = np.ceil(start * EASED / GRAIN_S) * GRAIN_S
            used = timing.used(found.stretches, [start])[0]
            excess = max(0.0, float(used.max()) - 1.0)
            if excess <= CLOSE:
                cost = float(start.max()) + self.asked.work.price_s * len(found.stretches)
                return Found(found.stretches, Timed(start, used, None, excess), cost, True)
        return found

    def hinders(self, found: Found) -> Hinder:
        """Where a day uses most of what is allowed, and how much of it."""
        worst = int(np.argmax(found.timed.used))
        level, slabs = self.asked.graph.level_m, self.slabs
        count = len(slabs.cut_level)
        s = next(s for k, s in enumerate(found.stretches) if s.low <= worst < s.high or k == worst - count)
        last = s.high == int(slabs.first[s.limb + 1])
        top = int(slabs.top_level[s.limb]) if last else int(slabs.cut_level[s.high])
        low_m, high_m = float(level[int(slabs.cut_level[s.low])]), float(level[top])
        return Hinder(self.limbs.limbs[s.limb].name, low_m, high_m, float(found.timed.used[worst]))

    def busy_s(self, day: Day) -> tuple[float, ...]:
        """How long one person is at each pour of a day."""
        return tuple(self.asked.work.busy_s(self.piles.foam_m3(s)) for s in day.stretches)

    def days(self, front: list[Found], timing: Timing) -> tuple[Day, ...]:
        """Found days, each in the order of its starts."""
        doses = timing.doses([(found.stretches, found.timed.start_s) for found in front])
        return tuple(self._day(found, dose, timing.marches) for found, dose in zip(front, doses, strict=True))

    def _day(self, found: Found, doses: Dose, marches: int) -> Day:
        by_start = np.lexsort((np.arange(len(found.stretches)), found.timed.start_s))
        stretches = tuple(found.stretches[k] for k in by_start)
        start = found.timed.start_s[by_start]
        dose = np.array([float(doses.hours[s.low : s.high].max()) for s in stretches])
        high_h = float(doses.high_h.max()) if doses.high_h is not None else np.nan
        every = slab_starts(found.stretches, found.timed.start_s, len(self.slabs.cut_level))
        for array in (start, dose, every):
            array.setflags(write=False)
        return Day(stretches, start, dose, high_h, every, found.kept, self.foam_kg(stretches), marches)

    def foam_kg(self, stretches: tuple[Stretch, ...]) -> float:
        """Foam of all pours [kg], with a dense layer at each free surface, of the mean section of the slab under it."""
        weighs, slabs, volume = self.asked.weighs, self.slabs, self.piles.volume_m3
        level = self.asked.graph.level_m
        total = 0.0
        for s in stretches:
            last = s.high == int(slabs.first[s.limb + 1])
            closes = last and not self.limbs.limbs[s.limb].above
            total += (weighs.closed_kg_m3 if closes else weighs.open_kg_m3) * float(volume[s.low : s.high].sum())
            if not closes:
                low = int(slabs.cut_level[s.high - 1])
                high = int(slabs.top_level[s.limb]) if last else int(slabs.cut_level[s.high])
                total += weighs.layer_kg_m2 * float(volume[s.high - 1]) / float(level[high] - level[low])
        return total


def bench_of(asked: Question, cells: int, pool: ThreadPoolExecutor) -> Bench:
    """The bench of a question, its search on about ``cells`` heat cells."""
    graph = asked.graph
    least = np.full(len(graph.node_level), asked.least_m3)
    least[list(asked.own)] = 0.0
    limbs = limbs_of(graph, least, spill_m=asked.spill_m, start_level=asked.start_level)
    limbs, stray = without_stray(graph, limbs, asked.stray_m3)
    slabs = slabs_of(graph, limbs, _fine(asked))
    piles = Piles(slabs.first, tuple(limb.below for limb in limbs.limbs), slabs.volume_m3)
    return Bench(asked, limbs, stray, slabs, piles, _body(asked, slabs, cells), pool, cells)


def _body(asked: Question, slabs: Slabs, cells: int | None = None) -> Body:
    """Cells of the last word, or about ``cells`` wider ones in layers as thick."""
    fine = _fine(asked)
    count = asked.cavity.volume_m3 / (fine * asked.cavity.grid.cell_m) ** 3
    across = 1 if cells is None else min(max(1, round((count / cells) ** 0.5)), MOST_ACROSS)
    return Body(asked.cavity, asked.graph, slabs, asked.source, asked.skin, asked.air, (across * fine, across))


def _fine(asked: Question) -> int:
    """Cells of the cavity along the edge of one of the last word."""
    return max(1, math.ceil((asked.cavity.volume_m3 / asked.cavity.grid.cell_m**3 / FINE_CELLS) ** (1 / 3)))


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


def _may(asked: Question, slabs: Slabs, piles: Piles) -> May:
    """Whether a stretch keeps what can be mixed for one pour and the thickness that other limits ask for.

    What is only just enough to mix well is never asked to be thinner: where it is over a limit then, the plan says so.
    """
    level, inside = asked.graph.level_m, slabs.of_node >= 0
    tall = np.full(len(slabs.cut_level), np.inf)
    np.minimum.at(tall, slabs.of_node[inside], asked.tall_m[inside])
    most = asked.work.hands * asked.work.batch_m3 / asked.work.liquid_share
    tops = np.append(slabs.cut_level[1:], 0)
    limb_of = np.searchsorted(slabs.first, slabs.of_node, side="right") - 1  # -1: in none
    apart = [(low, high, set(limb_of[list(nodes)].tolist()) if nodes else None) for low, high, nodes in asked.apart]

    def may(stretch: Stretch) -> bool:
        foam_m3 = piles.foam_m3(stretch)
        if foam_m3 > most * (1 + 1e-9):
            return False
        if foam_m3 - float(piles.volume_m3[stretch.high - 1]) < asked.least_m3:
            return True
        low = int(slabs.cut_level[stretch.low])
        last = stretch.high == int(slabs.first[stretch.limb + 1])
        high = int(slabs.top_level[stretch.limb]) if last else int(tops[stretch.high - 1])
        if any(low < below and high > above and (not of or stretch.limb in of) for below, above, of in apart):
            return False
        thick = float(level[high] - level[low])
        return thick <= float(tall[stretch.low : stretch.high].min()) * (1 + 1e-9)

    return may


def _again(found: Found, timing: Timing, work: Work, rounds: int) -> Found:
    """The waits of a day once more on finer cells, made longer until those keep the dose as well."""
    timing.with_short = True
    best = timed = _repeated(found.stretches, found.timed.start_s, timing, rounds)
    for share in LONGER:
        if timed.excess_h <= CLOSE:
            break
        timed = timing.find(found.stretches, np.ceil(share * best.start_s / GRAIN_S) * GRAIN_S, rounds=0)
    if timed is not best and timed.excess_h <= CLOSE:  # not all of them have to be longer
        shorter = _repeated(found.stretches, timed.start_s, timing, rounds)
        timed = shorter if shorter.excess_h <= CLOSE else timed
    cost = float(timed.start_s.max()) + work.price_s * len(found.stretches)
    return Found(found.stretches, timed, cost, timed.excess_h <= CLOSE)


def _repeated(stretches: tuple[Stretch, ...], start_s: np.ndarray, timing: Timing, rounds: int) -> Timed:
    """Starts found again from those that were found, with the first radius, as long as that shortens the day."""

    def merit(timed: Timed) -> float:
        return float(timed.start_s.max()) + over_s(timed.excess_h)

    best = timing.find(stretches, start_s, rounds=rounds)
    for _ in range(REPEATS):
        again = timing.find(stretches, best.start_s, rounds=rounds)
        if merit(again) >= merit(best) - GRAIN_S:
            break
        best = again
    return best
