"""The attitude a floating body comes to rest in, found downhill where upright is no rest at all."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.water.hull import Hull
from pourwright.water.hydrostatics import (
    NO_EDGES,
    EdgesAt,
    Floating,
    LooseAt,
    burden,
    float_body,
    water_plane,
)

REST_M = 1e-6
"""A body is in balance where its two centres stand off one vertical by less than this."""
NUDGE_RAD = 0.08
STEPS = 60


@dataclass(frozen=True, eq=False)
class Rest:
    """Where a body comes to rest; ``None`` for one that sinks."""

    floating: Floating | None
    upright_gm_m: float  # least metacentric height at the balance next to upright; not a number where there is none
    stable: bool  # whether the attitude given is a stable one
    moved: bool  # whether it had to leave the balance next to upright


@dataclass(frozen=True, eq=False)
class FloatingBody:
    """A body, its weight and what water does to it.

    ``centre`` (3,) of mass [m]; ``bail`` keeps water out of hollows that it has not reached over their edge; ``loose``
    and ``edges`` as in ``float_body``.
    """

    hull: Hull
    mass_kg: float
    centre: np.ndarray
    water_kg_m3: float
    bail: bool = False
    loose: LooseAt | None = None
    edges: EdgesAt | None = None

    def balance(self, up: np.ndarray) -> Floating | None:
        """As ``float_body``."""
        return float_body(
            self.hull, self.mass_kg, self.centre, self.water_kg_m3, up,
            bail=self.bail, loose=self.loose, edges=self.edges,
        )  # fmt: skip

    def burden(self, n: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
        """As ``burden``."""
        return burden(self.mass_kg / self.water_kg_m3, self.centre, n, self.loose)

    def energy(self, n: np.ndarray, near: np.ndarray | None) -> tuple[float, np.ndarray, np.ndarray | None]:
        """Height of G over B [m], its slope across ``n``, and the middle (3,) of the waterline, to be ``near`` next."""
        wanted, centre, _ = self.burden(n)
        over, edges = NO_EDGES if self.edges is None else self.edges(n)
        guess = None if near is None else float(near @ n)
        found = water_plane(
            self.hull, n, wanted, bail=self.bail, guess_m=guess, over_m=over, edges_m=edges
        )  # fmt: skip
        if found is None:
            return float("inf"), np.zeros(3), None
        arm = centre - found[1].centre_m
        return float(arm @ n), arm - n * (arm @ n), found[1].waterplane_centre_m


def settle(body: FloatingBody, up: np.ndarray, near: np.ndarray | None = None) -> Rest:
    """Rest of a floating body that is let go upright.

    The balance next to upright is taken if it is stable in every direction (GM > 0). If it is not, the body is nudged
    the weak way and followed downhill: at constant displacement its energy is m g (G - B) . n, so n moves against the
    part of G - B across it until the two centres stand in one vertical with GM > 0.

    Parameters
    ----------
    body : FloatingBody
    up : ndarray (3,)
        Upright to start from.
    near : ndarray (3,), optional
        The rest of a body much like this one, that was not next to upright: tried before anything else.

    Examples
    --------
    A beam 4 x 0.5 x 1 m of half the water's density cannot float on its narrow side; it lies down flat:

    >>> import trimesh
    >>> beam = trimesh.creation.box((4, 0.5, 1.0))
    >>> from pourwright.water import hull_of
    >>> body = FloatingBody(hull_of(beam.vertices, beam.faces), 1000.0, np.zeros(3), 1000.0)
    >>> rest = settle(body, np.array([0, 0, 1.0]))
    >>> rest.moved, rest.stable, round(float(np.degrees(rest.floating.tilt_rad)))
    (True, True, 90)
    """
    start = np.asarray(up, float) / np.linalg.norm(up)
    if near is not None:
        known = body.balance(near)
        if known is not None and known.residual_m < REST_M and known.metacentric_m[0] > 0:
            return Rest(_from_upright(known, start), float("nan"), True, True)
    first = body.balance(start)
    if first is None:
        return Rest(None, float("nan"), False, False)
    if first.residual_m < REST_M and first.metacentric_m[0] > 0:
        return Rest(first, first.metacentric_m[0], True, False)
    balanced = first.residual_m < REST_M
    n = _nudged(body, first) if balanced else start
    best: Floating | None = None
    for _ in range(3):  # downhill, then Newton's steps; again from there if that ended on a ridge
        n = _downhill(body, n)
        found = body.balance(n)
        if found is None:
            break
        best = found
        if found.residual_m < REST_M and found.metacentric_m[0] > 0:
            break
        n = _nudged(body, found)
    gm = first.metacentric_m[0] if balanced else float("nan")
    if best is None:
        return Rest(first, gm, False, True)
    stable = best.residual_m < REST_M and best.metacentric_m[0] > 0
    return Rest(_from_upright(best, start), gm, stable, True)


def _from_upright(at: Floating, start: np.ndarray) -> Floating:
    return replace(at, tilt_rad=float(np.arccos(np.clip(at.normal @ start, -1, 1))))


def _nudged(body: FloatingBody, at: Floating) -> np.ndarray:
    """A little off a balance, the way it is weakest."""
    under = at.under
    wanted, centre, slosh = body.burden(at.normal)
    stiffness = (under.waterplane_m4 - slosh) / wanted + np.eye(2) * ((under.centre_m - centre) @ at.normal)
    weak = np.linalg.eigh(stiffness)[1][:, 0]
    moved = at.normal + NUDGE_RAD * under.across.T @ weak
    return np.asarray(moved / np.linalg.norm(moved))


def _downhill(body: FloatingBody, n: np.ndarray) -> np.ndarray:
    """Steps against the gradient with a length that grows while they go down and halves where they do not."""
    energy, gradient, middle = body.energy(n, None)
    size = float(np.ptp(body.hull.points_m, axis=0).max())
    step = 0.5 / size
    for _ in range(STEPS):
        slope = float(np.linalg.norm(gradient))
        if slope < 1e-5 * size:
            break
        move = min(step * slope, 0.3) / slope
        trial = n - move * gradient
        trial = trial / np.linalg.norm(trial)
        lower, new, there = body.energy(trial, middle)
        if lower < energy:
            n, energy, gradient, middle, step = trial, lower, new, there, step * 1.6
        else:
            step *= 0.4
            if step * slope < 1e-9:
                break
    return n
