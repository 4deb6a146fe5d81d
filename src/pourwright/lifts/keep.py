"""Pours of a lift that is begun: they stay what they were, and are only mixed and judged anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.access import CeilingAir, led
from pourwright.cavity import LevelGraph, Space
from pourwright.divide.shapes import PourShape
from pourwright.findings import Finding
from pourwright.foam import FoamAtShop
from pourwright.lifts.assemble import pour_of
from pourwright.lifts.model import Landing, Lift, Pour, ShopLimits, Vent
from pourwright.lifts.scene import Band, Scene, scene_of
from pourwright.lifts.warn import pour_warnings


@dataclass(frozen=True, eq=False)
class Kept:
    """A pour that is neither divided nor moved: its name, its space, its holes and why its lift ends where it does."""

    name: str
    lift: int
    nodes: np.ndarray  # of the level graph
    shares: np.ndarray
    closes: bool
    landings: tuple[Landing, ...]
    vents: tuple[Vent, ...]
    limit: str
    limb: str = ""  # of a searched day


@dataclass(frozen=True, eq=False)
class KeptLifts:
    """Lifts of what is kept, from the lowest up, what has to be told of their pours, and level ceilings over them."""

    lifts: tuple[Lift, ...] = ()
    told: tuple[Finding, ...] = ()
    ceilings: tuple[CeilingAir, ...] = ()


def keep_pours(space: Space, foam: FoamAtShop, limits: ShopLimits, kept: Sequence[Kept]) -> KeptLifts:
    """The lifts of what is kept.

    Parameters
    ----------
    space, foam, limits
        As for `plan_lifts`; the graph is that of the whole cavity.
    kept : sequence of Kept
        None of them without nodes.
    """
    if not kept:
        return KeptLifts()
    scene, graph = scene_of(space, foam, limits), space.graph
    lifts = []
    for number in sorted({one.lift for one in kept}):
        mine = [one for one in kept if one.lift == number]
        shapes = _shapes(graph, mine)
        bottom, top = min(s.bottom_level for s in shapes), max(s.top_level for s in shapes)
        band = Band(bottom, top, shapes, tuple(one.name for one in mine))
        pours = tuple(
            _shared(pour_of(scene, replace(band, limb=one.limb), k, number, one.landings, one.vents))
            for k, one in enumerate(mine)
        )
        lifts.append(
            Lift(
                number=number,
                bottom_level=bottom,
                top_level=top,
                bottom_m=float(graph.level_m[bottom]),
                top_m=float(graph.level_m[top]),
                volume_m3=float(sum(pour.volume_m3 for pour in pours)),
                pours=pours,
                limit=mine[0].limit,
            )
        )
    told = pour_warnings(scene, [pour for lift in lifts for pour in lift.pours])
    return KeptLifts(tuple(lifts), tuple(told), _ceilings(scene, kept))


def _shared(pour: Pour) -> Pour:
    """With what is poured now at each of its holes, in the shares that it had."""
    now = pour.parts.total_kg / max(sum(one.kg for one in pour.landings), 1e-12)
    return replace(pour, landings=tuple(replace(one, kg=now * one.kg) for one in pour.landings))


def _ceilings(scene: Scene, kept: Sequence[Kept]) -> tuple[CeilingAir, ...]:
    """Level ceilings over what is kept, with the air that its vents leave there."""
    nodes = np.concatenate([one.nodes for one in kept])
    over = [one for one in scene.ceilings if np.isin(one.nodes, nodes).any()]
    vents = {vent.name: vent for one in kept for vent in one.vents}
    stand = scene.cavity.frame.to_standing
    named = [(name, stand(vent.point_m)) for name, vent in vents.items()]
    return led(over, named, stand(scene.skin.vertices_m))[0]


def _shapes(graph: LevelGraph, kept: Sequence[Kept]) -> tuple[PourShape, ...]:
    """Their spaces as the planner knows them; those that have a node in common rise together."""
    piece = list(range(len(kept)))
    for k, one in enumerate(kept):
        for j in range(k):
            if np.intersect1d(one.nodes, kept[j].nodes).size:
                piece = [piece[j] if number == piece[k] else number for number in piece]
    shapes = []
    for number, one in zip(piece, kept, strict=True):
        alone = one.shares > 1.0 - 1e-9
        level = graph.node_level[one.nodes]
        volume = graph.node_volume_m3[one.nodes] * one.shares
        floor = one.nodes[level == level.min()]
        shapes.append(
            PourShape(
                piece=number,
                nodes=one.nodes,
                shares=one.shares,
                own=_frozen(one.nodes[alone]),
                bottom_level=int(level.min()),
                top_level=int(level.max()) + 1,
                join_level=int(level[~alone].min()) if (~alone).any() else int(level.max()) + 1,
                volume_m3=float(volume.sum()),
                centroid_m=_frozen(np.average(graph.node_centroid_m[one.nodes], axis=0, weights=volume)),
                sealed=one.closes,
                on_foam=bool(np.isin(floor, graph.edge_upper).any()),
            )
        )
    return tuple(shapes)


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array
