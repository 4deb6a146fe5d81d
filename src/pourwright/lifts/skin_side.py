"""What the skin says at each node of the level graph: its weakest panel near, and the openings that look up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from pourwright.access import label_at
from pourwright.cavity import Cavity, ColumnMap, LevelGraph, PourFrame
from pourwright.compiled import njit
from pourwright.lifts.judged import LOOKS_UP
from pourwright.lifts.model import ShopLimits
from pourwright.panels import Panel
from pourwright.physics.elastic import plates
from pourwright.shell import Skin

DEPTHS = (0.5, 1.5, 2.5, 4.0)
"""How deep under the wall, in cells, the cavity behind a panel is looked for: a wall is only known to its spread."""


@dataclass(frozen=True, eq=False)
class PanelStrength:
    """What each node's weakest panel stands.

    ``pressure_pa`` (n,): inf where the skin is held from outside, nan where it cannot be computed. ``panel`` (n,) index
    of the panel, -1 where none of the listed ones is near and the last of them stands in. ``governed`` and ``words``
    belong to the panels.
    """

    pressure_pa: np.ndarray
    panel: np.ndarray
    stands_pa: tuple[float, ...]
    governed: tuple[str, ...]
    words: tuple[str, ...]


def panel_strength(
    skin: Skin, frame: PourFrame, cavity: Cavity, graph: LevelGraph, panels: tuple[Panel, ...], limits: ShopLimits
) -> PanelStrength:
    """Pressure that the weakest panel beside each node stands.

    A panel with a free edge (a rim that nothing holds) has no formula here: its nodes are nan, unknown. Where no
    panel is near, the last of the listed ones stands in: they are listed worst first, so the rest of the skin ranks
    better. Without any panel all is unknown.
    """
    count = len(graph.node_level)
    governed: list[str] = []
    stands: list[float] = []
    for panel in panels:
        value, by = _stands(panel, skin, limits)
        stands.append(value)
        governed.append(by)
    words = tuple(panel.words for panel in panels)
    if limits.held:
        return PanelStrength(np.full(count, math.inf), np.full(count, -1), tuple(stands), tuple(governed), words)
    known = [value for value in stands if math.isfinite(value)]
    pressure = np.full(count, known[-1] if known else math.nan)
    nearest = np.full(count, -1)
    # Strongest first, then the unknown ones: what is written last stays, and unknown beats known.
    order = sorted(
        range(len(panels)), key=lambda k: (math.isnan(stands[k]), -stands[k] if stands[k] == stands[k] else 0)
    )
    for k in order:
        nodes = _behind(panels[k], frame, cavity, graph)
        pressure[nodes] = stands[k]
        nearest[nodes] = k
    return PanelStrength(pressure, nearest, tuple(stands), tuple(governed), words)


def _stands(panel: Panel, skin: Skin, limits: ShopLimits) -> tuple[float, str]:
    if panel.free_edge_m > 0:
        return math.nan, "an edge that nothing holds"
    material = skin.material
    return plates.panel_pressure(
        panel.width_m,
        panel.length_m,
        panel.thickness_m,
        material.youngs_pa.low,
        material.poisson,
        limits.bulge_share * panel.width_m,
        material.design_stress_pa,
        plates.Form(panel.radius_m, doubly_curved=panel.double),
    )


def _behind(panel: Panel, frame: PourFrame, cavity: Cavity, graph: LevelGraph) -> np.ndarray:
    """Nodes behind a panel: its outline and what lies between it and the middle, a cell apart, gone in by the wall."""
    cell = cavity.grid.cell_m
    ring = np.vstack([panel.outline_m, panel.outline_m[:1]])
    line = shapely.segmentize(
        shapely.linestrings(ring), max(cell, np.linalg.norm(np.diff(ring, axis=0), axis=1).sum() / 400)
    )
    edge = shapely.get_coordinates(line, include_z=True)
    steps = np.linspace(0.0, 1.0, int(min(200, max(8, math.ceil(panel.width_m / cell)))))
    points = panel.point_m + steps[:, None, None] * (edge - panel.point_m)
    found = np.zeros(points.shape[:-1], np.int64)
    for depth in DEPTHS:
        inside = frame.to_standing(points - (panel.thickness_m + depth * cell) * panel.normal)
        found = np.where(found > 0, found, label_at(inside, cavity, graph))
    return np.unique(found[found > 0]) - 1


@dataclass(frozen=True, eq=False)
class UpOpenings:
    """Openings that look up. ``of_run`` (runs,): the opening a run of the column map ends at, -1 for none;
    ``node`` (n,) bool: nodes that touch one. ``others`` are the names of openings that look sideways or down."""

    of_run: np.ndarray
    node: np.ndarray
    usable: tuple[int, ...]
    others: tuple[str, ...]


def up_openings(skin: Skin, frame: PourFrame, cavity: Cavity, graph: LevelGraph, columns: ColumnMap) -> UpOpenings:
    """Which runs of cells end at an opening: below the plane of its cap, within its outline seen from above."""
    cell = cavity.grid.cell_m
    of_run = np.full(len(columns.low), -1)
    xy = cavity.grid.origin_m[:2] + (columns.column + 0.5) * cell
    top = cavity.grid.origin_m[2] + columns.high * cell
    usable, others = [], []
    for k, opening in enumerate(skin.openings):
        normal = frame.rotation @ opening.normal
        if normal[2] < LOOKS_UP.value:
            others.append(opening.name)
            continue
        usable.append(k)
        centre = frame.to_standing(opening.centroid_m)
        plane = centre[2] - (xy - centre[:2]) @ normal[:2] / normal[2]
        corners = frame.to_standing(skin.vertices_m)[skin.faces[skin.cap_opening == k]][:, :, :2]
        lid = shapely.union_all(shapely.make_valid(shapely.polygons(corners)))
        near = np.abs(top - plane) <= 1.5 * cell / normal[2]
        shapely.prepare(lid)
        near[near] = shapely.contains_xy(lid, xy[near])
        of_run[near & (of_run < 0)] = k
    node = np.zeros(len(graph.node_level), bool)
    touched = columns.high_node[of_run >= 0]
    node[touched[touched >= 0]] = True
    return UpOpenings(of_run, node, tuple(usable), tuple(others))


@njit(cache=True, nogil=True)
def _extents(label, low, high):  # type: ignore[no-untyped-def]
    nx, ny, nz = label.shape
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(nz):
                node = label[ix, iy, iz] - 1
                if node >= 0:
                    low[node, 0] = min(low[node, 0], ix)
                    low[node, 1] = min(low[node, 1], iy)
                    high[node, 0] = max(high[node, 0], ix + 1)
                    high[node, 1] = max(high[node, 1], iy + 1)


def plan_extents(cavity: Cavity, graph: LevelGraph) -> tuple[np.ndarray, np.ndarray]:
    """Low and high corner (n, 2) in plan of each node [m], standing, thin cells that count with it included."""
    count = len(graph.node_level)
    low, high = np.full((count, 2), np.iinfo(np.int32).max), np.zeros((count, 2), np.int64)
    _extents(graph.label, low, high)
    origin, cell = cavity.grid.origin_m[:2], cavity.grid.cell_m
    return origin + low * cell, origin + high * cell
