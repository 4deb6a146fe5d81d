"""The cavity as slabs of heat cells: every level of every limb may be poured at a time of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Limbs
from pourwright.day import _march
from pourwright.day.layers import LayeredGrid, layered
from pourwright.day.model import Allowed, Dose
from pourwright.heat import AIR, FineCells, HeatCurve, SkinLayer, Surroundings, heat_grid

_STABLE = 0.9
STEPS_S = (60.0, 30.0, 20.0, 15.0, 10.0, 5.0)  # starts are whole minutes and fall on a step
_MOST_HOURS = 120.0
COMMON_STEPS = 8e6  # places times steps of a common march, by which a search counts what it spends


@dataclass(frozen=True, eq=False)
class Slabs:
    """Slabs of the cavity, limb after limb and upwards in each. Arrays read-only.

    Slab ``first[k] + j`` is the ``j``-th slab of limb ``k``; ``cut_level`` (slabs,) is the level of the graph at its
    bottom, ``volume_m3`` (slabs,) what it holds with what it fills along.
    """

    first: np.ndarray  # (limbs + 1,)
    cut_level: np.ndarray
    volume_m3: np.ndarray
    of_node: np.ndarray  # (n,) slab of each node of the graph, -1 for none
    top_level: np.ndarray  # (limbs,) one past the last level of each limb
    closes: np.ndarray  # (limbs,) nothing lies on it: its last pour ends against the skin


def slabs_of(graph: LevelGraph, limbs: Limbs, step_levels: int) -> Slabs:
    """Cut every limb every ``step_levels`` levels, counted over all of it; a thin last slab joins its neighbour."""
    first, cuts = [0], []
    of_node = np.full(len(graph.node_level), -1)
    for k, limb in enumerate(limbs.limbs):
        marks = np.arange(limb.bottom_level // step_levels * step_levels, limb.top_level, step_levels)
        marks[0] = limb.bottom_level
        if len(marks) > 1 and 2 * (marks[1] - marks[0]) < step_levels:
            marks = np.delete(marks, 1)
        if len(marks) > 1 and 2 * (limb.top_level - marks[-1]) < step_levels:
            marks = marks[:-1]
        mine = np.flatnonzero(limbs.of_node == k)
        of_node[mine] = first[-1] + np.searchsorted(marks, limbs.at_level[mine], side="right") - 1
        cuts.append(marks)
        first.append(first[-1] + len(marks))
    inside = of_node >= 0
    tops = np.array([limb.top_level for limb in limbs.limbs])
    volume = np.bincount(of_node[inside], weights=graph.node_volume_m3[inside], minlength=first[-1])
    closes = np.array([not limb.above for limb in limbs.limbs])
    return Slabs(
        _frozen(np.array(first)), _frozen(np.concatenate(cuts)), _frozen(volume), _frozen(of_node), _frozen(tops),
        _frozen(closes),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Heat:
    """Adiabatic rise [K], likely and at its upper 95 % end."""

    rise_k: float
    high_k: float


@dataclass(frozen=True, eq=False)
class Source:
    """What every pour of the job brings: SI, the same for all."""

    heat: Heat
    start_k: float
    density_kg_m3: float
    specific_heat_j_kgk: float
    conductivity_w_mk: float
    curve: HeatCurve
    limit_k: float  # time above it is the dose
    packed: float = 1.0  # density of what closes a limb, held back by the skin over it, over that of the rest
    landing_m: float = 0.0  # foam so thick takes up all of the excess of the face that it lies on


class Body:
    """Heat cells of the whole cavity, packed once and marched with any starts of its slabs."""

    def __init__(
        self, cavity: Cavity, graph: LevelGraph, slabs: Slabs, source: Source, skin: SkinLayer, air: Surroundings,
        cut: tuple[int, int], openings: tuple[np.ndarray, ...] = (),
    ):  # fmt: skip
        """``cut``: fine cells along the edge of a heat cell, and layers that it is cut into."""
        factor, upright = cut
        self.slabs, self.source, self.air, self.skin_start = slabs, source, air, float(skin.start_k)
        fine = FineCells(cavity.fraction, graph.label, slabs.of_node, cavity.grid.origin_m, cavity.grid.cell_m)
        grid = heat_grid(fine, openings=openings, irons=cavity.irons, factor=factor)
        self.cell_m = grid.cell_m
        level, first = graph.level_m, slabs.first
        self.limb = np.repeat(np.arange(len(first) - 1), np.diff(first))
        self.bottom_m = np.asarray(level)[slabs.cut_level]
        self.top_m = np.append(self.bottom_m[1:], 0.0)
        self.top_m[first[1:] - 1] = np.asarray(level)[slabs.top_level]
        self.face_m2 = _stood_on_m2(fine, len(slabs.cut_level))
        self._pack(layered(grid, upright, slabs.cut_level, slabs.first), skin)

    def _pack(self, grid: LayeredGrid, skin: SkinLayer) -> None:
        """The cells laid out layer by layer, with what each draws from its neighbours, its skin and the air."""
        source, size, tall = self.source, grid.cell_m, grid.height_m
        k, inside = source.conductivity_w_mk, 1 / self.air.inside_film_w_m2k
        pour = np.ascontiguousarray(np.moveaxis(grid.pour, 2, 0))  # layers first: an empty border is all round
        self.row, self.layer = pour.shape[2], pour.shape[1] * pour.shape[2]
        flat = pour.ravel()
        cells = np.flatnonzero(flat >= 0)
        self.where = cells[np.argsort(flat[cells], kind="stable")]
        z, x, y = np.unravel_index(self.where, pour.shape)
        self.middle_m = grid.centres(np.ravel_multi_index((x, y, z), grid.shape))  # (cells, 3) standing
        count = len(self.slabs.cut_level)
        self.slab_first = np.searchsorted(flat[self.where], np.arange(count + 1)).astype(np.int64)
        self._layers(pour.shape[0], cells)
        share = np.moveaxis(grid.share, 2, 0).ravel()[self.where].astype(float)
        full = source.density_kg_m3 * source.specific_heat_j_kgk * size**2 * tall
        pull, film = np.zeros((2, 6))  # to each neighbour; to the air where none is
        for side, (d, area) in enumerate([(size, size * tall)] * 4 + [(tall, size**2)] * 2):
            pull[side], film[side] = k * area / d, area / (0.5 * d / k + inside)
        self.upright = pull[4] / pull[0]
        self.spread = k / (source.density_kg_m3 * source.specific_heat_j_kgk * tall**2)
        self.open_beside, self.open_over = min(1.0, film[0] / pull[0]), min(1.0, film[4] / pull[4])
        beside = np.stack([flat[self.where + d] for d in (-1, 1, -self.row, self.row, -self.layer, self.layer)])
        self.held = np.zeros(len(flat), np.float32)
        self.held[self.where] = share
        drawn = pull @ (beside >= 0) + film @ (beside == AIR)
        stable = _STABLE * full / (4 / 3 * pull.sum())
        self.step = next((s for s in STEPS_S if s <= stable), stable)
        own = self._skins(grid, skin, flat)
        # A sliver that follows its neighbours within a step would cut the steps of the whole piece: it is made thicker.
        most = drawn + (pull - film) @ (beside == AIR)
        most[own] += self.skin_pull
        per_heat = 1 / np.maximum(full * share, self.step * most / _STABLE)
        self.into_cell = self.step * per_heat[own]
        self.keep, self.draw = np.ones(len(flat), np.float32), np.zeros(len(flat), np.float32)
        self.keep[self.where] = 1.0 - self.step * per_heat * drawn
        self.draw[self.where] = self.step * per_heat * pull[0]
        keep = int(np.searchsorted(source.curve.share, 1.0 - 1e-9)) + 1
        self.curve_s, self.curve_share = source.curve.time_s[:keep].copy(), source.curve.share[:keep].copy()
        self.curve_share[-1] = 1.0

    def _layers(self, layers: int, cells: np.ndarray) -> None:
        """The runs of each layer, from cell to cell over no more than a row's width of empty places."""
        self.layer_of = self.where // self.layer
        opens = np.append(True, (np.diff(cells) > self.row) | (np.diff(cells // self.layer) > 0))
        low, last = cells[opens], cells[np.append(opens[1:], True)]
        self.run_low, self.run_count = low, last - low + 1
        self.run_first = np.searchsorted(low, self.layer * np.arange(layers + 1))
        ends = np.searchsorted(cells, self.layer * np.arange(layers + 1))
        some = np.flatnonzero(ends[1:] > ends[:-1])
        self.places = int((cells[ends[some + 1] - 1] - cells[ends[some]] + 1).sum())
        # from first to last of each layer: what a search counts by, however the layers are laid into runs

    def _skins(self, grid: LayeredGrid, skin: SkinLayer, flat: np.ndarray) -> np.ndarray:
        """The pieces of skin, slab after slab; the number among the cells of each one's own."""
        k, outside = self.source.conductivity_w_mk, 1 / self.air.outside_film_w_m2k
        x, y, z = np.unravel_index(grid.surface_cell, grid.shape)
        place = z * self.layer + x * self.row + y
        order = np.lexsort((place, flat[place]))
        order = order[flat[place[order]] >= 0]
        self.cell = place[order].astype(np.int64)
        self.skin_first = np.searchsorted(flat[self.cell], np.arange(len(self.slab_first))).astype(np.int64)
        area, depth = grid.surface_area_m2[order], grid.surface_depth_m[order]
        thickness = np.broadcast_to(np.asarray(skin.thickness_m, float), grid.surface_area_m2.shape)[order]
        opening = grid.surface_opening[order] >= 0  # no skin there: the foam looks into the air of the shop
        half = np.where(opening, 0.0, 0.5 * thickness / skin.conductivity_w_mk)
        holds = np.where(opening, 0.0, area * thickness * skin.density_kg_m3 * skin.specific_heat_j_kgk)
        air_pull = area / (half + outside)
        self.skin_pull = area / (depth / k + np.where(opening, outside, half))
        # Skin so light that it follows within a step holds no heat worth counting: its resistance stays.
        light = holds * _STABLE < self.step * (air_pull + self.skin_pull)
        through = 1 / (1 / self.skin_pull + 1 / air_pull)
        self.skin_pull = np.where(light & ~opening, through, self.skin_pull)
        # A cell's temperature is that of its middle; its foam ends at the skin, and has a middle of its own.
        off = np.where(grid.surface_beside[order], 0.5 * (self.held[self.cell] - 1.0) * grid.cell_m, 0.0)
        self.nearer = off / k * self.skin_pull / area
        self.to_foam = np.where(light, 0.0, self.step / np.where(light, 1.0, holds))
        self.to_air = self.to_foam * air_pull
        self.skin_warm = np.where(light, 0.0, self.skin_start - float(self.air.air_k))
        number = np.empty(len(flat), np.int64)
        number[self.where] = np.arange(len(self.where))
        return number[self.cell]

    @property
    def cells(self) -> int:
        """Heat cells."""
        return len(self.where)

    def dose(self, start_s: np.ndarray, heat: Heat | None = None) -> Dose:
        """Dose of every slab when slab ``i`` is poured at ``start_s[i]`` [s]; inf hours where it ends out of reach.

        ``heat`` in place of the source's own. What is above a temperature above the start, at the high rise, is above
        a lower one at the likely rise: the field is linear in the rise, and one march counts both.
        """
        above, lower, peak, face, end = self._marched(start_s, heat or self.source.heat)
        hours = _march.reduce_slabs(above, self.where, self.slab_first) / 3600.0
        high = _march.reduce_slabs(lower, self.where, self.slab_first) / 3600.0
        if end < 0:
            high[:] = np.inf
        air = float(self.air.air_k)
        peak_k = air + _march.reduce_slabs(peak, self.where, self.slab_first)
        return Dose(_frozen(hours), _frozen(peak_k), _frozen(high), _frozen(air + face), self._effort(end))

    def _effort(self, end_s: float) -> float:
        """What a march to ``end_s`` takes, in common ones: counted, so that it is the same on every machine."""
        return abs(end_s) / self.step * self.places / COMMON_STEPS

    def used(self, start_s: np.ndarray, allowed: Allowed) -> np.ndarray:
        """Share (cells,) of the allowed dose, with its margin, that each cell uses; inf where it ends out of reach."""
        above, lower, _, _, end = self._marched(start_s, self.source.heat)
        above, lower = above[self.where], lower[self.where]
        share = np.maximum(above / (allowed.share * allowed.dose_h), lower / allowed.high_h) / 3600.0
        return np.where(lower > 0, np.inf, 0.0) if end < 0 else share

    def warming(self, start_s: np.ndarray) -> np.ndarray:
        """Share (slabs,) of the mean excess of the faces that each pour lands on that it takes up before it creams.

        What the face gives is spread over all that is poured; where no cell stands on another pour's, the pour is
        taken to lie on its mean section.
        """
        low, high = self._pours(start_s)
        filled = np.append(0.0, np.cumsum(self.slabs.volume_m3))
        thick = self.top_m[high] - self.bottom_m[low]
        share = np.where(self.face_m2[low] > 0, self.face_m2[low] / (filled[high + 1] - filled[low]), 1.0 / thick)
        closing = self.slabs.closes[self.limb[low]] & (high + 1 == self.slabs.first[self.limb[low] + 1])
        share = np.where(closing, share / self.source.packed, share)
        return np.minimum(1.0, self.source.landing_m * np.repeat(share, high - low + 1))

    def _pours(self, start_s: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """First and last slab of what is poured together in each limb."""
        start = np.asarray(start_s, float)
        low = np.flatnonzero(np.append(True, (np.diff(start) != 0) | (np.diff(self.limb) != 0)))
        return low, np.append(low[1:], len(start)) - 1

    def _lowest(self, start_s: np.ndarray) -> np.ndarray:
        """First slab of what each is poured together with."""
        low, high = self._pours(start_s)
        return np.repeat(low, high - low + 1)

    def _packed(self, start_s: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """What cells keep and draw and what skin gives them, with the density of what closes each limb."""
        keep, draw, into = self.keep, self.draw, self.into_cell
        more = self.source.packed
        if more == 1.0 or not self.slabs.closes.any():
            return keep, draw, into
        keep, draw, into = keep.copy(), draw.copy(), into.copy()
        for low, high in zip(*self._pours(start_s), strict=True):
            limb = self.limb[low]
            if self.slabs.closes[limb] and high + 1 == self.slabs.first[limb + 1]:
                at = self.where[self.slab_first[low] : self.slab_first[high + 1]]
                keep[at], draw[at] = 1.0 - (1.0 - keep[at]) / more, draw[at] / more
                into[self.skin_first[low] : self.skin_first[high + 1]] /= more
        return keep, draw, into

    def _marched(self, start_s: np.ndarray, heat: Heat) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, float]:
        """Seconds above the limit at the likely and the high rise and peak over the air by place; the face landed on
        by slab; when it ended."""
        above, lower, peak = np.zeros((3, len(self.keep)), np.float32)
        face = np.full(len(self.limb), -float(self.air.air_k))  # none: 0 K
        source, air = self.source, float(self.air.air_k)
        base = min(source.start_k, air, self.skin_start)
        lower_k = base + (source.limit_k - base) * heat.rise_k / heat.high_k
        shifted = np.asarray(start_s, float) - float(np.min(start_s))
        steps = int((float(shifted.max()) + _MOST_HOURS * 3600) / self.step)
        keep, draw, into = self._packed(start_s)
        end = _march.march(
            self.where, self.slab_first, self.layer_of, self.run_first, self.run_low, self.run_count,
            self.row, self.layer, keep, draw, self.upright, self.open_beside, self.open_over,
            self.skin_first, self.cell, self.skin_pull, self.nearer, into, self.to_air, self.to_foam,
            self.skin_warm, shifted, self._lowest(start_s), self.held, self.warming(start_s),
            self.curve_s, self.curve_share, heat.rise_k, source.start_k - air, source.limit_k - air,
            lower_k - air, self.spread, self.step, steps,
            above, lower, peak, face,
        )  # fmt: skip
        return above, lower, peak, face, float(end)


def _stood_on_m2(fine: FineCells, slabs: int) -> np.ndarray:
    """Area (slabs,) [m2] on which each slab stands on others, counted in fine cells by what they hold."""
    return np.asarray(_march.stood_on(fine.label, fine.fraction, fine.node_pour, slabs)) * fine.cell_m**2


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array
