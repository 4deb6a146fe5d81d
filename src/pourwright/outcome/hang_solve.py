"""Anchor forces per kilogram of every part, so that the range of the weights can be run through in one product."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.outcome.piece import GRAVITY
from pourwright.physics.statics import anchor_reactions
from pourwright.physics.wall_anchors import bearing_pullout


@dataclass(frozen=True, eq=False)
class WallLoads:
    """Loads of unit masses at the places of the parts; (p, n, ...) for p parts and n anchors. None: not in balance."""

    shear_n_kg: np.ndarray | None  # (p, n, 2) right and up in the wall
    centroid_n_kg: np.ndarray | None  # (p, n) out of the wall
    edge_n_kg: np.ndarray | None  # (p, n)
    pull_n_kg: float  # of the weight itself, out of the wall


def wall_loads(
    anchors: np.ndarray, stiffness: np.ndarray, parts: np.ndarray, tilt_rad: float, pivot_m: float | None
) -> WallLoads:
    """Loads that a kilogram at each part's place puts on each anchor.

    Parameters
    ----------
    anchors : ndarray (n, 2)
        Right and up in the wall [m].
    stiffness : ndarray (n,)
        Relative.
    parts : ndarray (p, 3)
        Right, up in the wall and off the wall [m].
    tilt_rad : float
        Of the wall; positive leans back.
    pivot_m : float or None
        Height of the lower edge that bears on the wall; None where nothing bears.

    Notes
    -----
    Shear: elastic vector method, equal movement of a rigid body, least energy. Pull about the centroid: the same out of
    the wall, anchors pull and push. Pull about the edge: moments about it, anchors above it elastic, the rest idle.
    """
    n = len(anchors)
    places = np.column_stack([anchors, np.zeros(n)])
    down, out = -GRAVITY * math.cos(tilt_rad), -GRAVITY * math.sin(tilt_rad)
    along = np.column_stack([stiffness, stiffness, 0 * stiffness])
    across = np.column_stack([0 * stiffness, 0 * stiffness, stiffness])
    shear: np.ndarray | None = np.zeros((len(parts), n, 2))
    centroid: np.ndarray | None = np.zeros((len(parts), n))
    for k, (x, y, s) in enumerate(parts):
        if shear is not None:
            found = _balanced(places, along, [0.0, down, 0.0], [x, y, 0.0])
            shear = None if found is None else shear
            if found is not None and shear is not None:
                shear[k] = found[:, :2]
        if centroid is not None:
            found = _balanced(places, across, [0.0, 0.0, out], [x, y, 0.0], [s * -down, 0.0, 0.0])
            centroid = None if found is None else centroid
            if found is not None and centroid is not None:
                centroid[k] = found[:, 2]
    edge = None if pivot_m is None else _about_edge(anchors, stiffness, parts, down, out, pivot_m)
    return WallLoads(shear, centroid, edge, out)


def _balanced(
    places: np.ndarray, stiffness: np.ndarray, force: list[float], at: list[float], moment: list[float] | None = None
) -> np.ndarray | None:
    """Load of the body on the anchors, None where they cannot balance it."""
    extra = None if moment is None else np.array(moment)
    if not any(force) and (extra is None or not extra.any()):
        return np.zeros((len(places), 3))
    try:
        return -anchor_reactions(places, stiffness, np.array(force), np.array(at), extra)
    except ValueError:
        return None


def _about_edge(
    anchors: np.ndarray, stiffness: np.ndarray, parts: np.ndarray, down: float, out: float, pivot_m: float
) -> np.ndarray | None:
    above = anchors[:, 1] > pivot_m + 1e-6
    if not above.any():
        return None
    k, (x, y) = stiffness[above], anchors[above].T
    middle = (k * x).sum() / k.sum(), (k * y).sum() / k.sum()
    squares = (k * (x - middle[0]) ** 2).sum()
    loads = np.zeros((len(parts), len(anchors)))
    for row, (px, py, s) in enumerate(parts):
        moment = -down * s + out * (py - middle[1])
        pulls = bearing_pullout(y, moment, pivot_m, out, k)
        if squares > 0:
            pulls = pulls + out * (px - middle[0]) * k * (x - middle[0]) / squares
        loads[row, above] = pulls
    return loads
