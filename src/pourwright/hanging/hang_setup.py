"""A piece set against its wall: axes of the wall, where it touches, its weights and the loads on it; no anchors yet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from pourwright.cavity import PourFrame
from pourwright.hanging.hang_loads import Combined, Shape, combined, weight_of
from pourwright.hanging.hang_sets import SETS
from pourwright.hanging.hang_solve import Hung
from pourwright.hanging.pose import HangingPose, hanging_pose, hung_point
from pourwright.hanging.traced import Solid, solid_of
from pourwright.outcome import Hang, Piece, Silhouette, Surface, corner_centres, corner_masses

BEARS_M = 0.003
"""What is no farther than this from the back of the piece bears on the wall."""
MOST_POINTS = 32
"""Corners of what bears that are kept: the outermost, so that what is left lies inside it."""


@dataclass(frozen=True, eq=False)
class SetUp:
    """The piece in the axes of the wall (right, up in it, off it), and the way there from the axes of the frame."""

    pose: HangingPose
    shift: np.ndarray  # (3,) wall = to_wall @ frame - shift
    touching: np.ndarray  # (m, 2) where the back can bear on the wall
    pivot: float | None  # height of the lowest of them
    masses: np.ndarray  # (c, p) at every corner of the weights
    centres_m: np.ndarray  # (c, 3) of mass
    solid: Solid

    @property
    def frame(self) -> PourFrame:
        """Axes of the hanging piece: right, back and up as the reader faces the wall."""
        return self.pose.frame

    def to_frame(self, wall: np.ndarray) -> np.ndarray:
        """Axes of the wall to axes of the frame."""
        return np.asarray((wall + self.shift) @ self.pose.to_wall)

    def to_wall(self, shell: np.ndarray) -> np.ndarray:
        """Points (n, 3) of the shell file's axes to axes of the wall."""
        return np.asarray(self.frame.to_standing(shell) @ self.pose.to_wall.T - self.shift)

    def hung(self, places: np.ndarray, stiffness: np.ndarray) -> Hung:
        """The piece on anchors at places (n, 3) in the axes of the wall."""
        return Hung(places, stiffness, self.touching, self.masses)


def set_up(piece: Piece, surface: Surface, asked: Hang) -> SetUp:
    """A piece against its wall."""
    pose = hanging_pose(surface.vertices_m, asked)
    frame, to_wall = pose.frame, pose.to_wall
    wall_at = pose.back_m - asked.standoff_m
    # Up in the wall counts from where the wall is as low as the lowest point of the piece.
    base = float(to_wall[1, 1]) * wall_at / float(pose.out[1])
    shift = np.array([0.0, base, wall_at])
    walled = frame.to_standing(surface.vertices_m) @ to_wall.T - shift
    touching, pivot = np.zeros((0, 2)), None
    if asked.standoff_m <= BEARS_M:
        back = walled[walled[:, 2] <= asked.standoff_m + BEARS_M]
        touching, pivot = _outermost(back[:, :2]), float(back[:, 1].min())
    masses = corner_masses(piece.parts)
    centres = frame.to_standing(corner_centres(piece.parts, masses)) @ to_wall.T - shift
    return SetUp(
        pose,
        shift,
        touching,
        pivot,
        masses,
        centres,
        solid_of(surface, piece.bands, walled, piece.regions, piece.gauge),
    )


def loads_on(piece: Piece, made: SetUp, views: tuple[Silhouette, ...]) -> tuple[Combined, ...]:
    """Every combination of loads on the piece, the weight alone first."""
    asked = piece.site.hang
    assert asked is not None
    frame = made.frame
    skin = [part for part in piece.parts if part.kind == "skin"] or list(piece.parts)
    kg = np.array([part.kg.nominal for part in skin])
    middle = kg @ np.array([part.centre_m for part in skin]) / max(float(kg.sum()), 1e-12)
    spots = tuple(
        None if load.spot is None else frame.to_standing(hung_point(load.spot, made.pose)) for load in asked.loads
    )
    shape = Shape(frame.size_m, views, piece.area_m2, frame.to_standing(middle), made.pose.to_wall, made.shift, spots)
    weight = weight_of(made.masses, made.centres_m, shape)
    named = SETS[asked.load_set] if asked.load_set else None
    return combined(asked.loads, asked.combinations, named, weight, shape)


def _outermost(points: np.ndarray) -> np.ndarray:
    """Corners (m, 2) of the hull of points (n, 2), or as many of them as are kept."""
    hull = np.unique(shapely.get_coordinates(shapely.MultiPoint(points).convex_hull), axis=0)
    if len(hull) <= MOST_POINTS:
        return hull
    ways = np.arange(MOST_POINTS) * 2 * np.pi / MOST_POINTS
    return hull[np.unique((hull @ np.array([np.cos(ways), np.sin(ways)])).argmax(axis=0))]
