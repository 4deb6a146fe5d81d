"""Slings: leg tensions with equal and unequal legs, inward force on the piece, tilt under the hook."""

from __future__ import annotations

import math

import numpy as np

DIMENSIONS_BY_SCALING = ("equal_leg_tension", "leg_tensions", "hanging_tilt")

LOWEST_ANGLE_RAD = math.radians(30.0)
"""Legs flatter than this above the horizontal are not recommended by rigging practice (common figure)."""


def equal_leg_tension(weight_n: float, legs: float, angle_rad: float) -> tuple[float, float]:
    """Tension of each of n equal legs, W / (n sin a), and its inward force on the piece, W / (n tan a).

    Parameters
    ----------
    weight_n : float or array [N] e.g. 10e3
    legs : float or array [-] e.g. 2
    angle_rad : float or array [rad] e.g. 0.7853981634

    Returns
    -------
    tension : float or array [N]
    inward force : float or array [N]

    Notes
    -----
    ``angle_rad`` above the horizontal, all legs alike and all loaded. Of four legs count two or three, as one may hang
    slack.

    Examples
    --------
    >>> t, h = equal_leg_tension(10.0, 2, math.radians(45))
    >>> round(float(t), 3), round(float(h), 3)
    (7.071, 5.0)

    References
    ----------
    Equilibrium of the hook; the same as published load-angle factors 1 / sin a.
    """
    return weight_n / (legs * np.sin(angle_rad)), weight_n / (legs * np.tan(angle_rad))


def leg_tensions(
    points_m: np.ndarray, hook_m: np.ndarray, weight_n: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Tension of sling legs of any lengths that meet at a hook, their angle above the horizontal, their inward force.

    sum T_i u_i = W up, u_i from the piece to the hook; more than three legs share by stiffness (same rope, k ~ 1 / L)

    Parameters
    ----------
    points_m : array [m] e.g. [[-1,0,0],[0.5,0.8,0],[0.5,-0.8,0]]
    hook_m : array [m] e.g. [0,0,1.5]
    weight_n : float [N] e.g. 10e3

    Returns
    -------
    tension : array [N]
    angle : array [rad]
    inward force : array [N]

    Notes
    -----
    ``points_m`` (n, 3) where the legs hold the piece, z up, ``hook_m`` (3,). The piece hangs at rest: its centre of
    mass is below the hook (see ``hanging_tilt``). Two legs must lie in one upright plane with the hook, or the
    result is a ValueError. With four or more legs also check the pairs that may carry it alone.
    A negative tension is a leg that hangs slack.

    Examples
    --------
    >>> t, angle, inward force = leg_tensions([[-1, 0, 0], [2, 0, 0]], [0, 0, 1], 1000.0)
    >>> t.round(1), np.degrees(angle).round(1)
    (array([942.8, 745.4]), array([45. , 26.6]))

    References
    ----------
    Equilibrium of the hook.
    """
    legs = np.asarray(hook_m, float) - np.asarray(points_m, float)
    length = np.linalg.norm(legs, axis=1)
    unit = (legs / length[:, None]).T
    load = np.array([0.0, 0.0, 1.0])
    share = 1 / length * length.max()
    tension = share * (unit.T @ np.linalg.lstsq((unit * share) @ unit.T, load, rcond=1e-10)[0])
    if np.abs(unit @ tension - load).max() > 1e-6:
        raise ValueError("the hook does not stand over the line or area of the sling points: the piece would swing")
    tension = tension * weight_n
    angle = np.arcsin(unit[2])
    return tension, angle, tension * np.cos(angle)


def hanging_tilt(hook_m: np.ndarray, centre_m: np.ndarray) -> float:
    """Angle by which a piece turns when lifted, until its centre of mass is under the hook: atan(d / h).

    Parameters
    ----------
    hook_m : array [m] e.g. [0,0,1.5]
    centre_m : array [m] e.g. [0.1,0,-0.2]

    Returns
    -------
    float [rad]

    Notes
    -----
    Both (3,) in the piece's axes, z up as it stands; legs do not slip or stretch. Above pi/2 the piece turns over:
    the hook is below the centre of mass.

    Examples
    --------
    >>> round(math.degrees(hanging_tilt([0, 0, 1.5], [0.1, 0, -0.2])), 2)
    3.37

    References
    ----------
    Geometry.
    """
    line = np.asarray(hook_m, float) - np.asarray(centre_m, float)
    return math.atan2(math.hypot(line[0], line[1]), line[2])
