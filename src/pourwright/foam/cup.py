"""A cup of foam: what it shows against time, and a measured cup in place of the data sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pourwright.errors import JobError, UsageError
from pourwright.foam.fit import CupTimes, times_of
from pourwright.foam.grade import Conditions, FoamAtShop, FoamGrade
from pourwright.foam.measured_rise import LEAST_ACROSS_M, with_readings
from pourwright.foam.reaction import History, Reaction, run
from pourwright.foam.shop import check_conditions, notes_of
from pourwright.kept import kept
from pourwright.physics import gas, kinetics
from pourwright.physics.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS_K
from pourwright.sources import Cited, Standing


@dataclass(frozen=True, eq=False)
class CupCurve:
    """A cup of foam from the start of mixing; read-only arrays of one length ``n``."""

    reaction: Reaction
    conditions: Conditions
    mass_kg: float
    time_s: np.ndarray
    height_share: np.ndarray  # of the whole rise, 0 to 1
    temperature_k: np.ndarray  # core
    gelling: np.ndarray  # conversion of OH
    blowing: np.ndarray  # conversion of water
    density_kg_m3: np.ndarray
    viscosity_pa_s: np.ndarray  # of the liquid between the bubbles; infinite from gelling on
    heat_share: np.ndarray  # of the reaction's heat given off, 0 to 1
    gas_kg_kg: np.ndarray  # in the bubbles
    times: CupTimes
    peak_k: float  # hottest the core gets
    final_density_kg_m3: float  # at the end of the rise

    @property
    def expansion(self) -> float:
        """Volume of the risen foam per volume of liquid."""
        return float(self.density_kg_m3[0]) / self.final_density_kg_m3


@dataclass(frozen=True, slots=True)
class CupTest:
    """What somebody measured on a cup, SI; None where it was not measured. Times from the start of mixing."""

    parts_k: float  # temperature of both liquids before mixing
    air_k: float
    pressure_pa: float = STANDARD_ATMOSPHERE
    cream_s: float | None = None
    gel_s: float | None = None
    tack_free_s: float | None = None
    rise_end_s: float | None = None
    mass_kg: float | None = None  # of foam in the cup (liquids weighed in)
    height_m: float | None = None  # of foam above the cup's floor, when cold
    area_m2: float | None = None  # of the cup's section, straight walls
    density_kg_m3: float | None = None  # of a block cut from the core; wins over mass and height
    peaks_k: tuple[float, ...] = ()  # hottest readings, one a cup
    across_m: float | None = None  # the smaller of diameter and height of the foam in those cups
    instrument: str = "thermocouple"  # at mid-height in the middle; or "infrared", of the surface
    reference: str = "cup test"  # date, batch


# Test field, field of the grade it replaces, lowest and highest allowed.
_TIMES = ("cream_s", "gel_s", "tack_free_s", "rise_end_s")
_LIMITS = {
    "cream_s": (2, 1800),
    "gel_s": (5, 7200),
    "tack_free_s": (6, 14400),
    "rise_end_s": (6, 14400),
    "mass_kg": (0.01, 50),
    "height_m": (0.01, 3),
    "area_m2": (1e-4, 1),
    "density_kg_m3": (10, 400),
    "across_m": (0.02, 1),
}
_RISES = (40.0, 260.0)  # rises a reading may show [K]
_MEASURED_SPREAD = 0.05  # of the density after a cup test of the day; our judgement, half of the hand-mixed 10 %


@kept
def simulate_cup(
    reaction: Reaction,
    conditions: Conditions,
    mass_kg: float = 0.3,
    *,
    loss_w_k: float = 0.0,
    end_s: float | None = None,
    points: int = 1201,
) -> CupCurve:
    """The history of ``mass_kg`` of mixed foam in a cup in this shop.

    ``loss_w_k`` is the conductance from the core to the air [W/K]; 0, the default, is an adiabatic core, which a cup
    of more than a litre of risen foam comes close to until the end of its rise. ``end_s`` None follows it until it is
    dry and risen. ``points`` are equal in time.

    Raises `UsageError` for conditions no shop has, a mass of zero or less, a negative loss.
    """
    check_conditions(conditions)
    if not (math.isfinite(mass_kg) and mass_kg > 0):
        raise UsageError(f"a cup needs some foam, got {mass_kg} kg; give a mass above zero")
    if not (math.isfinite(loss_w_k) and loss_w_k >= 0):
        raise UsageError(f"the loss of a cup cannot be {loss_w_k} W/K; give zero or more")
    per_s = loss_w_k / (mass_kg * reaction.specific_heat_j_kgk)

    def follow_for(seconds: float, count: int) -> History:
        return run(
            reaction,
            conditions.parts_k,
            seconds,
            pressure_pa=conditions.pressure_pa,
            loss_per_s=per_s,
            around_k=conditions.air_k,
            points=count,
        )

    history = follow_for(_long_enough(reaction, conditions.parts_k) if end_s is None else end_s, 4001)
    if end_s is None:
        times = times_of(reaction, history)
        shown = [t for t in (times.rise_end_s, times.tack_free_s, times.gel_s) if t is not None]
        history = follow_for(1.5 * max(shown) if shown else float(history.time_s[-1]), points)
        final = _final_volume(reaction, conditions, per_s)
    else:
        final = float(history.volume_m3_kg[-1])
        history = follow_for(end_s, points)
    return _curve(reaction, conditions, mass_kg, history, final)


def with_curve(foam: FoamAtShop, curve: CupCurve) -> FoamAtShop:
    """``foam`` with the times that its reaction shows in a cup, in place of the isothermal estimate.

    A time the cup never reaches (a cup that cools too fast) stays as estimated. Density is left alone.

    Raises `UsageError` for a curve of other conditions.
    """
    if curve.conditions != foam.conditions:
        raise UsageError(f"the cup was followed at {curve.conditions}, the foam stands at {foam.conditions}")
    times = {name: getattr(curve.times, name) for name in _TIMES}
    out = replace(foam, **{name: value for name, value in times.items() if value is not None})
    return replace(out, notes=tuple(notes_of(out)))


def _long_enough(reaction: Reaction, parts_k: float) -> float:
    slow = kinetics.time_factor(reaction.gel_activation_j_mol, parts_k, reaction.reference_k)
    at_reference = max(reaction.induction_s, reaction.lag_s, reaction.tack_dose_s / 50, 600.0)
    return 6.0 * at_reference * max(slow, 1.0)


def _final_volume(reaction: Reaction, conditions: Conditions, per_s: float) -> float:
    history = run(
        reaction,
        conditions.parts_k,
        2 * _long_enough(reaction, conditions.parts_k),
        pressure_pa=conditions.pressure_pa,
        loss_per_s=per_s,
        around_k=conditions.air_k,
        points=4001,
    )
    return float(history.volume_m3_kg[-1])


def _curve(reaction: Reaction, conditions: Conditions, mass_kg: float, history: History, final: float) -> CupCurve:
    volume = history.volume_m3_kg
    heat = reaction.gel_heat_j_kg * history.gelling + reaction.blow_heat_j_kg * history.blowing
    arrays = {
        "time_s": history.time_s,
        "height_share": np.clip((volume - volume[0]) / (final - volume[0]), 0.0, 1.0),
        "temperature_k": history.temperature_k,
        "gelling": history.gelling,
        "blowing": history.blowing,
        "density_kg_m3": 1 / volume,
        "viscosity_pa_s": kinetics.reacting_viscosity(history.temperature_k, history.gelling, reaction.gel_conversion),
        "heat_share": np.clip(heat / reaction.heat_j_kg, 0.0, 1.0),
        "gas_kg_kg": history.gas_kg_kg,
    }
    for name, array in arrays.items():
        arrays[name] = np.array(array, float)
        arrays[name].setflags(write=False)
    return CupCurve(
        reaction=reaction,
        conditions=conditions,
        mass_kg=mass_kg,
        times=times_of(reaction, history, final),
        peak_k=float(history.temperature_k.max()),
        final_density_kg_m3=1 / final,
        **arrays,
    )


def refit_from_cup(grade: FoamGrade, test: CupTest) -> FoamGrade:
    """``grade`` with a cup test of the day in place of its times and density.

    The reference temperature becomes that of the test's liquids. Times that were not measured move with those that
    were (mean ratio of measured to expected at that temperature). Density comes from a cut block, or from mass, height
    and section; it is brought to one atmosphere. Hottest readings of cups large enough to keep their heat move the
    rise both ways and narrow it (`updated_rise`); no limit is raised by them.

    Raises `JobError` with the key ``cup.<field>`` for values out of range, out of order, or too few to use.
    """
    check_conditions(Conditions(test.air_k, test.parts_k, test.air_k, test.pressure_pa))
    for name, (low, high) in _LIMITS.items():
        value = getattr(test, name)
        if value is not None and not low <= value <= high:
            raise JobError(f"cup.{name}", value, f"must lie between {low:g} and {high:g}; check the value and its unit")
    if not test.reference.strip():
        raise JobError("cup.reference", test.reference, "must say which test this was, for example its date")
    values = {"reference_temperature_k": test.parts_k, **_times(grade, test)}
    density = _density(test)
    if density is not None:
        values["free_rise_density_kg_m3"] = density
        values["density_spread"] = min(grade.density_spread, _MEASURED_SPREAD)
    readings = _rises(test)
    if not readings and len(values) == 1 + len(_TIMES) and all(getattr(test, name) is None for name in _TIMES):
        raise JobError("cup", "no measured value", "needs at least one time, or a density, or mass, height and section")
    cited = dict(grade.cited)
    for name, value in values.items():
        measured = name not in _TIMES or getattr(test, name) is not None
        note = "" if measured else "not measured; moved with the times that were"
        standing = Standing.JOB if measured else Standing.COMPUTED
        cited[name] = Cited(value, grade.cited[name].unit, standing, test.reference, note=note)
    changes: dict[str, Any] = dict(values)
    out = replace(grade, cited=cited, **changes)
    _check_order(out, test)
    return with_readings(out, readings, test.instrument, test.reference) if readings else out


def _rises(test: CupTest) -> tuple[float, ...]:
    """Rises [K] that the readings show; refused where the cups are too small to keep their heat in the middle."""
    if not test.peaks_k:
        return ()
    low, high = _RISES
    rises = tuple(peak - test.parts_k for peak in test.peaks_k)
    for peak, rise in zip(test.peaks_k, rises, strict=True):
        if not low <= rise <= high:
            said = f"{peak - ZERO_CELSIUS_K:.0f} °C"
            raise JobError("cup.peaks_k", said, f"must lie {low:g} to {high:g} K above the liquids; check the reading")
    if test.instrument == "thermocouple" and (test.across_m is None or test.across_m < LEAST_ACROSS_M):
        raise JobError(
            "cup.across_m",
            None if test.across_m is None else f"{test.across_m * 1e3:.0f} mm",
            f"a reading counts from the middle of foam at least {LEAST_ACROSS_M * 1e3:.0f} mm across and high; a "
            "smaller cup loses heat before it peaks",
        )
    return rises


def _times(grade: FoamGrade, test: CupTest) -> dict[str, float]:
    expected = {
        name: getattr(grade, name)
        * kinetics.time_factor(
            grade.cream_activation_j_mol if name == "cream_s" else grade.gel_activation_j_mol,
            test.parts_k,
            grade.reference_temperature_k,
        )
        for name in _TIMES
    }
    ratios = [getattr(test, name) / expected[name] for name in _TIMES if getattr(test, name) is not None]
    mean = math.exp(sum(map(math.log, ratios)) / len(ratios)) if ratios else 1.0
    return {name: getattr(test, name) or expected[name] * mean for name in _TIMES}


def _density(test: CupTest) -> float | None:
    density = test.density_kg_m3
    if density is None:
        given = (test.mass_kg, test.height_m, test.area_m2)
        if test.mass_kg is None or test.height_m is None or test.area_m2 is None:
            if any(v is not None for v in given[1:]):
                raise JobError("cup.height_m", test.height_m, "needs mass_kg, height_m and area_m2 together")
            return None
        density = test.mass_kg / (test.height_m * test.area_m2)
        low, high = _LIMITS["density_kg_m3"]
        if not low <= density <= high:
            raise JobError(
                "cup.height_m",
                test.height_m,
                f"gives a density of {density:.3g} kg/m3 with that mass and section; {low} to {high} is possible",
            )
    return float(gas.density_at_pressure(density, STANDARD_ATMOSPHERE / test.pressure_pa))


def _check_order(grade: FoamGrade, test: CupTest) -> None:
    for first, second in (("cream_s", "gel_s"), ("gel_s", "tack_free_s"), ("gel_s", "rise_end_s")):
        low, high = getattr(grade, first), getattr(grade, second)
        if low < high or (low == high and second == "rise_end_s"):
            continue
        name = first if getattr(test, first) is not None else second
        other, word = (second, "before") if name == first else (first, "after")
        limit = f"{other.removesuffix('_s')} ({getattr(grade, other):.3g} s)"
        raise JobError(f"cup.{name}", getattr(grade, name), f"must come {word} {limit}")
