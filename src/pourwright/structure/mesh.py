"""The skin as even triangles of a stated size: what the finite elements are laid on."""

from __future__ import annotations

import math
import warnings
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from pourwright.cavity import PourFrame
from pourwright.errors import ShellError
from pourwright.fem import ShellModel
from pourwright.kept import kept
from pourwright.shell import Skin

CREASE = math.cos(math.radians(30.0))  # sides that turn more than this stay where they are
FINER = 1.6  # sides of the surface that is clustered, to a triangle's side wanted
RICH = 6  # triangles of the surface that is clustered, at most, to one wanted
EDGE = 1e-9  # of a triangle, beyond its sides, that still counts as on it
AREA_SLACK = 0.05  # of the surface that the even triangles may lose or gain


@dataclass(frozen=True, eq=False)
class SkinMesh:
    """Even triangles in the middle of the wall, standing axes [m], wound outwards. Arrays read-only."""

    vertices_m: np.ndarray  # (n, 3) in the middle of the wall
    faces: np.ndarray  # (m, 3)
    thickness_m: np.ndarray  # (m,)
    vertex_thickness_m: np.ndarray  # (n,)
    normal: np.ndarray  # (n, 3) outwards
    side_m: float  # root mean square of the sides
    method: str  # how it was made

    def model(self, youngs_pa: float, poisson: float) -> ShellModel:
        """Its finite elements."""
        return ShellModel(self.vertices_m, self.faces, self.thickness_m, youngs_pa, poisson)


@kept
def even_mesh(vertices_m: np.ndarray, faces: np.ndarray, triangles: int) -> tuple[np.ndarray, np.ndarray, str]:
    """About so many even triangles over a surface; sharp edges and open rims stay where they are.

    Parameters
    ----------
    vertices_m, faces : (n, 3) [m] and (m, 3), wound outwards.
    triangles : int, 200 to 200,000.

    Returns
    -------
    vertices_m (k, 3), faces (j, 3) and words on how; ``j`` is within some 15 % of ``triangles``.

    Notes
    -----
    Long sides are split, a very fine mesh is first decimated, the rest is clustered into even patches; a patch that
    holds a crease or a rim gets its vertex there. A result that has lost or gained more than 5 % of the area gives way
    to decimation alone, which keeps shape but not evenness.

    Raises
    ------
    ShellError
        Nothing usable came out.
    """
    import fast_simplification
    import pyacvd
    import pyvista as pv  # these three: slow to load, and a quick plan has no use for them

    area = float(_areas(vertices_m, faces).sum())
    side = math.sqrt(4 * area / (math.sqrt(3) * triangles))
    surface = pv.PolyData.from_regular_faces(np.asarray(vertices_m, float), np.asarray(faces)).clean()
    if surface.n_cells > RICH * triangles:
        points, less = fast_simplification.simplify(
            np.asarray(surface.points, float),
            np.asarray(surface.regular_faces),
            target_count=RICH * triangles,
        )
        surface = pv.PolyData.from_regular_faces(points, less)
    surface.points = np.asarray(surface.points, float)
    surface = surface.subdivide_adaptive(max_edge_len=side / FINER, max_n_passes=40).clean()
    fine, fine_faces = np.asarray(surface.points, float), np.asarray(surface.regular_faces)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", pv.PyVistaDeprecationWarning)  # its use of another library, not ours
        clusters = pyacvd.Clustering(surface.copy())
        clusters.cluster(max(triangles // 2, 40))
        made = clusters.create_mesh(moveclus=False, clean=False)
        normal, patch = clusters.cluster_norm, np.asarray(clusters.clusters)
    points, corners = np.asarray(made.points, float), np.asarray(made.regular_faces, np.int64)
    points = _onto(points, normal, fine, fine_faces, patch)
    points = _snapped(points, corners, fine, fine_faces, side)
    points, corners = sound(points, corners)
    if len(corners) and abs(_areas(points, corners).sum() / area - 1) < AREA_SLACK:
        return points, corners, f"{len(corners)} even triangles of {side * 1e3:.0f} mm"
    points, corners = fast_simplification.simplify(fine, fine_faces, target_count=min(triangles, len(fine_faces)))
    points, corners = sound(np.asarray(points, float), np.asarray(corners, np.int64))
    if not len(corners):
        raise ShellError("the skin could not be meshed for its stiffness: check the shell file with pourwright check")
    return points, corners, f"{len(corners)} triangles by decimation (even ones lost the shape)"


def skin_mesh(skin: Skin, frame: PourFrame, triangles: int, wall_m: float | None = None) -> SkinMesh:
    """The skin without its caps, in the middle of the wall.

    Parameters
    ----------
    skin : Skin
    frame : PourFrame
    triangles : int
        Wanted.
    wall_m : float, optional
        Thickness where the shell file draws both faces of the wall [m]; without it the wall is measured at each
        vertex, to the nearest point of the inside face (never more than the wall is there).

    Raises
    ------
    ShellError
        The skin cannot be meshed, or no wall is told and no inside face drawn.
    """
    keep = ~skin.void_face & (skin.cap_opening < 0)
    points, corners, words = even_mesh(skin.vertices_m, skin.faces[keep], triangles)
    if skin.bands:
        at_vertex = skin.thickness_of(points)
        middle = skin.thickness_of(points[corners].mean(axis=1))
    elif wall_m is not None:
        at_vertex, middle = np.full(len(points), wall_m), np.full(len(corners), wall_m)
    else:
        at_vertex = _measured(skin, points)
        middle = at_vertex[corners].mean(axis=1)
        words += f"; wall measured between its faces, {at_vertex.min() * 1e3:.2g} to {at_vertex.max() * 1e3:.2g} mm"
    standing = frame.to_standing(points)
    normal = _normals(standing, corners)
    middle_wall = standing - 0.5 * at_vertex[:, None] * normal
    sides = standing[corners] - standing[np.roll(corners, 1, axis=1)]
    out = SkinMesh(
        middle_wall,
        corners,
        middle,
        at_vertex,
        normal,
        float(np.sqrt((sides**2).sum(axis=-1).mean())),
        words,
    )
    for array in (out.vertices_m, out.faces, out.thickness_m, out.vertex_thickness_m, out.normal):
        array.setflags(write=False)
    return out


def _measured(skin: Skin, points: np.ndarray) -> np.ndarray:
    """Wall (n,) at points of the outside face: distance to the inside face."""
    if not skin.void_face.any():
        raise ShellError("the thickness of the wall is not told: give --wall, like '4 mm'")
    # from the drawn outside face: the even triangles' own vertices may lie a little inside of it where it curves
    outside, _ = _nearest(skin, points, ~skin.void_face)
    _, far = _nearest(skin, outside, skin.void_face)
    return np.asarray(np.maximum(far, 0.05 * np.median(far)))  # rims where the faces meet keep some wall


def _nearest(skin: Skin, points: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Nearest points (n, 3) on some faces of a skin (m,) and how far they are (n,)."""
    import pyvista as pv

    surface = pv.PolyData.from_regular_faces(np.asarray(skin.vertices_m, float), skin.faces[faces])
    _, near = surface.find_closest_cell(points, return_closest_point=True)
    near = np.asarray(near)
    return near, np.linalg.norm(near - points, axis=1)


def _onto(
    points: np.ndarray, normal: np.ndarray, fine: np.ndarray, fine_faces: np.ndarray, patch: np.ndarray
) -> np.ndarray:
    """Middles of patches (k, 3) moved along their normals onto the surface, each onto the triangles of its own patch.

    ``patch`` (n,) tells the patch of each vertex of the surface. A middle that meets none of them stays where it is.
    """
    corner = patch[fine_faces]
    again = np.zeros(corner.shape, bool)  # a triangle within one patch counts once
    again[:, 1] = corner[:, 1] == corner[:, 0]
    again[:, 2] = (corner[:, 2:] == corner[:, :2]).any(axis=1)
    triangle, which = np.nonzero(~again)
    owner = corner[triangle, which]
    a, b, c = fine[fine_faces[triangle]].transpose(1, 0, 2)
    way, one, two, off = normal[owner], b - a, c - a, points[owner] - a
    across = np.cross(way, two)
    turn = (one * across).sum(axis=1)
    safe = np.where(np.abs(turn) > 1e-30, turn, np.nan)
    u = (off * across).sum(axis=1) / safe
    rest = np.cross(off, one)
    v = (way * rest).sum(axis=1) / safe
    along = (two * rest).sum(axis=1) / safe
    hit = np.flatnonzero((u >= -EDGE) & (v >= -EDGE) & (u + v <= 1 + EDGE))
    order = hit[np.lexsort((np.abs(along[hit]), owner[hit]))]
    met, first = np.unique(owner[order], return_index=True)
    out = points.copy()
    out[met] += along[order[first], None] * normal[met]
    return out


def _areas(points: np.ndarray, corners: np.ndarray) -> np.ndarray:
    p = points[corners]
    return 0.5 * np.linalg.norm(np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]), axis=1)


def _normals(points: np.ndarray, corners: np.ndarray) -> np.ndarray:
    p = points[corners]
    cross = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    out = np.zeros_like(points)
    for k in range(3):
        np.add.at(out, corners[:, k], cross)
    return out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-300)


def _creases(points: np.ndarray, corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sharp or open sides (k, 2) and the vertices where they end or meet in a corner."""
    cross = np.cross(points[corners[:, 1]] - points[corners[:, 0]], points[corners[:, 2]] - points[corners[:, 0]])
    unit = cross / np.maximum(np.linalg.norm(cross, axis=1, keepdims=True), 1e-300)
    sides = np.sort(np.stack([corners, np.roll(corners, -1, axis=1)], axis=-1).reshape(-1, 2), axis=1)
    owner = np.repeat(np.arange(len(corners)), 3)
    order = np.lexsort((sides[:, 1], sides[:, 0]))
    sides, owner = sides[order], owner[order]
    first = np.r_[True, (sides[1:] != sides[:-1]).any(axis=1)]
    start = np.flatnonzero(first)
    count = np.diff(np.r_[start, len(sides)])
    other = np.minimum(start + 1, len(sides) - 1)
    turn = (unit[owner[start]] * unit[owner[other]]).sum(axis=1)
    sharp = sides[start[(count == 1) | ((count == 2) & (turn < CREASE))]]
    met = np.bincount(sharp.ravel(), minlength=len(points))
    along = np.zeros((len(points), 3))
    way = points[sharp[:, 1]] - points[sharp[:, 0]]
    way = way / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-300)
    np.add.at(along, sharp[:, 0], way)
    np.add.at(along, sharp[:, 1], -way)
    corner = (met != 0) & ((met != 2) | (np.linalg.norm(along, axis=1) > 0.7))  # 0 on a straight edge
    return sharp, np.flatnonzero(corner)


def _snapped(
    points: np.ndarray, corners: np.ndarray, fine: np.ndarray, fine_faces: np.ndarray, side: float
) -> np.ndarray:
    """Vertices moved onto the crease or corner that lies in their patch, where no triangle suffers for it."""
    sharp, tips = _creases(fine, fine_faces)
    if not len(sharp):
        return points
    on = np.unique(sharp)
    _, nearest = cKDTree(points).query(fine[on])
    out = points.copy()
    # of the crease points in a patch the one nearest to its vertex; a corner goes before any
    far = np.linalg.norm(fine[on] - points[nearest], axis=1)
    rank = np.where(np.isin(on, tips), far - 1e3, far)
    order = np.lexsort((rank, nearest))
    patch, lead = np.unique(nearest[order], return_index=True)
    chosen = order[lead]
    close = far[chosen] < side
    patch, chosen = patch[close], chosen[close]
    out[patch] = fine[on[chosen]]
    for _ in range(5):
        bad = _areas(out, corners) < 0.04 * side**2
        undo = np.intersect1d(np.unique(corners[bad]), patch[~np.isin(on[chosen], tips)])
        undo = undo[(out[undo] != points[undo]).any(axis=1)]
        if not len(undo):
            break
        out[undo] = points[undo]
    return out


def sound(points: np.ndarray, corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A surface without triangles that have no area, doubled ones, and vertices that nothing uses."""
    side = np.linalg.norm(points[corners] - points[np.roll(corners, 1, axis=1)], axis=-1).max(axis=1)
    kept = corners[_areas(points, corners) > 1e-4 * side**2]
    _, once = np.unique(np.sort(kept, axis=1), axis=0, return_index=True)
    kept = kept[np.sort(once)]
    used, index = np.unique(kept, return_inverse=True)
    return points[used], index.reshape(-1, 3)
