"""A piece on its wall: what each anchor carries, whether it may, and what happens when one lets go."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from pourwright.cavity import PourFrame
from pourwright.errors import UsageError
from pourwright.outcome.balance import corner_centres, corner_masses
from pourwright.outcome.factors import chosen_factor
from pourwright.outcome.hang_cases import Judged, anchor_checks, judge, load_cases, one_gone
from pourwright.outcome.hang_checks import Rule, anchor_rules
from pourwright.outcome.hang_model import AnchorLoad, HangResult, LoadCase
from pourwright.outcome.hang_solve import Hung, Situation, situation
from pourwright.outcome.hang_warnings import hang_warnings
from pourwright.outcome.hanging import HangingPose, hanging_pose, hung_anchors
from pourwright.outcome.piece import GRAVITY, Piece, Surface
from pourwright.outcome.silhouette import six_views
from pourwright.outcome.site import Hang
from pourwright.ranges import Range

BEARS_M = 0.003
"""What is no farther than this from the back of the piece bears on the wall."""
MOST_POINTS = 32
"""Corners of what bears that are kept: the outermost, so that what is left lies inside it."""


@dataclass(frozen=True, eq=False)
class _Set:
    """The piece in the axes of the wall, and the way there from the axes of the frame."""

    pose: HangingPose
    shift: np.ndarray  # (3,) wall = to_wall @ frame - shift
    hung: Hung
    pivot: float | None

    @property
    def frame(self) -> PourFrame:
        return self.pose.frame

    def to_frame(self, wall: np.ndarray) -> np.ndarray:
        """Axes of the wall to axes of the frame."""
        return np.asarray((wall + self.shift) @ self.pose.to_wall)


def hang(piece: Piece, surface: Surface) -> HangResult:
    """Anchor loads of a finished piece on its wall.

    Low and high are the least and greatest over every corner of what is not known of the weights; an anchor is held
    to the high. The wall is a plane that the piece touches, or stands off by the job's gap; an anchor off that plane is
    taken where its line meets it. Every check runs with all anchors there, and again with each of them gone.

    Parameters
    ----------
    piece : Piece
        With ``site.hang`` and at least one anchor.
    surface : Surface

    Returns
    -------
    HangResult

    Raises
    ------
    UsageError
        The job names no anchor, or does not say how the piece hangs.
    """
    asked = piece.site.hang
    if asked is None or not piece.site.anchors:
        raise UsageError(
            "the job names no anchors: give [hang] with out and up, and one [[anchor]] or more, in the job or by --job"
        )
    made = _set_up(piece, surface, asked)
    factor = chosen_factor(asked.factor, asked.factor_value, asked.factor_reference)
    anchors = piece.site.anchors
    rules = tuple(anchor_rules(anchor, piece.foam, factor, asked.standoff_m) for anchor in anchors)
    names = tuple(anchor.name for anchor in anchors)
    whole = judge(situation(made.hung), names, rules)
    gone = [judge(situation(made.hung, k), names, rules) for k in range(len(anchors))]
    cases = tuple(case for judged in (whole, *gone) for case in load_cases(judged, made.hung, rules))
    worst = _governing(cases)
    total = made.hung.masses.sum(axis=1)
    kg = Range(float(total.min()), float(total[0]), float(total.max()))
    centres = made.frame.to_standing(corner_centres(piece.parts, made.hung.masses))
    walled = centres @ made.pose.to_wall.T - made.shift
    backed = [way.wall for way in whole.situation.possible if way.wall is not None]
    result = HangResult(
        frame=made.frame,
        kg=kg,
        weight_n=kg * GRAVITY,
        centre_m=centres[0],
        centre_low_m=centres.min(axis=0),
        centre_high_m=centres.max(axis=0),
        tilt_rad=made.pose.tilt_rad,
        wall_at_m=float(made.shift[2]),
        standoff_m=float(walled[0, 2]),
        pivot_m=made.pivot,
        bearing_n=_range(backed[0][:, 0]) if backed else None,
        anchors=_loads(made, whole, gone, rules),
        one_gone=tuple(one_gone(judged, whole.situation) for judged in gone),
        cases=cases,
        governing="" if worst is None else worst.name,
        utilisation=math.nan if worst is None else worst.utilisation,
        views=six_views(made.frame.to_standing(surface.vertices_m), surface.faces),
        factor=factor,
        in_balance=whole.situation.stays,
        warnings=(),
    )
    shear = whole.situation.shear_n
    return replace(result, warnings=hang_warnings(piece, result, walled, made.hung.anchors, shear))


def _governing(cases: tuple[LoadCase, ...]) -> LoadCase | None:
    known = [case for case in cases if not math.isnan(case.utilisation)]
    return max(known, key=lambda case: case.utilisation, default=None)


def _loads(
    made: _Set, whole: Judged, gone: list[Judged], rules: tuple[tuple[Rule, ...], ...]
) -> tuple[AnchorLoad, ...]:
    now = whole.situation
    alone, backed = (next((w.out_n for w in now.ways if w.bears is bears), None) for bears in (False, True))
    known = [out for out in (alone, backed) if out is not None]
    pull = np.maximum(np.max(known, axis=0), 0.0) if known else None
    # A single anchor beside the weight has no pattern to speak of: the weight is all there is.
    bare = -made.hung.masses.sum(axis=1) * made.hung.down_n_kg
    rows = []
    for k, name in enumerate(whole.names):
        sizes = bare if now.shear_n is None else np.linalg.norm(now.shear_n[:, k], axis=1)
        way = np.array([0.0, -1.0]) if now.shear_n is None else now.shear_n[0, k] / max(sizes[0], 1e-12)
        lost_shear, lost_pull = _without(k, gone)
        rows.append(
            AnchorLoad(
                name=name,
                place_m=made.to_frame(made.hung.anchors[k]),
                on_wall_m=made.hung.anchors[k, :2].copy(),
                shear_n=_range(sizes),
                shear_way=way,
                alone_n=None if alone is None else _range(alone[:, k]),
                backed_n=None if backed is None else _range(backed[:, k]),
                pull_n=None if pull is None else _range(pull[:, k]),
                push_n=0.0 if alone is None else float(np.maximum(-alone[:, k], 0.0).max()),
                one_gone_shear_n=lost_shear,
                one_gone_pull_n=lost_pull,
                checks=anchor_checks(k, rules[k], whole, gone),
            )
        )
    return tuple(rows)


def _without(k: int, gone: list[Judged]) -> tuple[float, float]:
    """Greatest shear and pull of an anchor with another one gone; infinite where the piece then does not stay."""
    others: list[Situation] = [judged.situation for judged in gone if judged.situation.gone != k]
    if not others or not all(other.stays for other in others):
        return math.inf, math.inf
    shear = max(
        float(np.linalg.norm(other.shear_n[:, k], axis=1).max()) for other in others if other.shear_n is not None
    )
    pull = max(float(way.out_n[:, k].max()) for other in others for way in other.possible if way.out_n is not None)
    return shear, max(pull, 0.0)


def _set_up(piece: Piece, surface: Surface, asked: Hang) -> _Set:
    pose = hanging_pose(surface.vertices_m, asked)
    frame, to_wall = pose.frame, pose.to_wall
    wall_at = pose.back_m - asked.standoff_m
    # Up in the wall counts from where the wall is as low as the lowest point of the piece.
    base = float(to_wall[1, 1]) * wall_at / float(pose.out[1])
    shift = np.array([0.0, base, wall_at])
    touching, pivot = np.zeros((0, 2)), None
    if asked.standoff_m <= BEARS_M:
        standing = frame.to_standing(surface.vertices_m)
        back = standing[standing @ pose.out <= pose.back_m + BEARS_M] @ to_wall.T - shift
        touching, pivot = _outermost(back[:, :2]), float(back[:, 1].min())
    hung = Hung(
        anchors=frame.to_standing(hung_anchors(piece.site.anchors, pose)) @ to_wall.T - shift,
        stiffness=np.array([anchor.stiffness for anchor in piece.site.anchors]),
        touching=touching,
        parts=frame.to_standing(np.array([part.centre_m for part in piece.parts])) @ to_wall.T - shift,
        masses=corner_masses(piece.parts),
        tilt_rad=pose.tilt_rad,
    )
    return _Set(pose, shift, hung, pivot)


def _outermost(points: np.ndarray) -> np.ndarray:
    """Corners (m, 2) of the hull of points (n, 2), or as many of them as are kept."""
    hull = np.unique(shapely.get_coordinates(shapely.MultiPoint(points).convex_hull), axis=0)
    if len(hull) <= MOST_POINTS:
        return hull
    ways = np.arange(MOST_POINTS) * 2 * np.pi / MOST_POINTS
    return hull[np.unique((hull @ np.array([np.cos(ways), np.sin(ways)])).argmax(axis=0))]


def _range(values: np.ndarray) -> Range:
    """Row 0 is nominal."""
    return Range(float(values.min()), float(values[0]), float(values.max()))
