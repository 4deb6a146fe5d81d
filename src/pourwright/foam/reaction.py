"""The reaction of a foam: gelling and blowing, heat, gas, and the rise that follows it.

Two overall reactions with Arrhenius rates, after Baser and Khakhar: OH with NCO (gelling), water with NCO (blowing).
Ours on top, each because the two reactions alone cannot show it: an induction before which next to nothing happens
(cream time), a rise that lags behind the gas once the foam has gelled (end of rise), and a cure dose that makes the
surface dry (tack-free). All three are fitted to a grade's times, see `fit_reaction`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from pourwright.physics import kinetics
from pourwright.physics.constants import GAS_CONSTANT, STANDARD_ATMOSPHERE

CO2_MOLAR_MASS = 0.04401  # kg/mol
DISSOLVED_CO2 = 4.4e-4  # kg/kg stays in solution at one atmosphere, from memory
END_OF_RISE = 0.99  # share of the rise at which it is called ended; our judgement, no published source
CREAM_SWELL = 1.05  # volume over that of the liquids at which the mix is seen to cream; our judgement
# Power of the lag of the rise with conversion before gelling. Our judgement; like the power of the ramp of the rates
# during induction, it shapes the curve between the fitted times, not the times.
_LAG_POWER = 8


@dataclass(frozen=True, slots=True)
class Reaction:
    """Constants of one foam's reaction. SI; shares and ratios bare. Rates are ``A exp(-E / R T)``.

    ``gel_rate_per_s`` is the gelling rate constant times the concentration of OH. Heats are per kilogram of mixed
    liquids at full conversion of OH and of water. ``nco_ratio`` and ``water_ratio`` are moles of NCO and of water per
    mole of OH.
    """

    name: str
    gel_rate_per_s: float
    gel_activation_j_mol: float
    blow_rate_per_s: float
    blow_activation_j_mol: float
    nco_ratio: float
    water_ratio: float
    gel_heat_j_kg: float
    blow_heat_j_kg: float
    gas_kg_kg: float  # from all the water
    dissolved_kg_kg: float  # stays in solution at one atmosphere
    specific_heat_j_kgk: float
    gas_specific_heat_j_kgk: float  # per kg of free gas, on top; 0 where the specific heat is an effective mean
    liquid_density_kg_m3: float
    gel_conversion: float
    reference_k: float = 298.15
    induction_s: float = 0.0  # length of the induction at the reference temperature
    induction_activation_j_mol: float = 0.0
    induction_power: float = 3.0  # the rates grow with this power of the share of the induction that is over
    lag_s: float = 0.0  # time constant of the rise after gelling, in a core at its adiabatic peak
    tack_dose_s: float = 0.0  # seconds at the reference temperature that cure needs for a dry surface

    @property
    def final_conversion(self) -> float:
        """Conversion of OH when the NCO is used up, or 1."""
        return min(1.0, self.nco_ratio - 2 * self.water_ratio)

    @property
    def heat_j_kg(self) -> float:
        """Heat of the whole reaction per kilogram of mixed liquids [J/kg]."""
        return self.gel_heat_j_kg * self.final_conversion + self.blow_heat_j_kg


def reference_reaction() -> Reaction:
    """The water-blown rigid recipe of Baser and Khakhar: a foam of 48 kg/m3 without induction or lag.

    Constants from memory of Polymer Engineering and Science 34 (1994) 632-641 and 642-649, which could not be opened.
    Valid 20 to 140 °C, one catalyst level.
    """
    oh, water, rho = 3765.0, 671.0, 1100.0  # mol/m3, mol/m3, kg/m3
    return Reaction(
        name="reference",
        gel_rate_per_s=1.7348 * oh,
        gel_activation_j_mol=40.4e3,
        blow_rate_per_s=1.385e3,
        blow_activation_j_mol=32.66e3,
        nco_ratio=1.0,
        water_ratio=water / oh,
        gel_heat_j_kg=70.75e3 * oh / rho,
        blow_heat_j_kg=86.0e3 * water / rho,
        gas_kg_kg=water * CO2_MOLAR_MASS / rho,
        dissolved_kg_kg=DISSOLVED_CO2,
        specific_heat_j_kgk=1800.0,
        gas_specific_heat_j_kgk=836.6,
        liquid_density_kg_m3=rho,
        gel_conversion=0.5,
    )


@dataclass(frozen=True, eq=False)
class History:
    """How a lump of reacting foam goes, point by point in time; arrays of one length. See `run`."""

    time_s: np.ndarray
    gelling: np.ndarray  # conversion of OH
    blowing: np.ndarray  # conversion of water
    temperature_k: np.ndarray
    dose_s: np.ndarray  # cure so far, as seconds at the reference temperature
    volume_m3_kg: np.ndarray  # as risen
    gas_kg_kg: np.ndarray  # in the bubbles


def rates(reaction: Reaction, induction: Any, gelling: Any, blowing: Any, temperature: Any) -> tuple[Any, Any, Any]:
    """Rates [1/s] of induction (1 is its end), gelling and blowing; arrays of one shape or floats."""
    started = np.ones_like(temperature)
    induced = np.zeros_like(temperature)
    if reaction.induction_s > 0:
        faster = kinetics.arrhenius(1.0, reaction.induction_activation_j_mol, temperature) / kinetics.arrhenius(
            1.0, reaction.induction_activation_j_mol, reaction.reference_k
        )
        induced = faster / reaction.induction_s
        started = np.minimum(induction, 1.0) ** reaction.induction_power
    gel = kinetics.arrhenius(reaction.gel_rate_per_s, reaction.gel_activation_j_mol, temperature) * started
    blow = kinetics.arrhenius(reaction.blow_rate_per_s, reaction.blow_activation_j_mol, temperature) * started
    return (
        induced,
        kinetics.gelling_rate(gel, gelling, blowing, reaction.nco_ratio, reaction.water_ratio),
        kinetics.blowing_rate(blow, blowing),
    )


def settled_volume(reaction: Reaction, blowing: Any, temperature: Any, pressure_pa: float) -> tuple[Any, Any]:
    """Volume [m3/kg] the foam would take with no lag, and the free gas [kg/kg]; arrays of one shape or floats.

    The gas that stays dissolved goes with the pressure (Henry's law).
    """
    dissolved = reaction.dissolved_kg_kg * pressure_pa / STANDARD_ATMOSPHERE
    gas = kinetics.free_gas(reaction.gas_kg_kg, blowing, dissolved)
    volume = kinetics.specific_volume(gas, temperature, pressure_pa, reaction.liquid_density_kg_m3, CO2_MOLAR_MASS)
    return volume, gas


def lag_time(reaction: Reaction, gelling: Any, temperature: Any) -> Any:
    """Time constant [s] with which the rise follows its gas: none in the liquid, ``lag_s`` from gelling on.

    It is longer in cooler foam, by the activation energy of gelling (our judgement).
    """
    hottest = reaction.reference_k + reaction.heat_j_kg / reaction.specific_heat_j_kgk
    slower = np.exp(reaction.gel_activation_j_mol / GAS_CONSTANT * (1 / temperature - 1 / hottest))
    return reaction.lag_s * slower * np.minimum(np.asarray(gelling) / reaction.gel_conversion, 1.0) ** _LAG_POWER


def cure_speed(reaction: Reaction, temperature: Any) -> Any:
    """Seconds at the reference temperature that one second at ``temperature`` [K] is worth to the cure."""
    return np.exp(reaction.gel_activation_j_mol / GAS_CONSTANT * (1 / reaction.reference_k - 1 / temperature))


def run(
    reaction: Reaction,
    start_k: float,
    end_s: float,
    *,
    pressure_pa: float = STANDARD_ATMOSPHERE,
    loss_per_s: float = 0.0,
    around_k: float = 295.0,
    points: int = 2001,
) -> History:
    """Follow a lump of evenly mixed foam from ``start_k`` at the end of mixing for ``end_s`` seconds.

    ``loss_per_s`` is the conductance to the surroundings over the heat capacity, 0 for an adiabatic lump, and
    ``around_k`` their temperature. The points are equal in time. Relative error of the integration below 1e-5.
    """
    time = np.linspace(0.0, end_s, points)

    def change(_t: float, y: np.ndarray) -> list[float]:
        induction, gelling, blowing, temperature, _dose = y.tolist()  # plain floats are faster than numpy's
        induced, gel, blow = rates(reaction, induction, gelling, blowing, temperature)
        gas = max(reaction.gas_kg_kg * blowing, 0.0)
        capacity = reaction.specific_heat_j_kgk + reaction.gas_specific_heat_j_kgk * gas
        heat = reaction.gel_heat_j_kg * gel + reaction.blow_heat_j_kg * blow
        warming = heat / capacity - loss_per_s * (temperature - around_k)
        return [induced, gel, blow, warming, cure_speed(reaction, temperature)]

    start = [0.0, 0.0, 0.0, start_k, 0.0]
    from scipy.integrate import solve_ivp  # half of what loading this file would take

    solved = solve_ivp(
        change, (0.0, end_s), start, method="LSODA", t_eval=time, rtol=1e-6, atol=1e-8, max_step=end_s / 50
    )
    _, gelling, blowing, temperature, dose = solved.y
    # Conversions cannot fall or exceed 1; what the integrator's tolerance leaves of that is taken off.
    gelling, blowing = (np.maximum.accumulate(np.clip(x, 0.0, 1.0)) for x in (gelling, blowing))
    if loss_per_s == 0:
        temperature = np.maximum.accumulate(temperature)  # nothing cools it
    settled, gas = settled_volume(reaction, blowing, temperature, pressure_pa)
    volume = follow(time, settled, lag_time(reaction, gelling, temperature))
    return History(time, gelling, blowing, temperature, dose, volume, gas)


def follow(time: np.ndarray, target: np.ndarray, lag: np.ndarray) -> np.ndarray:
    """Solve ``dv/dt = (target - v) / lag`` from ``target[0]``; foam does not sink, so it never falls.

    ``time`` is (n,), ``target`` and ``lag`` are (n,) or (n, cells). Exact for a target that is linear and a lag that is
    constant between the points.

    >>> follow(np.array([0.0, 1.0, 2.0]), np.array([1.0, 1.0, 2.0]), np.zeros(3)).round(6).tolist()
    [1.0, 1.0, 2.0]
    """
    step = np.diff(time).reshape(-1, *[1] * (target.ndim - 1))
    mean = np.maximum((lag[1:] + lag[:-1]) / 2, 1e-9)
    keep = np.exp(-step / mean)
    slope = np.diff(target, axis=0) / step
    if target.ndim == 1:
        return _followed(target.tolist(), slope.tolist(), mean.tolist(), keep.tolist())
    out = np.empty_like(target)
    out[0] = value = target[0]
    for i in range(len(step)):  # a few thousand steps, each needing the one before
        value = target[i + 1] - slope[i] * mean[i] * (1 - keep[i]) + (value - target[i]) * keep[i]
        out[i + 1] = value = np.maximum(value, out[i])
    return out


def _followed(target: list[float], slope: list[float], mean: list[float], keep: list[float]) -> np.ndarray:
    """``follow`` for one cell: the same steps in plain floats, several times faster than numpy's scalars."""
    value = target[0]
    out = [value]
    for i in range(len(slope)):
        value = target[i + 1] - slope[i] * mean[i] * (1 - keep[i]) + (value - target[i]) * keep[i]
        value = max(value, out[i])
        out.append(value)
    return np.array(out)


def crossing(time: np.ndarray, values: np.ndarray, level: float) -> float | None:
    """First time at which rising ``values`` (n,) reach ``level``, linear between points; None if they never do."""
    above = values >= level
    if not above.any():
        return None
    i = int(np.argmax(above))
    if i == 0:
        return float(time[0])
    share = (level - values[i - 1]) / (values[i] - values[i - 1])
    return float(time[i - 1] + share * (time[i] - time[i - 1]))
