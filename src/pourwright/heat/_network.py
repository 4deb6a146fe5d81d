"""From a problem to the packed network that the kernels march: cells in pouring order, runs, odd cells, skin."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from pourwright.errors import UsageError
from pourwright.heat import _kernels as kernels
from pourwright.heat._blocks import AIR
from pourwright.heat.grid import HeatGrid
from pourwright.heat.model import StagedHeat
from pourwright.irons import Iron

# Most of a cell's conductance to its neighbours and skin over its heat, in units of that of a full cell to one
# neighbour. A half-full cell with its middle a fifth of a cell from the skin has 20.
_STIFFEST = 20.0
_BOUND_ROUNDS = 12  # of the bound on the fastest rate; more would hardly tighten it


@dataclass(frozen=True, eq=False)
class Network:
    """Packed cells, pour after pour; within a pour by x, y, z. ``n`` cells, ``m`` odd ones, ``r`` runs."""

    flat: np.ndarray  # (n,) index of the cell in the grid
    cell_pour: np.ndarray  # (n,) int32
    share: np.ndarray  # (n,) float64
    pour_cells: np.ndarray  # (pours + 1,) first cell of each pour
    capacity: np.ndarray  # (pours,) J/K of a full cell
    rate: np.ndarray  # (pours,) 1/s, conductance over capacity of a full cell
    runs: np.ndarray  # (r, 7) int64: first cell, length, pour, four offsets
    pour_odd: np.ndarray  # (pours + 1,)
    cell: np.ndarray  # (m,) uint32
    cell_pour_odd: np.ndarray  # (m,) int32
    around: np.ndarray  # (m, 6) uint32: neighbour; the cell itself where there is skin; n where there is air for good
    coef: np.ndarray  # (m, 11) float32, see the kernels; every pour in
    bare_film: np.ndarray  # (m,) W/K to the air of one bare face
    bare_share: np.ndarray  # (m,) share of a cell's excess that its bare face shows
    bare_area: np.ndarray  # (m,) m2 of one face
    skin_heat: np.ndarray  # (m,) J/K
    inner: np.ndarray  # (m,) share of (cell - skin) that the inner face is above the middle of the skin
    surface: np.ndarray  # (m,) index of its surface in the grid, -1 for none
    stiffest: float  # 1/s, bound on the fastest rate of the network


def _checked(problem: StagedHeat) -> None:
    grid, pours = problem.grid, problem.pours
    if not pours:
        raise UsageError("no pours given: a heat computation needs at least one")
    highest = int(grid.pour.max())
    if highest >= len(pours):
        raise UsageError(f"the grid names pour {highest}, but only {len(pours)} pours are given")
    starts = [p.start_s for p in pours]
    lifts = [p.lift for p in pours]
    if any(b < a for values in (starts, lifts) for a, b in pairwise(values)):
        raise UsageError("pours must stand in the order they are poured: start_s and lift never fall")
    for p in pours:
        if min(p.density_kg_m3, p.specific_heat_j_kgk, p.conductivity_w_mk) <= 0 or p.heat_j_kg < 0:
            raise UsageError(f"pour {p.name}: density, specific heat and conductivity must be above 0, heat not below")
    thickness = np.asarray(problem.skin.thickness_m, float)
    if thickness.ndim and thickness.shape != grid.surface_area_m2.shape:
        raise UsageError(
            f"{thickness.size} wall thicknesses for {len(grid.surface_area_m2)} surfaces: give one number, or one each"
        )
    if np.any(~(thickness >= 5e-5)):
        raise UsageError("wall thickness below 0.05 mm (or not a number): a skin needs a thickness")
    if list(problem.thresholds_k) != sorted(problem.thresholds_k) or not problem.thresholds_k:
        raise UsageError("scorch thresholds must be given lowest first, at least one")


def build_network(problem: StagedHeat) -> Network:
    """Pack ``problem``; raises `UsageError` where its parts do not fit."""
    _checked(problem)
    grid, pours = problem.grid, problem.pours
    size = grid.cell_m
    conductivity = np.array([p.conductivity_w_mk for p in pours])
    capacity = np.array([p.density_kg_m3 * p.specific_heat_j_kgk for p in pours]) * size**3
    dense = grid.pour.ravel()
    flat = np.flatnonzero(dense >= 0)
    flat = flat[np.argsort(dense[flat], kind="stable")]
    n = len(flat)
    cell_pour = dense[flat].astype(np.int32)
    share = grid.share.ravel()[flat].astype(float)
    surface_of = np.full(n, -1, np.int32)
    number = np.full(dense.shape, -1, np.int32)
    number[flat] = np.arange(n, dtype=np.int32)
    surface_of[number[grid.surface_cell]] = np.arange(len(grid.surface_cell), dtype=np.int32)
    number[dense == AIR] = n
    _, ny, nz = grid.shape
    strides = (-ny * nz, ny * nz, -nz, nz, -1, 1)
    around = np.stack([number[flat + step] for step in strides], axis=1)
    del number
    thin = share < 0.5
    regular = (share == 1.0) & (surface_of < 0)
    padded_pour, padded_thin = np.append(cell_pour, -1), np.append(thin, True)
    for k in range(6):
        near = around[:, k]
        regular &= (padded_pour[near] == cell_pour) & ~padded_thin[near]
    runs = np.zeros((int(regular.sum()), 7), np.int64)
    count = kernels.find_runs(regular, around[:, 0], around[:, 1], around[:, 2], around[:, 3], cell_pour, runs)
    runs = runs[:count].copy()
    cell = np.flatnonzero(~regular)
    edges = np.arange(len(pours) + 1)
    odd = _odd(problem, cell, around[cell], cell_pour, share, surface_of[cell], conductivity, capacity)
    rate = conductivity * size / capacity
    fields, skins = np.empty((2, n + 1)), np.empty((2, len(cell)))
    stiffest: float = kernels.stiffness(
        runs, rate, cell, odd["around"], odd["coef"], odd["bare_film"], fields, skins, _BOUND_ROUNDS
    )
    return Network(
        flat=flat,
        cell_pour=cell_pour,
        share=share,
        pour_cells=np.searchsorted(cell_pour, edges),
        capacity=capacity,
        rate=rate,
        runs=runs,
        pour_odd=np.searchsorted(cell_pour[cell], edges),
        cell=cell.astype(np.uint32),
        cell_pour_odd=cell_pour[cell],
        surface=surface_of[cell],
        stiffest=stiffest,
        **odd,
    )


def _odd(
    problem: StagedHeat,
    cell: np.ndarray,
    around: np.ndarray,
    cell_pour: np.ndarray,
    share: np.ndarray,
    surface: np.ndarray,
    conductivity: np.ndarray,
    capacity: np.ndarray,
) -> dict:  # type: ignore[type-arg]
    """Conductances of the odd cells, by the names of `Network`'s fields."""
    grid: HeatGrid = problem.grid
    size, n = grid.cell_m, len(cell_pour)
    air = problem.surroundings
    pour = cell_pour[cell]
    k = conductivity[pour]
    skin_face = around < 0
    around = np.where(skin_face, cell[:, None], around).astype(np.uint32)
    # A sliver that stands on its own has faces as small as it is; a cell at least half full has whole ones.
    opened = np.where(share < 0.5, share, 1.0)
    near = np.minimum(around, n - 1)
    aperture = np.minimum(opened[cell][:, None], opened[near])
    k_near = conductivity[cell_pour[near]]
    pull = 2 * k[:, None] * k_near / (k[:, None] + k_near) * size * aperture
    pull[skin_face | (around >= n)] = 0.0
    bare_area = size**2 * opened[cell]
    bare = 1 / (0.5 * size / k + 1 / air.inside_film_w_m2k)
    per_heat = 1 / (capacity[pour] * share[cell])

    has = surface >= 0
    area, depth, thickness = np.zeros(len(cell)), np.full(len(cell), size), np.ones(len(cell))
    area[has] = grid.surface_area_m2[surface[has]]
    depth[has] = grid.surface_depth_m[surface[has]]
    wall = np.broadcast_to(np.asarray(problem.skin.thickness_m, float), grid.surface_area_m2.shape)
    thickness[has] = wall[surface[has]]
    opening = np.zeros(len(cell), bool)
    opening[has] = grid.surface_opening[surface[has]] >= 0
    skin = np.where(opening, 0.0, area)
    layer = _layers(problem, surface, has, thickness)
    half = 0.5 * layer.thickness_m / layer.conductivity_w_mk
    skin[layer.none] = 0.0
    skin_pull = skin / (depth / k + half)
    # A tip that follows its skin within seconds would cut the steps of the whole piece: it follows a little later.
    rest = pull.sum(axis=1)
    most = np.maximum(
        _STIFFEST * capacity[pour] * share[cell] * (conductivity * size / capacity)[pour] - rest, 0.1 * rest
    )
    skin_pull = np.minimum(skin_pull, most)
    air_pull = np.where(layer.iron, 0.0, skin / (half + 1 / air.outside_film_w_m2k))
    skin_heat = skin * layer.thickness_m * layer.heat_j_m3k
    skin_per_heat = np.divide(1.0, skin_heat, out=np.zeros_like(skin_heat), where=skin_heat > 0)
    lasting = np.where(opening, area, 0.0) / (depth / k + 1 / air.outside_film_w_m2k)
    coef = np.empty((len(cell), kernels.COLUMNS), np.float32)
    coef[:, :6] = pull
    coef[:, kernels.FILM], coef[:, kernels.PER_HEAT] = lasting, per_heat
    coef[:, kernels.SKIN_PULL], coef[:, kernels.AIR_PULL] = skin_pull, air_pull
    coef[:, kernels.SKIN_PER_HEAT] = skin_per_heat
    return {
        "around": around,
        "coef": coef,
        "bare_film": bare * bare_area,
        "bare_share": bare / air.inside_film_w_m2k,
        "bare_area": bare_area,
        "skin_heat": skin_heat,
        # of a thing inside it is not a number: its face is never taken for the skin's
        "inner": np.where(layer.iron, np.nan, skin_pull * half / np.where(skin > 0, skin, 1.0)),
    }


class _Layers(NamedTuple):
    """What lies behind the odd cells (m,): skin, or a thing inside."""

    iron: np.ndarray  # bool
    none: np.ndarray  # bool: a thing inside that takes no heat
    thickness_m: np.ndarray
    conductivity_w_mk: np.ndarray
    heat_j_m3k: np.ndarray


def station_of(grid: HeatGrid, flat: np.ndarray, iron: Iron) -> np.ndarray:
    """(n,) how many heat cells along a rod from its middle each of some cells (by flat index) lies."""
    along = (grid.centres(flat) - iron.middle_m) @ iron.axes[iron.course]
    return np.floor(along / grid.cell_m + 1e-9).astype(np.int64)


def _as_it_is(grid: HeatGrid, surface: np.ndarray, iron: Iron) -> np.ndarray:
    """(n,) metal of a rod over what the faces of the cells make of it: of a thin one too little or too much."""
    at = station_of(grid, grid.surface_cell[surface], iron)
    first, size = int(at.min()), grid.cell_m
    seen_m3 = np.bincount(at - first, grid.surface_area_m2[surface]) * iron.deep_m
    low = (first + np.arange(len(seen_m3))) * size
    half = float(iron.half_m[iron.course])
    long = np.clip(np.minimum(low + size, half) - np.maximum(low, -half), 0.0, size)
    return np.asarray((iron.section_m2 * long / np.maximum(seen_m3, 1e-30))[at - first])


def _layers(problem: StagedHeat, surface: np.ndarray, has: np.ndarray, wall_m: np.ndarray) -> _Layers:
    which = np.full(len(surface), -1)
    which[has] = problem.grid.surface_iron[surface[has]]
    iron = which >= 0
    skin = problem.skin
    out = _Layers(
        iron, np.zeros(len(surface), bool), wall_m.copy(), np.full(len(surface), skin.conductivity_w_mk),
        np.full(len(surface), skin.density_kg_m3 * skin.specific_heat_j_kgk),
    )  # fmt: skip
    for number, one in enumerate(problem.irons):
        mine = which == number
        out.none[mine] = one.metal.heat_j_m3k <= 0
        out.thickness_m[mine] = one.deep_m
        out.conductivity_w_mk[mine] = one.metal.conductivity_w_mk
        out.heat_j_m3k[mine] = one.metal.heat_j_m3k
        if one.course >= 0 and mine.any():
            out.heat_j_m3k[mine] *= _as_it_is(problem.grid, surface[mine], one)
    return out
