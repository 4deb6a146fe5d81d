"""Outlines of the level graph as polygons, and closed surfaces of chosen nodes."""

from __future__ import annotations

from itertools import pairwise

import contourpy
import numpy as np
import shapely

from pourwright.cavity._pieces import IN
from pourwright.cavity.model import Cavity, LevelGraph

HALF = 127.5  # of 255: where the contour runs


def _chosen(graph: LevelGraph, nodes: np.ndarray) -> np.ndarray:
    """Look-up table over labels: whether a label is one of ``nodes``."""
    table = np.zeros(len(graph.node_level) + 1, bool)
    table[np.asarray(nodes, int) + 1] = True
    return table


def outline(cavity: Cavity, graph: LevelGraph, level: int, nodes: np.ndarray | None = None) -> shapely.MultiPolygon:
    """Outline of the cavity in one level.

    Parameters
    ----------
    cavity, graph : Cavity, LevelGraph
    level : int
        Index of the level, 0 at the base.
    nodes : ndarray of int, optional
        Only these nodes; all of the level if not given.

    Returns
    -------
    shapely.MultiPolygon
        In standing metres (x to the right, y to the back); the half-full contour of the shares at cell centres.
    """
    share = cavity.fraction[:, :, level].astype(float)
    if nodes is not None:
        mine = _chosen(graph, nodes)[graph.label[:, :, level]]
        share[(share >= IN) & ~mine] = 0.0
        if not (share >= IN).any():
            return shapely.MultiPolygon()
    share = np.pad(share, 1)  # so that every contour closes
    x, y = (cavity.grid.origin_m[i] + (np.arange(share.shape[i]) - 0.5) * cavity.grid.cell_m for i in (0, 1))
    lines = contourpy.contour_generator(x, y, share.T, fill_type=contourpy.FillType.OuterOffset)
    polygons = []
    for points, offsets in zip(*lines.filled(HALF, 256.0), strict=True):
        rings = [points[a:b] for a, b in pairwise(offsets)]
        polygon = shapely.Polygon(rings[0], rings[1:])
        polygons.extend(_parts(polygon if polygon.is_valid else shapely.make_valid(polygon)))
    return shapely.MultiPolygon(polygons)


def _parts(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """Polygons with an area in whatever ``make_valid`` left."""
    return [part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon) and part.area > 0]


def free_surface(cavity: Cavity, graph: LevelGraph, top_level: int, nodes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Flat top of foam that fills ``nodes`` up to the cut ``graph.level_m[top_level]``.

    Returns
    -------
    vertices : ndarray (n, 3)
        Shell file's axes, metres.
    faces : ndarray (m, 3) int64
        Facing up. Both empty where no node of the level below the cut is among ``nodes``.
    """
    nodes = np.asarray(nodes, int)
    from trimesh.creation import triangulate_polygon  # slow to load, and a plan without pictures draws no top

    last = nodes[graph.node_level[nodes] == top_level - 1]
    points, faces, used = [np.empty((0, 3))], [np.empty((0, 3), np.int64)], 0
    for polygon in outline(cavity, graph, top_level - 1, last).geoms if len(last) else ():
        flat, triangles = triangulate_polygon(polygon, engine="earcut")
        a, b = (flat[triangles[:, i]] - flat[triangles[:, 0]] for i in (1, 2))
        turn = a[:, 0] * b[:, 1] < a[:, 1] * b[:, 0]
        triangles[turn] = triangles[turn][:, ::-1]
        points.append(np.column_stack([flat, np.full(len(flat), graph.level_m[top_level])]))
        faces.append(triangles + used)
        used += len(flat)
    return cavity.frame.to_shell(np.concatenate(points)), np.concatenate(faces)


def _slab(cavity: Cavity, graph: LevelGraph, nodes: np.ndarray) -> tuple[np.ndarray, tuple[int, int, int], int, int]:
    """Shares of the chosen nodes, carried straight on beyond the lowest and highest level where the cavity goes on."""
    chosen = _chosen(graph, nodes)
    low, high = int(graph.node_level[nodes].min()), int(graph.node_level[nodes].max()) + 1
    nz = cavity.fraction.shape[2]
    a, b = max(0, low - 1), min(nz, high + 1)
    mine = chosen[graph.label[:, :, a:b]]
    xs, ys = np.flatnonzero(mine.any(axis=(1, 2))), np.flatnonzero(mine.any(axis=(0, 2)))
    x0, x1, y0, y1 = xs[0], xs[-1] + 1, ys[0], ys[-1] + 1
    shape = (x1 - x0 + 2, y1 - y0 + 2, high - low + 4)  # one empty cell aside, two above and below
    share = np.zeros(shape, np.float32)
    box = np.s_[x0:x1, y0:y1]
    share[1:-1, 1:-1, 2 + a - low : 2 + b - low] = np.where(mine[box], cavity.fraction[*box, a:b], 0)
    goes_up, goes_down = chosen.copy(), chosen.copy()
    goes_up[:], goes_down[:] = False, False
    goes_up[graph.edge_lower + 1] = True
    goes_down[graph.edge_upper + 1] = True
    for level, beyond, goes in ((high - 1, -2, goes_up), (low, 1, goes_down)):
        label = graph.label[*box, level]
        on = np.where(chosen[label] & goes[label], cavity.fraction[*box, level], 0).astype(np.float32)
        np.maximum(share[1:-1, 1:-1, beyond], on, out=share[1:-1, 1:-1, beyond])
    return share, (int(x0) - 1, int(y0) - 1, low - 2), low, high


def region_mesh(cavity: Cavity, graph: LevelGraph, nodes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Closed surface of the cells of ``nodes``: smooth at the wall, flat at the lowest and highest cut.

    Parameters
    ----------
    cavity, graph : Cavity, LevelGraph
    nodes : ndarray of int
        Nodes of consecutive levels, for example of one pour.

    Returns
    -------
    vertices : ndarray (n, 3)
        Shell file's axes, metres.
    faces : ndarray (m, 3) int64
        Wound outwards; the surface is the half-full contour of the shares.
    """
    from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
    from vtkmodules.vtkCommonDataModel import vtkImageData
    from vtkmodules.vtkFiltersCore import vtkFlyingEdges3D

    nodes = np.asarray(nodes, int)
    if not len(nodes):
        return np.empty((0, 3)), np.empty((0, 3), np.int64)
    share, corner, low, high = _slab(cavity, graph, nodes)
    image = vtkImageData()
    image.SetDimensions(*share.shape)
    image.GetPointData().SetScalars(numpy_to_vtk(share.ravel(order="F"), deep=True))  # type: ignore[no-untyped-call]
    edges = vtkFlyingEdges3D()
    edges.SetInputData(image)
    edges.SetValue(0, HALF)
    edges.ComputeNormalsOff()
    edges.ComputeScalarsOff()
    edges.Update()
    surface = edges.GetOutput()
    if surface.GetNumberOfPolys() == 0:
        return np.empty((0, 3)), np.empty((0, 3), np.int64)
    points = vtk_to_numpy(surface.GetPoints().GetData()).astype(float)  # type: ignore[no-untyped-call]
    faces = vtk_to_numpy(surface.GetPolys().GetConnectivityArray())  # type: ignore[no-untyped-call]
    faces = faces.reshape(-1, 3).astype(np.int64)
    standing = cavity.grid.origin_m + (points + corner + 0.5) * cavity.grid.cell_m
    standing[:, 2] = np.clip(standing[:, 2], graph.level_m[low], graph.level_m[high])
    return cavity.frame.to_shell(standing), faces
