"""Open borders of a shell: ordered loops, which of them are rims, and the flat caps that close them."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from pourwright.shell.scale import length_words
from pourwright.shell.skin import Finding, Opening
from pourwright.shell.topology import Edges, face_pairs

HOLE_SPAN = 0.05
"""A border loop shorter across than this share of the piece's diagonal is a hole of the scan, not a rim."""
ROUND_EDGES, ROUNDNESS, ROUND_SPAN_M = 12, 0.6, 0.01
"""... unless it is flat and round (4 pi A / P^2), has this many edges and is this wide: then it was made on purpose."""
FLAT_SILENT, FLAT_WARN = 0.02, 0.10
"""Out-of-flatness over sqrt(area) of a rim: below the first nothing is said, above the second no cap is made."""


@dataclass(frozen=True, eq=False)
class Loop:
    """One closed border, ordered so that a cap wound along it faces out of the piece."""

    vertices: np.ndarray  # (k,) vertex indices in order
    points: np.ndarray  # (k, 3)
    area_vector: np.ndarray  # (3,) of the flat cap
    area: float
    perimeter: float
    span: float  # longest extent across
    rough: float  # largest distance from the fitted plane
    middle: np.ndarray  # (3,)
    normal: np.ndarray  # (3,)

    @property
    def width(self) -> float:
        """Square root of the cap's area."""
        return float(np.sqrt(self.area))


@dataclass(frozen=True, eq=False)
class Caps:
    """Triangles that close the borders; ``opening`` (c,) is -1 for a hole of the scan."""

    faces: np.ndarray
    opening: np.ndarray
    openings: tuple[Opening, ...]
    holes: int
    holes_area: float
    largest_hole: float
    refusals: tuple[Finding, ...]
    findings: tuple[Finding, ...]


def border_loops(vertices: np.ndarray, faces: np.ndarray, edges: Edges) -> tuple[list[Loop], int]:
    """The closed borders of a consistently wound surface, longest across first.

    Where several holes meet in one vertex each keeps to its own fan of faces. Returns the loops and the
    number of border edges that belong to none (the surface is not wound alike there).
    """
    at = np.flatnonzero(edges.border[edges.of_face.ravel()])
    if not len(at):
        return [], 0
    face, side = at // 3, at % 3
    fan = _fans(faces, edges)
    start = fan[face, side]
    end = fan[face, (side + 1) % 3]
    leaves = {int(s): i for i, s in enumerate(start)}
    done = np.zeros(len(at), bool)
    loops, stray = [], 0
    for first in range(len(at)):
        if done[first]:
            continue
        chain, here = [], first
        while not done[here]:
            done[here] = True
            chain.append(here)
            here = leaves.get(int(end[here]), -1)
            if here < 0:
                break
        if here != first or len(chain) < 3:
            stray += len(chain)
            continue
        loops.append(_loop(vertices, faces[face[chain], side[chain]][::-1]))
    loops.sort(key=lambda loop: (-loop.span, *loop.middle.tolist()))
    return loops, stray


def _fans(faces: np.ndarray, edges: Edges) -> np.ndarray:
    """Label (m, 3) of every face corner: corners of one vertex share it where their faces hang together there."""
    left, right, edge = face_pairs(edges)
    joins = []
    for end in range(2):
        vertex = edges.ends[edge, end]
        joins.append(
            [
                left * 3 + (faces[left] == vertex[:, None]).argmax(axis=1),
                right * 3 + (faces[right] == vertex[:, None]).argmax(axis=1),
            ]
        )
    a, b = np.concatenate(joins, axis=1)
    size = faces.size
    _, label = connected_components(coo_matrix((np.ones(len(a), np.int8), (a, b)), shape=(size, size)), directed=False)
    return label.reshape(-1, 3)


def _loop(vertices: np.ndarray, order: np.ndarray) -> Loop:
    order = np.roll(order, -int(np.argmin(order)))
    points = vertices[order]
    middle = points.mean(axis=0)
    centred = points - middle
    following = np.roll(centred, -1, axis=0)
    area_vector = 0.5 * np.cross(centred, following).sum(axis=0)
    area = float(np.linalg.norm(area_vector))
    perimeter = float(np.linalg.norm(following - centred, axis=1).sum())
    axes = np.linalg.svd(centred, full_matrices=False)[2]
    normal = area_vector / area if area > 1e-6 * perimeter**2 else axes[2]
    along = centred @ axes.T
    return Loop(
        order,
        points,
        area_vector,
        area,
        perimeter,
        float(np.ptp(along, axis=0).max()),
        float(np.abs(centred @ normal).max()),
        middle,
        normal,
    )


def is_rim(loop: Loop, diagonal: float) -> bool:
    """Whether a border is a rim of the piece rather than a hole of the scan; ``diagonal`` [m] of the piece."""
    if loop.area <= 1e-3 * loop.perimeter**2:
        return False  # a crack: no width to speak of
    if loop.span >= HOLE_SPAN * diagonal:
        return True
    made = len(loop.vertices) >= ROUND_EDGES and 4 * np.pi * loop.area >= ROUNDNESS * loop.perimeter**2
    return bool(made and loop.span >= ROUND_SPAN_M and loop.rough <= FLAT_SILENT * loop.width)


def cap(vertices: np.ndarray, loops: list[Loop], diagonal: float) -> Caps:
    """Close every loop of `border_loops`: rims become named openings, holes of the scan are filled quietly.

    A rim inside another rim of the same plane that runs the other way round is the inner edge of one ring-shaped
    opening. A rim that is not near flat is refused: its cap would not be where the piece is open.
    """
    rims = [loop for loop in loops if is_rim(loop, diagonal)]
    holes = [loop for loop in loops if not is_rim(loop, diagonal)]
    faces, index, openings = [], [], []
    refusals, findings = [], []
    groups = sorted(_groups(rims), key=lambda g: (-_group_area(g), *g[0].middle.tolist()))
    for number, group in enumerate(groups):
        outer = group[0]
        name = f"opening {number + 1}"
        share = max(loop.rough for loop in group) / outer.width
        if share > FLAT_SILENT:
            words = (
                f"The rim of {name} ({length_words(outer.span)} across) is out of flat by "
                f"{length_words(max(loop.rough for loop in group))}, {share:.0%} of its width"
            )
            if share > FLAT_WARN:
                refusals.append(
                    Finding("refusal", "uneven rim", f"{words}; up to {FLAT_WARN:.0%} can be capped: cut it flat.")
                )
            else:
                findings.append(Finding("warning", "uneven rim", f"{words}: its cap is only near the true mouth."))
        made = _fill(group, outer.normal)
        faces.append(made)
        index.append(np.full(len(made), number))
        area = _group_area(group)
        centroid = _centroid(vertices, made)
        openings.append(
            Opening(name, _read_only(outer.points), _read_only(centroid), _read_only(outer.normal), float(area))
        )
    for loop in holes:
        made = _fill([loop], loop.normal)
        faces.append(made)
        index.append(np.full(len(made), -1))
    none = np.empty((0, 3), np.int64)
    return Caps(
        np.concatenate([none, *faces]),
        np.concatenate([np.empty(0, np.int32), *index]).astype(np.int32),
        tuple(openings),
        len(holes),
        float(sum(loop.area for loop in holes)),
        float(max((loop.span for loop in holes), default=0.0)),
        tuple(refusals),
        tuple(findings),
    )


def _group_area(group: list[Loop]) -> float:
    return group[0].area - sum(loop.area for loop in group[1:])


def _groups(rims: list[Loop]) -> list[list[Loop]]:
    """Rims that bound one opening: an outer one, then the inner edges of a ring-shaped one."""
    rims = sorted(rims, key=lambda loop: -loop.area)
    groups: list[list[Loop]] = []
    for loop in rims:
        for group in groups:
            outer = group[0]
            apart = abs((loop.middle - outer.middle) @ outer.normal)
            if (
                loop.normal @ outer.normal < -0.95
                and apart <= FLAT_SILENT * outer.width
                and _polygon(outer, outer).contains(_polygon(loop, outer))
            ):
                group.append(loop)
                break
        else:
            groups.append([loop])
    return groups


def _polygon(loop: Loop, plane: Loop) -> shapely.Polygon:
    return shapely.Polygon((loop.points - plane.middle) @ _basis(plane.normal).T).buffer(0)


def _basis(normal: np.ndarray) -> np.ndarray:
    """Two axes (2, 3) in the plane of ``normal`` that see it as pointing to the reader."""
    helper = np.eye(3)[np.argmin(np.abs(normal))]
    x = np.cross(helper, normal)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(normal, x)])


def _fill(group: list[Loop], normal: np.ndarray) -> np.ndarray:
    """Triangles (c, 3) over the loops' own vertices, wound along them; every border edge is used once."""
    basis = _basis(normal)
    flat = [loop.points @ basis.T for loop in group]
    order = np.concatenate([loop.vertices for loop in group])
    if len(order) == 3:
        return order.reshape(1, 3)
    return order[np.asarray(manifold3d.triangulate(flat), dtype=np.int64)].reshape(-1, 3)


def _centroid(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    corners = vertices[faces]
    weight = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    centroid: np.ndarray = (corners.mean(axis=1) * weight[:, None]).sum(axis=0) / weight.sum()
    return centroid


def _read_only(array: np.ndarray) -> np.ndarray:
    out = np.array(array, dtype=np.float64)
    out.setflags(write=False)
    return out
