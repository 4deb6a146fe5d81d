"""Modelling clay for the demo shells: signed distances blended smoothly, then skinned with triangles.

A form is a function of points ``(n, 3)`` in metres that returns about the signed distance to its surface, negative
inside. Forms are blended with `smooth_union`, relief is added to the distance, and `skin` turns a form into a
triangle mesh. Nothing here is random: the same script always makes the same file.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import fast_simplification
import manifold3d
import numba
import numpy as np
import pyvista as pv
import trimesh
from scipy.interpolate import CubicSpline
from scipy.ndimage import zoom

Form = Callable[[np.ndarray], np.ndarray]


def smooth_union(a: np.ndarray, b: np.ndarray, blend: float) -> np.ndarray:
    """Union with a fillet of about ``blend`` metres."""
    h = np.maximum(blend - np.abs(a - b), 0.0) / blend
    return np.minimum(a, b) - h * h * blend * 0.25


def smooth_cut(a: np.ndarray, b: np.ndarray, blend: float) -> np.ndarray:
    """``a`` without ``b``, with a rounded edge of about ``blend`` metres."""
    return -smooth_union(-a, b, blend)


def smooth_step(low: float, high: float, x: np.ndarray) -> np.ndarray:
    """0 below ``low``, 1 above ``high``, smooth between (``high`` may be the smaller)."""
    t = np.clip((x - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def turned(p: np.ndarray, centre: tuple[float, float, float], yaw: float = 0, pitch: float = 0, roll: float = 0):
    """Points in the axes of a body at ``centre`` turned by degrees about z, then its y, then its x."""
    cz, sz, cy, sy, cx, sx = (f(np.radians(a)) for a in (yaw, pitch, roll) for f in (np.cos, np.sin))
    rz = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
    ry = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    rx = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    return (p - np.asarray(centre)) @ (rz @ ry @ rx)


def ellipsoid(p: np.ndarray, radii: tuple[float, float, float]) -> np.ndarray:
    """Ellipsoid about the origin; near the surface its value is a distance."""
    r = np.asarray(radii)
    k0 = np.linalg.norm(p / r, axis=1)
    k1 = np.linalg.norm(p / (r * r), axis=1)
    return k0 * (k0 - 1.0) / np.maximum(k1, 1e-9)


def spline(points: list[tuple[float, ...]], count: int = 80) -> np.ndarray:
    """Smooth curve through ``points`` (any number of columns, radii included), sampled ``count`` times."""
    table = np.asarray(points, float)
    chord = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(table[:, :3], axis=0), axis=1))]
    return CubicSpline(chord, table, bc_type="natural")(np.linspace(0.0, chord[-1], count))


@numba.njit(parallel=True, cache=True)
def _chain(p, c, distance, along):  # pragma: no cover
    count = c.shape[0]
    for i in numba.prange(p.shape[0]):
        best, where = 1e9, 0.0
        for j in range(count - 1):
            ax, ay, az = c[j + 1, 0] - c[j, 0], c[j + 1, 1] - c[j, 1], c[j + 1, 2] - c[j, 2]
            px, py, pz = p[i, 0] - c[j, 0], p[i, 1] - c[j, 1], p[i, 2] - c[j, 2]
            t = (px * ax + py * ay + pz * az) / (ax * ax + ay * ay + az * az)
            t = min(max(t, 0.0), 1.0)
            px, py, pz = px - t * ax, py - t * ay, pz - t * az
            d = np.sqrt(px * px + py * py + pz * pz) - (c[j, 3] + t * (c[j + 1, 3] - c[j, 3]))
            if d < best:
                best, where = d, (j + t) / (count - 1)
        distance[i], along[i] = best, where


def limb(p: np.ndarray, curve: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A round limb along ``curve`` (k, 4) of x, y, z, radius: distance, and the place along it from 0 to 1."""
    distance, along = np.empty(len(p)), np.empty(len(p))
    _chain(np.ascontiguousarray(p, float), np.ascontiguousarray(curve, float), distance, along)
    return distance, along


def saw(x: np.ndarray, edge: float = 0.2) -> np.ndarray:
    """A rounded saw of period 1 from 0 to 1: a slow rise, then a fall over ``edge`` of the period (laps, feathers)."""
    t = x - np.floor(x)
    return np.where(t < 1 - edge, smooth_step(0.0, 1 - edge, t), smooth_step(1.0, 1 - edge, t))


def locks(p: np.ndarray, size: float) -> np.ndarray:
    """Woolly lumps about ``size`` across, 0 in the partings to 1 on the lumps (jittered cells, fixed hash)."""
    out = np.empty(len(p))
    _locks(np.ascontiguousarray(p / size), out)
    return out


@numba.njit(parallel=True, cache=True)
def _locks(q, out):  # pragma: no cover
    for i in numba.prange(q.shape[0]):
        bx, by, bz = np.floor(q[i, 0]), np.floor(q[i, 1]), np.floor(q[i, 2])
        total = 0.0
        for dx in range(-1, 2):
            for dy in range(-1, 2):
                for dz in range(-1, 2):
                    x, y, z = bx + dx, by + dy, bz + dz
                    h = np.sin(x * 12.9898 + y * 78.233 + z * 37.719) * 43758.5453
                    u = h - np.floor(h)
                    v = h * 7.31 - np.floor(h * 7.31)
                    w = h * 3.17 - np.floor(h * 3.17)
                    ex, ey, ez = q[i, 0] - x - u, q[i, 1] - y - v, q[i, 2] - z - w
                    total += np.exp(-18.0 * (ex * ex + ey * ey + ez * ez))
        out[i] = min(max(1.0 + np.log(total + 1e-12) / 18.0, 0.0), 1.0)


def sample(form: Form, low: np.ndarray, high: np.ndarray, cell: float) -> tuple[np.ndarray, np.ndarray]:
    """Values of ``form`` on a grid from ``low`` to about ``high``; exact near the surface, interpolated elsewhere."""
    step = 4
    shape = np.ceil((np.asarray(high) - low) / (cell * step)).astype(int) + 1
    axes = [low[i] + cell * step * np.arange(shape[i]) for i in range(3)]
    coarse = form(np.stack(np.meshgrid(*axes, indexing="ij"), -1).reshape(-1, 3)).reshape(shape)
    fine = zoom(coarse, ((shape - 1) * step + 1) / shape, order=1, grid_mode=False).astype(np.float32)
    near = np.nonzero(np.abs(fine) < 2.2 * step * cell)
    for part in np.array_split(np.arange(len(near[0])), max(1, len(near[0]) // 400_000)):
        index = tuple(n[part] for n in near)
        fine[index] = form(np.asarray(low) + cell * np.stack(index, -1))
    return fine, np.asarray(low, float)


def skin(form: Form, low, high, cell: float, triangles: int, rounds: int = 12, closed: bool = True) -> trimesh.Trimesh:
    """Triangle mesh of ``form`` in metres, largest piece only; refuses a mesh that is not what ``closed`` says.

    Where the form leaves the grid the mesh is open with a flat rim on the face of the grid.
    """
    values, origin = sample(form, np.asarray(low, float), np.asarray(high, float), cell)
    image = pv.ImageData(dimensions=values.shape, spacing=(cell,) * 3, origin=origin)
    image["d"] = values.ravel(order="F")
    surface = image.contour([0.0], scalars="d", method="flying_edges", compute_normals=False, compute_scalars=False)
    surface = surface.connectivity("largest").triangulate().clean()
    surface = surface.smooth_taubin(n_iter=rounds, pass_band=0.12, boundary_smoothing=False)
    faces = surface.faces.reshape(-1, 4)[:, 1:]
    points, faces = fast_simplification.simplify(
        np.asarray(surface.points, np.float32), faces, target_count=triangles, agg=4.0
    )
    mesh = trimesh.Trimesh(points, faces, process=True)
    mesh.fix_normals()
    if closed:
        kernel = manifold3d.Manifold(manifold3d.Mesh(mesh.vertices.astype(np.float32), mesh.faces.astype(np.uint32)))
        if not mesh.is_watertight or kernel.status() != manifold3d.Error.NoError:
            raise SystemExit(f"not a closed manifold: {kernel.status()}")
    return mesh


def write(mesh: trimesh.Trimesh, path: Path, unit_m: float) -> None:
    """Save in the unit of ``unit_m`` metres and say what it is."""
    scaled = trimesh.Trimesh(mesh.vertices / unit_m, mesh.faces, process=False)
    data = scaled.export(file_type=path.suffix[1:])
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    size = " x ".join(f"{v:.3f}" for v in mesh.extents)
    print(f"{path.name}: {len(mesh.faces)} triangles, {size} m, {path.stat().st_size / 1e6:.2f} MB")
