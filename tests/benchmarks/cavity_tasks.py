"""One measurement of the cavity benchmark in a process of its own: ``python cavity_tasks.py TASK MESH CELLS REPEATS``.

Prints one line of JSON: best wall and processor seconds, bytes a cell at the peak, and a number that the task found
(volume inside in m3, or pairs, or nodes) so that a fast wrong answer shows.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from pourwright.cavity import PourFrame, build_cavity, build_levels, pour_frame
from pourwright.cavity._columns import fill_inside
from pourwright.cavity._shares import carve, join_walls
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import build_tree, nearest_many
from pourwright.cavity._votes import fill_by_votes
from pourwright.cavity._winding import moments_of, winding_numbers
from pourwright.shell import Skin, SkinKind, SkinMaterial, WallBand

ROOT = Path(__file__).resolve().parents[2]
WALL = 0.005
MATERIAL = SkinMaterial("none", "none", 1500.0, 7e9, 0.3, 5e6, 353.15, 1200.0, 0.2, True, {})


def mesh_named(name: str) -> trimesh.Trimesh:
    """``ball-K`` is an icosphere of 20 * 4^K triangles, 1 m across; otherwise a demo piece, in metres."""
    if name.startswith("ball-"):
        return trimesh.creation.icosphere(int(name[5:]), 0.5)
    mesh = trimesh.load(ROOT / "demo_shells" / name / f"{name}.stl")
    mesh.merge_vertices()
    mesh.apply_scale(1e-3)
    return mesh


def skin_of(mesh: trimesh.Trimesh) -> tuple[Skin, PourFrame]:
    """A clean outside skin."""
    n = len(mesh.faces)
    bands = (WallBand("wall", -np.inf, np.inf, WALL),)
    skin = Skin(
        source="mesh",
        sha256="0" * 64,
        unit="m",
        kind=SkinKind.OUTSIDE,
        kind_reason="as said",
        vertices_m=np.array(mesh.vertices),
        faces=np.array(mesh.faces, np.int64),
        cap_opening=np.full(n, -1, np.int32),
        void_face=np.zeros(n, bool),
        openings=(),
        bands=bands,
        material=MATERIAL,
        triangles=n,
        watertight=True,
        area_m2=float(mesh.area),
        enclosed_m3=float(mesh.volume),
        findings=(),
    )
    return skin, pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))


class Case:
    """A mesh on a grid of about so many cells."""

    def __init__(self, mesh: trimesh.Trimesh, cells: float):
        self.mesh = mesh
        self.cell = float((np.prod(mesh.extents) / cells) ** (1 / 3))
        self.shape = tuple(int(n) for n in np.ceil(mesh.extents / self.cell) + 2)
        self.origin = mesh.bounds.mean(axis=0) - 0.5 * np.array(self.shape) * self.cell
        self.triangles = np.ascontiguousarray((mesh.triangles - self.origin) / self.cell - 0.5)
        self.cells = int(np.prod(self.shape))

    def centres(self, index: np.ndarray) -> np.ndarray:
        """Centres of cells in metres."""
        return self.origin + (index + 0.5) * self.cell

    def inside(self) -> np.ndarray:
        """Occupancy by our columns, 255 or 0."""
        out = np.zeros(self.shape, np.uint8)
        fill_inside(self.triangles, out)
        return out


def occupancy_columns(case: Case) -> Callable[[], float]:
    return lambda: np.count_nonzero(case.inside()) * case.cell**3


def occupancy_votes(case: Case) -> Callable[[], float]:
    def run() -> float:
        out = np.zeros(case.shape, np.uint8)
        tree = build_tree(case.triangles)
        fill_by_votes(case.triangles, out, tree, moments_of(tree))
        return np.count_nonzero(out) * case.cell**3

    return run


def _stencil(case: Case) -> Callable[[], np.ndarray]:
    """Occupancy (nz, ny, nx) by VTK's stencil."""
    import pyvista as pv
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkImagingStencil import vtkImageStencilToImage, vtkPolyDataToImageStencil

    surface = pv.wrap(case.mesh)

    def run() -> np.ndarray:
        cut = vtkPolyDataToImageStencil()
        cut.SetInputData(surface)
        cut.SetOutputOrigin(*(case.origin + 0.5 * case.cell))
        cut.SetOutputSpacing(case.cell, case.cell, case.cell)
        cut.SetOutputWholeExtent(0, case.shape[0] - 1, 0, case.shape[1] - 1, 0, case.shape[2] - 1)
        image = vtkImageStencilToImage()
        image.SetInputConnection(cut.GetOutputPort())
        image.SetOutputScalarTypeToUnsignedChar()
        image.SetInsideValue(1)
        image.SetOutsideValue(0)
        image.Update()
        return vtk_to_numpy(image.GetOutput().GetPointData().GetScalars()).reshape(case.shape[::-1]).copy()

    return run


def occupancy_stencil(case: Case) -> Callable[[], float]:
    fill = _stencil(case)
    return lambda: np.count_nonzero(fill()) * case.cell**3


def occupancy_voxel_fill(case: Case) -> Callable[[], float]:
    return lambda: case.mesh.voxelized(case.cell).fill().filled_count * case.cell**3


def occupancy_igl(case: Case) -> Callable[[], float]:
    import igl

    v, f = np.array(case.mesh.vertices), np.array(case.mesh.faces, np.int64)
    centres = case.centres(np.indices(case.shape).reshape(3, -1).T)
    return lambda: float(np.count_nonzero(igl.fast_winding_number(v, f, centres) > 0.5)) * case.cell**3


def occupancy_own_winding(case: Case) -> Callable[[], float]:
    points = np.indices(case.shape).reshape(3, -1).T.astype(float)

    def run() -> float:
        tree = build_tree(case.triangles)
        return float(np.count_nonzero(winding_numbers(tree, moments_of(tree), points) > 0.5)) * case.cell**3

    return run


def distance_exact_shares(case: Case) -> Callable[[], float]:
    inside = case.inside()

    def run() -> float:
        out = inside.copy()
        carve(out, join_walls([(case.triangles, WALL / case.cell)]))
        return out.sum(dtype=float) / 255 * case.cell**3

    return run


def distance_edt(case: Case) -> Callable[[], float]:
    import edt

    inside = case.inside()
    return lambda: np.count_nonzero(edt.edt(inside, parallel=2) > WALL / case.cell + 0.5) * case.cell**3


def distance_scipy(case: Case) -> Callable[[], float]:
    from scipy.ndimage import distance_transform_edt

    inside = case.inside()
    return lambda: np.count_nonzero(distance_transform_edt(inside) > WALL / case.cell + 0.5) * case.cell**3


def _near_surface(case: Case) -> np.ndarray:
    rng = np.random.default_rng(0)
    at, face = trimesh.sample.sample_surface(case.mesh, 200_000, seed=0)
    return np.ascontiguousarray(at - case.mesh.face_normals[face] * rng.uniform(0, 0.02, (len(at), 1)))


def nearest_own(case: Case) -> Callable[[], float]:
    points, triangles = _near_surface(case), np.array(case.mesh.triangles)

    def run() -> float:
        tree = build_tree(triangles)
        d, t, foot = np.empty(len(points)), np.empty(len(points), np.int64), np.empty(points.shape)
        ask = lambda a, b: nearest_many(tree.boxes, tree.triangles, tree.first_leaf, points, d, t, foot, a, b)  # noqa: E731
        run_spans(ask, spans(len(points), 8192))
        return float(d.mean())

    return run


def nearest_igl(case: Case) -> Callable[[], float]:
    import igl

    v, f, points = np.array(case.mesh.vertices), np.array(case.mesh.faces, np.int64), _near_surface(case)
    return lambda: float(np.sqrt(igl.point_mesh_squared_distance(points, v, f)[0]).mean())


def levels_own(case: Case) -> Callable[[], float]:
    skin, frame = skin_of(case.mesh)
    cavity = build_cavity(skin, frame, cell_m=case.cell, memory_bytes=10**11)
    return lambda: float(len(build_levels(cavity, ripple_m=0.0).node_level))


def levels_scipy(case: Case) -> Callable[[], float]:
    from scipy.ndimage import generate_binary_structure, label

    skin, frame = skin_of(case.mesh)
    inside = build_cavity(skin, frame, cell_m=case.cell, memory_bytes=10**11).fraction >= 128
    within = generate_binary_structure(3, 1)
    within[:, :, [0, 2]] = False

    def run() -> float:
        nodes, count = label(inside, within)
        low, high = nodes[:, :, :-1], nodes[:, :, 1:]
        both = (low > 0) & (high > 0)
        np.unique(low[both].astype(np.int64) * (count + 1) + high[both])
        np.bincount(nodes.ravel())
        return float(count)

    return run


def pairs_own(case: Case) -> Callable[[], float]:
    skin, frame = skin_of(case.mesh)
    cavity = build_cavity(skin, frame, cell_m=case.cell)

    def run() -> float:
        graph = build_levels(cavity, ripple_m=0.0)
        return float(len(graph.pools) + len(graph.pockets))

    return run


def pairs_gudhi(case: Case) -> Callable[[], float]:
    import gudhi

    skin, frame = skin_of(case.mesh)
    inside = build_cavity(skin, frame, cell_m=case.cell).fraction >= 128
    height = np.broadcast_to(np.arange(inside.shape[2], dtype=float), inside.shape)

    def run() -> float:
        found = 0
        for value in (height, -height):
            cells = gudhi.CubicalComplex(vertices=np.where(inside, value, np.inf))
            cells.compute_persistence(homology_coeff_field=2, min_persistence=0)
            found += np.isfinite(cells.persistence_intervals_in_dimension(0)[:, 0]).sum()
        return float(found)

    return run


def chain_own(case: Case) -> Callable[[], float]:
    skin, frame = skin_of(case.mesh)

    def run() -> float:
        cavity = build_cavity(skin, frame, cell_m=case.cell, memory_bytes=10**11)
        build_levels(cavity)
        return cavity.volume_m3

    return run


def chain_libraries(case: Case) -> Callable[[], float]:
    """The best libraries one after another: stencil, edt, scipy's labels."""
    import edt
    from scipy.ndimage import generate_binary_structure, label

    fill = _stencil(case)
    within = generate_binary_structure(3, 1)
    within[[0, 2]] = False  # the stencil's image has x fastest: its first numpy axis is z

    def run() -> float:
        cavity = edt.edt(fill(), parallel=2) > WALL / case.cell + 0.5
        nodes, count = label(cavity, within)
        low, high = nodes[:-1], nodes[1:]
        both = (low > 0) & (high > 0)
        np.unique(low[both].astype(np.int64) * (count + 1) + high[both])
        return np.count_nonzero(cavity) * case.cell**3

    return run


TASKS: dict[str, Callable[[Case], Callable[[], float]]] = {
    name: task for name, task in globals().items() if callable(task) and getattr(task, "__module__", "") == __name__
    and name.split("_")[0] in ("occupancy", "distance", "nearest", "levels", "pairs", "chain")
}  # fmt: skip


def peak_bytes() -> float:
    """Most memory this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0


def measure(task: str, mesh: str, cells: float, repeats: int) -> dict[str, Any]:
    """Run a task on a small grid first (imports, compilation), then ``repeats`` times on the one asked for."""
    TASKS[task](Case(trimesh.creation.icosphere(3, 0.5), 30_000))()
    case = Case(mesh_named(mesh), cells)
    run = TASKS[task](case)
    before = peak_bytes()
    walls, processors, value = [], [], 0.0
    for _ in range(repeats):
        wall, processor = time.perf_counter(), time.process_time()
        value = run()
        walls.append(time.perf_counter() - wall)
        processors.append(time.process_time() - processor)
    return {
        "task": task,
        "mesh": mesh,
        "triangles": len(case.mesh.faces),
        "cells": case.cells,
        "wall_s": min(walls),
        "processor_s": min(processors),
        "bytes_a_cell": (peak_bytes() - before) / case.cells,
        "value": float(value),
        "exact_m3": float(case.mesh.volume),
    }


if __name__ == "__main__":
    print(json.dumps(measure(sys.argv[1], sys.argv[2], float(sys.argv[3]), int(sys.argv[4]))))
