"""How a closed triangle surface floats: draft, trim and heel in balance, and the plane under which a volume lies."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.water.hull import Hull
from pourwright.water.under import Submerged


@dataclass(frozen=True, eq=False)
class Loose:
    """Water on board that runs to the low side: what it displaces of itself, where it is, its free surface."""

    volume_m3: float
    centre_m: np.ndarray  # (3,)
    surface_m4: np.ndarray  # (2, 2) second moments of its surface about its own centre, along ``plane_axes``


LooseAt = Callable[[np.ndarray], Loose]
"""Loose water for an up direction (3,), unit."""
EdgesAt = Callable[[np.ndarray], tuple[float, Sequence[float]]]
"""For an up direction (3,): the height [m] over which the water must stand, and the edges of the hollows that are to
stay free of it, rising."""
NO_EDGES: tuple[float, tuple[float, ...]] = (-math.inf, ())
UNDER_EDGE_M = 1e-9
"""A hollow is measured this far under its edge, where it is not yet joined to the outside."""


def burden(
    wanted_m3: float, centre_m: np.ndarray, n: np.ndarray, loose: LooseAt | None
) -> tuple[float, np.ndarray, np.ndarray]:
    """What a body displaces, where all its weight acts and the free surface in it, with its loose water in place.

    Parameters
    ----------
    wanted_m3 : float
        Displacement of the body alone [m^3].
    centre_m : ndarray (3,) [m]
        Its centre of mass.
    n : ndarray (3,)
        Up, unit.
    loose : LooseAt, optional

    Returns
    -------
    float [m^3], ndarray (3,) [m], ndarray (2, 2) [m^4]
    """
    if loose is None:
        return wanted_m3, centre_m, np.zeros((2, 2))
    water = loose(n)
    total = wanted_m3 + water.volume_m3
    return total, (wanted_m3 * centre_m + water.volume_m3 * water.centre_m) / total, water.surface_m4


@dataclass(frozen=True, eq=False)
class Floating:
    """A body in balance on calm water. ``normal`` is up in the body's axes, ``level_m`` the plane's place along it."""

    normal: np.ndarray
    level_m: float
    under: Submerged
    metacentric_m: tuple[float, float]  # least and greatest metacentric height GM over all directions of tilt
    tilt_rad: float  # from the upright it was started at
    residual_m: float  # how far the centres stand off one vertical


def float_body(
    hull: Hull,
    mass_kg: float,
    centre_m: np.ndarray,
    water_kg_m3: float,
    up: np.ndarray,
    *,
    bail: bool = False,
    loose: LooseAt | None = None,
    edges: EdgesAt | None = None,
) -> Floating | None:
    """Draft, trim and heel at which the body displaces its weight with both centres on one vertical.

    rho V = m and (B - G) x n = 0, by damped steps of hydrostatic stiffness from upright ``up``. Loose water counts as
    weight where it stands, and its free surface takes i / V off the metacentric heights.

    Parameters
    ----------
    hull : Hull
    mass_kg : float [kg]
    centre_m : ndarray (3,) [m]
        Centre of mass.
    water_kg_m3 : float [kg/m^3]
    up : ndarray (3,)
        Upright to start from, any length.
    bail : bool
        See ``submerged``.
    loose : LooseAt, optional
        Water on board, of the density of the water outside; not part of ``mass_kg`` and ``centre_m``.
    edges : EdgesAt, optional
        With ``bail``: edges of the hollows that are to stay dry if they can; see ``water_plane``.

    Returns
    -------
    Floating or None
        None where the body is heavier than the water it can displace.

    Examples
    --------
    A box 4 x 1.2 x 0.5 m of 1198.9 kg in fresh water (draft 0.25 m, KM 0.605 m):

    >>> import trimesh
    >>> box = trimesh.creation.box((4, 1.2, 0.5))
    >>> from pourwright.water import hull_of
    >>> hull = hull_of(box.vertices, box.faces)
    >>> f = float_body(hull, 1198.92, np.array([0, 0, 0.0]), 999.1, np.array([0, 0, 1.0]))
    >>> round(f.level_m, 5), round(f.metacentric_m[0], 4)
    (0.0, 0.355)
    """
    n = np.asarray(up, float) / np.linalg.norm(up)
    start = n
    tilt_step, best = 0.3, math.inf
    guess = 0.5 * float((hull.points_m @ n).min() + (hull.points_m @ n).max())
    for _ in range(60):
        wanted, weight_m, slosh = burden(mass_kg / water_kg_m3, centre_m, n, loose)
        over_m, edges_m = NO_EDGES if edges is None else edges(n)
        found = water_plane(
            hull, n, wanted, bail=bail, guess_m=guess, over_m=over_m, edges_m=edges_m
        )  # fmt: skip
        if found is None:
            return None
        level, s = found
        placed, arm = n, s.centre_m - weight_m
        off = s.across @ arm  # metres by which the centre of buoyancy stands beside the centre of mass
        size = float(np.linalg.norm(off))
        if size < 1e-9:
            break
        gm = (s.waterplane_m4 - slosh) / wanted + np.eye(2) * (arm @ n)
        # Small turns about the waterplane move B by BM times the turn; where GM is not positive walk downhill instead.
        values, turn = np.linalg.eigh(gm)
        local = turn.T @ off
        step = turn @ np.where(values > 1e-6, local / np.maximum(values, 1e-6), np.sign(local) * tilt_step)
        length = float(np.linalg.norm(step))
        if size > best:
            tilt_step *= 0.5
        best = min(best, size)
        step *= min(1.0, tilt_step / length) if length > 0 else 0.0
        n = n + s.across.T @ step  # buoyancy beside the weight lifts that side: up leans towards it
        n = n / np.linalg.norm(n)
        guess = float(s.waterplane_centre_m @ n)  # turned about the middle of its waterline it keeps the volume
    n = placed
    gm = (s.waterplane_m4 - slosh) / wanted + np.eye(2) * ((s.centre_m - weight_m) @ n)
    least, greatest = np.linalg.eigvalsh(gm)
    angle = math.acos(float(np.clip(n @ start, -1, 1)))
    return Floating(n, level, s, (float(least), float(greatest)), angle, float(np.linalg.norm(off)))


def water_plane(
    hull: Hull,
    n: np.ndarray,
    wanted: float,
    *,
    bail: bool = False,
    guess_m: float | None = None,
    over_m: float = -math.inf,
    edges_m: Sequence[float] = (),
) -> tuple[float, Submerged] | None:
    """Height along ``n`` [m] of the plane under which ``wanted`` cubic metres lie, and what lies under it there.

    Newton inside a bracket. None where the body displaces no more than that. ``guess_m`` is tried first. ``edges_m``
    are the heights of the lowest edges of its hollows, rising: with ``bail`` the volume falls where water comes over
    one, and a level under the edge goes before one above it. The plane does not lie below ``over_m``.
    """
    along = hull.points_m @ n
    low, high = max(float(along.min()), over_m), float(along.max())

    def solved(top: float) -> tuple[float, Submerged]:
        return _bisected(hull, n, wanted, low, top, bail, guess_m)

    def under_an_edge() -> float | None:
        for edge in edges_m:
            under = float(edge) - UNDER_EDGE_M
            if low < under < high and hull.under(n, under, bail=bail).volume_m3 > wanted:
                return under
        return None

    found = solved(high) if hull.volume_m3 > wanted else None
    if found is None or any(edge < found[0] for edge in edges_m):
        top = under_an_edge()
        return found if top is None else solved(top)
    return found


def _bisected(
    hull: Hull,
    n: np.ndarray,
    wanted: float,
    low: float,
    high: float,
    bail: bool,
    guess_m: float | None,
) -> tuple[float, Submerged]:
    level = 0.5 * (low + high) if guess_m is None or not low < guess_m < high else guess_m
    for _ in range(80):
        s = hull.under(n, level, bail=bail)
        miss = s.volume_m3 - wanted
        if abs(miss) <= 1e-12 * wanted or high - low < 1e-13:
            return level, s
        low, high = (low, level) if miss > 0 else (level, high)
        newton = level - miss / s.waterplane_m2 if s.waterplane_m2 > 1e-12 else math.nan
        level = newton if low < newton < high else 0.5 * (low + high)
    return level, hull.under(n, level, bail=bail)
