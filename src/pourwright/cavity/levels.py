"""From cavity to level graph."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import _label
from pourwright.cavity._persistence import pairs
from pourwright.cavity._pieces import IN
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._width import deepest_span, widths
from pourwright.cavity.model import Cavity, Extremum, LevelGraph
from pourwright.errors import CavityError
from pourwright.processors import thread_count
from pourwright.progress import Progress, silent

SPAN = 256  # most levels a thread takes at a time: long inner loops, but enough spans to go round
RIPPLE_CELLS = 3.0  # default threshold: a pool or pocket not deeper than this is below what the cells can tell


@dataclass(frozen=True, eq=False)
class _Nodes:
    """What the cells give before the graph is put together; lengths in cells."""

    label: np.ndarray
    level: np.ndarray
    sums: np.ndarray
    length: np.ndarray
    width: np.ndarray
    lower: np.ndarray
    upper: np.ndarray
    contact: np.ndarray


def _scan(cavity: Cavity, progress: Progress) -> _Nodes:
    fraction = cavity.fraction
    nz = fraction.shape[2]
    parts = spans(nz, min(SPAN, max(1, -(-nz // thread_count()))))  # the answer does not depend on the cuts
    label = np.zeros(fraction.shape, np.int32)
    progress("levels", 0.0)
    found = run_spans(lambda a, b: _label.label_span(fraction, label, a, b), parts)
    pieces = np.concatenate([counts for _, _, counts in found])
    first = np.concatenate([[0], np.cumsum(pieces)])
    total = int(first[-1])
    final = {
        a: np.where(n > 0, n + first[a + level], 0).astype(np.int32)
        for (a, _), (level, n, _) in zip(parts, found, strict=True)
    }
    run_spans(lambda a, b: _label.settle_span(label, final[a], a, b), parts)
    progress("levels", 0.4)
    sums, length, deepest = np.zeros((total, 3), np.int64), np.zeros(total), np.zeros(total, np.int64)
    rows = np.concatenate(run_spans(lambda a, b: _label.measure_span(fraction, label, sums, a, b), parts))
    run_spans(lambda a, b: _label.outline_span(fraction, label, length, a, b), parts)
    spot = np.zeros((total, 2), np.int32)
    run_spans(lambda a, b: deepest_span(label, deepest, spot, a, b), parts)
    progress("levels", 0.8)
    for cells in run_spans(lambda a, b: _label.adopt_span(fraction, label, a, b), parts):
        _label.take_in(fraction, label, cells, sums)
    key, where = np.unique(rows[:, 0] * (total + 1) + rows[:, 1], return_inverse=True)
    contact = np.bincount(where, weights=rows[:, 2], minlength=len(key))
    lower, upper = key // (total + 1) - 1, key % (total + 1) - 1
    level = np.repeat(np.arange(nz), pieces)
    return _Nodes(label, level, sums, length, widths(fraction, level, deepest, spot), lower, upper, contact)


def _spot(cavity: Cavity, nodes: _Nodes, node: int, centroid: np.ndarray) -> np.ndarray:
    """Centre of the cell of a node nearest to its centroid, standing metres."""
    level = int(nodes.level[node])
    cells = np.argwhere((nodes.label[:, :, level] == node + 1) & (cavity.fraction[:, :, level] >= IN))
    centres = cavity.grid.centres(np.column_stack([cells, np.full(len(cells), level)]))
    return centres[np.argmin(((centres[:, :2] - centroid[:2]) ** 2).sum(axis=1))]


def _extrema(
    kind: str, cavity: Cavity, nodes: _Nodes, centroid: np.ndarray, piece: np.ndarray, ripple_m: float
) -> tuple[Extremum, ...]:
    upward = kind == "pool"
    births, ends = pairs(nodes.level, nodes.lower, nodes.upper, upward)
    count = int(piece.max()) + 1
    if upward:  # the far end of each piece: its highest node, its lowest for pockets
        far = np.zeros(count, np.int64)
        np.maximum.at(far, piece, np.arange(len(piece)))
    else:
        far = np.full(count, len(piece))
        np.minimum.at(far, piece, np.arange(len(piece)))
    found = []
    for birth, end in zip(births.tolist(), ends.tolist(), strict=True):
        essential = end < 0
        last = int(far[piece[birth]]) if essential else end
        level, merge = int(nodes.level[birth]), int(nodes.level[last])
        persistence = (abs(merge - level) + (1 if essential else 0)) * cavity.grid.cell_m
        if essential or persistence > ripple_m:
            point = _spot(cavity, nodes, birth, centroid[birth])
            shell = cavity.frame.to_shell(point)
            point.setflags(write=False)
            shell.setflags(write=False)
            found.append(Extremum(kind, birth, level, merge, last, persistence, essential, point, shell))
    return tuple(sorted(found, key=lambda e: (-e.persistence_m, e.node)))


def build_levels(cavity: Cavity, *, ripple_m: float | None = None, progress: Progress = silent) -> LevelGraph:
    """How the cavity is connected from low to high.

    Levels are one cell high; cells join over faces (6 neighbours, 4 within a level): foam does not pass an edge or a
    corner. A thin cell (less than half full) counts with a neighbouring node, its own level first.

    Parameters
    ----------
    cavity : Cavity
    ripple_m : float, optional
        Pools and pockets not deeper than this [m] are left out, except the eldest of each piece. Default 3 cells.
    progress : Progress

    Returns
    -------
    LevelGraph
        Perimeters are lengths of the half-full contour of the shares (marching squares), so a slanted wall is not
        counted as a staircase. Widths are taken at cell centres: up to a cell and a half short, hardly ever over.

    Raises
    ------
    CavityError
        If the cavity has no cell at least half full.
    """
    ripple = RIPPLE_CELLS * cavity.grid.cell_m if ripple_m is None else ripple_m
    nodes = _scan(cavity, progress)
    n, h = len(nodes.level), cavity.grid.cell_m
    if n == 0:
        raise CavityError(f"No cell of {h * 1e3:.4g} mm is half full of cavity: give a smaller cell.")
    weight = nodes.sums[:, 0].astype(float)
    centroid = np.empty((n, 3))
    centroid[:, :2] = cavity.grid.origin_m[:2] + (nodes.sums[:, 1:] / weight[:, None] + 0.5) * h
    centroid[:, 2] = cavity.grid.origin_m[2] + (nodes.level + 0.5) * h
    volume = weight / 255.0 * h**3
    area, perimeter = volume / h, nodes.length * h
    links = coo_array((np.ones(len(nodes.lower), np.int8), (nodes.lower, nodes.upper)), shape=(n, n))
    piece = connected_components(links, directed=False)[1]
    graph = LevelGraph(
        level_m=cavity.grid.origin_m[2] + np.arange(cavity.grid.shape[2] + 1) * h,
        node_level=nodes.level.astype(np.int32),
        node_volume_m3=volume,
        node_area_m2=area,
        node_centroid_m=centroid,
        node_perimeter_m=perimeter,
        node_hydraulic_diameter_m=4.0 * area / perimeter,
        node_width_m=nodes.width * h,
        edge_lower=nodes.lower.astype(np.int32),
        edge_upper=nodes.upper.astype(np.int32),
        edge_overlap_m2=nodes.contact * h**2,
        label=nodes.label,
        pools=_extrema("pool", cavity, nodes, centroid, piece, ripple),
        pockets=_extrema("pocket", cavity, nodes, centroid, piece, ripple),
        ripple_m=ripple,
    )
    for value in vars(graph).values():
        if isinstance(value, np.ndarray):
            value.setflags(write=False)
    progress("levels", 1.0)
    return graph
