"""What liquid is to get to: the pours of every lift, and which of them a drop down each run of cells lands in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.access import Before, Floors, beside_irons_m, floors_of, set_before
from pourwright.cavity import ColumnMap, LevelGraph
from pourwright.divide.shapes import PourShape
from pourwright.lifts.scene import Scene


@dataclass(frozen=True, eq=False)
class Targets:
    """Pours of every lift, and where liquid lands in them.

    ``bands`` first and last level of each lift; ``serves`` (runs, lifts) the pour, counted over all lifts, that liquid
    dropped down a run of cells lands in, -1 for none; ``level`` (runs, lifts) where it lands; ``floors`` how deep each
    pour goes; ``vents_m`` (n, 3) places of vents, standing; ``before`` what is set in before each lift.
    """

    bands: list[tuple[int, int]]
    pours: list[list[PourShape]]
    serves: np.ndarray
    level: np.ndarray
    floors: Floors
    vents_m: np.ndarray
    before: Before


def targets_of(
    scene: Scene, bands: list[tuple[int, int]], pours: list[list[PourShape]], vents_m: np.ndarray, numbers: list[int]
) -> Targets:
    """The targets of pours as they are divided; ``numbers`` are those of their lifts, band by band."""
    rows = [np.unique(np.concatenate([shape.nodes for shape in shapes])) for shapes in pours]
    before = set_before(scene.set_in, scene.cavity, scene.graph, rows, numbers)
    nodes = [shape.nodes for shapes in pours for shape in shapes]
    floors = floors_of(scene.graph, nodes, beside_irons_m(scene.cavity, scene.graph))
    lands = _landings(scene.graph, scene.columns, bands, pours)
    return Targets(bands, pours, *lands, floors, vents_m.reshape(-1, 3), before)


def _landings(
    graph: LevelGraph, columns: ColumnMap, bands: list[tuple[int, int]], pours: list[list[PourShape]]
) -> tuple[np.ndarray, np.ndarray]:
    """For each run and lift the pour that liquid dropped down the run lands in, and the level it lands on."""
    xy = columns.column
    owner = np.full(len(graph.node_level) + 1, -1, np.int32)
    number = 0
    for shapes in pours:
        for shape in shapes:
            owner[shape.own] = number
            number += 1
    serves = np.full((len(columns.low), len(bands)), -1, np.int32)
    level = np.zeros_like(serves)
    for lift, (bottom, top) in enumerate(bands):
        at = np.maximum(columns.low, bottom)
        on = np.flatnonzero((columns.low < top) & (columns.high > bottom))
        node = graph.label[xy[on, 0], xy[on, 1], at[on]] - 1
        serves[on, lift] = owner[node]
        level[:, lift] = at
        for shape in pours[lift]:
            if shape.bottom_level < bottom:  # it also fills tips that hang under its lift: the liquid lands in them
                deep = on[columns.low[on] < bottom]
                deep = deep[np.isin(graph.label[xy[deep, 0], xy[deep, 1], bottom - 1] - 1, shape.nodes)]
                level[deep, lift] = np.maximum(columns.low[deep], shape.bottom_level)
    return serves, level
