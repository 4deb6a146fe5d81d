"""Anchors of a body that bears on its wall, and round inserts bonded into foam."""

from __future__ import annotations

import math

import numpy as np

DIMENSIONS_BY_SCALING = ("bearing_pullout",)


def bearing_pullout(
    heights_m: np.ndarray,
    moment_nm: float,
    pivot_m: float,
    pull_n: float = 0.0,
    stiffness_n_m: np.ndarray | None = None,
) -> np.ndarray:
    """Pull on wall anchors of a body that bears on its lower edge: N_i = M k_i h_i / sum k h^2, h from that edge.

    Parameters
    ----------
    heights_m : array [m] e.g. [0,0,0.4,0.4]
    moment_nm : float [N m] e.g. 500
    pivot_m : float [m] e.g. -0.05
    pull_n : float
    stiffness_n_m : array

    Returns
    -------
    array [N]

    Notes
    -----
    ``heights_m`` (n,) of the anchors above any level, ``pivot_m`` of the edge above the same level and below every
    anchor. ``moment_nm`` is about the anchors' centre of stiffness and tends to turn the top out of the wall;
    ``pull_n`` is a straight pull [N] at that centre, shared by stiffness. ``stiffness_n_m`` (n,) equal where not given.
    Where the sum of the pulls is below ``pull_n`` the edge would have to pull: the body does not bear there.

    Examples
    --------
    >>> bearing_pullout([0, 0, 0.4, 0.4], 500.0, -0.05).round(1)
    array([ 61. ,  61. , 548.8, 548.8])
    >>> bearing_pullout([0.2, 0.4], 500.0, 0.0, stiffness_n_m=[3.0, 1.0]).round(1)  # 500 * (3 * 0.2, 0.4) / 0.28
    array([1071.4,  714.3])

    References
    ----------
    Moments about the edge, anchors elastic; any text on bolted brackets.
    """
    heights = np.asarray(heights_m, float)
    stiffness = np.ones(len(heights)) if stiffness_n_m is None else np.asarray(stiffness_n_m, float)
    arm = heights - pivot_m
    turned = moment_nm * stiffness * arm / (stiffness * arm**2).sum()
    return np.asarray(turned + pull_n * stiffness / stiffness.sum())


def insert_bearing(shear_n: float, diameter_m: float, depth_m: float, arm_m: float = 0.0) -> float:
    """Greatest pressure of a rigid round insert on the foam it is bonded into, (4 + 6 e / L) V / (d L).

    Parameters
    ----------
    shear_n : float or array [N] e.g. 100
    diameter_m : float or array [m] e.g. 0.03
    depth_m : float or array [m] e.g. 0.1
    arm_m : float or array [m] e.g. 0.02

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    V acts at ``arm_m`` outside the face of the foam, across the insert; foam an even elastic bed along the depth L,
    insert rigid, nothing held by the skin. Pressure falls linearly from this value at the face, changes side below
    two thirds of the depth and balances V and its moment.

    Examples
    --------
    >>> round(insert_bearing(100.0, 0.03, 0.1), 0)
    133333.0

    References
    ----------
    Equilibrium of a rigid body on an elastic bed, derived: p(z) = p0 - s z with force and moment as given.
    """
    return (4 + 6 * arm_m / depth_m) * shear_n / (diameter_m * depth_m)


def insert_shear_pull(strength_pa: float, diameter_m: float, depth_m: float) -> float:
    """Pull at which a cylinder of foam as wide as the insert or its head shears off, tau pi d L.

    Parameters
    ----------
    strength_pa : float or array [Pa] e.g. 200e3
    diameter_m : float or array [m] e.g. 0.03
    depth_m : float or array [m] e.g. 0.1

    Returns
    -------
    float or array [N]

    Notes
    -----
    Shear even over the cylinder, which needs a foam that yields before it cracks: an upper bound where it does not.
    The bond between insert and foam is taken to be as strong as the foam.

    Examples
    --------
    >>> round(insert_shear_pull(200e3, 0.03, 0.1))
    1885

    References
    ----------
    Equilibrium of the cylinder.
    """
    return strength_pa * math.pi * diameter_m * depth_m


def head_crush_pull(strength_pa: float, head_m: float, shaft_m: float) -> float:
    """Pull at which a flat head crushes the foam before it, sigma pi (D^2 - d^2) / 4.

    Parameters
    ----------
    strength_pa : float or array [Pa] e.g. 276e3
    head_m : float or array [m] e.g. 0.08
    shaft_m : float or array [m] e.g. 0.02

    Returns
    -------
    float or array [N]

    Notes
    -----
    Head stiff, pressure even.

    Examples
    --------
    >>> round(head_crush_pull(276e3, 0.08, 0.02))
    1301

    References
    ----------
    Equilibrium of the head.
    """
    return strength_pa * math.pi * (head_m**2 - shaft_m**2) / 4
