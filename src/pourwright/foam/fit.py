"""Fitting the reaction to what a grade is known by: its times and its free-rise density."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from pourwright.errors import UsageError
from pourwright.foam.grade import FoamGrade
from pourwright.foam.reaction import (
    CO2_MOLAR_MASS,
    CREAM_SWELL,
    END_OF_RISE,
    History,
    Reaction,
    crossing,
    follow,
    lag_time,
    reference_reaction,
    run,
    settled_volume,
)
from pourwright.kept import kept
from pourwright.physics import kinetics, yields
from pourwright.physics.constants import GAS_CONSTANT, STANDARD_ATMOSPHERE

_WATER_HEAT_J_MOL = 86.0e3  # of the reference set, per mole of water
_LEAST, _MOST = float(np.log(1e-3)), float(np.log(30.0))  # induction over the gel time without it
_RAMPS = (3.0, 12.0, 60.0)  # powers of the ramp of the rates, gentlest first
_FASTEST = float(np.log(50.0))  # factor on the blowing rate
_HIGHEST_GEL = 0.995  # of the final conversion: gelling no later than that


@dataclass(frozen=True, slots=True)
class CupTimes:
    """Times from the start of mixing [s]; None where the foam never gets there."""

    cream_s: float | None
    gel_s: float | None
    tack_free_s: float | None
    rise_end_s: float | None


def times_of(reaction: Reaction, history: History, final_m3_kg: float | None = None) -> CupTimes:
    """The four times of a cup test, read off a history.

    ``final_m3_kg`` is the volume that counts as fully risen; None takes the last of the history.
    """
    volume = history.volume_m3_kg
    final = volume[-1] if final_m3_kg is None else final_m3_kg
    tack = crossing(history.time_s, history.dose_s, reaction.tack_dose_s)
    gel = crossing(history.time_s, history.gelling, reaction.gel_conversion)
    return CupTimes(
        cream_s=crossing(history.time_s, volume, CREAM_SWELL * volume[0]),
        gel_s=gel,
        tack_free_s=None if gel is None or tack is None else max(tack, gel),
        rise_end_s=crossing(history.time_s, volume, volume[0] + END_OF_RISE * (final - volume[0])),
    )


def _root(function: Callable[[float], float], low: float, high: float, xtol: float) -> float:
    from scipy.optimize import brentq  # slow to load, and what is kept is not fitted again

    return float(brentq(function, low, high, xtol=xtol))


@lru_cache(maxsize=64)
@kept
def _fit(
    density: float,
    liquid: float,
    heat: float,
    specific_heat: float,
    reference_k: float,
    times: tuple[float, float, float, float],
    activation: tuple[float, float],
    name: str,
) -> Reaction:
    cream, gel, tack_free, rise_end = times
    bare = _recipe(density, liquid, heat, specific_heat, reference_k, activation, name)
    shaped = _with_gel_point(bare, cream / gel, rise_end / gel)
    history = run(shaped, reference_k, _span(shaped, reference_k))
    # One factor on every rate stretches the whole adiabatic history in time.
    stretch = gel / _told(times_of(shaped, history).gel_s, "gel", times)
    timed = replace(
        shaped,
        gel_rate_per_s=shaped.gel_rate_per_s / stretch,
        blow_rate_per_s=shaped.blow_rate_per_s / stretch,
        induction_s=shaped.induction_s * stretch,
    )
    lagged = _with_lag(timed, reference_k, rise_end, gel)
    history = run(lagged, reference_k, 1.2 * max(tack_free, gel), points=4001)
    return replace(lagged, tack_dose_s=float(np.interp(tack_free, history.time_s, history.dose_s)))


def fit_reaction(grade: FoamGrade, *, rise_k: float | None = None) -> Reaction:
    """The reaction whose adiabatic cup at the grade's reference temperature shows the grade's times and density.

    Rates, induction, lag, cure dose, water and heats are fitted; activation energies are the grade's; the rest is of
    `reference_reaction`. The gel point stays at half conversion unless the grade ends its rise so soon after gelling
    that gelling must come later. Times are met within 1 %, the density exactly (as risen, one atmosphere).
    ``rise_k`` is another adiabatic rise than the grade's likely one: same times, hotter or cooler core.

    Raises `UsageError` for times no such reaction can show (cream far too early for the gel time).
    """
    liquid = yields.mixed_density(
        grade.mix_a_by_volume, grade.part_a_density_kg_m3, grade.mix_b_by_volume, grade.part_b_density_kg_m3
    )
    return _fit(
        grade.free_rise_density_kg_m3,
        liquid,
        grade.heat_j_kg if rise_k is None else rise_k * grade.specific_heat_j_kgk,
        grade.specific_heat_j_kgk,
        grade.reference_temperature_k,
        (grade.cream_s, grade.gel_s, grade.tack_free_s, grade.rise_end_s),
        (grade.cream_activation_j_mol, grade.gel_activation_j_mol),
        grade.name,
    )


def _recipe(
    density: float,
    liquid: float,
    heat: float,
    specific_heat: float,
    reference_k: float,
    activation: tuple[float, float],
    name: str,
) -> Reaction:
    """The reference recipe with the water that blows to ``density`` and heats that add up to ``heat``."""
    base = reference_reaction()
    hot = reference_k + heat / specific_heat
    free = kinetics.gas_in_foam(density, hot, STANDARD_ATMOSPHERE, liquid, CO2_MOLAR_MASS)
    gas = free + base.dissolved_kg_kg
    water = gas / CO2_MOLAR_MASS  # mol per kg
    oh = base.gas_kg_kg / CO2_MOLAR_MASS / base.water_ratio  # mol per kg, as in the reference
    blow_heat = min(water * _WATER_HEAT_J_MOL, 0.7 * heat)
    ratio = water / oh
    blow, gelling = activation

    def at_reference(rate: float, energy: float, new: float) -> float:
        """The prefactor that keeps the rate at the reference temperature under another activation energy."""
        return rate * float(np.exp((new - energy) / (GAS_CONSTANT * reference_k)))

    return replace(
        base,
        name=name,
        gel_rate_per_s=at_reference(base.gel_rate_per_s, base.gel_activation_j_mol, gelling),
        gel_activation_j_mol=gelling,
        blow_rate_per_s=at_reference(base.blow_rate_per_s, base.blow_activation_j_mol, blow),
        blow_activation_j_mol=blow,
        # NCO enough for the same final conversion of OH: a recipe is balanced whatever its water.
        nco_ratio=base.final_conversion + 2 * ratio,
        water_ratio=ratio,
        gel_heat_j_kg=(heat - blow_heat) / base.final_conversion,
        blow_heat_j_kg=blow_heat,
        gas_kg_kg=gas,
        specific_heat_j_kgk=specific_heat,
        gas_specific_heat_j_kgk=0.0,
        liquid_density_kg_m3=liquid,
        reference_k=reference_k,
        induction_activation_j_mol=blow,
    )


def _span(reaction: Reaction, start_k: float) -> float:
    """A time in which the reaction is over: the induction, and many times the slowest half-life at the start."""
    history = run(reaction, start_k, 3000.0, points=301)
    end = crossing(history.time_s, history.gelling, 0.9 * reaction.final_conversion)
    if end is None:
        return 30000.0
    return 4.0 * end


def _with_gel_point(bare: Reaction, cream_share: float, rise_share: float) -> Reaction:
    """Induction so that cream over gel is ``cream_share``; a later gel point if the rise ends too soon after gel."""
    fitted = _with_induction(bare, cream_share)
    if _natural_end(fitted) <= rise_share:
        return fitted
    low, high = bare.gel_conversion, _HIGHEST_GEL * bare.final_conversion

    def late(gel_conversion: float) -> float:
        return _natural_end(_with_induction(replace(bare, gel_conversion=gel_conversion), cream_share)) - rise_share

    if late(high) > 0:
        raise UsageError(
            f"no reaction ends its rise at {rise_share:.2f} times the gel time; check the rise-end and gel times"
        )
    return _with_induction(replace(bare, gel_conversion=_root(late, low, high, 1e-4)), cream_share)


def _natural_end(reaction: Reaction) -> float:
    """End of rise over gel time of a reaction without lag."""
    history = run(reaction, reaction.reference_k, _span(reaction, reaction.reference_k), points=3001)
    times = times_of(reaction, history)
    return (times.rise_end_s or np.inf) / (times.gel_s or np.nan)


def _with_induction(bare: Reaction, cream_share: float) -> Reaction:
    """Induction so that cream over gel is ``cream_share``.

    Where the cream is too late for the ramp of the rates, a steeper ramp; too early, a faster blowing.
    """
    gel_alone = _gel_alone_s(bare)

    def early(trial: Reaction) -> float:
        history = run(trial, trial.reference_k, trial.induction_s + 3 * gel_alone, points=3001)
        times = times_of(trial, history, final_m3_kg=np.inf)
        return (times.cream_s or np.nan) / (times.gel_s or np.nan) - cream_share

    def induced(log_share: float, power: float) -> Reaction:
        return replace(bare, induction_s=float(np.exp(log_share)) * gel_alone, induction_power=power)

    def blown(log_factor: float) -> Reaction:
        factor = float(np.exp(log_factor))
        return replace(induced(_LEAST, _RAMPS[0]), blow_rate_per_s=bare.blow_rate_per_s * factor)

    if early(induced(_LEAST, _RAMPS[0])) > 0:
        if early(blown(_FASTEST)) > 0:
            raise UsageError(
                f"cream at {cream_share:.3f} of the gel time is too early for a foam blown by its reaction; check the "
                "cream and gel times"
            )
        return blown(_root(lambda f: early(blown(f)), 0.0, _FASTEST, 1e-5))
    for power in _RAMPS:
        if early(induced(_MOST, power)) > 0:
            return induced(_root(lambda f: early(induced(f, power)), _LEAST, _MOST, 1e-5), power)  # noqa: B023
    raise UsageError(f"cream at {cream_share:.3f} of the gel time is too late: check the cream and gel times")


def _gel_alone_s(reaction: Reaction) -> float:
    """Gel time [s] of an adiabatic lump from the reference temperature; ``UsageError`` if it never gels."""
    for end in (1e3, 1e4, 1e5):
        history = run(reaction, reaction.reference_k, end, points=4001)
        gel = crossing(history.time_s, history.gelling, reaction.gel_conversion)
        if gel is not None:
            return gel
    raise UsageError("the foam never gels with these heats and rates; check the data sheet's heat and temperature")


def _with_lag(timed: Reaction, reference_k: float, rise_end: float, gel: float) -> Reaction:
    """Lag of the rise so that it ends at ``rise_end``; the chemistry does not depend on it, so it runs once."""
    history = run(timed, reference_k, max(3 * rise_end, 6 * gel), points=2001)
    settled, _ = settled_volume(timed, history.blowing, history.temperature_k, STANDARD_ATMOSPHERE)
    full = 1 / _final_density(timed, reference_k)
    level = settled[0] + END_OF_RISE * (full - settled[0])

    def late(log_lag: float) -> float:
        lag = lag_time(replace(timed, lag_s=float(np.exp(log_lag))), history.gelling, history.temperature_k)
        end = crossing(history.time_s, follow(history.time_s, settled, lag), level)
        return (history.time_s[-1] if end is None else end) - rise_end

    low, high = np.log(1e-3 * gel), np.log(2.0 * rise_end)
    if late(low) >= 0:
        return replace(timed, lag_s=0.0)
    return replace(timed, lag_s=float(np.exp(_root(late, low, high, 1e-4))))


def _final_density(reaction: Reaction, start_k: float) -> float:
    """Density [kg/m3] after the whole reaction of an adiabatic lump at one atmosphere."""
    hot = start_k + reaction.heat_j_kg / reaction.specific_heat_j_kgk
    per_gas = GAS_CONSTANT * hot / (STANDARD_ATMOSPHERE * CO2_MOLAR_MASS)
    free = reaction.gas_kg_kg - reaction.dissolved_kg_kg
    return 1 / (free * per_gas + (1 - free) / reaction.liquid_density_kg_m3)


def _told(value: float | None, what: str, times: tuple[float, ...]) -> float:
    if value is None:
        raise UsageError(
            f"no reaction shows the times {', '.join(f'{t:g} s' for t in times)}: it never comes to {what}"
        )
    return value
