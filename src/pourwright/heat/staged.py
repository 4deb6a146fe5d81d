"""Staged heat with given starts, and with the shortest waits that keep the rules."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError
from pourwright.heat._march import March
from pourwright.heat._team import Team
from pourwright.heat.model import HeatResult, StagedHeat
from pourwright.progress import Progress, silent

_WAIT_STEP = 0.05  # of what has been waited


@dataclass(frozen=True, slots=True)
class WaitRule:
    """When the next lift may be poured. Judgements, no published source; each is a named value of the job.

    All that are set must hold: the face the next lift lands on is cooler than ``landing_k``; the hottest spot of every
    lift so far keeps at most ``centre_share`` of its adiabatic rise over the air; and it is cooler than ``centre_k``.
    ``inf`` sets a rule aside. Waits are whole multiples of ``grain_s``; long ones are tried in steps of a twentieth of
    what has been waited, so they may be that much longer than the shortest, never shorter.
    """

    landing_k: float = 333.15  # 60 °C
    centre_share: float = 0.30
    centre_k: float = 333.15  # 60 °C
    shortest_s: float = 600.0
    longest_s: float = 172_800.0  # two days; a wait that is not over by then is given up
    grain_s: float = 300.0


@dataclass(frozen=True, slots=True)
class Wait:
    """The wait before one lift."""

    lift: int  # the lift that waits
    seconds: float  # from the start of the lift before
    met: bool  # False: given up at the longest wait
    bound: str  # the rule that held out longest: "landing", "centre share", "centre", "shortest"
    landing_k: float  # hottest face it lands on then; nan where it lands on no foam
    core_k: float  # hottest spot below then


@dataclass(frozen=True, eq=False)
class WaitPlan:
    """Waits, starts and the temperatures that go with them."""

    waits: tuple[Wait, ...]  # one for each lift after the first
    start_s: tuple[float, ...]  # of each pour
    result: HeatResult


def simulate(problem: StagedHeat, *, threads: int | None = None, progress: Progress = silent) -> HeatResult:
    """Temperatures of a staged job whose pours start when ``problem`` says.

    Parameters
    ----------
    problem : StagedHeat
        Grid, pours in pouring order, skin, air.
    threads : int, optional
        Threads; the result does not depend on it. Default: ``POURWRIGHT_THREADS`` or all processors.
    progress : Progress
        Told how far it is.

    Returns
    -------
    HeatResult

    Raises
    ------
    UsageError
        If pours are out of order, walls do not fit the grid, or a property is not above zero.

    Notes
    -----
    Finite volumes of second order in space on the grid's cells, second order in time (Runge-Kutta-Legendre, stable
    for any step). The heat of reaction enters exactly, whatever the step. Left out: heat along the skin, the skin
    above foam not yet poured, the growth of the foam while it rises (it stands in its final place from the start),
    a gap that opens between foam and skin on cooling (which keeps heat in the foam and off the skin), properties that
    change with temperature.
    """
    pours = problem.pours
    with Team(threads) as team:
        march = March(problem, team)
        end = max(problem.end_s, pours[-1].start_s)
        while True:
            due = sum(1 for p in pours[march.active :] if p.start_s <= march.time + 1e-9)
            if due:
                march.start_pours(due)
            if march.time >= end - 1e-9:
                return march.result()
            until = pours[march.active].start_s if march.active < len(pours) else end
            _go(march, min(until, end))
            progress("heat", min(1.0, (march.time - pours[0].start_s) / max(end - pours[0].start_s, 1e-9)))


def _go(march: March, until: float) -> None:
    """One step towards ``until``, without leaving a crumb of time before it."""
    left = until - march.time
    step = march.longest_step()
    if step >= left:
        march.advance(left)
        march.time = until
    elif 2 * step > left:
        march.advance(0.5 * left)
    else:
        march.advance(step)


def find_waits(
    problem: StagedHeat, rule: WaitRule | None = None, *, threads: int | None = None, progress: Progress = silent
) -> WaitPlan:
    """Shortest waits between lifts that keep ``rule``, found while the job is computed forward once.

    Parameters
    ----------
    problem : StagedHeat
        As for `simulate`; of the pours' starts only the offsets within a lift count. The account ends as long after
        the start of the last lift as ``problem.end_s`` lies after the start of its first.
    rule : WaitRule, optional
        When the next lift may come.
    threads, progress
        As for `simulate`.

    Returns
    -------
    WaitPlan
        A lift that cannot be met within the longest wait is poured then, with ``met`` false: a finding, not an error.
    """
    rule = rule or WaitRule()
    pours = problem.pours
    if not 0 < rule.grain_s <= rule.shortest_s <= rule.longest_s:
        raise UsageError("waits need 0 < grain <= shortest <= longest")
    lifts = sorted({p.lift for p in pours})
    members = [[i for i, p in enumerate(pours) if p.lift == lift] for lift in lifts]
    waits: list[Wait] = []
    with Team(threads) as team:
        march = March(problem, team)
        for number, group in enumerate(members):
            begin = march.time
            offsets = [pours[i].start_s - pours[group[0]].start_s for i in group]
            for offset in offsets:
                while march.time < begin + offset - 1e-9:
                    _go(march, begin + offset)
                march.start_pours(1)
            if number + 1 < len(members):
                waits.append(_wait(march, rule, begin, lifts[number + 1]))
            else:
                end = begin + max(problem.end_s - pours[0].start_s, offsets[-1])
                while march.time < end - 1e-9:
                    _go(march, end)
            progress("waits", (number + 1) / len(members))
        return WaitPlan(tuple(waits), tuple(float(s) for s in march.starts), march.result())


def _wait(march: March, rule: WaitRule, begin: float, lift: int) -> Wait:
    """March until ``lift`` may be poured."""
    problem, bound = march.problem, "shortest"
    first = max(rule.shortest_s, rule.grain_s * np.ceil((march.time - begin) / rule.grain_s))
    air = problem.surroundings.air_k
    wait = float(first)
    while True:
        while march.time < begin + wait - 1e-9:
            _go(march, begin + wait)
        cores = march.rows[-1][0, : march.active]
        # A core still gaining heat is not done, however cool it is.
        reacting = bool(np.any(march.done[: march.active] < 1 - 1e-9))
        excess = float(np.nanmax((cores - air) / march.rise[: march.active]))
        face, core = march.landing_k(lift), float(np.nanmax(cores))
        open_rules = [
            name
            for name, open_ in (
                ("reaction", reacting),
                ("landing", face > rule.landing_k),
                ("centre share", excess > rule.centre_share),
                ("centre", core > rule.centre_k),
            )
            if open_
        ]
        met = not open_rules
        more = rule.grain_s * max(1.0, np.floor(_WAIT_STEP * wait / rule.grain_s))
        if met or wait + more > rule.longest_s:
            shown = face if np.isfinite(face) else float("nan")
            return Wait(lift, wait, met, bound if met else open_rules[-1], shown, core)
        bound = open_rules[-1]
        wait += float(more)


def likely_and_high(
    problem: StagedHeat, high_rise_k: float, *, threads: int | None = None
) -> tuple[HeatResult, HeatResult]:
    """The job as given, and again with a higher adiabatic rise [K] at the same starts."""
    return simulate(problem, threads=threads), simulate(problem.with_rise(high_rise_k), threads=threads)
