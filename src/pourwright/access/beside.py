"""Other places for a vent: ceiling that lies hardly lower than the top of a pocket and hangs together with it."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import Cavity, ColumnMap, LevelGraph


def tops_near(cavity: Cavity, graph: LevelGraph, columns: ColumnMap, node: int, deep_m: float) -> np.ndarray:
    """Tops (n, 3) of columns under the ceiling of a pocket, no more than ``deep_m`` below its top; standing metres.

    ``node`` is the pocket's highest. Nearest in plan to its middle first.
    """
    steps = int(deep_m / cavity.grid.cell_m + 1e-6)
    found = np.array([node])
    for _ in range(steps):
        found = np.union1d(found, graph.edge_lower[np.isin(graph.edge_upper, found)])
    runs = np.flatnonzero(np.isin(columns.high_node, found))
    plan = cavity.grid.origin_m[:2] + (columns.column[runs] + 0.5) * cavity.grid.cell_m
    tops = np.column_stack([plan, cavity.grid.origin_m[2] + (columns.high[runs] - 0.5) * cavity.grid.cell_m])
    away = np.linalg.norm(plan - graph.node_centroid_m[node][:2], axis=1)
    return np.asarray(tops[np.lexsort((tops[:, 1], tops[:, 0], np.round(away, 9)))])
