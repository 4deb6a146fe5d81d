"""What to tell of things that are inside before the first pour: the room they take, or may take."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, limbs_of
from pourwright.findings import Code, Finding, finding, note
from pourwright.irons import Iron, Taken
from pourwright.outcome.site import STEEL_DENSITY, Item, Site
from pourwright.sources import Cited, Standing

MAY_TAKE = Cited(0.05, "-", Standing.JUDGEMENT, note="share of a section that a thing without a form may take untold")
NARROW = Cited(
    0.1, "-", Standing.JUDGEMENT, note="of the levels of a limb, the narrowest tips, are left out of its section"
)

LEAST_M3 = 1e-4
"""A branch that holds less is no limb of its own here."""


def inside_found(site: Site, cavity: Cavity, graph: LevelGraph, told: Collection[str] = ()) -> tuple[Finding, ...]:
    """A note of each thing with a form, a note or a warning of each without; ``told`` ones are told of elsewhere."""
    pairs = zip(cavity.irons, cavity.taken, strict=True)
    found = [_with_form(iron, taken, cavity, graph) for iron, taken in pairs if iron.name not in told]
    loose = [item for item in site.items if not item.finished and not item.coating and item.shape is None]
    return (*found, *(_without_form(item, cavity, graph) for item in loose))


def _with_form(iron: Iron, taken: Taken, cavity: Cavity, graph: LevelGraph) -> Finding:
    cell = cavity.grid.cell_m
    share = np.zeros(len(taken.level_m3))
    for level in np.flatnonzero(taken.level_m3).tolist():
        own = taken.level_m3[level] / cell
        share[level] = own / (own + _section_m2(iron, level, cavity, graph))
    worst = int(share.argmax())
    return note(
        Code.IRON_INSIDE,
        iron.name,
        volume_m3=taken.volume_m3,
        share=float(share[worst]),
        up_m=float(cavity.grid.origin_m[2] + (worst + 0.5) * cell),
        heat=float(iron.metal.heat_j_m3k),
        led=float(iron.course >= 0),
    )


def _section_m2(iron: Iron, level: int, cavity: Cavity, graph: LevelGraph) -> float:
    """Area of the foam round an iron in a level: of the node that most of the cells beside it belong to."""
    cell, label = cavity.grid.cell_m, graph.label[:, :, level]
    at = (iron.corners_m() - cavity.grid.origin_m) / cell
    low = np.maximum(np.floor(at.min(axis=0)[:2]).astype(int) - 2, 0)
    high = np.ceil(at.max(axis=0)[:2]).astype(int) + 2
    cells = np.argwhere(label[low[0] : high[0], low[1] : high[1]]) + low
    if not len(cells):
        return 0.0
    middle = cavity.grid.centres(np.column_stack([cells, np.full(len(cells), level)]))
    near = cells[iron.away_m(middle) <= 2.0 * cell]
    if not len(near):
        return 0.0
    node = np.bincount(label[near[:, 0], near[:, 1]]).argmax() - 1
    return float(graph.node_area_m2[node])


def _without_form(item: Item, cavity: Cavity, graph: LevelGraph) -> Finding:
    """By weight over density, spread over the length of the limb that its spot lies in, at the limb's narrowest."""
    steel = item.density_kg_m3 is None
    volume = item.kg.nominal / (STEEL_DENSITY.value if item.density_kg_m3 is None else item.density_kg_m3)
    nodes = _limb(graph, _node_at(item.spot.standing(cavity.frame), graph))
    area = float(np.quantile(graph.node_area_m2[nodes], NARROW.value))
    length = len(np.unique(graph.node_level[nodes])) * cavity.grid.cell_m
    share = min(1.0, volume / length / area)
    tell = finding if share > MAY_TAKE.value else note
    return tell(Code.ITEM_WITHOUT_FORM, item.name, volume_m3=volume, share=share, steel=float(steel))


def _node_at(spot_m: np.ndarray, graph: LevelGraph) -> int:
    return int(np.argmin(((graph.node_centroid_m - spot_m) ** 2).sum(axis=1)))


def _limb(graph: LevelGraph, node: int) -> np.ndarray:
    """The trunk of the limb that a node is part of."""
    limbs = limbs_of(graph, LEAST_M3)
    return limbs.limbs[int(limbs.of_node[node])].trunk
