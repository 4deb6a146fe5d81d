"""Ports as they are named, with what they show and their room; where liquid lands, and how it gets there."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from pourwright.access import FLANGE_LAPS, SIDES
from pourwright.divide.shapes import PourShape
from pourwright.errors import LimitError
from pourwright.foam import parts_for
from pourwright.lifts.drops import Drops
from pourwright.lifts.fall import tube_of
from pourwright.lifts.model import Landing, Port, Vent
from pourwright.lifts.ports import Served
from pourwright.lifts.scene import Scene, density_of, place_of, read_only


def asked_lead_in(scene: Scene, drops: Drops) -> None:
    """Every port that the job asks for has a pour straight under it, and leads to one."""
    leads = drops.made[(drops.serves >= 0).any(axis=1)]
    for k, port in enumerate(scene.made):
        if not port.made and k not in drops.made:
            raise LimitError(
                f"port[{port.name[1:]}].at: nothing of the cavity lies straight under it; give a place on top of a "
                "part that is to be filled, or leave it out."
            )
        if not port.made and k not in leads:
            raise LimitError(
                f"port[{port.name[1:]}].at: a hole there leads to no pour, for the floors of all pours beside it lie "
                "over its lowest edge; give a place higher up, or leave it out."
            )


def ports_of(scene: Scene, drops: Drops, used: np.ndarray) -> tuple[dict[int, Port], dict[str, float]]:
    """Port of each candidate in use; candidates over one opening share it. Named from the lowest up."""
    found: list[tuple[tuple[float, ...], list[int]]] = []
    for which in used.tolist():
        same = [
            group for _, group in found if drops.opening[which] >= 0 and drops.opening[group[0]] == drops.opening[which]
        ]
        if same:
            same[0].append(which)
        else:
            found.append((place_of(scene, _port_point(scene, drops, which)), [which]))
    port_of: dict[int, Port] = {}
    upward: dict[str, float] = {}
    named = max((int(port.name[1:]) for port in scene.made), default=0)
    for _, group in sorted(found, key=lambda f: f[0]):
        if drops.made[group[0]] >= 0:
            there = scene.made[int(drops.made[group[0]])]
            port_of.update(
                dict.fromkeys(group, there if there.made else replace(there, **_hole_facts(drops, group[0])))
            )
            continue
        named += 1
        point = _port_point(scene, drops, group[0])
        opening = int(drops.opening[group[0]])
        name = f"P{named}"
        port = Port(
            name=name,
            way="drilled" if opening < 0 else _way(scene, opening),
            opening="" if opening < 0 else scene.skin.openings[opening].name,
            point_m=read_only(point),
            measures=scene.measures(point),
            hole_m=0.0,
            face=SIDES[int(drops.side[group[0]])],
        )
        if opening < 0:
            port = replace(port, **_hole_facts(drops, group[0]))
            upward[name] = float(drops.upward[group[0]])
        port_of.update(dict.fromkeys(group, port))
    return port_of, upward


def _hole_facts(drops: Drops, which: int) -> dict[str, Any]:
    """Size, side, flange and room of a hole to drill."""
    hole = float(drops.hole_m[which])
    return {
        "hole_m": hole,
        "face": SIDES[int(drops.side[which])],
        "sideways": bool(drops.sideways[which]),
        "flange_m": hole + 2.0 * FLANGE_LAPS.value,
        "room_m": float(drops.round_m[which]) - 0.5 * hole,
    }


def _port_point(scene: Scene, drops: Drops, which: int) -> np.ndarray:
    opening = int(drops.opening[which])
    return drops.exit_m[which] if opening < 0 else scene.skin.openings[opening].centroid_m


def _way(scene: Scene, opening: int) -> str:
    """``open surface`` where the opening is at least half as large in plan as the largest section of the cavity."""
    graph = scene.graph
    section = float(np.bincount(graph.node_level, weights=graph.node_area_m2).max())
    seen = scene.skin.openings[opening]
    in_plan = seen.area_m2 * float(seen.normal @ scene.cavity.frame.up)
    return "open surface" if in_plan >= 0.5 * section else "opening"


def with_room(port_of: dict[int, Port], vents: tuple[Vent, ...]) -> dict[int, Port]:
    """Drilled ports with their room to other holes counted too."""
    ports = tuple(dict.fromkeys(port_of.values()))
    holes = [(port.name, port.point_m, port.hole_m) for port in ports if port.way == "drilled"]
    holes += [(vent.name, vent.point_m, vent.hole_m) for vent in vents if vent.way == "drilled"]
    roomy = {}
    for port in ports:
        others = [
            float(np.linalg.norm(at - port.point_m)) - 0.5 * (size + port.hole_m)
            for name, at, size in holes
            if name != port.name and np.linalg.norm(at - port.point_m) >= 0.5 * port.hole_m  # nearer: the same hole
        ]
        roomy[port.name] = replace(port, room_m=min([port.room_m, *others])) if port.way == "drilled" else port
    return {which: roomy[port.name] for which, port in port_of.items()}


def _lowest(scene: Scene, shape: PourShape) -> np.ndarray:
    """Middle of the lowest floor of a pour (3,), standing metres."""
    graph = scene.graph
    nodes = shape.nodes[graph.node_level[shape.nodes] == shape.bottom_level]
    node = int(nodes[np.argmax(graph.node_area_m2[nodes])]) if len(nodes) else int(shape.nodes[0])
    return np.append(graph.node_centroid_m[node, :2], graph.level_m[graph.node_level[node]])


def landings_of(
    scene: Scene, drops: Drops, served: Served, lift: int, port_of: dict[int, Port], shape: PourShape
) -> tuple[Landing, ...]:
    """Where the liquid of a pour lands, with how much of it goes in at each port and how it gets down."""
    out = []
    liquid = parts_for(scene.foam, density_of(scene.foam, shape).nominal * shape.volume_m3)
    density = liquid.total_kg / liquid.total_m3 if liquid.total_m3 > 0 else 1.0
    for which, far, share in zip(served.drops, served.flow_distance_m, served.share, strict=True):
        standing = drops.landing_m(scene.cavity, which, lift)
        exit_height = float(scene.cavity.frame.to_standing(drops.exit_m[which])[2])
        if drops.falls.deep_m[which, lift] > 0:  # a hose is led down to the lowest floor
            standing = _lowest(scene, shape)
        out.append(
            Landing(
                port=port_of[which],
                point_m=read_only(scene.cavity.frame.to_shell(standing)),
                fall_m=exit_height - float(standing[2]),
                flow_distance_m=far,
                measures=scene.measures(drops.exit_m[which]),
                kg=share * liquid.total_kg,
                clearance_m=float(drops.falls.clear_m[which, lift]),
                tube=tube_of(drops.falls, which, lift, port_of[which].hole_m, scene.limits, density),
            )
        )
    return tuple(sorted(out, key=lambda landing: (int(landing.port.name[1:]), *place_of(scene, landing.point_m))))
