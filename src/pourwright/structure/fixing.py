"""A stiff round plate bonded to a skin on foam: what a pull, a moment and a shear on it do to the skin beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from pourwright.errors import ShellError
from pourwright.fem import Factor, ShellModel, skin_stress, springs
from pourwright.structure.pressed import bed

ROUND = 144
"""Triangles round a ring."""
STEP, GROWTH = 0.05, 1.15
"""First ring beside the plate over the bending length or its radius, and how rings widen from there."""
FAR = 6.0
"""Bending lengths beyond the plate after which nothing more is felt."""
NEAR = 1.0
"""Bending lengths of even skin that are needed round the plate: our judgement, no published source."""
HELD = 0.7
"""Share of the skin's reach from which on what holds its rim is felt: our judgement, no published source."""
BESIDE = 0.5
"""Share of the skin beside a wide plate that is looked at all the same: our judgement, no published source."""
STIFF = 1e3
"""The plate over the skin: it bends no more."""


@dataclass(frozen=True, slots=True)
class Fixing:
    """A plate on flat skin with foam behind it."""

    wall_m: float
    youngs_pa: float
    poisson: float
    foam_pa: float
    foam_poisson: float
    foam_m: float  # depth of the foam
    plate_m: float  # diameter
    reach_m: float  # from the middle of the plate to where the skin ends or turns away


@dataclass(frozen=True, eq=False)
class FixingStress:
    """Greatest principal stress in the skin beside the plate, and pressure between skin and foam, by unit of load."""

    pull: float  # [Pa/N]
    moment: float  # [Pa/(N m)]
    shear: float  # [Pa/N]
    foam_pull: float  # [Pa/N]
    foam_moment: float  # [Pa/(N m)]
    rings_m: np.ndarray  # (k,) from the middle, ...
    by_ring: np.ndarray  # (k,) ... of the pull's and the shear's stress there over the greatest, the larger of both

    def of_neighbour(self, away_m: float, plate_m: float) -> float:
        """Share of its own greatest stress that a like fixing so far away brings to this one's plate."""
        at = away_m - 0.5 * plate_m
        last = float(self.rings_m[-1])  # from there it falls at least as the ring that carries it grows
        return float(np.interp(at, self.rings_m, self.by_ring)) * min(1.0, last / max(at, 1e-9))


def bending_length(one: Fixing) -> float:
    """Length (D / k)^(1/4) over which skin bends on its foam [m]."""
    rigidity, spring = _bed(one)
    return float((rigidity / spring) ** 0.25)


def _bed(one: Fixing) -> tuple[float, float]:
    rigidity = one.youngs_pa * one.wall_m**3 / (12.0 * (1.0 - one.poisson**2))
    return rigidity, float(bed(np.array([rigidity]), np.array([one.foam_pa]), one.foam_poisson, one.foam_m)[0])


def fixing_stress(one: Fixing) -> FixingStress:
    """Solve the skin round a plate, held at its rim.

    Notes
    -----
    Flat thin skin (``fem.ShellModel``), foam as springs that give it the dent of an elastic layer (``bed``) and that
    pull as well as push, so the foam must be bonded; plate rigid; skin held where it ends, or six bending lengths
    away. Stresses at the plate's rim are those of a sharp edge that does not give.

    Raises
    ------
    ShellError
        Less than a bending length of even skin round the plate.
    """
    length = bending_length(one)
    beside = one.reach_m - 0.5 * one.plate_m
    if not beside >= NEAR * length:
        there = f"{1e3 * beside:.0f} mm of even skin" if beside > 0 else "no even skin all round"
        raise ShellError(f"{there} beside the plate, where it bends over {1e3 * length:.0f} mm")
    # Anchors whose foam and reach are the same to three digits are solved once.
    reach = 0.5 * one.plate_m + min(beside, FAR * length)
    return _solved(replace(one, foam_m=float(f"{one.foam_m:.3g}"), reach_m=float(f"{reach:.3g}")))


@lru_cache(maxsize=256)
def _solved(one: Fixing) -> FixingStress:
    _, spring = _bed(one)
    length, radius, reach = bending_length(one), 0.5 * one.plate_m, one.reach_m
    model, outside = _disc(one, radius, reach, length)
    flat = model.vertices_m[:, :2]
    area, away = model.vertex_area_m2, np.linalg.norm(flat, axis=1)
    held = np.zeros((len(flat), 6), bool)
    held[away > 0.999 * reach] = True
    stiffness = model.assemble() + springs(model, np.arange(len(flat)), (0.0, 0.0, 1.0), spring * area)
    loads = _loads(model, away <= 1.001 * radius)
    moved = Factor(stiffness, held.ravel(), model.vertices_m).solve(loads)
    peaks = [skin_stress(model, moved[:, k]).peak_pa for k in range(3)]
    press = [float(spring * np.abs(moved[:, k].reshape(-1, 6)[:, 2]).max()) for k in range(2)]
    middles = np.linalg.norm(flat[model.triangles].mean(axis=1), axis=1)
    felt = outside & (middles < max(HELD * reach, radius + BESIDE * (reach - radius)))
    rings, by_ring = _by_ring(middles[felt], [peak[felt] for peak in (peaks[0], peaks[2])])
    top = [float(peak[outside].max()) for peak in peaks]
    return FixingStress(top[0], top[1], top[2], press[0], press[1], rings, by_ring)


def _disc(one: Fixing, radius: float, reach: float, length: float) -> tuple[ShellModel, np.ndarray]:
    """Rings of triangles, finest at the plate's rim; and which of them lie beside the plate."""
    rings, step = [0.4 * radius, 0.75 * radius, radius], STEP * min(length, radius)
    while rings[-1] + 1.5 * step < reach:
        rings.append(rings[-1] + step)
        step *= GROWTH
    rings.append(reach)
    turn = 2.0 * math.pi * np.arange(ROUND) / ROUND
    points = [np.zeros((1, 2))]
    for k, ring in enumerate(rings):
        angle = turn + (k % 2) * math.pi / ROUND
        points.append(ring * np.column_stack([np.cos(angle), np.sin(angle)]))
    here, after = np.arange(ROUND), (np.arange(ROUND) + 1) % ROUND
    faces = [np.column_stack([np.zeros(ROUND, int), 1 + here, 1 + after])]
    for k in range(len(rings) - 1):
        inner, outer = 1 + k * ROUND, 1 + (k + 1) * ROUND
        if k % 2 == 0:  # the outer ring is turned by half a step
            faces += [np.column_stack([inner + here, outer + here, inner + after])]
            faces += [np.column_stack([inner + after, outer + here, outer + after])]
        else:
            faces += [np.column_stack([inner + here, outer + here, outer + after])]
            faces += [np.column_stack([inner + here, outer + after, inner + after])]
    flat, corners = np.vstack(points), np.vstack(faces)
    beside = np.linalg.norm(flat[corners].mean(axis=1), axis=1) > radius
    youngs = np.where(beside, one.youngs_pa, STIFF * one.youngs_pa)
    vertices = np.column_stack([flat, np.zeros(len(flat))])
    return ShellModel(vertices, corners, one.wall_m, youngs, one.poisson), beside


def _loads(model: ShellModel, plate: np.ndarray) -> np.ndarray:
    """Unit pull, moment and shear (size, 3), spread over the plate."""
    on = np.flatnonzero(plate)
    share = model.vertex_area_m2[on] / model.vertex_area_m2[on].sum()
    across = model.vertices_m[on, 0]
    lever = share * across / float(share @ across**2)
    zero = np.zeros(len(on))
    ways = ((zero, zero, share), (zero, zero, lever), (share, zero, zero))
    return np.column_stack([model.nodal_load(on, np.column_stack(way)) for way in ways])


def _by_ring(middles: np.ndarray, peaks: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Radii, and the larger of both loads' stress at each over its greatest."""
    order = np.argsort(middles)
    order = order[: len(order) - len(order) % ROUND]
    places = middles[order].reshape(-1, ROUND).mean(axis=1)
    found = [(peak / peak.max())[order].reshape(-1, ROUND).max(axis=1) for peak in peaks]
    return places, np.max(found, axis=0)
