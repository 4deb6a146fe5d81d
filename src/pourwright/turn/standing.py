"""Whether a piece stands by itself on one way up, and how high a cradle has to reach where it does not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import ConvexHull

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop
from pourwright.outcome import cavity_moments, edge_distances, skin_mass
from pourwright.shell import Skin
from pourwright.turn.judged import STEADY_RAD

SHARES = (0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5)
"""Heights of a cradle that are tried, as shares of the height of the piece."""


@dataclass(frozen=True, eq=False)
class Stance:
    """Corners of the hull of the outside and the centres of mass, empty and full; shell file's axes."""

    corner_m: np.ndarray  # (n, 3)
    centre_m: np.ndarray  # (2, 3)
    contact_m: float


def stance_of(skin: Skin, cavity: Cavity, graph: LevelGraph, foam: FoamAtShop, contact_m: float) -> Stance:
    """Skin and foam alone: items, holes and plugs are left out."""
    moments = cavity_moments(cavity, graph)
    bare = skin_mass(skin, cavity, moments)
    kg = cavity.volume_m3 * foam.open_density_kg_m3.nominal
    inside = cavity.frame.to_shell(moments.middle_m())
    full = (bare.kg.nominal * bare.centre_m + kg * inside) / (bare.kg.nominal + kg)
    hull = ConvexHull(skin.vertices_m)
    return Stance(skin.vertices_m[hull.vertices], np.array([bare.centre_m, full]), contact_m)


def stand_on(stance: Stance, up: np.ndarray) -> tuple[float, float, float]:
    """Height of the piece [m], lean at which it tips [rad], and height of the cradle it needs [m], 0 for none."""
    side = np.eye(3)[int(np.argmin(np.abs(up)))]
    x = np.cross(up, side)
    x = x / np.linalg.norm(x)
    y = np.cross(up, x)
    height = stance.corner_m @ up
    low, size = float(height.min()), float(np.ptp(height))
    flat = np.column_stack([stance.corner_m @ x, stance.corner_m @ y])
    centres = np.column_stack([stance.centre_m @ x, stance.centre_m @ y])
    lift = stance.centre_m @ up - low

    def tip(flow_distance_m: float) -> float:
        base = shapely.MultiPoint(flat[height <= low + flow_distance_m]).convex_hull
        inward = edge_distances(base, centres)[0].min(axis=1)
        return float(np.arctan2(inward, lift).min())

    tips = tip(stance.contact_m)
    if tips >= STEADY_RAD.value:
        return size, tips, 0.0
    for share in SHARES:
        if tip(max(share * size, stance.contact_m)) >= STEADY_RAD.value:
            return size, tips, share * size
    return size, tips, size
