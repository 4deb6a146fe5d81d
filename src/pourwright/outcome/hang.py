"""A piece on its wall: what each anchor carries, whether it may, and what happens when one lets go."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.errors import UsageError
from pourwright.outcome.balance import corner_centres, corner_masses
from pourwright.outcome.factors import chosen_factor
from pourwright.outcome.hang_checks import capacity_checks, insert_checks
from pourwright.outcome.hang_model import AnchorLoad, HangResult, OneGone
from pourwright.outcome.hang_solve import WallLoads, wall_loads
from pourwright.outcome.hang_warnings import hang_warnings
from pourwright.outcome.hanging import hanging_pose, hung_anchors
from pourwright.outcome.piece import GRAVITY, Piece, Surface
from pourwright.outcome.silhouette import six_views
from pourwright.outcome.site import Anchor, Hang
from pourwright.ranges import Range

BEARS_M = 0.003
"""What is no farther than this from the back of the piece bears on the wall."""


@dataclass(frozen=True, eq=False)
class _Set:
    """Places in wall axes (right, up in the wall, off the wall) and the corners of the masses."""

    frame: PourFrame
    to_wall: np.ndarray  # (3, 3) rows right, up, out in the axes of the frame
    wall_at: float
    tilt: float
    anchors: np.ndarray  # (n, 3)
    parts: np.ndarray  # (p, 3)
    masses: np.ndarray  # (c, p)
    pivot: float | None


def hang(piece: Piece, surface: Surface) -> HangResult:
    """Anchor loads of a finished piece on its wall.

    Low and high are the least and greatest over every corner of what is not known of the weights; an anchor is held
    to the high. The wall is a plane that the piece touches, or stands off by the job's gap; an anchor off that plane is
    taken where its line meets it.

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
    anchors = piece.site.anchors
    made = _set_up(piece, surface, asked)
    stiffness = np.array([anchor.stiffness for anchor in anchors])
    loads = wall_loads(made.anchors[:, :2], stiffness, made.parts, made.tilt, made.pivot)
    total = made.masses.sum(axis=1)
    kg = Range(float(total.min()), float(total[0]), float(total.max()))
    centres = corner_centres(piece.parts, made.masses) @ made.frame.rotation.T - made.frame.offset_m
    shear, about_centroid, about_edge, pull = _corner_loads(loads, made.masses)
    gone = [_without(k, anchors, stiffness, made, shear, pull) for k in range(len(anchors))]
    factor = chosen_factor(asked.factor, asked.factor_value, asked.factor_reference)
    # A single anchor or a body that is out of balance has no pattern to speak of: the weight is all there is.
    rows = []
    for k, anchor in enumerate(anchors):
        sizes = np.linalg.norm(shear[:, k], axis=1) if shear is not None else total * GRAVITY * math.cos(made.tilt)
        way = shear[0, k] / max(sizes[0], 1e-12) if shear is not None else np.array([0.0, -1.0])
        row = AnchorLoad(
            anchor.name,
            made.frame.to_standing(_shell_point(made, made.anchors[k])),
            made.anchors[k, :2].copy(),
            _range(sizes),
            way,
            None if about_centroid is None else _range(about_centroid[:, k]),
            None if about_edge is None else _range(about_edge[:, k]),
            None if pull is None else _range(pull[:, k]),
            float(max((g.shears[k] for j, g in enumerate(gone) if j != k), default=math.inf)),
            float(max((g.pulls[k] for j, g in enumerate(gone) if j != k), default=math.inf)),
            (),
        )
        checks = capacity_checks(anchor, row, factor) + insert_checks(anchor, row, piece.foam, asked.standoff_m)
        rows.append(replace(row, checks=checks))
    bearing = None
    if about_edge is not None:
        bearing = _range(np.maximum(about_edge.sum(axis=1) - total * loads.pull_n_kg, 0.0))
    off = centres @ made.to_wall[2] - made.wall_at
    holds = shear is not None and pull is not None
    result = HangResult(
        frame=made.frame,
        kg=kg,
        weight_n=kg * GRAVITY,
        centre_m=centres[0],
        centre_low_m=centres.min(axis=0),
        centre_high_m=centres.max(axis=0),
        tilt_rad=made.tilt,
        wall_at_m=made.wall_at,
        standoff_m=float(off[0]),
        pivot_m=made.pivot,
        bearing_n=bearing,
        anchors=tuple(rows),
        one_gone=tuple(g.report for g in gone),
        views=six_views(made.frame.to_standing(surface.vertices_m), surface.faces),
        factor=factor,
        holds=holds,
        warnings=(),
    )
    return replace(result, warnings=hang_warnings(piece, result, centres @ made.to_wall.T, made.anchors, shear))


def _set_up(piece: Piece, surface: Surface, asked: Hang) -> _Set:
    pose = hanging_pose(surface.vertices_m, asked)
    frame, to_wall = pose.frame, pose.to_wall
    wall_at = pose.back_m - asked.standoff_m
    standing = frame.to_standing(surface.vertices_m)
    pivot = None
    if asked.standoff_m <= BEARS_M:
        pivot = float((standing[standing @ pose.out <= pose.back_m + BEARS_M] @ to_wall[1]).min())
    shift = np.array([0.0, 0.0, wall_at])
    places = frame.to_standing(hung_anchors(piece.site.anchors, pose)) @ to_wall.T - shift
    parts = np.array([to_wall @ frame.to_standing(part.centre_m) - shift for part in piece.parts])
    return _Set(frame, to_wall, wall_at, pose.tilt_rad, places, parts, corner_masses(piece.parts), pivot)


def _shell_point(made: _Set, wall: np.ndarray) -> np.ndarray:
    return made.frame.to_shell(made.to_wall.T @ (wall + np.array([0.0, 0.0, made.wall_at])))


def _range(values: np.ndarray) -> Range:
    """Row 0 is nominal."""
    return Range(float(values.min()), float(values[0]), float(values.max()))


def _corner_loads(
    loads: WallLoads, masses: np.ndarray
) -> tuple[np.ndarray | None, np.ndarray | None, np.ndarray | None, np.ndarray | None]:
    """Shear (c, n, 2), pull about the centroid, about the edge and the one that counts (c, n) at every corner."""
    shear = None if loads.shear_n_kg is None else np.einsum("cp,pnd->cnd", masses, loads.shear_n_kg)
    centroid = None if loads.centroid_n_kg is None else masses @ loads.centroid_n_kg
    edge = None if loads.edge_n_kg is None else masses @ loads.edge_n_kg
    if edge is not None:
        # Where the edge would have to pull, the piece does not bear on it.
        bears = edge.sum(axis=1) - masses.sum(axis=1) * loads.pull_n_kg >= -1e-9
        edge = edge if bears.all() else None
    known = [values for values in (centroid, edge) if values is not None]
    pull = None if not known else np.maximum(np.max(known, axis=0), 0.0)
    return shear, centroid, edge, pull


@dataclass(frozen=True, eq=False)
class _Gone:
    report: OneGone
    shears: np.ndarray  # (n,) high, with this anchor gone
    pulls: np.ndarray


def _without(
    k: int,
    anchors: tuple[Anchor, ...],
    stiffness: np.ndarray,
    made: _Set,
    shear: np.ndarray | None,
    pull: np.ndarray | None,
) -> _Gone:
    """The other anchors' loads with anchor ``k`` gone."""
    n, name = len(anchors), anchors[k].name
    lost = np.full(n, math.inf)
    left = np.delete(np.arange(n), k)
    if not len(left):
        words = f"{name} is the only anchor: without it the piece falls."
        return _Gone(OneGone(name, False, "", math.inf, math.inf, math.inf, words), lost, lost)
    loads = wall_loads(made.anchors[left, :2], stiffness[left], made.parts, made.tilt, made.pivot)
    new_shear, _, _, new_pull = _corner_loads(loads, made.masses)
    if new_shear is None or new_pull is None:
        why = (
            f"it swings about {anchors[left[0]].name}"
            if len(left) == 1
            else "the others cannot hold it against turning out of the wall"
        )
        words = f"Without {name} the piece does not stay where it is: {why}."
        return _Gone(OneGone(name, False, "", math.inf, math.inf, math.inf, words), lost, lost)
    shears, pulls = np.zeros(n), np.zeros(n)
    shears[left] = np.linalg.norm(new_shear, axis=2).max(axis=0)
    pulls[left] = new_pull.max(axis=0)
    worst = int(left[np.argmax(shears[left] + pulls[left])])
    share = math.inf
    if shear is not None and pull is not None:
        before = float(np.linalg.norm(shear[:, worst], axis=1).max() + pull[:, worst].max())
        share = float(shears[worst] + pulls[worst]) / max(before, 1e-12)
    words = f"Without {name} the rest hold; {anchors[worst].name} then carries {share:.2f} times its load."
    if len(left) == 1:
        words += " Nothing but that one anchor is then left."
    report = OneGone(name, True, anchors[worst].name, float(shears[worst]), float(pulls[worst]), share, words)
    return _Gone(report, shears, pulls)
