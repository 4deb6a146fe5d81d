"""The way of the foam from its ports: how far, where it gets last, where fronts meet, how density falls along it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from pourwright.cavity import Cavity, LevelGraph, PourFrame
from pourwright.lifts import Pour
from pourwright.physics import mould_flow
from pourwright.rise import RisingFoam
from pourwright.shot.pillars import ridges
from pourwright.shot.strip import StripFill, strip_fill

MOST_CELLS = 120_000  # of a pour whose ways are looked for, for time and memory (our judgement)
RUNS_UNTIL = 0.95  # of the gel time: foam runs, then it only creeps (our judgement)
_STEPS = [(1, 0, 0), (0, 1, 0), (0, 0, 1)]
_STEPS += [(1, 1, 0), (1, -1, 0), (1, 0, 1), (1, 0, -1), (0, 1, 1), (0, 1, -1)]
_STEPS += [(1, 1, 1), (1, 1, -1), (1, -1, 1), (-1, 1, 1)]


@dataclass(frozen=True, eq=False)
class Knit:
    """Where the fronts of two ports meet, or those of one behind a pillar."""

    ports: tuple[str, str]  # the same twice: foam of one port that went round something
    point_m: np.ndarray  # (3,) middle, shell axes
    area_m2: float  # about; to a third


@dataclass(frozen=True, eq=False)
class PortReach:
    """What foam of one port fills: that which it is the nearest to."""

    port: str
    volume_m3: float
    length_m: float  # farthest way from it
    last_point_m: np.ndarray  # (3,) its last place to fill, shell axes
    near_density_kg_m3: float  # at the port
    far_density_kg_m3: float  # at the end of that way


@dataclass(frozen=True, eq=False)
class DensityField:
    """How dense the foam of one pour is, place by place."""

    points_m: np.ndarray  # (n, 3) shell axes
    density_kg_m3: np.ndarray  # (n,)
    cell_m: float  # the points are so far apart


@dataclass(frozen=True, eq=False)
class Flow:
    """The way of the foam of one pour."""

    pour: str
    density_kg_m3: float  # mean in place
    length_m: float  # farthest way round walls and pillars from the nearest port
    thickness_m: float  # of the gap it flows in
    over_thickness: float
    last_point_m: np.ndarray  # (3,) the last place to fill, shell axes
    ports: tuple[PortReach, ...]  # port by port, the farthest first
    knits: tuple[Knit, ...]
    drop_pa: float  # from port to front, at most
    running_drop_pa: float  # the same before the foam gels, by formula
    near_density_kg_m3: float
    far_density_kg_m3: float
    packing: float  # what the way alone asks for; nan: foam gels on it however much is shot
    unreached_m3: float  # of the pour's space, not connected to a port of it
    field: DensityField  # of all that is reached


def flow_of(
    cavity: Cavity, graph: LevelGraph, pour: Pour, thickness_m: float, foam: RisingFoam, density_kg_m3: float
) -> Flow | None:
    """The way of the foam of ``pour``; None without a landing.

    Parameters
    ----------
    cavity, graph, pour
    thickness_m : float
        Of the gap it flows in.
    foam : RisingFoam
    density_kg_m3 : float
        Mean in place.

    Notes
    -----
    Shortest ways over cells and their diagonals: up to a tenth too long. Coarsened to `MOST_CELLS`, so that a wall
    thinner than a coarse cell still parts what has no cell in common; a pass thinner than a cell is closed.
    """
    if not pour.landings:
        return None
    grid = _coarse(cavity, graph, pour)
    landed = np.array([cavity.frame.to_standing(landing.point_m) for landing in pour.landings])
    near = np.array([int(np.argmin(((grid.points - spot) ** 2).sum(axis=1))) for spot in landed])
    starts, first = np.unique(near, return_index=True)
    names = {int(start): pour.landings[int(k)].port.name for start, k in zip(starts, first, strict=True)}
    far, _, source = dijkstra(grid.links, directed=False, indices=starts, min_only=True, return_predecessors=True)
    ways = _Ways(grid, far, source, names, cavity.frame, pour.volume_m3 / float(grid.volume_m3.sum()))
    ports, density, strip = ways.reaches(thickness_m, foam, density_kg_m3)
    length, there = ports[0].length_m, np.isfinite(far)
    return Flow(
        pour=pour.name,
        density_kg_m3=density_kg_m3,
        length_m=length,
        thickness_m=thickness_m,
        over_thickness=length / thickness_m,
        last_point_m=ports[0].last_point_m,
        ports=ports,
        knits=(*ways.meetings(), *ways.behind(thickness_m)),
        drop_pa=strip.drop_pa,
        running_drop_pa=drop_before_gel(foam, length, thickness_m),
        near_density_kg_m3=ports[0].near_density_kg_m3,
        far_density_kg_m3=ports[0].far_density_kg_m3,
        packing=strip.packing,
        unreached_m3=ways.whole * float(grid.volume_m3[~there].sum()),
        field=DensityField(ways.places(grid.points[there]), density[there], grid.cell_m),
    )


AnyReach = TypeVar("AnyReach", Flow, PortReach)


def at_density(flow: Flow, density_kg_m3: float) -> Flow:
    """The same way with another mean density in place: the way, and what it asks for, are the same."""
    share = density_kg_m3 / flow.density_kg_m3

    def packed(one: AnyReach) -> AnyReach:
        return replace(
            one,
            near_density_kg_m3=one.near_density_kg_m3 * share,
            far_density_kg_m3=one.far_density_kg_m3 * share,
        )

    return replace(
        packed(flow),
        density_kg_m3=density_kg_m3,
        ports=tuple(packed(port) for port in flow.ports),
        field=replace(flow.field, density_kg_m3=flow.field.density_kg_m3 * share),
    )


def drop_before_gel(foam: RisingFoam, length_m: float, gap_m: float) -> float:
    """Largest pressure [Pa] that moves foam along a gap before it gels, in a strip from one port."""
    time, volume = foam.time_s, foam.volume_m3_kg
    growth = np.gradient(volume, time) / volume
    full = length_m * volume / volume[-1]  # the front comes as far as the foam has swollen
    drop = mould_flow.plane_swelling_drop(growth, foam.viscosity_pa_s, full, gap_m)
    return float(np.max(np.where(time < RUNS_UNTIL * foam.gel_s, drop, 0.0)))


@dataclass(frozen=True, eq=False)
class _Grid:
    points: np.ndarray
    volume_m3: np.ndarray
    links: coo_array
    beside: np.ndarray  # (n, 6) cells on both sides along each axis, -1 for none
    cell_m: float


def _coarse(cavity: Cavity, graph: LevelGraph, pour: Pour) -> _Grid:
    """Cells of the pour as a graph; several of the cavity's in one where they are many."""
    mine = np.zeros(len(graph.node_level) + 1, bool)
    mine[np.asarray(pour.nodes) + 1] = True
    inside = mine[graph.label] & (cavity.fraction >= 128)
    at = np.argwhere(inside)
    low = at.min(axis=0)
    fold = max(1, int(np.ceil((len(at) / MOST_CELLS) ** (1 / 3))))
    shape = np.array(inside.shape) // fold + 2
    coarse, which = np.unique(np.ravel_multi_index(tuple(((at - low) // fold).T), tuple(shape)), return_inverse=True)
    index = np.stack(np.unravel_index(coarse, tuple(shape)), axis=1)
    cell = cavity.grid.cell_m * fold
    points = cavity.grid.origin_m + low * cavity.grid.cell_m + (index + 0.5) * cell
    volume = np.bincount(which, cavity.fraction[tuple(at.T)] / 255.0 * cavity.grid.cell_m**3, len(coarse))
    rows, cols, away = [], [], []
    beside = np.full((len(coarse), 6), -1, np.int64)
    for number, step in enumerate(_STEPS):
        there = np.ravel_multi_index(tuple((index + step).T), tuple(shape), mode="clip")
        ok = ((index + step >= 0) & (index + step < shape)).all(axis=1)
        place = np.searchsorted(coarse, there)
        ok &= (place < len(coarse)) & (coarse[np.minimum(place, len(coarse) - 1)] == there)
        if number < 3:
            beside[ok, 2 * number] = place[ok]
            beside[place[ok], 2 * number + 1] = np.flatnonzero(ok)
        rows.append(np.flatnonzero(ok))
        cols.append(place[ok])
        away.append(np.full(int(ok.sum()), cell * float(np.linalg.norm(step))))
    n = len(coarse)
    links = coo_array((np.concatenate(away), (np.concatenate(rows), np.concatenate(cols))), shape=(n, n)).tocsr()
    return _Grid(points, volume, links, beside, cell)


@dataclass(frozen=True, eq=False)
class _Ways:
    """Shortest ways over a grid, from the nearest port each."""

    grid: _Grid
    far_m: np.ndarray
    source: np.ndarray  # cell of the port that each is reached from
    names: dict[int, str]  # of ports, by that cell
    frame: PourFrame
    whole: float  # the pour's space over that of the cells, which leave out what the wall cuts in half

    def reaches(
        self, gap_m: float, foam: RisingFoam, density_kg_m3: float
    ) -> tuple[tuple[PortReach, ...], np.ndarray, StripFill]:
        """Port by port what it fills, pressed along its ways as a strip as long as the farthest of them.

        The mean is the pour's. And the density (n,) cell by cell, by the way to it; nan where no foam comes. And what
        a strip as long as the farthest way asks for.
        """
        out, strips, density = [], {}, np.full(len(self.far_m), np.nan)
        for start, name in self.names.items():
            mine = np.isfinite(self.far_m) & (self.source == start)
            last = int(np.argmax(np.where(mine, self.far_m, -1.0)))
            length = float(self.far_m[last])
            strips[length] = strip_fill(foam, length, gap_m)
            drop = strips[length].drop_pa
            share = self.far_m[mine] / max(length, self.grid.cell_m)
            here = mould_flow.pressure_along_flow(share, drop, foam.pressure_pa)
            a_pascal = density_kg_m3 / float(np.average(here, weights=self.grid.volume_m3[mine]))  # no mass is lost
            density[mine] = a_pascal * here
            near, end = (mould_flow.pressure_along_flow(x, drop, foam.pressure_pa) for x in (0.0, 1.0))
            out.append(
                PortReach(
                    port=name,
                    volume_m3=self.whole * float(self.grid.volume_m3[mine].sum()),
                    length_m=length,
                    last_point_m=self.places(self.grid.points[last]),
                    near_density_kg_m3=a_pascal * near,
                    far_density_kg_m3=a_pascal * end,
                )
            )
        return tuple(sorted(out, key=lambda one: -one.length_m)), density, strips[max(strips)]

    def meetings(self) -> tuple[Knit, ...]:
        """Faces between cells that foam of different ports reaches first, pair by pair, the largest first."""
        pairs, cell = self.grid.links.tocoo(), self.grid.cell_m
        across = np.isfinite(self.far_m)[pairs.row] & (self.source[pairs.row] != self.source[pairs.col])
        across &= pairs.data < 1.01 * cell
        row, col = pairs.row[across], pairs.col[across]
        out = []
        keys = np.sort(np.stack([self.source[row], self.source[col]], axis=1), axis=1)
        for key in np.unique(keys, axis=0):
            both = (keys == key).all(axis=1)
            middle = 0.5 * (self.grid.points[row[both]] + self.grid.points[col[both]]).mean(axis=0)
            ports = sorted((self.names[int(key[0])], self.names[int(key[1])]))
            if ports[0] != ports[1]:
                out.append(Knit((ports[0], ports[1]), self.places(middle), float(both.sum()) * cell**2))
        return tuple(sorted(out, key=lambda knit: -knit.area_m2))

    def behind(self, gap_m: float) -> tuple[Knit, ...]:
        """Where foam of one port meets itself; what lies where two ports meet is left out."""
        grid, source = self.grid, self.source
        pairs = grid.links.tocoo()
        mixed = np.zeros(len(self.far_m), bool)
        mixed[pairs.row[source[pairs.row] != source[pairs.col]]] = True
        mixed[pairs.col[source[pairs.row] != source[pairs.col]]] = True
        out = []
        for cells, area in ridges(self.far_m, grid.beside, grid.links, grid.cell_m, gap_m):
            own = cells[~mixed[cells]]
            if 2 * len(own) > len(cells):
                name = self.names[int(source[own[0]])]
                out.append(Knit((name, name), self.places(grid.points[own].mean(axis=0)), area))
        return tuple(out)

    def places(self, standing_m: np.ndarray) -> np.ndarray:
        """Shell axes of points in standing ones."""
        place = np.array(self.frame.to_shell(standing_m), float)
        place.setflags(write=False)
        return place
