"""Heat led along the rods and bars inside: stations along each, joined by its metal, bare ones open to the air.

A rod's metal is one temperature across (40 mm of steel even out within a minute, foam warms them over hours) and has
a station for every heat cell along it. Foam, skin and the metal beside them are marched as before; between two halves
of every step the stations are set even and led along, implicitly; a step is no longer than the metal takes to follow
the foam beside it (a bar in its foam as computed by scipy comes out within 0.2 K then).
"""

# mypy: allow-untyped-defs
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.compiled import njit
from pourwright.heat._kernels import SKIN_PULL
from pourwright.heat._network import Network, station_of
from pourwright.heat.model import StagedHeat

LEAST_STEP_S = 20.0
"""No step is cut shorter than this for a wire: our judgement."""
_GAMMA = 1.0 - 0.5**0.5  # of the two-stage diagonally implicit scheme of order two that damps what is fast


@dataclass(frozen=True, eq=False)
class Led:
    """Stations of all rods, one rod after another; ``s`` stations, ``q`` pieces of metal beside foam."""

    piece: np.ndarray  # (q,) odd cells that lie against a rod, by station
    first: np.ndarray  # (s + 1,) where each station's begin
    heat: np.ndarray  # (s,) J/K
    pull: np.ndarray  # (s,) W/K to the next one; 0 at the end of a rod
    area: np.ndarray  # (q,) m2 of metal
    settles_s: float  # the thinnest rod follows the foam beside it within so long; inf without a rod

    def film(self, active_odd: int, film_w_m2k: float) -> np.ndarray:
        """(s,) W/K to the air inside of what is bare while the first ``active_odd`` odd cells hold foam."""
        bare = np.where(self.piece < active_odd, 0.0, self.area)
        return film_w_m2k * np.add.reduceat(bare, self.first[:-1]) if len(bare) else np.zeros(0)


def rods_of(problem: StagedHeat, net: Network) -> Led:
    """Stations of the rods that foam of the grid lies against; none without a rod."""
    grid, which = problem.grid, np.full(len(net.cell), -1)
    has = net.surface >= 0
    which[has] = grid.surface_iron[net.surface[has]]
    pieces, sizes, heats, pulls = [np.zeros(0, np.int64)], list[int](), list[np.ndarray](), list[np.ndarray]()
    settles_s = np.inf
    for number, iron in enumerate(problem.irons):
        mine = np.flatnonzero((which == number) & (net.skin_heat > 0))
        if not len(mine) or iron.course < 0 or iron.metal.heat_j_m3k <= 0:
            continue
        at = station_of(grid, net.flat[net.cell[mine]], iron)
        rank = np.argsort(at, kind="stable")
        station, counts = np.unique(at[rank], return_counts=True)
        pieces.append(mine[rank])
        sizes += counts.tolist()
        heats.append(np.add.reduceat(net.skin_heat[mine[rank]], np.cumsum(counts) - counts))
        beside = np.add.reduceat(net.coef[mine[rank], SKIN_PULL].astype(float), np.cumsum(counts) - counts)
        settles_s = min(settles_s, float(np.median(heats[-1] / np.maximum(beside, 1e-30))))
        pulls.append(np.append(iron.metal.conductivity_w_mk * iron.section_m2 / (np.diff(station) * grid.cell_m), 0.0))
    piece = np.concatenate(pieces)
    deep = np.array([iron.deep_m * iron.metal.heat_j_m3k for iron in problem.irons])
    area = net.skin_heat[piece] / deep[which[piece]] if len(piece) else np.zeros(0)
    first = np.append(0, np.cumsum(sizes)).astype(np.int64)
    heat, pull = (np.concatenate(parts) if parts else np.zeros(0) for parts in (heats, pulls))
    return Led(piece, first, heat, pull, area, max(settles_s, LEAST_STEP_S))


def lead(led: Led, metal_k: np.ndarray, skin_heat: np.ndarray, film: np.ndarray, air_k: float, step_s: float) -> float:
    """Set the metal of each station even and lead heat along the rods for a time; what the air took [J].

    Parameters
    ----------
    led : Led
    metal_k : array (odd cells,)
        Temperatures behind the odd cells; those of rods are changed.
    skin_heat : array (odd cells,)
        What each holds [J/K].
    film : array (s,)
        Of the bare metal of each station to the air [W/K].
    air_k, step_s : float

    References
    ----------
    Scheme: Alexander, SIAM Journal on Numerical Analysis 14 (1977) 1006-1021 (from memory; its order is measured in
    the tests).
    """
    return float(
        _lead(led.piece, led.first, led.heat, led.pull, film, skin_heat, metal_k, float(air_k), float(step_s), _GAMMA)
    )


@njit(cache=True, nogil=True)
def _lead(piece, first, heat, pull, film, skin_heat, metal, air, step, gamma):
    n = len(heat)
    start, near, after = np.empty(n), np.empty(n), np.empty(n)
    for j in range(n):
        held = 0.0
        for q in range(first[j], first[j + 1]):
            held += skin_heat[piece[q]] * metal[piece[q]]
        start[j] = held / heat[j]
    part = gamma * step
    _implicit(heat, pull, film, air, part, start, near)
    for j in range(n):
        after[j] = start[j] + (1.0 - gamma) / gamma * (near[j] - start[j])
    _implicit(heat, pull, film, air, part, after, start)
    lost = 0.0
    for j in range(n):
        lost += step * film[j] * ((1.0 - gamma) * (near[j] - air) + gamma * (start[j] - air))
        for q in range(first[j], first[j + 1]):
            metal[piece[q]] = start[j]
    return lost


@njit(cache=True, nogil=True)
def _implicit(heat, pull, film, air, part, before, out):
    """Backward step ``part`` of the stations from ``before`` into ``out``: elimination down the rods and back."""
    n = len(heat)
    share, value = np.empty(n), np.empty(n)
    for j in range(n):
        under = part * pull[j - 1] if j > 0 else 0.0
        own = heat[j] + part * (pull[j] + film[j]) + under
        right = heat[j] * before[j] + part * film[j] * air
        if j > 0:
            own -= under * share[j - 1]
            right += under * value[j - 1]
        share[j] = part * pull[j] / own
        value[j] = right / own
    for j in range(n - 1, -1, -1):
        out[j] = value[j] + (share[j] * out[j + 1] if j < n - 1 else 0.0)
