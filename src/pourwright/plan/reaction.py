"""The foam of the day: its history in a cup, its heat against time, and how it rises."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError
from pourwright.findings import Code, Finding, finding
from pourwright.foam import CupCurve, FoamAtShop, at_conditions, fit_reaction, simulate_cup, with_curve
from pourwright.heat import HeatCurve, s_curve
from pourwright.plan.model import Job
from pourwright.rise import RisingFoam, rising_foam, simple_foam

CURVE_POINTS = 65
LIQUID_PA_S = 20.0


@dataclass(frozen=True, eq=False)
class History:
    """A grade today. ``cup`` is None where no reaction fits the grade's times; then ``notes`` says so."""

    foam: FoamAtShop  # with the times of the cup
    cup: CupCurve | None
    heat: HeatCurve
    rising: RisingFoam  # to the density under a free surface: what the skin holds back of the gas is gone
    packed: RisingFoam  # to that of free rise: all its gas, for what foam held by a cap can press with
    notes: tuple[Finding, ...]


def history_of(job: Job) -> History:
    """The foam of a job at its conditions; its times are those of an adiabatic cup of today's liquids."""
    foam = at_conditions(job.grade, job.conditions)
    open_density, free = foam.open_density_kg_m3.nominal, foam.free_rise_density_kg_m3.nominal
    try:
        cup = simulate_cup(fit_reaction(job.grade), job.conditions)
    except UsageError as error:
        notes = (finding(Code.NO_REACTION, why=str(error)),)
        plain = [
            simple_foam(
                foam.cream_s, foam.gel_s, foam.rise_end_s, density, viscosity_pa_s=LIQUID_PA_S,
                pressure_pa=job.conditions.pressure_pa,
            )
            for density in (open_density, free)
        ]  # fmt: skip
        return History(foam, None, s_curve(foam.cream_s, foam.rise_end_s), plain[0], plain[1], notes)
    rising, packed = (rising_foam(cup, free_density_kg_m3=density) for density in (open_density, free))
    return History(with_curve(foam, cup), cup, heat_curve(cup), rising, packed, ())


def heat_curve(cup: CupCurve) -> HeatCurve:
    """Heat given off against time, at points even in heat and in time; what a cup's record leaves comes right after.

    The reaction never quite ends: the last share is let go within half the record's length after it.
    """
    end = float(cup.time_s[-1])
    share = np.maximum.accumulate(cup.heat_share)
    rising = np.flatnonzero(np.diff(share, prepend=-1.0) > 0)
    wanted = np.linspace(share[0], share[-1], CURVE_POINTS)
    time = np.unique(np.concatenate([np.interp(wanted, share[rising], cup.time_s[rising]), np.linspace(0.0, end, 33)]))
    time = time[np.diff(time, prepend=-1.0) > 1e-3 * end]
    shares = np.interp(time, cup.time_s, share)
    return HeatCurve(np.append(time, 1.5 * max(end, float(time[-1]))), np.append(shares, 1.0))
