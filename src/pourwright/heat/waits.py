"""The waits between lifts: the shortest that keep what is limited, and what given waits come to."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from pourwright.errors import UsageError
from pourwright.heat._march import March
from pourwright.heat._team import Team
from pourwright.heat.model import HeatResult, HeatSettings, StagedHeat
from pourwright.heat.moments import Watcher
from pourwright.heat.staged import go, simulate
from pourwright.processors import thread_count
from pourwright.progress import Progress, silent

SURFACE = "surface under the pour"
_APART_S = 12 * 3600.0  # lifts this far apart do not warm each other much
_AHEAD_S = 12 * 3600.0  # a look ahead ends by then, or when nothing is above a threshold any more
_GROWTH = 1.5  # of a wait that does not do, for the next try
_FINE = 0.08  # a wait found is at most this share longer than the shortest that would do
_ROOM = 1.05  # over the dose of a lift on a cold one, which no wait can lower
_LOOKING = HeatSettings(curve_share=0.1, growth=0.15, first_step_s=8.0)


@dataclass(frozen=True, slots=True)
class Dose:
    """No spot of any pour may be above ``threshold_k`` for longer than ``seconds``, over the whole job."""

    threshold_k: float
    seconds: float
    name: str = "dose"  # what a wait that it bounds is said to be governed by


@dataclass(frozen=True, slots=True)
class WaitRule:
    """When the next lift may be poured; each limit is a named value of the job.

    All that are set must hold: the lift below has risen (``reacted_share`` of its heat is out: never new foam onto
    rising foam); the surface under it is cooler than ``surface_under_k``; with the next lift on top and none above it,
    no place stays above a ``doses`` threshold for longer than allowed, but for what it would on a cold lift, which no
    wait can mend. A job may also ask for cores that have shed their rise over the air to ``centre_share``, and that
    are cooler than ``centre_k``; ``inf`` sets a limit aside. Waits are whole multiples of ``grain_s``.
    """

    surface_under_k: float = np.inf
    doses: tuple[Dose, ...] = ()
    centre_share: float = np.inf
    centre_k: float = np.inf
    reacted_share: float = 0.97
    shortest_s: float = 600.0
    longest_s: float = 172_800.0  # two days; a wait that is not over by then is given up
    grain_s: float = 300.0


@dataclass(frozen=True, slots=True)
class Wait:
    """The wait before one lift."""

    lift: int  # the lift that waits
    seconds: float  # from the start of the lift before
    met: bool  # False: given up at the longest wait
    bound: str  # what held out longest: "reaction", `SURFACE`, a dose's name, "centre share", "centre", "shortest"
    surface_under_k: float  # hottest face it lands on then; nan where it lands on no foam
    core_k: float  # hottest point below then


@dataclass(frozen=True, eq=False)
class WaitPlan:
    """Waits, starts and the temperatures that go with them."""

    waits: tuple[Wait, ...]  # one for each lift after the first
    start_s: tuple[float, ...]  # of each pour
    result: HeatResult
    alone_s: np.ndarray  # (doses, pours) of each pour with cold foam below and nothing above: no wait makes it less


def find_waits(
    problem: StagedHeat, rule: WaitRule | None = None, *, first: tuple[float, ...] = (), threads: int | None = None,
    progress: Progress = silent,
) -> WaitPlan:  # fmt: skip
    """Shortest waits between lifts that keep ``rule``, lift by lift from the bottom.

    Parameters
    ----------
    problem : StagedHeat
        As for `simulate`; of the pours' starts only the offsets within a lift count. The account ends as long after
        the start of the last lift as ``problem.end_s`` lies after the start of its first. Its thresholds are replaced
        by those of the rule's doses.
    rule : WaitRule, optional
        When the next lift may come.
    first : tuple of float
        Waits [s] that are over already: after the first lift, the second, …; they are kept as they were.
    threads, progress
        As for `simulate`.

    Returns
    -------
    WaitPlan
        A lift that cannot be met within the longest wait is poured then, with ``met`` false: a finding, not an error.

    Notes
    -----
    Lower foam never gets hotter through a later lift (maximum principle), but stays hot longer under it. Each wait is
    tried with the next lift on top and nothing above that; lifts above add a little, so the whole job is to be computed
    again with the waits found (`kept_waits`), and the waits stretched where it asks for it.
    """
    rule = rule or WaitRule()
    if not 0 < rule.grain_s <= rule.shortest_s <= rule.longest_s:
        raise UsageError("waits need 0 < grain <= shortest <= longest")
    if not rule.doses:
        return _Search(problem, rule, np.zeros((0, 0)), first).run(threads, progress, np.zeros((0, len(problem.pours))))
    levels = sorted({dose.threshold_k for dose in rule.doses})
    rows = [levels.index(dose.threshold_k) for dose in rule.doses]
    problem = replace(problem, thresholds_k=tuple(levels))
    least = [min(dose.seconds for dose in rule.doses if dose.threshold_k == level) for level in levels]
    alone = _alone(problem, threads)
    named = [next(dose.name for dose in rule.doses if dose.threshold_k == level) for level in levels]
    search = _Search(problem, rule, np.maximum(np.array(least)[:, None], _ROOM * alone), first, tuple(named))
    return search.run(threads, progress, alone[rows])


def kept_waits(
    problem: StagedHeat, waits: tuple[float, ...], rule: WaitRule, *, threads: int | None = None,
    progress: Progress = silent, watcher: Watcher | None = None,
) -> WaitPlan:  # fmt: skip
    """What given waits [s], one for each lift after the first, come to: as `find_waits` answers, nothing sought.

    ``watcher`` looks at the march after each of its steps.

    ``bound`` is empty, ``met`` says whether landing and reaction hold. The thresholds are those of the problem.
    """
    search = _Search(problem, rule, np.zeros((0, 0)), waits, watcher=watcher)
    return search.run(threads, progress, np.zeros((0, len(problem.pours))))


@dataclass(frozen=True, slots=True)
class AlsoAt:
    """Another rise of all pours, and how long after the start of the last pour that account ends."""

    rise_k: float
    after_s: float


def kept_and_hotter(
    problem: StagedHeat, waits: tuple[float, ...], rule: WaitRule, also: AlsoAt, *, threads: int | None = None,
    progress: Progress = silent, watcher: Watcher | None = None,
) -> tuple[WaitPlan, HeatResult]:  # fmt: skip
    """`kept_waits`, and the same job at another rise: side by side, each on its share of the threads.

    Neither depends on how many threads there are.
    """
    starts = _starts(problem, waits)
    hotter = replace(problem.with_starts(starts).with_rise(also.rise_k), end_s=starts[-1] + also.after_s)
    size = threads or thread_count()
    with ThreadPoolExecutor(1) as beside:
        other = beside.submit(simulate, hotter, threads=size // 2) if size > 1 else None
        own = size - size // 2
        kept = kept_waits(problem, waits, rule, threads=own, progress=progress, watcher=watcher)
        return kept, other.result() if other else simulate(hotter, threads=1)


def _starts(problem: StagedHeat, waits: tuple[float, ...]) -> tuple[float, ...]:
    """When each pour starts with these waits after the first lift, the second, …, as `kept_waits` has it."""
    first, starts, given = problem.pours[0], list[float](), iter(waits)
    time = begin = first.start_s
    for pour in problem.pours:
        if pour.lift != first.lift:
            first, begin = pour, max(begin + next(given), time)
        time = max(begin + pour.start_s - first.start_s, time)
        starts.append(time)
    return tuple(starts)


def _alone(problem: StagedHeat, threads: int | None) -> np.ndarray:
    """(doses, pours) seconds above each threshold where lifts come so far apart that each stands on cold foam."""
    lifts = sorted({p.lift for p in problem.pours})
    first = {lift: min(p.start_s for p in problem.pours if p.lift == lift) for lift in lifts}
    starts = tuple(lifts.index(p.lift) * _APART_S + p.start_s - first[p.lift] for p in problem.pours)
    apart = replace(problem.with_starts(starts), end_s=starts[-1] + _AHEAD_S, settings=_LOOKING)
    result = simulate(apart, threads=threads)
    return 3600.0 * np.array([pour.hours_above for pour in result.pours]).T


class _Search:
    """One walk from the first lift to the last."""

    def __init__(
        self,
        problem: StagedHeat,
        rule: WaitRule,
        allowed: np.ndarray,
        given: tuple[float, ...] = (),
        names: tuple[str, ...] = (),
        watcher: Watcher | None = None,
    ):
        self.watcher = watcher
        self.problem, self.rule, self.allowed, self.given, self.names = problem, rule, allowed, given, names
        self.lifts = sorted({p.lift for p in problem.pours})
        self.members = [[i for i, p in enumerate(problem.pours) if p.lift == lift] for lift in self.lifts]

    def run(self, threads: int | None, progress: Progress, alone: np.ndarray) -> WaitPlan:
        pours, waits = self.problem.pours, []
        with Team(threads) as team:
            march = March(self.problem, team, self.watcher)
            for number, group in enumerate(self.members):
                begin = march.time
                self._pour(march, number)
                if number + 1 < len(self.members):
                    march, wait = self._wait(march, number, begin)
                    waits.append(wait)
                else:
                    last = pours[group[-1]].start_s - pours[group[0]].start_s
                    _until(march, begin + max(self.problem.end_s - pours[0].start_s, last))
                progress("waits", (number + 1) / len(self.members))
            return WaitPlan(tuple(waits), tuple(float(s) for s in march.starts), march.result(), alone)

    def _pour(self, march: March, number: int) -> None:
        """The pours of a lift, from now on, at their offsets."""
        begin, group = march.time, self.members[number]
        for i in group:
            _until(march, begin + self.problem.pours[i].start_s - self.problem.pours[group[0]].start_s)
            march.start_pours(1)

    def _wait(self, march: March, number: int, begin: float) -> tuple[March, Wait]:
        """March until the next lift may be poured."""
        rule, lift = self.rule, self.lifts[number + 1]
        if number < len(self.given):
            _until(march, max(begin + self.given[number], march.time))
            open_rules = self._open(march, lift)
            return march, self._found(march, lift, begin, not {"reaction", SURFACE} & set(open_rules), "")
        grain = rule.grain_s
        wait = float(max(rule.shortest_s, grain * np.ceil((march.time - begin) / grain - 1e-9)))
        bound, failed = "shortest", None
        while True:
            _until(march, begin + wait)
            open_rules = self._open(march, lift) or self._too_soon(march, number + 1)
            if not open_rules:
                break
            bound, failed = open_rules[-1], (march.copied(), wait)
            longer = grain * max(np.ceil(wait * _GROWTH / grain - 1e-9), wait / grain + 1)
            if longer > rule.longest_s:
                return march, self._found(march, lift, begin, False, bound)
            wait = float(longer)
        if failed is not None:
            march, bound = self._shorter(failed[0], failed[1], march, wait, begin, number + 1, bound)
        return march, self._found(march, lift, begin, True, bound)

    def _shorter(
        self, before: March, low: float, march: March, high: float, begin: float, number: int, bound: str
    ) -> tuple[March, str]:
        """Halve between a wait that does not do and one that does."""
        grain = self.rule.grain_s
        while high - low > max(grain, _FINE * high) + 1e-9:
            middle = grain * round(0.5 * (low + high) / grain)
            if not low < middle < high:
                break
            trial = before.copied()
            _until(trial, begin + middle)
            open_rules = self._open(trial, self.lifts[number]) or self._too_soon(trial, number)
            if open_rules:
                before, low, bound = trial, middle, open_rules[-1]
            else:
                march, high = trial, middle
        return march, bound

    def _open(self, march: March, lift: int) -> list[str]:
        """The rules that can be seen now and do not hold yet."""
        rule, air = self.rule, self.problem.surroundings.air_k
        cores = march.rows[-1][0, : march.active]
        excess = float(np.nanmax((cores - air) / march.rise[: march.active]))
        seen = (
            ("reaction", bool(np.any(march.done[: march.active] < rule.reacted_share))),
            (SURFACE, march.surface_under_k(lift) > rule.surface_under_k),
            ("centre share", excess > rule.centre_share),
            ("centre", float(np.nanmax(cores)) > rule.centre_k),
        )
        return [name for name, open_ in seen if open_]

    def _too_soon(self, march: March, number: int) -> list[str]:
        """Whether a dose would be passed if the lift came now and nothing after it."""
        if not len(self.allowed):
            return []
        ahead = march.copied()
        ahead.problem = replace(ahead.problem, settings=_LOOKING)
        self._pour(ahead, number)
        end, coolest = ahead.time + _AHEAD_S, min(self.problem.thresholds_k)
        reacted = ahead.time + max(p.curve.end_s for p in self.problem.pours)
        while ahead.time < end - 1e-9:
            go(ahead, end)
            over = np.any(ahead.doses_s() > self.allowed + 1e-6, axis=1)
            if over.any():
                return [self.names[int(np.argmax(over))]]
            if ahead.time > reacted and float(np.nanmax(ahead.rows[-1][0, : ahead.active])) < coolest:
                return []
        return []

    def _found(self, march: March, lift: int, begin: float, met: bool, bound: str) -> Wait:
        face, core = march.surface_under_k(lift), float(np.nanmax(march.rows[-1][0, : march.active]))
        return Wait(lift, march.time - begin, met, bound, face if np.isfinite(face) else float("nan"), core)


def _until(march: March, time: float) -> None:
    while march.time < time - 1e-9:
        go(march, time)
