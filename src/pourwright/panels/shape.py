"""A panel of the skin, and the small geometry that describes one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from pourwright.shell import length_words

FIT = 300
"""Points a quadric is fitted to, at most."""
FLAT_RISE = 0.1
"""A panel that rises less than this share of its thickness over its width is flat: the rise adds 2 % of stiffness."""
CLAMPED, SINGLE, DOUBLE = 384.0, 0.6, 1.8
"""Rough stiffness of a held strip (D/b4) and of curvature (E t/R2, one way and both ways), for ranking only."""


@dataclass(frozen=True, eq=False)
class Panel:
    """A region of the skin that is flat or gently curved, up to the bends that hold it. Arrays read-only, shell axes.

    ``width_m`` is the diameter of the largest circle inside it, ``length_m`` the length of the rectangle of that width
    and the panel's area (never beyond its real length). ``radius_m`` is the tighter principal radius, inf when flat
    and inf for a panel dished inwards, whose curvature does not help against pressure from inside.
    """

    width_m: float
    length_m: float
    radius_m: float
    double: bool  # curved alike both ways (dome) rather than one way
    dished: bool  # hollow seen from outside
    free_edge_m: float  # length of its outline that is a rim of the piece, held by nothing
    thickness_m: float  # thinnest wall on it
    point_m: np.ndarray  # (3,) middle of the circle, on the skin
    normal: np.ndarray  # (3,) outwards
    outline_m: np.ndarray  # (k, 3) its outline, ordered
    area_m2: float
    words: str


def tangent_frame(normal: np.ndarray) -> np.ndarray:
    """Axes (3, 3) as rows x, y, z with z along the unit ``normal``."""
    helper = np.eye(3)[np.argmin(np.abs(normal))]
    x = np.cross(helper, normal)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(normal, x), normal])


def sides_m(shape: shapely.Geometry) -> tuple[float, float]:
    """Longer and shorter side of the smallest rectangle round a flat shape or points, turned as it may be.

    >>> sides_m(shapely.box(0.0, 0.0, 3.0, 2.0))
    (3.0, 2.0)
    """
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    one, other = (float(side) for side in np.linalg.norm(np.diff(corners[:3], axis=0), axis=1))
    return max(one, other), min(one, other)


def fit_quadric(local: np.ndarray, tolerance: float) -> np.ndarray:
    """Coefficients 1, x, y, x2, xy, y2 of the surface through ``local`` (k, 3); a plane where a plane fits as well."""
    x, y, z = local.T
    plane = np.column_stack([np.ones_like(x), x, y])
    solved = np.linalg.lstsq(plane, z, rcond=None)[0]
    if np.abs(plane @ solved - z).max() < 0.02 * tolerance or len(x) < 12:
        return np.concatenate([solved, np.zeros(3)])
    full = np.column_stack([plane, x * x, x * y, y * y])
    out: np.ndarray = np.linalg.lstsq(full, z, rcond=None)[0]
    return out


def thinned(points: np.ndarray) -> np.ndarray:
    """Every n-th of ``points`` (k, 3), some `FIT` in all."""
    return points[:: max(1, len(points) // FIT)]


def principal_bends(c: np.ndarray, spread: np.ndarray) -> np.ndarray:
    """Principal curvatures (2,) of a quadric fitted over points of covariance ``spread`` (2, 2), the tighter first.

    A parabola fitted to an arc comes out too tight: by 1 + k2 var for a disc of a sphere, 1 + 0.64 k2 var across a
    strip of a cylinder, var being the points' variance along the bend (both to second order in the slope).
    """
    bends, axes = np.linalg.eigh(np.array([[2 * c[3], c[4]], [c[4], 2 * c[5]]]))
    variance = np.einsum("ik,ij,jk->k", axes, spread, axes)
    domed = bool(bends.min() * bends.max() > 0 and np.abs(bends).min() > 0.5 * np.abs(bends).max())
    bends = bends / (1.0 + (1.0 if domed else 0.64) * bends**2 * variance)
    return bends[np.argsort(-np.abs(bends), kind="stable")]


def counted_radius(bend: np.ndarray, width: float, thickness: float) -> tuple[float, bool, bool]:
    """Radius to count [m], whether curved both ways alike, and whether dished inwards."""
    tight, slack = bend
    if abs(tight) * width**2 / 8 < FLAT_RISE * thickness:
        return float("inf"), False, False
    if tight > 0:
        return float("inf"), False, True
    return 1.0 / abs(tight), bool(slack < 0.5 * tight), False


def bulge_share(width: float, thickness: float, radius: float, double: bool) -> float:
    """Bulge over width for unit pressure and unit modulus: an order only.

    Past the width at which curvature takes over from bending a wider piece bulges no more, so that width is taken.
    """
    if np.isinf(radius):
        return 12 * width**3 / (CLAMPED * thickness**3)
    curved = (DOUBLE if double else SINGLE) * thickness / radius**2
    counted = min(width, (CLAMPED * thickness**3 / 12 / curved) ** 0.25)
    return 1.0 / (CLAMPED * thickness**3 / 12 / width**4 + curved) / counted


def outline_of(sides: np.ndarray, area: float, triangles: np.ndarray) -> shapely.Polygon | None:
    """Outline of a region from its border sides (k, 2, 2); pin holes (under 2 % of it each) are filled.

    ``area`` is that of its ``triangles`` (t, 3, 2) in the plane: where the outline misses part of it, the triangles
    are joined one by one instead.
    """
    lines = shapely.node(shapely.multilinestrings(shapely.linestrings(sides)))
    parts = [p for p in shapely.get_parts(shapely.polygonize([lines])) if p.area > 0]
    if not parts or max(p.area for p in parts) < 0.9 * area:
        joined = shapely.union_all(shapely.make_valid(shapely.polygons(triangles)))
        parts = [p for p in shapely.get_parts(joined) if p.geom_type == "Polygon" and p.area > 0]
    if not parts:
        return None
    largest = max(parts, key=lambda p: p.area)
    kept = [ring for ring in largest.interiors if shapely.Polygon(ring).area > 0.02 * largest.area]
    return shapely.Polygon(largest.exterior, kept)


def panel_words(
    width: float, length: float, radius: float, double: bool, dished: bool, free: float, thickness: float
) -> str:
    """Size, shape and wall of a panel in one line; lengths [m]."""
    shape = "flat"
    if dished:
        shape = "dished inwards (counted as flat)"
    elif np.isfinite(radius):
        shape = f"{'domed' if double else 'curved one way'} to a radius of {length_words(radius)}"
    edge = f", {length_words(free)} of its edge is an open rim" if free > 0 else ""
    return f"{length_words(width)} x {length_words(length)}, {shape}, wall {length_words(thickness)}{edge}"
