"""Temperatures across a limb by a solution of its own in one coordinate, for limbs too narrow for the heat cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh_tridiagonal

from pourwright.errors import UsageError
from pourwright.heat.curve import HeatCurve
from pourwright.heat.model import PourHeat, SkinLayer, Surroundings

FOAM_CELLS, WALL_CELLS = 32, 6
LAST_S = 72 * 3600.0
"""The history ends then: longer than a job is followed, so that no core drops when its own solution ends."""
_GROWTH = 1.02  # from one time to the next, once all heat is out
_BETWEEN_S = 5.0  # until then


@dataclass(frozen=True, eq=False)
class LimbCourse:
    """A limb against time from the start of its pour; read-only arrays (t,)."""

    time_s: np.ndarray
    axis_k: np.ndarray  # hottest place of its section

    def seconds_above(self, threshold_k: float) -> float:
        """How long its axis is above a threshold, straight between the times.

        >>> history = LimbCourse(np.array([0.0, 10.0, 20.0]), np.array([300.0, 400.0, 300.0]))
        >>> history.seconds_above(350.0)
        10.0
        """
        a, b = self.axis_k[:-1] - threshold_k, self.axis_k[1:] - threshold_k
        span = np.maximum(np.abs(b - a), 1e-12)
        share = np.where((a > 0) & (b > 0), 1.0, np.clip(np.maximum(a, b) / span, 0.0, 1.0))
        return float(share @ np.diff(self.time_s))


def limb_history(
    width_m: float,
    is_round: bool,
    pour: PourHeat,
    skin: SkinLayer,
    air: Surroundings,
    *,
    start_k: float | None = None,
    foam_cells: int = FOAM_CELLS,
) -> LimbCourse:
    """History of a long round limb, or of a wide flat one, filled at once and cooled through its skin all round.

    ``r^m rho c dT/dt = d/dr (k r^m dT/dr) + r^m rho c rise ds/dt``, m = 1 round, 0 flat; ``s`` the share of heat out.

    Parameters
    ----------
    width_m : float
        Diameter, or thickness between two skins [m].
    is_round : bool
    pour : PourHeat
        Its foam; when it starts does not matter.
    skin : SkinLayer
        With one thickness.
    air : Surroundings
    start_k : float, optional
        Of the foam, where it is not the pour's.
    foam_cells : int
        From the axis to the skin.

    Returns
    -------
    LimbCourse

    Raises
    ------
    UsageError
        For a width, or a wall, of zero or less, or more thicknesses than one.

    Notes
    -----
    Finite volumes of second order in r, the wall resolved and bent round the limb; exact in time (modes of the cells).
    No section is hotter than a round one of the same area (symmetrisation: Bandle, Isoperimetric Inequalities and
    Applications, 1980, ch. 4, from memory), and no convex one than a flat one as thick as the largest circle in it
    (as `lifts.thermal` says): the lower of the two is on the safe side, and right for round and for flat limbs.
    """
    wall = float(np.asarray(skin.thickness_m))
    if not (width_m > 0 and wall > 0):
        raise UsageError(f"a limb needs a width and a wall, got {width_m:g} m and {wall:g} m")
    heat, stiff, foam = _cells(0.5 * width_m, int(is_round), pour, skin, wall, air.outside_film_w_m2k, foam_cells)
    root = np.sqrt(heat)
    rates, modes = eigh_tridiagonal(stiff[0] / heat, stiff[1] / (root[1:] * root[:-1]))
    rates = np.maximum(rates, 1e-12)
    first = np.where(foam, (pour.start_k if start_k is None else start_k) - air.air_k, skin.start_k - air.air_k)
    source = pour.adiabatic_rise_k * (modes.T @ (root * foam))
    time, kept = _modes_in_time(modes.T @ (root * first), source, rates, pour.curve)
    seen = modes / root[:, None]
    axis = air.air_k + (kept @ seen[:foam_cells].T).max(axis=1)
    for array in (time, axis):
        array.setflags(write=False)
    return LimbCourse(time, axis)


def _cells(
    radius: float, metric: int, pour: PourHeat, skin: SkinLayer, wall: float, film: float, count: int
) -> tuple[np.ndarray, tuple[np.ndarray, np.ndarray], np.ndarray]:
    """Heat of each cell, diagonal and side diagonal of their conductances, and which are foam."""
    edges = np.r_[np.linspace(0.0, radius, count + 1), radius + wall * np.arange(1, WALL_CELLS + 1) / WALL_CELLS]
    foam = np.arange(count + WALL_CELLS) < count
    face = edges**metric
    half = 0.5 * np.diff(edges) / np.where(foam, pour.conductivity_w_mk, skin.conductivity_w_mk)
    density = np.where(
        foam, pour.density_kg_m3 * pour.specific_heat_j_kgk, skin.density_kg_m3 * skin.specific_heat_j_kgk
    )
    heat = density * np.diff(edges ** (metric + 1)) / (metric + 1)
    pull = face[1:-1] / (half[1:] + half[:-1])
    own = np.r_[pull, face[-1] / (half[-1] + 1.0 / film)]
    own[1:] += pull
    return heat, (own, -pull), foam


def _modes_in_time(
    first: np.ndarray, source: np.ndarray, rates: np.ndarray, curve: HeatCurve
) -> tuple[np.ndarray, np.ndarray]:
    """Times (t,) and the modes then (t, n): each decays by itself and takes its part of the heat."""
    end = curve.end_s
    time = np.unique(np.r_[curve.time_s[curve.time_s < end], np.arange(0.0, end, _BETWEEN_S), end])
    time = time[time >= 0.0]
    state = first + source * float(curve.at(0.0))
    step = np.diff(time)[:, None]
    falls = np.exp(-rates * step)
    gains = source * (np.diff(curve.at(time))[:, None] / step) * -np.expm1(-rates * step) / rates
    kept = [state]
    for fall, gain in zip(falls, gains, strict=True):
        state = state * fall + gain
        kept.append(state)
    after = np.geomspace(max(end, 60.0), max(LAST_S, 2 * end), int(np.log(LAST_S / 60.0) / np.log(_GROWTH)))
    after = after[after > end]
    cooling = state * np.exp(-rates * (after[:, None] - end))
    return np.r_[time, after], np.vstack([*kept, cooling])
