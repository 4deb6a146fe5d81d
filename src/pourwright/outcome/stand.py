"""A piece on its base: the ground it covers, how far it may lean and what pushes it over."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from pourwright.cavity import PourFrame, pour_frame
from pourwright.findings import Code, Finding, finding
from pourwright.outcome.balance import corner_centres, corner_masses, parts_at, weigh
from pourwright.outcome.parts import FINISHED
from pourwright.outcome.piece import GRAVITY, Piece, Surface
from pourwright.outcome.site import Stand
from pourwright.physics.statics import tip_angle
from pourwright.ranges import Range

EARLY_RAD = math.radians(10.0)
"""A piece that tips before it leans by so much is held while it is worked on; our judgement, no published source."""


@dataclass(frozen=True, eq=False)
class StandStage:
    """The standing piece at one stage of filling; the least over everything that is not known of its weight."""

    name: str
    number: int
    kg: Range
    centre_m: np.ndarray  # (3,) nominal, standing axes
    edge_m: Range  # least distance from below the centre of mass to an edge; negative: it falls
    angle_rad: Range  # at which it tips over that edge
    way: np.ndarray  # (2,) unit, in which it tips, nominal: right, back
    push_n: Range | None  # sideways force at the centre of mass that tips it; None: it falls by itself
    top_push_n: Range | None  # the same at its highest point
    stands: bool
    words: str


@dataclass(frozen=True, eq=False)
class StandResult:
    """The piece on the ground. Points in the axes of ``frame``: right, back, up."""

    frame: PourFrame
    support: shapely.Geometry  # hull of what touches the ground, in plan, of the finished piece
    bare_support: shapely.Geometry  # the same of the shell alone, at every stage before
    ground_m: float  # height of the ground under the finished piece; not above 0
    touching: int  # corners of the mesh within the tolerance
    contact_m: float
    slope_rad: float
    stages: tuple[StandStage, ...]
    warnings: tuple[Finding, ...]


def stand(piece: Piece, surface: Surface) -> StandResult:
    """Tipping of the standing piece at every stage of filling.

    It tips over the edge of the hull of its contact points that asks for the least lean, in the worst direction. The
    ground is firm and level but for the job's slope, which is taken in the worst direction too; nothing holds the base.

    Parameters
    ----------
    piece : Piece
    surface : Surface
    """
    asked = piece.site.stand
    frame = piece.frame
    if asked.up is not None:
        frame = pour_frame(surface.vertices_m, np.asarray(asked.up), -piece.frame.rotation[1])
    standing = frame.to_standing(surface.vertices_m)
    touching = standing[standing[:, 2] <= asked.contact_m][:, :2]
    bare = shapely.MultiPoint(touching).convex_hull
    support, ground = _with_pads(frame, asked, standing)
    stages = []
    for stage in weigh(piece.parts, piece.lined).stages:
        parts = parts_at(piece.parts, stage.number)
        masses = corner_masses(parts)
        centres = frame.to_standing(corner_centres(parts, masses))
        done = stage.number == FINISHED
        base, under = (support, ground) if done else (bare, 0.0)
        lifted = centres - np.array([0.0, 0.0, under])
        height = float(frame.size_m[2]) - under
        made = _stage(stage.name, stage.number, base, masses.sum(axis=1), lifted, height, asked.slope_rad)
        stages.append(replace(made, centre_m=centres[0]))
    warnings = _warnings(bare, support, stages, asked.slope_rad)
    return StandResult(
        frame, support, bare, ground, len(touching), asked.contact_m, asked.slope_rad, tuple(stages), warnings
    )


def _with_pads(frame: PourFrame, asked: Stand, standing: np.ndarray) -> tuple[shapely.Geometry, float]:
    """Hull of what touches the ground with the job's pads, and the height of that ground."""
    points = standing
    if asked.pads_m:
        points = np.vstack([standing, frame.to_standing(np.array(asked.pads_m))])
    ground = min(float(points[:, 2].min()), 0.0)
    return shapely.MultiPoint(points[points[:, 2] <= ground + asked.contact_m][:, :2]).convex_hull, ground


def edge_distances(support: shapely.Geometry, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Distance (c, e) from points (c, 2) in to each edge of a convex hull, and the edges' outward normals (e, 2).

    Negative outside. A hull that is a line or a point has no inside: every distance is 0 or negative.

    >>> d, n = edge_distances(shapely.box(0, 0, 2, 1), np.array([[0.5, 0.5]]))
    >>> sorted(d[0].tolist())
    [0.5, 0.5, 0.5, 1.5]
    """
    if isinstance(support, shapely.Polygon):
        ring = np.asarray(shapely.orient_polygons(support).exterior.coords)
        start, along = ring[:-1], np.diff(ring, axis=0)
        normal = np.column_stack([along[:, 1], -along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
        return np.einsum("ed,ced->ce", normal, start[None] - points[:, None]), normal
    near = shapely.get_coordinates(shapely.shortest_line(shapely.points(points), support)).reshape(-1, 2, 2)
    away = near[:, 0] - near[:, 1]
    size = np.linalg.norm(away, axis=1)
    normal = away[:1] / size[0] if size[0] > 1e-12 else np.array([[1.0, 0.0]])
    return -size[:, None], normal


def _stage(
    name: str,
    number: int,
    support: shapely.Geometry,
    total: np.ndarray,
    centres: np.ndarray,
    height: float,
    slope_rad: float,
) -> StandStage:
    kg = Range.of_rows(total)
    distance, normal = edge_distances(support, centres[:, :2])
    angle = np.asarray(tip_angle(centres[:, 2:3], distance))  # type: ignore[arg-type]  # arrays pass through
    worst = angle.argmin(axis=1)
    rows = np.arange(len(angle))
    least, edge = angle[rows, worst], distance[rows, worst]
    stands = bool(least.min() > slope_rad)
    push = top = None
    if stands:
        # On the slope the piece leans already: what is left is the lean from there.
        push_n = total * GRAVITY * np.tan(least - slope_rad)
        push = Range.of_rows(push_n)
        top = Range.of_rows(push_n * centres[:, 2] / height)
    way = normal[worst[0]]
    words = _words(name, float(least[0]), float(least.min()), way, stands, slope_rad)
    return StandStage(
        name, number, kg, centres[0], Range.of_rows(edge), Range.of_rows(least), way, push, top, stands, words
    )


def way_words(way: np.ndarray) -> str:
    """A direction in plan in words.

    >>> way_words(np.array([1.0, 0.0])), way_words(np.array([-0.7, -0.7]))
    ('to the right', 'to the front left')
    """
    parts = []
    if abs(way[1]) > 0.38:
        parts.append("back" if way[1] > 0 else "front")
    if abs(way[0]) > 0.38:
        parts.append("right" if way[0] > 0 else "left")
    return "to the " + " ".join(parts)


def _words(name: str, nominal: float, least: float, way: np.ndarray, stands: bool, slope_rad: float) -> str:
    if least <= 0:
        return f"{name}: it FALLS by itself {way_words(way)}."
    if not stands:
        return (
            f"{name}: it tips at {math.degrees(least):.1f} degrees, which the slope of {math.degrees(slope_rad):.1f} "
            "degrees reaches."
        )
    return (
        f"{name}: it tips {way_words(way)} when it leans by {math.degrees(nominal):.1f} degrees "
        f"({math.degrees(least):.1f} at least)."
    )


def _warnings(
    bare: shapely.Geometry, support: shapely.Geometry, stages: list[StandStage], slope_rad: float
) -> tuple[Finding, ...]:
    lines = []
    for base, what in ((bare, "The shell"), (support, "The finished piece")):
        if not isinstance(base, shapely.Polygon):
            lines.append(finding(Code.STANDS_ON_NO_BASE, what, line=float(isinstance(base, shapely.LineString))))
    falls = [stage.name for stage in stages if stage.angle_rad.low <= 0]
    slides = [stage.name for stage in stages if not stage.stands and stage.angle_rad.low > 0]
    if falls:
        lines.append(finding(Code.FALLS, *falls))
    if slides:
        lines.append(finding(Code.SLOPE_TIPS, *slides, slope_rad=slope_rad))
    steady = [stage for stage in stages if stage.stands]
    if steady:
        least = min(steady, key=lambda stage: stage.angle_rad.low)
        if least.angle_rad.low - slope_rad < EARLY_RAD:
            lines.append(finding(Code.TIPS_EARLY, least.name, angle_rad=least.angle_rad.low, early_rad=EARLY_RAD))
    return tuple(lines)
