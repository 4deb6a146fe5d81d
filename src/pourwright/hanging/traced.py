"""Each anchor traced from the wall through the skin: the gap, the foam behind it, the edge beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pourwright.errors import AnchorError, in_words
from pourwright.hanging.pose import hanging_pose, hung_anchors
from pourwright.outcome import Anchor, Hang, Surface
from pourwright.shell import WallBand, WallGauge, WallRegion, inside_of, planes_of

SLANT = 0.25
"""Skin met at a flatter slant than this cosine is taken as this: four times its thickness at most (our judgement)."""
NUDGES = (0.0, 1.3e-7, -2.9e-7, 7.7e-7)
"""A line through a corner or an edge of the mesh is moved by this share of the piece."""
TOO_LONG_M = 5e-4
"""An insert may be longer than its foam by this, which is less than anybody cuts."""


@dataclass(frozen=True, slots=True)
class Traced:
    """What a line square to the wall meets. Lengths along it [m]; nan where the surface does not tell."""

    gap_m: float  # from the wall to the skin, or to the edge of the opening that it goes in by
    arm_m: float  # from the wall to the foam
    foam_depth_m: float  # of foam along it, up to the skin on the far side: the longest insert that fits
    edge_m: float  # from it to the outside of the piece sideways, half way along the insert or the foam
    inner_edge_m: float  # the same where the insert ends, or the foam
    neighbour_m: float  # to the nearest other anchor in the wall; inf where there is none
    opening: bool  # it goes in through an opening, not through skin
    skin_m: float  # thickness of the skin before the foam, square to it; 0 in an opening
    slant_rad: float  # of that skin to the wall

    @property
    def narrowest_m(self) -> float:
        """The least of what is beside it, half way along and at its end; not known where either is not."""
        return float(np.minimum(self.edge_m, self.inner_edge_m))


@dataclass(frozen=True, eq=False)
class Faces:
    """Triangles (m, 3, 3) in the axes of the wall."""

    corners: np.ndarray

    @cached_property
    def low(self) -> np.ndarray:
        """Least of each coordinate of every triangle (m, 3)."""
        return np.asarray(self.corners.min(axis=1))

    @cached_property
    def high(self) -> np.ndarray:
        """Greatest of each coordinate of every triangle (m, 3)."""
        return np.asarray(self.corners.max(axis=1))

    @cached_property
    def size_m(self) -> float:
        """Longest side along the wall."""
        return float((self.high.max(axis=0) - self.low.min(axis=0))[:2].max()) if len(self.corners) else 0.0


@dataclass(frozen=True, eq=False)
class Solid:
    """The piece in the axes of the wall, ready to be traced through; see ``solid_of``."""

    outside: Faces
    wall_m: np.ndarray  # (m,) skin behind each; 0 on a cap
    cap: np.ndarray  # (m,) bool
    void: Faces  # inside face, where the mesh has one


def solid_of(
    surface: Surface,
    bands: tuple[WallBand, ...],
    walled: np.ndarray,
    regions: tuple[WallRegion, ...] = (),
    gauge: WallGauge | None = None,
) -> Solid:
    """A surface whose corners are at ``walled`` (n, 3) in the axes of the wall: right, up, off it."""
    thick = np.zeros(len(surface.faces))
    if bands and not len(surface.inside):
        z = surface.vertices_m[:, 2]
        height = z[surface.faces].mean(axis=1) - z.min()
        for band in bands:
            thick[(height >= band.from_m) & (height <= band.to_m)] = band.thickness_m
        middle = surface.vertices_m[surface.faces].mean(axis=1)
        if gauge is not None:
            thick = gauge.at(middle)
        for region in regions:
            thick[inside_of(planes_of(region, surface.vertices_m), middle)] = region.thickness_m
        thick[surface.cap] = 0.0
    return Solid(Faces(walled[surface.faces]), thick, surface.cap, Faces(walled[surface.inside]))


def misses_m(solid: Solid, x: float, y: float) -> float:
    """How far a line square to the wall passes from the piece, seen along it; 0 where it meets it.

    >>> import trimesh
    >>> box = trimesh.creation.box((1, 2, 3)).triangles
    >>> solid = Solid(Faces(box), np.zeros(12), np.zeros(12, bool), Faces(box[:0]))
    >>> misses_m(solid, 0.1, 0.2), round(misses_m(solid, 0.8, 1.4), 12)
    (0.0, 0.5)
    """
    if len(_met(solid.outside, x, y)[0]):
        return 0.0
    flat = solid.outside.corners[:, :, :2] - np.array([x, y])
    return float(_from_segments(flat.reshape(-1, 2), np.roll(flat, -1, axis=1).reshape(-1, 2)).min())


def trace(solid: Solid, x: float, y: float, along_m: float | None = None) -> Traced:
    """What the line at (x, y) meets, that hits the piece; ``along_m`` is the length of its insert.

    Notes
    -----
    The skin is as thick along the line as its thickness over the cosine of its slant, flat skin meant; the foam is
    what lies between. Where the mesh shows both faces, the foam lies between its inside faces.
    """
    where, ways, faces = _met(solid.outside, x, y)
    order = np.argsort(where, kind="stable")
    where, ways, faces = where[order], ways[order], faces[order]
    bodies = _intervals(where, ways)
    if not bodies:
        return Traced(math.nan, math.nan, math.nan, math.nan, math.nan, math.inf, False, math.nan, math.nan)
    first = bodies[0][0]
    gap = float(where[first])
    opening = bool(solid.cap[faces[first]])
    foam = _in_void(solid, x, y) if len(solid.void.corners) else _between_skins(solid, where, faces, bodies)
    if foam is None:
        return Traced(gap, gap, 0.0, 0.0, 0.0, math.inf, opening, math.nan, math.nan)
    start, end = foam
    skin, slant = _pierced(solid, start, (where, ways, faces))
    depth = min(end - start, math.inf if along_m is None else along_m)
    middle, inner = (_edge(solid, x, y, start + share * depth) for share in (0.5, 1.0))
    return Traced(gap, start, end - start, middle, inner, math.inf, opening, skin, slant)


def traced_anchors(solid: Solid, anchors: Sequence[Anchor], places: np.ndarray) -> tuple[Traced, ...]:
    """Every anchor at its place (n, 2 or more) in the wall, or a refusal.

    Raises
    ------
    AnchorError
        An anchor misses the piece, or its insert is longer than the foam behind it; with every such anchor in it.
    """
    wrong, out = [], []
    for anchor, place in zip(anchors, places, strict=True):
        x, y = float(place[0]), float(place[1])
        beside = misses_m(solid, x, y)
        if beside > 0:
            wrong.append(f"{anchor.name} misses the piece by {in_words(beside)}")
            continue
        depth = None if anchor.insert is None else anchor.insert.depth_m
        found = trace(solid, x, y, depth)
        if depth is not None and depth > found.foam_depth_m + TOO_LONG_M:
            wrong.append(f"{anchor.name}: insert {in_words(depth)} deep in {in_words(found.foam_depth_m)} of foam")
        out.append(found)
    if wrong:
        raise AnchorError(
            f"{'; '.join(wrong)}: an anchor's rod runs straight from the wall into the piece, and its insert ends in "
            "the foam. Move the anchor, or shorten insert.depth"
        )
    flat = np.asarray(places)[:, :2]
    apart = np.linalg.norm(flat[:, None] - flat[None], axis=2) + np.diag(np.full(len(flat), math.inf))
    near = apart.min(axis=1) if len(flat) else np.zeros(0)
    return tuple(replace(one, neighbour_m=float(far)) for one, far in zip(out, near, strict=True))


def insert_spans(
    anchors: Sequence[Anchor],
    surface: Surface,
    asked: Hang,
    bands: tuple[WallBand, ...],
    regions: tuple[WallRegion, ...] = (),
    gauge: WallGauge | None = None,
) -> list[tuple[np.ndarray, np.ndarray]]:
    """Where each anchor's insert begins, at the foam, and where it ends; (3,) points of the shell file's axes.

    An insert is as long as its depth in the foam, which begins behind the gap and the skin and not at the wall. Without
    an insert, or beside the piece, both are the anchor's own point.
    """
    pose = hanging_pose(surface.vertices_m, asked)
    back = np.array([0.0, 0.0, pose.back_m])
    walled = pose.frame.to_standing(surface.vertices_m) @ pose.to_wall.T - back
    solid = solid_of(surface, bands, walled, regions, gauge)
    out = []
    for anchor, point in zip(anchors, hung_anchors(anchors, pose), strict=True):
        ends = (point, point)
        if anchor.insert is not None:
            x, y, _ = pose.frame.to_standing(point) @ pose.to_wall.T - back
            arm = trace(solid, float(x), float(y), anchor.insert.depth_m).arm_m
            if not math.isnan(arm):
                along = np.array([[x, y, arm], [x, y, arm + anchor.insert.depth_m]])
                begin, end = pose.frame.to_shell((along + back) @ pose.to_wall)
                ends = (begin, end)
        out.append(ends)
    return out


def _met(faces: Faces, x: float, y: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Heights over the wall, +1 where the line goes in and -1 where it comes out, and faces (k,) that it meets."""
    best = (np.zeros(0), np.zeros(0, int), np.zeros(0, int))
    for nudge in NUDGES:
        found = _met_once(faces, x + nudge * faces.size_m, y + 0.71 * nudge * faces.size_m)
        if found[1].sum() == 0 and (len(found[0]) or nudge == NUDGES[-1]):
            return found
        best = found if len(found[0]) else best
    return best


def _met_once(faces: Faces, x: float, y: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    low, high = faces.low, faces.high
    near = np.flatnonzero((low[:, 0] <= x) & (high[:, 0] >= x) & (low[:, 1] <= y) & (high[:, 1] >= y))
    px, py, z = faces.corners[near, :, 0] - x, faces.corners[near, :, 1] - y, faces.corners[near, :, 2]
    share = np.stack([px[:, k - 2] * py[:, k - 1] - px[:, k - 1] * py[:, k - 2] for k in range(3)], axis=1)
    area = share.sum(axis=1)
    inside = (area != 0) & ((share >= 0).all(axis=1) | (share <= 0).all(axis=1))
    share, area, z = share[inside], area[inside], z[inside]
    # Wound outwards, a face that is seen from off the wall winds to the left: there the line comes out.
    return (share * z).sum(axis=1) / area, np.where(area > 0, -1, 1), near[inside]


def _intervals(where: np.ndarray, ways: np.ndarray) -> list[tuple[int, int]]:
    """Stretches inside, as the places in ``where`` at which they begin and end; none where the ends do not match."""
    depth, begun, out = 0, -1, []
    for k, way in enumerate(ways):
        if depth == 0 and way > 0:
            begun = k
        depth += int(way)
        if depth == 0 and begun >= 0:
            out.append((begun, k))
            begun = -1
    return out if depth == 0 else []


def _between_skins(
    solid: Solid, where: np.ndarray, faces: np.ndarray, bodies: list[tuple[int, int]]
) -> tuple[float, float] | None:
    for begin, end in bodies:
        low, high = where[begin] + _skin(solid, faces[begin]), where[end] - _skin(solid, faces[end])
        if high > low:
            return float(low), float(high)
    return None


def _skin(solid: Solid, face: int) -> float:
    return float(solid.wall_m[face]) / max(_square(solid, face), SLANT)


def _square(solid: Solid, face: int) -> float:
    """Cosine of the slant of a face to the wall."""
    a, b, c = solid.outside.corners[face]
    normal = np.cross(b - a, c - a)
    return abs(float(normal[2])) / max(float(np.linalg.norm(normal)), 1e-300)


def _pierced(solid: Solid, foam_m: float, met: tuple[np.ndarray, np.ndarray, np.ndarray]) -> tuple[float, float]:
    """Thickness of the skin that is gone through last before the foam, square to it, and its slant."""
    where, ways, faces = met
    last = np.flatnonzero((ways > 0) & (where <= foam_m))
    if not len(last):
        return math.nan, math.nan
    face = int(faces[last[-1]])
    square = min(_square(solid, face), 1.0)
    through = foam_m - float(where[last[-1]])
    thick = through * square if len(solid.void.corners) else float(solid.wall_m[face])
    return thick, math.acos(square)


def _in_void(solid: Solid, x: float, y: float) -> tuple[float, float] | None:
    where, ways, _ = _met(solid.void, x, y)
    order = np.argsort(where, kind="stable")
    hollow = _intervals(where[order], -ways[order]) or _intervals(where[order], ways[order])
    return None if not hollow else (float(where[order][hollow[0][0]]), float(where[order][hollow[0][1]]))


def _edge(solid: Solid, x: float, y: float, height_m: float) -> float:
    """From (x, y) to the outline of the piece cut by a plane along the wall; not known where it is not cut."""
    faces = solid.outside
    cut = faces.corners[(faces.low[:, 2] < height_m) & (faces.high[:, 2] >= height_m)]
    if not len(cut):
        return math.nan
    z = cut[:, :, 2] - height_m
    above = z >= 0
    following = np.roll(cut, -1, axis=1)
    crossed = above != np.roll(above, -1, axis=1)
    rise = np.where(crossed, z - np.roll(z, -1, axis=1), 1.0)
    points = cut[:, :, :2] + (z / rise)[..., None] * (following - cut)[:, :, :2]
    ends = points[crossed].reshape(-1, 2, 2) - np.array([x, y])
    return float(_from_segments(ends[:, 0], ends[:, 1]).min())


def _from_segments(start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Distances (n,) of the origin from segments."""
    along = end - start
    share = np.clip(-(start * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-300), 0.0, 1.0)
    return np.asarray(np.linalg.norm(start + share[:, None] * along, axis=1))
