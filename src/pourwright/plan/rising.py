"""Every pour rising along the level graph: pressure, what stays empty, what the vents must pass."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from pourwright.access import UNEVEN, CeilingAir
from pourwright.cavity import Cavity, LevelGraph
from pourwright.errors import UsageError
from pourwright.evaluation import RiseHistory, RiseVoid, VentFlow
from pourwright.foam import FoamAtShop
from pourwright.lifts import Division, Measures, Pour, Vent, arrives_by_times, packing_of
from pourwright.plan.case import Case
from pourwright.plan.heat_cells import pours_of
from pourwright.plan.heating import wall_m
from pourwright.plan.reaction import History
from pourwright.rise import Outlet, RiseSettings, Rooms, Void, packing_to_fill, simulate_rise, vent_flows

UNDER_CEILING = "air under a level ceiling"


def rises_of(division: Division, case: Case) -> dict[str, RiseHistory]:
    """The rise of every pour, by name; left out where it cannot be followed.

    A pour that closes is run twice. What stays empty is found with the gas that is left beside a dense skin, holes
    open to foam; pressure, pace and air with all the gas of free rise, each hole shut as foam shows at it. So both err
    on the safe side. It is run with wide vents too, for the air they must pass, and for the least packing that fills
    it.
    """
    space = case.space
    settings = RiseSettings(vent_pressure_pa=case.limits.vent_pressure_pa, void_share=case.rules.void_share)
    area = {opening.name: opening.area_m2 for opening in space.skin.openings}
    wall = wall_m(space.skin, space.cavity)
    out = {}
    for pour in pours_of(division):
        outlets = outlets_of(pour, division.vents, area, wall)
        with contextlib.suppress(UsageError, RuntimeError):  # not to be followed: its checks stay unknown
            found = _one(space.cavity, space.graph, case.history, pour, outlets, settings)
            out[pour.name] = _with_ceilings(found, space.cavity, pour, division.ceilings)
    return out


def _with_ceilings(rise: RiseHistory, cavity: Cavity, pour: Pour, ceilings: tuple[CeilingAir, ...]) -> RiseHistory:
    """The rise with the air that its level ceilings keep: a room of the rise is one whole level, corners and all."""
    voids = []
    for one in ceilings:
        left = one.cover.spot & np.isin(one.ceiling.nodes, pour.nodes)
        if not left.any():
            continue
        spots = one.ceiling.spots_m[left]
        at = _frozen(cavity.frame.to_shell(spots[np.argmin(np.linalg.norm(spots - spots.mean(axis=0), axis=1))]))
        volume = one.cover.air_m3 * float(left.sum() / one.cover.spot.sum())
        low, high = float(spots[:, 2].min()) - UNEVEN.value, float(spots[:, 2].max())
        voids.append(RiseVoid(volume, at, _measures(cavity, at), low, high, UNDER_CEILING, math.nan, math.nan))
    if not voids:
        return rise
    every = tuple(sorted((*rise.voids, *voids), key=lambda void: -void.volume_m3))
    return replace(rise, voids=every, void_m3=rise.void_m3 + sum(void.volume_m3 for void in voids))


def foam_arrives(
    graph: LevelGraph, foam: FoamAtShop, rises: Mapping[str, RiseHistory]
) -> Callable[[Pour, float], float]:
    """When foam of a pour is at a height: by its computed rise, and by the foam's times where that does not say."""
    by_times = arrives_by_times(graph, foam)

    def when(pour: Pour, height_m: float) -> float:
        if pour.name in rises and (rises[pour.name].front_m >= height_m).any():
            rise = rises[pour.name]
            return float(rise.front_s[np.argmax(rise.front_m >= height_m)])
        return by_times(pour, height_m)

    return when


def outlets_of(pour: Pour, vents: tuple[Vent, ...], area_m2: dict[str, float], wall_m: float) -> tuple[Outlet, ...]:
    """Vents whose pocket the pour fills, as outlets; of an opening, a round one of its area."""
    inside = [vent for vent in vents if vent.node >= 0 and bool(np.isin(vent.node, pour.nodes))]
    out = []
    for vent in inside:
        if vent.way == "drilled":
            out.append(Outlet(vent.name, vent.node, vent.hole_m, vent.holes, wall_m))
        else:
            out.append(Outlet(vent.name, vent.node, math.sqrt(4 / math.pi * area_m2.get(vent.opening, 1.0)), 1, 0.0))
    return tuple(out)


def landing_node(cavity: Cavity, graph: LevelGraph, pour: Pour) -> int | None:
    """Node the first landing of a pour lies in; None where it has none."""
    if not pour.landings:
        return None
    at = cavity.frame.to_standing(pour.landings[0].point_m)
    cell = np.floor((at - cavity.grid.origin_m) / cavity.grid.cell_m + 1e-6).astype(int)
    cell = np.clip(cell, 0, np.array(cavity.grid.shape) - 1)
    node = int(graph.label[tuple(cell)]) - 1
    return node if bool(np.isin(node, pour.nodes)) else None


def _one(
    cavity: Cavity,
    graph: LevelGraph,
    history: History,
    pour: Pour,
    outlets: tuple[Outlet, ...],
    settings: RiseSettings,
) -> RiseHistory:
    rooms = Rooms(graph, pour.nodes, pour.shares, landing_node(cavity, graph, pour))
    mass, free_rise = pour.foam_kg.nominal, history.foam.free_rise_density_kg_m3.nominal
    result = simulate_rise(rooms, mass, history.rising, outlets=outlets, settings=settings)
    flows, needed, hard = result.outlets, float("nan"), result
    if pour.closes:
        shut = replace(settings, foam_leaves=False)
        hard = simulate_rise(rooms, mass, history.packed, outlets=outlets, settings=shut)
        if outlets:
            wide = vent_flows(rooms, mass, history.packed, outlets, settings=settings)
            flows = tuple(
                replace(own, air_peak_m3_s=free.air_peak_m3_s, hole_needed_m=free.hole_needed_m)
                for own, free in zip(flows, wide, strict=True)
            )
        need = packing_to_fill(
            rooms, history.rising, outlets=outlets, free_rise_density_kg_m3=free_rise, within=0.01,
            settings=settings,
        )  # fmt: skip
        needed = need.packing if need.reached else float("nan")
    growth = np.diff(hard.foam_m3) / np.diff(hard.time_s)
    at = cavity.frame.to_shell(hard.peak_point_m)
    return RiseHistory(
        peak_pa=hard.peak_pa,
        peak_s=hard.peak_s,
        peak_point_m=_frozen(at),
        peak_measures=_measures(cavity, at),
        at_gel_pa=hard.at_gel_pa,
        gel_s=hard.gel_s,
        fill_m3_s=float(growth.max(initial=0.0)),
        void_m3=result.void_m3,
        voids=tuple(_void(cavity, graph, void) for void in result.voids if void.lasting),
        below_m3=float(sum(void.volume_m3 for void in result.voids if not void.lasting)),
        above_kg=result.above_kg,
        vents=tuple(
            VentFlow(f.outlet.name, f.air_peak_m3_s, f.hole_needed_m, f.back_pressure_pa, f.foam_kg, f.foam_from_s)
            for f in flows
        ),
        packing=packing_of(pour, history.foam),
        packing_needed=needed,
        surplus_kg=sum(f.foam_kg for f in flows),
        front_s=hard.time_s,
        front_m=hard.level_m,
        closed_pressure_pa=pour.peak_pressure_pa.nominal,
    )


def _void(cavity: Cavity, graph: LevelGraph, void: Void) -> RiseVoid:
    at = cavity.frame.to_shell(void.point_m)
    neck = void.neck_node
    height = float(graph.level_m[graph.node_level[neck]]) if neck >= 0 else float("nan")
    return RiseVoid(
        void.volume_m3,
        _frozen(at),
        _measures(cavity, at),
        void.bottom_m,
        void.top_m,
        void.reason,
        void.neck_m,
        height,
        void.node,
    )


def _measures(cavity: Cavity, point_m: np.ndarray) -> Measures:
    left, front, base = (float(v) for v in cavity.frame.to_standing(point_m))
    return Measures(base, left, front)


def _frozen(array: np.ndarray) -> np.ndarray:
    array = np.array(array, float)
    array.setflags(write=False)
    return array
