"""The search for flat panels: even seeds, regions grown from them, the worst kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from scipy.spatial import cKDTree

from pourwright.panels.grow import grow
from pourwright.panels.shape import (
    Panel,
    bulge_share,
    counted_radius,
    fit_quadric,
    outline_of,
    panel_words,
    principal_bends,
    sides_m,
    tangent_frame,
    thinned,
)
from pourwright.shell import (
    Skin,
    SkinKind,
    areas,
    cone_volumes,
    corner_vectors,
    cut,
    edges_of,
    first_hits,
    mates_of,
    planes_of,
)

SAMPLES, SEEDS, NEAR = 20_000, 300, 0.25
STEEPEST = np.tan(np.radians(30.0))
"""A panel ends where the skin has turned by this much from its middle; beyond, curvature carries it."""
TOLERANCE_SHARE, TOLERANCE_SIZE = 0.5, 1e-3
"""A face belongs to a panel within half a wall thickness (or this share of the piece's diagonal) of its surface."""


@dataclass(frozen=True, eq=False)
class Region:
    """A region grown from one seed, as the numbers that grow it again."""

    seed: int
    origin: np.ndarray
    frame: np.ndarray
    coefficients: np.ndarray
    bend: np.ndarray  # (2,) principal curvatures, the tighter first; negative where it bulges outwards
    radius: float
    tolerance: float
    thickness: float
    bulge: float
    width: float = 0.0


def _area(triangles: np.ndarray) -> float:
    """Of triangles (m, 3, 3) [m2]."""
    return 0.5 * float(np.linalg.norm(np.cross(*(triangles[:, k] - triangles[:, 0] for k in (1, 2))), axis=1).sum())


class PanelSearch:
    """Everything that is made once for a skin: adjacency, even samples, and the walk's work space."""

    def __init__(self, skin: Skin):
        self.skin = skin
        both = skin.kind is SkinKind.BOTH_FACES
        pick = (skin.void_face if both else ~skin.void_face) & (skin.cap_opening < 0)
        self.all_faces = skin.faces
        self.faces = np.ascontiguousarray(skin.faces[pick][:, ::-1] if both else skin.faces[pick])
        self.vertices = np.ascontiguousarray(skin.vertices_m)
        self.z0 = float(self.vertices[:, 2].min())
        double = corner_vectors(self.vertices, self.faces)
        size = np.linalg.norm(double, axis=1)
        self.normals = double / np.maximum(size, 1e-300)[:, None]
        self.area = areas(self.vertices, self.faces)
        mate = mates_of(edges_of(self.faces))
        self.neighbour = np.where(mate < 0, -1, mate // 3).reshape(-1, 3)
        self.stamp = np.full(len(self.faces), -1, np.int64)
        self.queue = np.empty(len(self.faces), np.int64)
        self.mark = 0
        self._spread()
        self.diagonal = float(np.linalg.norm(np.ptp(self.vertices, axis=0)))

    def _spread(self) -> None:
        level = np.cumsum(self.area)
        n = min(SAMPLES, 20 * max(len(self.faces), 1000))
        i = np.arange(n)
        self.of = np.minimum(np.searchsorted(level, (i + 0.5) / n * level[-1]), len(level) - 1)
        u, v = (i * 0.7548776662466927) % 1.0, (i * 0.5698402909980532) % 1.0  # an even sequence in the square
        fold = u + v > 1
        u, v = np.where(fold, 1 - u, u), np.where(fold, 1 - v, v)
        a, b, c = (self.vertices[self.faces[self.of, k]] for k in range(3))
        self.points = a + u[:, None] * (b - a) + v[:, None] * (c - a)
        self.tree = cKDTree(self.points)
        self.spacing = float(np.sqrt(level[-1] / n))

    def best(self, count: int) -> tuple[Panel, ...]:
        """The worst ``count`` panels, worst first."""
        regions: list[Region] = []
        seen = np.zeros(len(self.points), bool)
        step = max(1, len(self.points) // SEEDS)
        for sample in range(step // 2, len(self.points), step):
            if seen[sample]:
                continue
            region = self._region(sample)
            if region is None:
                continue
            regions.append(region)
            # a plane is the same from each of its points; a curved region nearly so from near its middle
            inside = self.stamp[self.of] == self.mark
            if np.isfinite(counted_radius(region.bend, region.width, region.thickness)[0]):
                inside &= np.linalg.norm(self.points - region.origin, axis=1) < NEAR * region.width
            seen |= inside
        regions.sort(key=lambda r: (-r.bulge, r.seed))
        taken = np.zeros(len(self.faces), bool)
        out: list[tuple[float, Panel]] = []
        for region in regions:
            if len(out) >= 2 * count:
                break
            faces = self._walk(region)[0]
            if self.area[faces[taken[faces]]].sum() > 0.5 * self.area[faces].sum():
                continue
            taken[faces] = True
            panel = self._panel(region, faces)
            if panel is not None:
                out.append((bulge_share(panel.width_m, panel.thickness_m, panel.radius_m, panel.double), panel))
        out.sort(key=lambda pair: -pair[0])
        return tuple(panel for _, panel in out[:count])

    def _region(self, sample: int) -> Region | None:
        seed, origin = int(self.of[sample]), self.points[sample]
        radius = 6.0 * self.spacing
        near = np.asarray(self.tree.query_ball_point(origin, radius))
        near = near[self.normals[self.of[near]] @ self.normals[seed] > 0.5]
        normal = self.normals[self.of[near]].sum(axis=0)
        normal /= np.linalg.norm(normal)
        frame = tangent_frame(normal)
        thickness = self._wall(origin, normal)
        tolerance = max(TOLERANCE_SHARE * thickness, TOLERANCE_SIZE * self.diagonal)
        at = self.points[near]
        coefficients = np.zeros(6)
        while True:
            coefficients = fit_quadric((thinned(at) - origin) @ frame.T, tolerance)
            region = Region(seed, origin, frame, coefficients, np.zeros(2), radius, tolerance, thickness, 0.0)
            held = self._walk(region)[1]
            inside = self.stamp[self.of] == self.mark
            at = self.points[inside]
            if len(at) < 8 or not held:
                break
            radius *= 2
        if len(at) < 8:
            return None
        across = np.cov((at - origin) @ frame[:2].T, rowvar=False)
        width = float(np.sqrt(12 * np.linalg.eigvalsh(across)[0]))
        bend = principal_bends(fit_quadric((thinned(at) - origin) @ frame.T, tolerance), across)
        counted, double, _ = counted_radius(bend, width, thickness)
        bulge = bulge_share(width, thickness, counted, double)
        return Region(seed, origin, frame, coefficients, bend, radius, tolerance, thickness, bulge, width)

    def _walk(self, region: Region) -> tuple[np.ndarray, bool]:
        self.mark += 1
        size, held = grow(
            region.seed,
            self.neighbour,
            self.faces,
            self.vertices,
            self.normals,
            region.frame,
            region.origin,
            region.coefficients,
            region.tolerance,
            float(STEEPEST),
            region.radius,
            self.stamp,
            self.mark,
            self.queue,
        )
        return self.queue[:size].copy(), held

    def _wall(self, point: np.ndarray, normal: np.ndarray) -> float:
        if self.skin.kind is not SkinKind.BOTH_FACES:
            return float(self.skin.thickness_of(point[None])[0])
        if not hasattr(self, "_mean_wall"):
            solid = abs(float(cone_volumes(self.vertices, self.all_faces).sum()))
            self._mean_wall = 2 * solid / float(areas(self.vertices, self.all_faces).sum())
        return self._mean_wall

    def _gauged(self, region: Region, shape: shapely.Polygon) -> np.ndarray:
        """Points (k, 3) of a panel at which its wall was measured."""
        if self.skin.gauge is None:
            return np.zeros((0, 3))
        points = self.skin.gauge.points_m
        flat = (points - region.origin) @ region.frame.T
        off = np.linalg.norm(self._on_model(region, flat[:, :2]) - points, axis=1)
        near = off <= 2.0 * region.tolerance  # a wall: a point is not always right on the mesh
        return np.asarray(points[near & shapely.intersects_xy(shape, flat[:, 0], flat[:, 1])])

    def _thinnest(self, faces: np.ndarray, point: np.ndarray, normal: np.ndarray, gauged: np.ndarray) -> float:
        """The least wall of a panel [m]; ``gauged`` (k, 3) are points of it where that was measured."""
        corners = self.vertices[self.faces[faces]]
        if self.skin.kind is SkinKind.BOTH_FACES:
            picks = faces[np.linspace(0, len(faces) - 1, 9).astype(int)]
            starts = np.vstack([self.vertices[self.faces[picks]].mean(axis=1), point])
            outer = self.outer[self._abreast(starts, normal)]
            if not len(outer):
                return float("inf")
            ways = np.broadcast_to(normal, starts.shape)
            through = first_hits(starts, ways, self.diagonal, self.vertices, outer)
            return float(through.min())
        rest, on, least = corners, [], 1e-9 * float(self.area[faces].sum())
        for own in reversed(self.skin.regions):  # of those that overlap the later one holds
            inside, rest = cut(rest, planes_of(own, self.vertices))
            if _area(inside) > least:
                on.append(own.thickness_m)
        if self.skin.gauge is not None:
            on += self.skin.thickness_of(gauged).tolist()
        if _area(rest) > least:
            if self.skin.gauge is not None:
                on.append(float(self.skin.gauge.at(np.vstack([rest.reshape(-1, 3), rest.mean(axis=1)])).min()))
            else:
                low, high = rest[..., 2].min() - self.z0, rest[..., 2].max() - self.z0
                on += [b.thickness_m for b in self.skin.bands if b.from_m < high and b.to_m > low]
        return float(min(on)) if on else self._wall(point, normal)

    @cached_property
    def outer(self) -> np.ndarray:
        """Faces (k, 3) that are of no void."""
        return self.all_faces[~self.skin.void_face]

    def _abreast(self, starts: np.ndarray, way: np.ndarray) -> np.ndarray:
        """Which outer faces a ray from one of ``starts`` (k, 3) along ``way`` could meet, seen along it: no others."""
        across = tangent_frame(way)[:2].T
        seen, at = self.vertices @ across, starts @ across
        spare = 1e-9 * self.diagonal
        inside = np.ones(len(self.outer), bool)
        for axis in range(2):
            a, b, c = (seen[self.outer[:, k], axis] for k in range(3))
            inside &= np.maximum(np.maximum(a, b), c) >= at[:, axis].min() - spare
            inside &= np.minimum(np.minimum(a, b), c) <= at[:, axis].max() + spare
        return np.flatnonzero(inside)

    def _panel(self, region: Region, faces: np.ndarray) -> Panel | None:
        shape = self._shape(region, faces)
        if shape is None:
            return None
        circle = shapely.maximum_inscribed_circle(shape, tolerance=1e-3 * np.sqrt(shape.area))
        middle = np.array(circle.coords[0])
        width = 2.0 * float(circle.length)
        centre = shape.centroid  # a long panel has many largest circles: the middle one is meant
        if shape.contains(centre) and 2.0 * shape.boundary.distance(centre) >= 0.9 * width:
            middle = np.array(centre.coords[0])
        area = float(self.area[faces].sum())
        length = max(width, min(sides_m(shape)[0], area / width))
        point = self._on_model(region, middle[None])[0]
        normal = self._normal_at(region, middle)
        thickness = self._thinnest(faces, point, normal, self._gauged(region, shape))
        radius, double, dished = counted_radius(region.bend, width, thickness)
        free = self._free_edge(faces)
        outline = self._on_model(region, np.array(shape.exterior.coords)[:-1])
        for array in (point, normal, outline):
            array.setflags(write=False)
        words = panel_words(width, length, radius, double, dished, free, thickness)
        return Panel(width, length, radius, double, dished, free, thickness, point, normal, outline, area, words)

    def _shape(self, region: Region, faces: np.ndarray) -> shapely.Polygon | None:
        flat = (self.vertices - region.origin) @ region.frame[:2].T
        inside = np.zeros(len(self.faces) + 1, bool)
        inside[faces] = True
        row, side = np.nonzero(~inside[self.neighbour[faces]])
        ends = np.stack([self.faces[faces[row], side], self.faces[faces[row], (side + 1) % 3]], axis=1)
        triangles = flat[self.faces[faces]]
        a, b = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
        area = 0.5 * float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
        return outline_of(flat[ends], area, triangles)

    def _free_edge(self, faces: np.ndarray) -> float:
        """Length of the region's sides that are borders of the skin, where an opening begins."""
        at = self.neighbour[faces] < 0
        if not at.any() or not len(self.skin.openings):
            return 0.0
        rim = np.zeros(len(self.vertices), bool)
        rim[self.all_faces[self.skin.cap_opening >= 0]] = True
        row, side = np.nonzero(at)
        a, b = self.faces[faces[row], side], self.faces[faces[row], (side + 1) % 3]
        on = rim[a] & rim[b]
        return float(np.linalg.norm(self.vertices[a[on]] - self.vertices[b[on]], axis=1).sum())

    def _on_model(self, region: Region, xy: np.ndarray) -> np.ndarray:
        x, y = xy.T
        c = region.coefficients
        z = c[0] + c[1] * x + c[2] * y + c[3] * x * x + c[4] * x * y + c[5] * y * y
        out: np.ndarray = np.column_stack([x, y, z]) @ region.frame + region.origin
        return out

    def _normal_at(self, region: Region, xy: np.ndarray) -> np.ndarray:
        x, y = xy
        c = region.coefficients
        n = np.array([-(c[1] + 2 * c[3] * x + c[4] * y), -(c[2] + c[4] * x + 2 * c[5] * y), 1.0]) @ region.frame
        out: np.ndarray = n / np.linalg.norm(n)
        return out
