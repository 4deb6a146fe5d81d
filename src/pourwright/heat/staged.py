"""Staged heat with given starts."""

from __future__ import annotations

from pourwright.heat._march import March
from pourwright.heat._team import Team
from pourwright.heat.model import HeatResult, StagedHeat
from pourwright.progress import Progress, silent


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
            go(march, min(until, end))
            progress("heat", min(1.0, (march.time - pours[0].start_s) / max(end - pours[0].start_s, 1e-9)))


def go(march: March, until: float) -> None:
    """One step towards ``until``, without leaving a sliver of time before it."""
    left = until - march.time
    step = march.longest_step()
    if step >= left:
        march.advance(left)
        march.time = until
    elif 2 * step > left:
        march.advance(0.5 * left)
    else:
        march.advance(step)
