"""Staged pours by explicit differences on voxels: numpy, from the heat equation alone; shares nothing with the program.

Every pour lies in its final place from its own start and gives off its heat along a given course. A face to cavity that
is not poured yet loses heat through a film. What foam lies against (skin, iron) is a node behind each voxel: through
the foam up to its surface and half of its thickness, then the other half and a film outside. Liquid is poured at the
temperature of the parts and lies on the foam below until it creams: what it takes up from that face, too thin a layer
for the voxels, is followed by explicit differences of a quarter of a millimetre, taken from the voxels below and given
to all of the pour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

SIDES = np.vstack([np.eye(3, dtype=int), -np.eye(3, dtype=int)])
BELOW = 5
"""Of the six."""
NEAREST, FARTHEST = 0.25, 1.3
"""A voxel's middle lies so many voxels from its skin: nearer would ask for small steps."""


@dataclass(frozen=True)
class Layer:
    """What the foam of some voxels lies against. SI.

    ``faces`` (voxels,): its area beside each voxel, in faces of one; ``far_m`` (voxels,): from the middle of each to
    its surface. Voxels stand in the order of ``np.argwhere(pour >= 0)``.
    """

    faces: np.ndarray
    far_m: np.ndarray
    thick_m: float
    heat_j_m3k: float
    conductivity_w_mk: float
    outside_w_m2k: float  # 0: nothing is lost through it


@dataclass(frozen=True)
class Case:
    """SI. ``pour`` (nx, ny, nz): number of the pour of each voxel, -1 outside the cavity; a border of -1 all round."""

    pour: np.ndarray
    size_m: float
    density_kg_m3: float | np.ndarray  # of all, or of each pour
    heat_j_kgk: float
    conductivity_w_mk: float
    rise_k: float
    gives: tuple[np.ndarray, np.ndarray]  # times after the start of a pour, share of its heat that is out by then
    creams_s: float
    start_k: float
    air_k: float
    layers: tuple[Layer, ...]
    inside_w_m2k: float = 2.0


def bare(pour: np.ndarray) -> np.ndarray:
    """(6, voxels) which sides of each voxel have no foam beside them, ever."""
    place = np.argwhere(pour >= 0)
    return np.stack([pour[tuple((place + side).T)] < 0 for side in SIDES])


def beside(
    pour: np.ndarray, size_m: float, sides: np.ndarray, nearest: Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]
) -> tuple[np.ndarray, np.ndarray]:
    """``faces`` and ``far_m`` of a layer that lies beyond ``sides`` (6, voxels).

    ``nearest`` takes places (n, 3) in the box and answers how far the surface is from the middle of each voxel [m], and
    the unit vector to it. Faces of a staircase stand for their shadow on that surface: all of them would be up to 1.7
    times too much, and foam in the teeth of a comb cools too fast.
    """
    place = np.argwhere(pour >= 0)
    at = sides.any(axis=0)
    faces, far = np.zeros(len(place)), np.full(len(place), 0.5 * size_m)
    if at.any():
        away, to = nearest(place[at])
        faces[at] = (sides[:, at] * np.abs(SIDES @ to.T)).sum(axis=0)
        far[at] = np.clip(away, NEAREST * size_m, FARTHEST * size_m)
    return faces, far


def taken_up(case: Case, density_kg_m3: float) -> float:
    """Heat [J/(m2 K)] that foam gives off through a face held cold until what lies on it creams, a kelvin below it."""
    dx, steps = 0.25e-3, 2000
    heat = density_kg_m3 * case.heat_j_kgk
    depth = np.ones(int(12 * np.sqrt(case.conductivity_w_mk / heat * case.creams_s) / dx) + 8)
    start, step = depth.sum(), case.creams_s / steps
    assert case.conductivity_w_mk * step / heat / dx**2 < 0.25
    for _ in range(steps):
        flow = np.diff(depth, prepend=-depth[0], append=depth[-1])  # the face lies half a cell above the first middle
        depth = depth + case.conductivity_w_mk * step / heat / dx**2 * np.diff(flow)
    return float(heat * dx * (start - depth.sum()))


def hours_above(case: Case, start_s: np.ndarray, limit_k: float) -> np.ndarray:
    """Hours above ``limit_k`` of the hottest voxel of each pour."""
    h, k, air = case.size_m, case.conductivity_w_mk, case.air_k
    place = np.argwhere(case.pour >= 0)
    of = case.pour[tuple(place.T)]
    capacity = np.broadcast_to(case.density_kg_m3, len(start_s))[of] * case.heat_j_kgk * h
    flat = np.full(case.pour.shape, -1)
    flat[tuple(place.T)] = np.arange(len(place))
    around = np.stack([flat[tuple((place + side).T)] for side in SIDES])
    against = [_Node(layer, k, air) for layer in case.layers]
    pulls = 2 * k / h * (around >= 0).sum(axis=0) + sum(node.faces * node.pull for node in against)
    step = 60.0 / max(1, int(np.ceil(60.0 / (0.9 * float((capacity / pulls).min())))))
    to_inside = 1 / (0.5 * h / k + 1 / case.inside_w_m2k)
    field, above, poured = np.full(len(place), air), np.zeros(len(place)), np.zeros(len(place), bool)
    time = 0.0
    while True:
        fresh = (start_s[of] < time + 0.5 * step) & ~poured
        field[fresh] = case.start_k
        for p in np.unique(of[fresh]):
            _warmed(case, field, (of == p) & fresh, around[BELOW], poured, capacity)
        poured = poured | fresh
        flow = np.zeros(len(place))
        for near in around:
            inside = near >= 0
            lies = inside & poured[near]
            flow[lies] += k / h * (field[near[lies]] - field[lies])
            open_to = inside & ~poured[near]
            flow[open_to] += to_inside * (air - field[open_to])
        for node in against:
            flow += node.stepped(field, poured, step, air)
        since = time - start_s[of]
        share = np.interp(since + step, *case.gives) - np.interp(since, *case.gives)
        new = np.where(poured, field + step * flow / capacity + case.rise_k * share, air)
        high, low = np.maximum(field, new), np.minimum(field, new)
        above += step * np.clip((high - limit_k) / np.maximum(high - low, 1e-9), 0, 1)
        field, time = new, time + step
        if time > start_s.max() + case.gives[0][-1] + 120 and field.max() < limit_k:
            return np.array([above[of == p].max(initial=0.0) for p in range(len(start_s))]) / 3600.0


class _Node:
    """The temperature of a layer behind each voxel."""

    def __init__(self, layer: Layer, foam_w_mk: float, air_k: float):
        half = 0.5 * layer.thick_m / layer.conductivity_w_mk
        self.faces, self.wall = layer.faces, np.full(len(layer.faces), air_k)
        self.pull = 1 / (layer.far_m / foam_w_mk + half)
        self.lost = 1 / (half + 1 / layer.outside_w_m2k) if layer.outside_w_m2k > 0 else 0.0
        self.heat = layer.thick_m * layer.heat_j_m3k

    def stepped(self, field: np.ndarray, poured: np.ndarray, step: float, air_k: float) -> np.ndarray:
        """What it gives the voxels [W/m2 of a face] at the start of a step, which it then makes."""
        through = self.pull * (self.wall - field)
        new = self.wall + step * (self.lost * (air_k - self.wall) - through) / self.heat
        self.wall = np.where(poured, new, self.wall)
        return self.faces * through


def _warmed(case, field, fresh, below, poured, capacity):
    """What a pour takes up from the foam that it lies on, taken from there and spread over it, in place."""
    mine = np.flatnonzero(fresh)
    on = mine[(below[mine] >= 0) & poured[np.maximum(below[mine], 0)]]
    if not len(on):
        return
    under = below[on]
    density = capacity[under] / case.heat_j_kgk / case.size_m
    each = {one: taken_up(case, float(one)) for one in np.unique(density)}
    heat = np.array([each[one] for one in density]) * (field[under] - case.start_k)  # [J/m2]
    field[under] -= heat / capacity[under]
    field[mine] += heat.sum() / capacity[mine].sum()
