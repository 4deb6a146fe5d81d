"""What a skin does to the foam against it: the dense, slow layer, and how warm the skin gets while the foam rises.

A model of ours without a published source for its figures: heat is conducted between the foam, layer by layer from the
skin inwards, the skin (one temperature through its thickness) and the air outside; each layer reacts at its own
temperature and rises along the skin by its own gas until the core has ended its rise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

from pourwright.errors import UsageError
from pourwright.foam.cup import simulate_cup
from pourwright.foam.grade import Conditions
from pourwright.foam.reaction import Reaction, follow, lag_time, rates, settled_volume
from pourwright.physics import conductivity

_DENSE = 1.15  # a layer this much denser than the core counts as chilled; our judgement
_STATES = 4  # induction, gelling, blowing, temperature of each layer


@dataclass(frozen=True, eq=False)
class NearWall:
    """Foam against a skin at the end of the core's rise; read-only arrays (layers,), from the skin inwards."""

    distance_m: np.ndarray  # middle of each layer from the skin
    density_kg_m3: np.ndarray
    gelling: np.ndarray
    temperature_k: np.ndarray
    core_density_kg_m3: float
    dense_layer_m: float  # thickness of foam more than 15 % denser than the core
    mean_over_core: float  # mean density over the depth, over that of the core
    skin_peak_k: float  # until the end of the core's rise; it goes on rising after
    rise_end_s: float


def simulate_near_wall(
    reaction: Reaction,
    conditions: Conditions,
    depth_m: float,
    skin_capacity_j_m2k: float,
    *,
    film_w_m2k: float = 8.0,
    layers: int = 40,
) -> NearWall:
    """Foam of ``depth_m`` from the skin to the middle (no heat crosses the middle) in this shop.

    ``skin_capacity_j_m2k`` is density times specific heat times thickness of the skin; ``film_w_m2k`` its coefficient
    to the air outside. Layers are thin at the skin and grow inwards.

    Raises `UsageError` for a depth, capacity or coefficient that is not above zero (coefficient: not below).
    """
    if not (depth_m > 0 and skin_capacity_j_m2k > 0 and film_w_m2k >= 0):
        raise UsageError(
            f"foam {depth_m} m deep on a skin of {skin_capacity_j_m2k} J/(m2 K) with {film_w_m2k} W/(m2 K) to the air "
            "cannot be followed; give values above zero"
        )
    core = simulate_cup(reaction, conditions)
    end = core.times.rise_end_s
    if end is None:
        raise UsageError("the core never ends its rise at these temperatures; warm the liquids")
    edges = depth_m * np.linspace(0.0, 1.0, layers + 1) ** 2
    thick = np.diff(edges)
    middle = (edges[1:] + edges[:-1]) / 2

    def change(_t: float, y: np.ndarray) -> np.ndarray:
        skin, cells = y[0], y[1:].reshape(layers, _STATES)
        induction, gelling, blowing, temperature = cells.T
        induced, gel, blow = rates(reaction, induction, gelling, blowing, temperature)
        volume, _ = settled_volume(reaction, blowing, temperature, conditions.pressure_pa)
        resistance = thick / 2 / conductivity.foam_conductivity(1 / volume, temperature, _gas(temperature))
        # Heat from each layer to the one before it; the first gives to the skin, the middle of the foam to nobody.
        flow = np.zeros(layers + 1)
        flow[1:-1] = np.diff(temperature) / (resistance[1:] + resistance[:-1])
        flow[0] = (temperature[0] - skin) / resistance[0]
        heat = reaction.gel_heat_j_kg * gel + reaction.blow_heat_j_kg * blow
        warming = (heat + np.diff(flow) * volume / thick) / reaction.specific_heat_j_kgk
        out = np.empty_like(y)
        out[0] = (flow[0] - film_w_m2k * (skin - conditions.air_k)) / skin_capacity_j_m2k
        out[1:] = np.column_stack([induced, gel, blow, warming]).ravel()
        return out

    time = np.linspace(0.0, end, 401)
    start = np.concatenate([[conditions.skin_k], np.tile([0.0, 0.0, 0.0, conditions.parts_k], layers)])
    solved = solve_ivp(
        change,
        (0.0, end),
        start,
        method="LSODA",
        t_eval=time,
        rtol=1e-5,
        atol=1e-7,
        lband=2 * _STATES,
        uband=2 * _STATES,
    )
    cells = solved.y[1:].reshape(layers, _STATES, -1)
    gelling, blowing, temperature = (np.ascontiguousarray(cells[:, k].T) for k in (1, 2, 3))
    settled, _ = settled_volume(reaction, blowing, temperature, conditions.pressure_pa)
    density = 1 / follow(time, settled, lag_time(reaction, gelling, temperature))[-1]
    core_density = float(1 / np.interp(end, core.time_s, 1 / core.density_kg_m3))
    falling = np.minimum.accumulate(density)
    dense = 0.0 if falling[0] <= _DENSE * core_density else np.interp(-_DENSE * core_density, -falling, middle)
    arrays = (middle, density, gelling[-1].copy(), temperature[-1].copy())
    for array in arrays:
        array.setflags(write=False)
    return NearWall(
        *arrays,
        core_density_kg_m3=core_density,
        dense_layer_m=float(dense),
        mean_over_core=float((density * thick).sum() / depth_m / core_density),
        skin_peak_k=float(solved.y[0].max()),
        rise_end_s=end,
    )


def _gas(temperature: np.ndarray) -> np.ndarray:
    """Conductivity of carbon dioxide [W/(m K)], linear through its two tabled values."""
    share = (temperature - 296.0) / (358.0 - 296.0)
    return conductivity.CO2_AT_296_K + share * (conductivity.CO2_AT_358_K - conductivity.CO2_AT_296_K)
