"""Wall by region: boxes and bands across any direction that are thicker or thinner than the rest of the skin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.errors import JobError, Said
from pourwright.shell.scale import LARGEST_M, length_words


@dataclass(frozen=True, slots=True)
class WallRegion:
    """A part of the skin with a wall of its own, in the shell file's axes: a box, or a band across a direction.

    Of regions that overlap the later one holds. A region that ends across a triangle cuts it there.
    """

    name: str
    thickness_m: float
    spread: float  # plus or minus share of the thickness
    low_m: tuple[float, float, float] | None  # corners of a box; None: a band
    high_m: tuple[float, float, float] | None
    along: tuple[float, float, float] | None  # direction of a band, unit; None: a box
    from_m: float  # along it, from the farthest point against it; -inf: from there
    to_m: float  # inf: to the other end


def planes_of(region: WallRegion, vertices_m: np.ndarray) -> np.ndarray:
    """Half-spaces (k, 4) of a region on a skin with such vertices: inside where ``p @ plane[:3] >= plane[3]``."""
    if region.along is None:
        assert region.low_m is not None
        assert region.high_m is not None
        eye = np.eye(3)
        return np.vstack([np.column_stack([eye, region.low_m]), np.column_stack([-eye, -np.array(region.high_m)])])
    way = np.array(region.along)
    start = float((vertices_m @ way).min())
    ends = [np.append(way, start + region.from_m)] if math.isfinite(region.from_m) else []
    ends += [np.append(-way, -(start + region.to_m))] if math.isfinite(region.to_m) else []
    return np.array(ends).reshape(-1, 4)


def inside_of(planes: np.ndarray, points_m: np.ndarray) -> np.ndarray:
    """Whether points (n, 3) lie in a region."""
    out = np.ones(len(points_m), bool)
    for plane in planes:
        out &= points_m @ plane[:3] >= plane[3]
    return out


def cut(triangles: np.ndarray, planes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Triangles (m, 3, 3) in a region and those outside of it, cut where it ends."""
    rest = []
    for plane in planes:
        triangles, outside = _cut(triangles, plane)
        rest.append(outside)
    return triangles, np.concatenate([*rest, np.zeros((0, 3, 3))])


def _cut(triangles: np.ndarray, plane: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Triangles on the side a plane looks to, and those behind it; corners on the plane belong to both."""
    import trimesh  # answers to a made plan know regions, and cut nothing

    side = triangles @ plane[:3] - plane[3]
    ahead, behind = (side >= 0).all(axis=1), (side <= 0).all(axis=1)
    through = triangles[~ahead & ~behind]
    parts = [[triangles[ahead]], [triangles[behind & ~ahead]]]
    for k, way in enumerate((1.0, -1.0)):
        if len(through):
            flat, faces, _ = trimesh.intersections.slice_faces_plane(  # type: ignore[no-untyped-call]
                through.reshape(-1, 3),
                np.arange(3 * len(through)).reshape(-1, 3),
                plane_normal=way * plane[:3],
                plane_origin=plane[3] * plane[:3],
            )
            parts[k].append(flat[faces])
    return np.concatenate(parts[0]), np.concatenate(parts[1])


def check_regions(regions: Sequence[WallRegion]) -> tuple[WallRegion, ...]:
    """The regions, checked without the mesh.

    Raises
    ------
    JobError
        A thickness that is no positive length, or a region without an inside.
    """
    for number, region in enumerate(regions, 1):
        key = f"wall.region[{number}]"
        if not 0 < region.thickness_m <= LARGEST_M:
            words = f"must be greater than zero and under {length_words(LARGEST_M)}."
            raise JobError(f"{key}.thickness", Said(length_words(region.thickness_m)), words)
        if region.along is not None and not region.from_m < region.to_m:
            end = length_words(region.to_m) if math.isfinite(region.to_m) else "the end"
            raise JobError(f"{key}.from", Said(length_words(region.from_m)), f"must be below its upper end, {end}.")
        if region.low_m is not None and region.high_m is not None:
            for axis, low, high in zip("xyz", region.low_m, region.high_m, strict=True):
                if not low < high:
                    raise JobError(f"{key}.low", Said(length_words(low)), f"must be below high along {axis}.")
    return tuple(regions)


def check_regions_on_piece(regions: Sequence[WallRegion], vertices_m: np.ndarray) -> None:
    """Raise `JobError` where a region holds no part of the piece, or its walls do not fit into it."""
    narrowest = float(np.ptp(vertices_m, axis=0).min())
    low, high = vertices_m.min(axis=0), vertices_m.max(axis=0)
    for number, region in enumerate(regions, 1):
        key = f"wall.region[{number}]"
        if 2 * region.thickness_m >= narrowest:
            raise JobError(
                f"{key}.thickness",
                Said(length_words(region.thickness_m)),
                f"two such walls do not fit into the piece, which is {length_words(narrowest)} across at its narrowest "
                "extent; check both units.",
            )
        away = _away(region, vertices_m, low, high)
        if away:
            raise JobError(key, Said(region.name), f"holds no part of the piece: {away}; check its axes and its unit.")


def _away(region: WallRegion, vertices_m: np.ndarray, low: np.ndarray, high: np.ndarray) -> str:
    """Why a region lies beside the piece; empty where it does not."""
    if region.along is not None:
        size = float(np.ptp(vertices_m @ np.array(region.along)))
        return f"it is {length_words(size)} long that way" if region.from_m >= size or region.to_m <= 0 else ""
    assert region.low_m is not None
    assert region.high_m is not None
    for axis, a, b, least, most in zip("xyz", region.low_m, region.high_m, low, high, strict=True):
        if a >= most or b <= least:
            return f"it lies from {length_words(float(least))} to {length_words(float(most))} along {axis}"
    return ""
