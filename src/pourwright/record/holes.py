"""Holes that are drilled stay where and as large as they are; new ones get names that no sheet has used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import PourFrame, Space
from pourwright.findings import with_names
from pourwright.lifts import Division, Landing, Measures, Port, ShopLimits, Vent, holes_of, port_mouth, vent_mouth
from pourwright.plan import LiftPlan
from pourwright.record.model import Hole

SAME_HOLE_CELLS = 3.0
"""A new hole nearer than this many cells to one that is there is that hole; our judgement, no published source."""


MORE_AIR = 1.1
"""A vent that is there passes so much more air before one is drilled beside it, at a fifth more back-pressure, which
the rise of what is left counts, and only where it is computed; our judgement."""


@dataclass(frozen=True, eq=False)
class Drilled:
    """What is known of the holes of a piece."""

    holes: tuple[Hole, ...]
    frame: PourFrame
    cell_m: float
    limits: ShopLimits

    def ports(self, uses: Mapping[str, int]) -> tuple[Port, ...]:
        """Ports that are drilled and whose size is known; those of most ``uses`` last, which the planner prefers."""
        mine = [
            hole
            for hole in self.holes
            if hole.name[:1] == "P" and hole.way == "drilled" and hole.hole_m > 0 and hole.name[1:].isdigit()
        ]
        return tuple(self.port(hole) for hole in sorted(mine, key=lambda hole: uses.get(hole.name, 0)))

    def port(self, hole: Hole) -> Port:
        """A port as it is there."""
        point = _frozen(hole.point_m)
        at = self._measures(point)
        return Port(
            hole.name, hole.way, hole.opening, point, at, hole.hole_m, made=_there(hole), sideways=hole.sideways
        )

    def vent(self, hole: Hole) -> Vent:
        """A vent as it is there, with no air asked of it."""
        point = _frozen(hole.point_m)
        return Vent(
            name=hole.name,
            way=hole.way,
            opening=hole.opening,
            point_m=point,
            measures=self._measures(point),
            hole_m=hole.hole_m,
            holes=hole.holes,
            air_m3_s=0.0,
            persistence_m=0.0,
            made=hole.holes if _there(hole) else 0,
        )

    def _measures(self, point_m: np.ndarray) -> Measures:
        left, front, base = (float(v) for v in self.frame.to_standing(point_m))
        return Measures(base, left, front)

    def same(self, letter: str, way: str, opening: str, point_m: np.ndarray) -> Hole | None:
        """The hole that is there where another one would be made; None: a new one."""
        mine = [hole for hole in self.holes if hole.name[:1] == letter]
        if way != "drilled":
            return next((hole for hole in mine if hole.way != "drilled" and hole.opening == opening), None)
        near = [(float(np.linalg.norm(np.array(h.point_m) - point_m)), h.name, h) for h in mine if h.way == "drilled"]
        found = min(near, default=None, key=lambda one: one[:2])
        return found[2] if found is not None and found[0] <= SAME_HOLE_CELLS * self.cell_m else None


def settled(plan: Division, drilled: Drilled, more_air: float = 1.0) -> tuple[Division, tuple[Hole, ...]]:
    """The division with every hole that is there as it is, and the others named on; and all holes there are then.

    A vent that needs ``more_air`` times the air that its hole passes gets more holes of the same size: `MORE_AIR`
    where the rise of what is left is computed, which counts the back-pressure.
    """
    known = list(drilled.holes)
    ports = {port.name: _port(port, drilled, known) for port in plan.ports}
    vents = {vent.name: _vent(vent, drilled, known, more_air) for vent in plan.vents}
    names = {old: port.name for old, port in ports.items()} | {old: vent.name for old, vent in vents.items()}

    def landing(one: Landing) -> Landing:
        return replace(one, port=ports.get(one.port.name, one.port))

    lifts = tuple(
        replace(
            lift,
            pours=tuple(
                replace(
                    pour,
                    landings=tuple(landing(one) for one in pour.landings),
                    vents=tuple(vents.get(vent.name, vent) for vent in pour.vents),
                )
                for pour in lift.pours
            ),
        )
        for lift in plan.lifts
    )
    used = {port.name for port in ports.values()} | {vent.name for vent in vents.values()}
    idle = [hole for hole in drilled.holes if hole.name not in used]
    all_ports = {port.name: port for port in [*ports.values(), *(drilled.port(h) for h in idle if h.name[:1] == "P")]}
    all_vents = {vent.name: vent for vent in [*vents.values(), *(drilled.vent(h) for h in idle if h.name[:1] == "V")]}
    named = replace(
        plan,
        lifts=lifts,
        ports=tuple(sorted(all_ports.values(), key=lambda hole: _number(hole.name))),
        vents=tuple(sorted(all_vents.values(), key=lambda hole: _number(hole.name))),
        warnings=tuple(with_names(found, names) for found in plan.warnings),
    )
    return named, tuple(known)


def without_buried(plan: LiftPlan, full: np.ndarray, space: Space) -> LiftPlan:
    """The lifts that are left with no bung for a hole that has set foam behind it: that was shut when it came.

    ``full`` (n,) bool: nodes of the level graph with foam in them.
    """
    skin, cavity, graph = space.skin, space.cavity, space.graph
    mouths = [port_mouth(skin, cavity, graph, port) for port in plan.ports]
    mouths += [vent_mouth(skin, cavity, graph, vent) for vent in plan.vents]
    buried = {one.hole for one in mouths if len(one.nodes) and full[one.nodes].all()}
    return replace(plan, closings=tuple(one for one in plan.closings if one.hole not in buried))


def _port(port: Port, drilled: Drilled, known: list[Hole]) -> Port:
    hole = drilled.same("P", port.way, port.opening, port.point_m)
    if hole is None:
        name = _new_name("P", known)
        known.append(_hole(name, port, port.hole_m, 1))
        return replace(port, name=name)
    size = hole.hole_m or port.hole_m
    there = drilled.port(hole.model_copy(update={"hole_m": size, "way": port.way, "opening": port.opening}))
    known[_index(known, hole)] = _hole(hole.name, there, size, 1)
    return there


def _vent(vent: Vent, drilled: Drilled, known: list[Hole], more_air: float) -> Vent:
    hole = drilled.same("V", vent.way, vent.opening, vent.point_m)
    if hole is None:
        name = _new_name("V", known)
        known.append(_hole(name, vent, vent.hole_m, vent.holes))
        return replace(vent, name=name)
    size = hole.hole_m or vent.hole_m
    count = vent.holes if size <= 0 else max(hole.holes, holes_of(vent.air_m3_s / more_air, size, drilled.limits))
    there = drilled.vent(hole)
    known[_index(known, hole)] = _hole(hole.name, replace(there, way=vent.way, opening=vent.opening), size, count)
    return replace(
        vent,
        name=hole.name,
        point_m=there.point_m,
        measures=there.measures,
        hole_m=size,
        holes=count,
        made=hole.holes if vent.way == "drilled" else 0,
    )


def _hole(name: str, at: Port | Vent, hole_m: float, holes: int) -> Hole:
    x, y, z = (float(value) for value in at.point_m)
    side = isinstance(at, Port) and at.sideways
    return Hole(name=name, point_m=(x, y, z), way=at.way, opening=at.opening, hole_m=hole_m, holes=holes, sideways=side)


def _index(known: list[Hole], hole: Hole) -> int:
    return next(k for k, one in enumerate(known) if one.name == hole.name)


def _new_name(letter: str, known: Sequence[Hole]) -> str:
    return f"{letter}{max((_number(hole.name) for hole in known if hole.name[:1] == letter), default=0) + 1}"


def _number(name: str) -> int:
    return int(name[1:]) if name[1:].isdigit() else 0


def _there(hole: Hole) -> bool:
    return hole.way == "drilled"


def _frozen(point_m: Sequence[float]) -> np.ndarray:
    point = np.array(point_m, float)
    point.setflags(write=False)
    return point
