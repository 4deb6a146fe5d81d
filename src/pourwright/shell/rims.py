"""Open borders of a shell: ordered loops, which of them are rims, and the flat caps that close them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from pourwright.shell.topology import areas, fans_of, from_vertex
from pourwright.shell.triangulate import check_corners, plane_axes, triangulate

HOLE_SPAN = 0.05
"""A border loop shorter across than this share of the piece's diagonal is a hole of the scan, not a rim."""
ROUND_EDGES, ROUNDNESS, ROUND_SPAN_M = 12, 0.6, 0.01
"""... unless it is flat and round (4 pi A / P^2), has this many edges and is this wide: then it was made on purpose."""
MISSING, MISSING_SHARE = 6, 0.01
"""A border around no more than so many faces of the size of those next to it, and so little of the area, is a hole."""
FLAT_SILENT, FLAT_WARN = 0.02, 0.10
"""Out-of-flatness over sqrt(area) of a rim: below the first nothing is said, above the second no cap is made."""


@dataclass(frozen=True, eq=False)
class Loop:
    """One closed border, ordered so that a cap wound along it closes the surface."""

    vertices: np.ndarray  # (k,) vertex indices in order
    points: np.ndarray  # (k, 3)
    face: int  # a face at it
    face_area: float  # median of the faces at it
    area: float  # of the flat cap
    perimeter: float
    span: float  # longest extent across
    rough: float  # largest distance from the fitted plane
    wavy: float  # root mean square of the distances
    middle: np.ndarray  # (3,)
    normal: np.ndarray  # (3,)


@dataclass(frozen=True, eq=False)
class Closure:
    """Triangles over one loop, or over several that bound one ring-shaped mouth (the outer one first)."""

    loops: tuple[Loop, ...]
    faces: np.ndarray  # (c, 3)
    area: float
    centroid: np.ndarray  # (3,)
    rim: bool

    @property
    def uneven(self) -> float:
        """Largest distance from its plane over the square root of the outer loop's area."""
        return max(loop.rough for loop in self.loops) / max(float(np.sqrt(self.loops[0].area)), 1e-300)

    def reversed(self) -> Closure:
        """The same, wound to face the other way."""
        loops = tuple(
            replace(loop, vertices=loop.vertices[::-1], points=loop.points[::-1], normal=-loop.normal)
            for loop in self.loops
        )
        return replace(self, loops=loops, faces=self.faces[:, ::-1])


def border_loops(vertices: np.ndarray, faces: np.ndarray, mate: np.ndarray) -> tuple[list[Loop], int]:
    """The closed borders of a surface wound alike, longest across first.

    Where several holes meet in one vertex each keeps to its own fan of faces. Returns the loops and the
    number of border edges that belong to none (the surface is not wound alike there).
    """
    at = np.flatnonzero(mate < 0)
    if not len(at):
        return [], 0
    fan = fans_of(faces, mate)
    start, end = fan[at], fan[at - at % 3 + (at + 1) % 3]
    leaves = {int(s): i for i, s in enumerate(start)}
    done = np.zeros(len(at), bool)
    loops, stray = [], 0
    for first in range(len(at)):
        if done[first]:
            continue
        chain, here = [], first
        while here >= 0 and not done[here]:
            done[here] = True
            chain.append(here)
            here = leaves.get(int(end[here]), -1)
        if here != first or len(chain) < 2:
            stray += len(chain)
            continue
        loops.append(_loop_of(vertices, faces, at[chain]))
    loops.sort(key=lambda loop: (-loop.span, *loop.middle.tolist()))
    return loops, stray


def _loop_of(vertices: np.ndarray, faces: np.ndarray, half: np.ndarray) -> Loop:
    """A loop from its half-edges (k,) in order; a cap runs the other way."""
    order = from_vertex(faces, half)[::-1]
    order = np.roll(order, -int(np.argmin(order)))
    points = vertices[order]
    middle = points.mean(axis=0)
    centred = points - middle
    following = np.roll(centred, -1, axis=0)
    area_vector = 0.5 * np.cross(centred, following).sum(axis=0)
    area = float(np.linalg.norm(area_vector))
    perimeter = float(np.linalg.norm(following - centred, axis=1).sum())
    axes = np.linalg.svd(centred, full_matrices=len(order) < 3)[2]
    normal = area_vector / area if area > 1e-6 * perimeter**2 else axes[2]
    return Loop(
        order,
        points,
        int(half[0] // 3),
        float(np.median(areas(vertices, faces[half // 3]))),
        area,
        perimeter,
        float(np.ptp(centred @ axes.T, axis=0).max()),
        float(np.abs(centred @ normal).max()),
        float(np.sqrt(np.mean((centred @ normal) ** 2))),
        middle,
        normal,
    )


def is_rim(loop: Loop, diagonal: float, area: float = np.inf) -> bool:
    """Whether a border is a rim of the piece rather than a hole of the scan.

    ``diagonal`` [m] and ``area`` [m2] are those of the whole mesh.
    """
    if loop.area <= 1e-3 * loop.perimeter**2:
        return False  # a crack: no width to speak of
    few = len(loop.vertices) <= MISSING + 2
    if few and loop.area <= MISSING * loop.face_area and loop.area <= MISSING_SHARE * area:
        return False  # a few faces are missing from a coarse mesh
    if loop.span >= HOLE_SPAN * diagonal:
        return True
    made = len(loop.vertices) >= ROUND_EDGES and 4 * np.pi * loop.area >= ROUNDNESS * loop.perimeter**2
    return bool(made and loop.span >= ROUND_SPAN_M and loop.rough <= FLAT_SILENT * np.sqrt(loop.area))


def close_loops(vertices: np.ndarray, loops: list[Loop], diagonal: float, area: float = np.inf) -> list[Closure]:
    """A flat closure for every loop of `border_loops`; rims first, largest first.

    A rim inside another rim of the same plane that runs the other way round is the inner edge of one ring-shaped
    mouth.
    """
    check_corners(len(loop.vertices) for loop in loops)
    is_a_rim = [is_rim(loop, diagonal, area) for loop in loops]
    rims = [loop for loop, rim in zip(loops, is_a_rim, strict=True) if rim]
    groups = [tuple(group) for group in _groups(rims)]
    out = [_close(vertices, group, True) for group in groups]
    out.sort(key=lambda c: (-c.area, *c.loops[0].middle.tolist()))
    return out + [_close(vertices, (loop,), False) for loop, rim in zip(loops, is_a_rim, strict=True) if not rim]


def _close(vertices: np.ndarray, loops: tuple[Loop, ...], rim: bool) -> Closure:
    order = np.concatenate([loop.vertices for loop in loops])
    made = triangulate([loop.points for loop in loops], loops[0].normal)
    faces = order[made[(made >= 0).all(axis=1)]] if len(order) > 2 else np.empty((0, 3), np.int64)
    corners = vertices[faces]
    weight = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    centroid = loops[0].middle
    if weight.sum() > 0:
        centroid = (corners.mean(axis=1) * weight[:, None]).sum(axis=0) / weight.sum()
    area = max(loops[0].area - sum(loop.area for loop in loops[1:]), 0.0)
    return Closure(loops, faces, area, centroid, rim)


def _groups(rims: list[Loop]) -> list[list[Loop]]:
    """Rims that bound one mouth: an outer one, then the inner edges of a ring-shaped one."""
    groups: list[list[Loop]] = []
    for loop in sorted(rims, key=lambda loop: -loop.area):
        for group in groups:
            outer = group[0]
            apart = abs((loop.middle - outer.middle) @ outer.normal)
            if (
                loop.normal @ outer.normal < -0.95
                and apart <= FLAT_SILENT * np.sqrt(outer.area)
                and _polygon(outer, outer).contains(_polygon(loop, outer))
            ):
                group.append(loop)
                break
        else:
            groups.append([loop])
    return groups


def _polygon(loop: Loop, plane: Loop) -> shapely.Polygon:
    return shapely.Polygon((loop.points - plane.middle) @ plane_axes(plane.normal).T).buffer(0)
