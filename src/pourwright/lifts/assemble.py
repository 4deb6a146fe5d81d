"""Ports, vents and pours put together: each pour with its foam, its liquids, its holes, its heat and its checks."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pourwright.access import CeilingAir, Tilt, air_ways, led
from pourwright.divide.shapes import PourShape
from pourwright.divide.turns import waits_for
from pourwright.foam import FoamAtShop, Parts, parts_for
from pourwright.lifts.checks import Facts, batches_for, checks_of, moving_s
from pourwright.lifts.drops import find_drops
from pourwright.lifts.fall import way_checks
from pourwright.lifts.holes import asked_lead_in, landings_of, ports_of, with_room
from pourwright.lifts.limits import batch_cap, closing_pressure, lift_cap, open_pressure, surface_under_limit_k
from pourwright.lifts.model import Check, Landing, Port, Pour, ShopLimits, Unfilled, Vent
from pourwright.lifts.past_walls import chosen_ports
from pourwright.lifts.scene import Band, Scene, density_of, place_of, read_only
from pourwright.lifts.side_drops import with_sides
from pourwright.lifts.skin_side import PanelStrength
from pourwright.lifts.targets import targets_of
from pourwright.lifts.thermal import heat_of
from pourwright.lifts.vents import VentSpot, air_flow, holes_for, vent_spots
from pourwright.ranges import Range


@dataclass(frozen=True, eq=False)
class Made:
    """What came of it: pours of each lift, ports, vents, and what no port reaches."""

    pours: tuple[tuple[Pour, ...], ...]
    ports: tuple[Port, ...]
    vents: tuple[Vent, ...]
    upward: dict[str, float]  # of the skin at each drilled port
    unfilled: tuple[Unfilled, ...] = ()
    ceilings: tuple[CeilingAir, ...] = ()
    tilt: Tilt | None = None


def letters(k: int) -> str:
    """a, b, ... z, aa, ab, ..."""
    return chr(97 + k) if k < 26 else letters(k // 26 - 1) + chr(97 + k % 26)


def put_together(scene: Scene, bands: list[Band], empty: tuple[np.ndarray, ...] = ()) -> Made:
    """All pours of all lifts, with the ports and vents they share; ``empty`` are nodes that nobody fills."""
    shapes = [list(band.shapes) for band in bands]
    spans = [(band.bottom, band.top) for band in bands]
    nobody = np.concatenate([np.zeros(0, np.int64), *empty])
    spots = _spots(scene, nobody)
    vents_m = np.array([scene.cavity.frame.to_standing(spot.point_m) for _, spot in spots if spot.opening < 0])
    targets = targets_of(scene, spans, shapes, vents_m, [band.lift or k for k, band in enumerate(bands, start=1)])
    drops, served, used = chosen_ports(scene, targets, with_sides(scene, targets, find_drops(scene, targets)))
    asked_lead_in(scene, drops)
    port_of, upward = ports_of(scene, drops, used)
    vents, airs = _vents(scene, shapes, spots)
    port_of = with_room(port_of, vents)
    pours = []
    number = 0
    for lift, band in enumerate(bands):
        row = []
        for k in range(len(band.shapes)):
            landings = landings_of(scene, drops, served[number], lift, port_of, band.shapes[k])
            mine = tuple(vent for vent, air in zip(vents, airs, strict=True) if air[number])
            row.append(pour_of(scene, band, k, band.lift or lift + 1, landings, mine))
            number += 1
        pours.append(tuple(row))
    ports = tuple(sorted(dict.fromkeys(port_of.values()), key=lambda port: int(port.name[1:])))
    stand = scene.cavity.frame.to_standing
    named = [(vent.name, stand(vent.point_m)) for vent in vents]
    unfilled = tuple(_unfilled(scene, nodes) for nodes in empty)
    return Made(tuple(pours), ports, vents, upward, unfilled, *led(scene.ceilings, named, stand(scene.skin.vertices_m)))


def _unfilled(scene: Scene, nodes: np.ndarray) -> Unfilled:
    graph = scene.graph
    widest = int(nodes[np.argmax(graph.node_volume_m3[nodes])])
    point = read_only(scene.cavity.frame.to_shell(graph.node_centroid_m[widest]))
    nodes = nodes.copy()
    nodes.setflags(write=False)
    return Unfilled(nodes, float(graph.node_volume_m3[nodes].sum()), point, scene.measures(point))


def _spots(scene: Scene, empty: np.ndarray) -> list[tuple[int, VentSpot]]:
    """Where air is let out, from the lowest up, but for what stays empty."""
    ways = scene.skin, scene.cavity, scene.graph, scene.openings, scene.columns, scene.start_level
    spots = [spot for spot in vent_spots(*ways, scene.ceilings, scene.limits) if not np.isin(spot[1].node, empty)]
    return sorted(spots, key=lambda spot: place_of(scene, spot[1].point_m))


def _vents(
    scene: Scene, shapes: list[list[PourShape]], spots: list[tuple[int, VentSpot]]
) -> tuple[tuple[Vent, ...], list[np.ndarray]]:
    """Vents named from the lowest up, and for each which pours (counted over all lifts) send it air."""
    graph, foam = scene.graph, scene.foam
    way = air_ways(graph, scene.openings.node, scene.start_level)
    rise_s = max(foam.rise_end_s - foam.cream_s, 1.0)
    peak, sends = air_flow(shapes, graph, way, len(graph.pockets), rise_s, scene.limits.hands)
    vents, airs = [], []
    for number, (k, spot) in enumerate(spots, start=1):
        air = spot.share * float(peak[k]) if k >= 0 else 0.0
        hole, count = (0.0, 1) if spot.opening >= 0 else holes_for(air, spot.width_m, scene.limits)
        vents.append(
            Vent(
                name=f"V{number}",
                way="drilled" if spot.opening < 0 else "opening",
                opening="" if spot.opening < 0 else scene.skin.openings[spot.opening].name,
                point_m=read_only(np.array(spot.point_m)),
                measures=scene.measures(spot.point_m),
                hole_m=hole,
                holes=count,
                air_m3_s=air,
                persistence_m=spot.persistence_m,
                node=spot.node,
                width_m=spot.width_m,
            )
        )
        own = np.array([spot.node in shape.nodes for mine in shapes for shape in mine])
        airs.append(sends[:, k] if k >= 0 else own)
    return tuple(vents), airs


def pour_of(
    scene: Scene, band: Band, k: int, lift: int, landings: tuple[Landing, ...], vents: tuple[Vent, ...]
) -> Pour:
    """Pour ``k`` of a band, with its amounts and what is checked against limits."""
    graph, foam, limits, shape = scene.graph, scene.foam, scene.limits, band.shapes[k]
    density = density_of(foam, shape)
    foam_kg = density * shape.volume_m3
    parts = parts_for(foam, foam_kg.nominal)
    together = band.together(k)
    beside = sum(batches_of(band.shapes[j], foam, limits) for j in together if j != k)
    batches = _batches(parts.total_m3, len(landings), beside, foam, limits)
    piece = np.unique(np.concatenate([band.shapes[j].nodes for j in together]))
    at_once = beside + batches
    rise = float(graph.level_m[shape.top_level] - graph.level_m[shape.bottom_level])
    heat = heat_of(
        foam,
        density.nominal,
        rise,
        float(graph.node_width_m[shape.nodes].max()),
        shape.on_foam,
        surface_under_limit_k(foam, limits),
    )
    pressure = _pressure(scene, shape, piece, rise)
    strength, words = _strength(scene.strength, piece, pressure.nominal)
    facts = Facts(
        rise_m=rise,
        cup_m3=parts.total_m3 / batches,
        at_once=at_once,
        together=len(together),
        pressure_pa=pressure,
        strength_pa=strength,
        panel_words=words,
        landings=len(landings),
        flow_distance_m=max((landing.flow_distance_m for landing in landings), default=math.nan),
        heat=heat,
        in_limb=bool(band.limb),
    )
    return Pour(
        name=band.names[k],
        lift=lift,
        nodes=shape.nodes,
        shares=shape.shares,
        bottom_m=float(graph.level_m[shape.bottom_level]),
        top_m=float(graph.level_m[shape.top_level]),
        volume_m3=shape.volume_m3,
        closes=shape.sealed,
        foam_kg=foam_kg,
        parts=parts,
        batches=batches,
        batch=Parts(parts.a_kg / batches, parts.b_kg / batches, parts.a_m3 / batches, parts.b_m3 / batches),
        landings=landings,
        vents=vents,
        rise_m=rise,
        peak_k=heat.peak_k,
        hot_hours=heat.hot_s / 3600.0,
        peak_pressure_pa=pressure,
        wait_s=heat.wait_s,
        checks=_checks(facts, landings, foam, limits),
        limb=band.limb,
        reach_m=_reach(scene, shape.nodes),
        together=tuple(band.names[j] for j in together if j != k),
        after=tuple(band.names[j] for j in waits_for(graph, band.shapes, k)),
    )


def _reach(scene: Scene, nodes: np.ndarray) -> tuple[float, ...]:
    """Low and high end of some nodes along x, and along y, standing."""
    span, grid = scene.graph.node_span[nodes], scene.cavity.grid
    ends = np.array([span[:, 0].min(), span[:, 1].max(), span[:, 2].min(), span[:, 3].max()])
    return tuple((np.repeat(grid.origin_m[:2], 2) + grid.cell_m * ends).tolist())


def _checks(facts: Facts, landings: tuple[Landing, ...], foam: FoamAtShop, limits: ShopLimits) -> tuple[Check, ...]:
    moving = moving_s(len(landings), facts.at_once, limits)
    own = checks_of(facts, foam, limits, lift_cap(foam, limits), batch_cap(foam, limits))
    return (*own, *way_checks(landings, facts.cup_m3, foam, limits, moving))


def _batches(liquid_m3: float, landings: int, beside: int, foam: FoamAtShop, limits: ShopLimits) -> int:
    """Mixes of a pour: one more where a cup carried from hole to hole would cream, if somebody is there to mix it.

    As many as through one hole where others rise with it (``beside``), or nobody is; its check says what is over.
    """
    least = batches_for(liquid_m3, batch_cap(foam, limits))
    for count in range(least, 0 if beside else limits.hands + 1):
        batch = batch_cap(foam, limits, moving_s(landings, count, limits))
        if batch.in_time_m3 > 0 and batches_for(liquid_m3, batch) <= count:
            return count
    return least


def batches_of(shape: PourShape, foam: FoamAtShop, limits: ShopLimits) -> int:
    """Mixes that a pour takes."""
    liquid = parts_for(foam, density_of(foam, shape).nominal * shape.volume_m3).total_m3
    return batches_for(liquid, batch_cap(foam, limits))


def _pressure(scene: Scene, shape: PourShape, piece: np.ndarray, rise_m: float) -> Range:
    """Pressure of a pour; one that meets a cap while it is open elsewhere may lock there: the high end says so."""
    free = open_pressure(scene.foam, rise_m)
    held = closing_pressure(scene.foam)
    if shape.sealed:
        nominal = max(held.nominal, free.nominal)
        return Range(min(held.low, nominal), nominal, max(held.high, free.high, nominal))
    if meets_cap(scene, piece):
        return Range(free.low, free.nominal, max(free.high, held.high))
    return free


def meets_cap(scene: Scene, piece: np.ndarray) -> bool:
    """Whether a piece reaches the top of a pocket that is no opening."""
    caps = [pocket.node for pocket in scene.graph.pockets if not scene.openings.node[pocket.node]]
    return bool(np.isin(piece, caps).any())


def _strength(strength: PanelStrength, piece: np.ndarray, pressure_pa: float) -> tuple[float, str]:
    """Pressure that the weakest panel beside a piece stands, nan where that may be one without a formula."""
    values = strength.pressure_pa[piece]
    known = np.flatnonzero(~np.isnan(values))
    weakest = int(known[np.argmin(values[known])]) if len(known) else -1
    if len(known) < len(values) and (weakest < 0 or values[weakest] >= pressure_pa):
        unknown = strength.panel[piece][np.isnan(values)]
        listed = unknown[unknown >= 0]
        why = f"panel of {strength.words[int(listed[0])]}: no formula" if len(listed) else "no panel of the skin known"
        return math.nan, why
    if math.isinf(values[weakest]):
        return math.inf, ""
    panel = int(strength.panel[piece][weakest])
    if panel < 0:
        return float(
            values[weakest]
        ), "none of the flattest panels is near; the last of their list, worst first, stands in for it"
    return float(values[weakest]), f"flattest panel near: {strength.words[panel]}; {strength.governed[panel]} governs"


def unreached(pours: Iterable[Pour]) -> float:
    """Volume [m3] of the pours that nothing can be poured into from above."""
    return float(sum(pour.volume_m3 for pour in pours if not pour.landings))
