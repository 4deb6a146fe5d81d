"""A rigid body on anchors: hangers, wall patterns, rods, tipping, wind."""

from __future__ import annotations

import numpy as np


def anchor_reactions(
    places_m: np.ndarray,
    stiffness_n_m: np.ndarray,
    force_n: np.ndarray,
    force_at_m: np.ndarray,
    moment_nm: np.ndarray | None = None,
) -> np.ndarray:
    """Forces that elastic anchors exert on a rigid body under a load (elastic method, least energy).

    A f = -w with f = -K A' u: the anchors' movements are those of a rigid body, u its three shifts and three turns.

    Parameters
    ----------
    places_m : array [m] e.g. [[0,0,0],[2,0,0],[1,1.5,0]]
    stiffness_n_m : array [N/m] e.g. [[0.5,0.5,1],[0.5,0.5,1],[0.5,0.5,1]]
    force_n : array [N] e.g. [0,0,-1]
    force_at_m : array [m] e.g. [1,0.4,-0.3]
    moment_nm : array

    Returns
    -------
    array [N]

    Notes
    -----
    ``places_m`` (n, 3); ``stiffness_n_m`` (n, 3) along the axes, 0 where an anchor lets go (a hanger holds only
    vertically); ``force_n`` and ``force_at_m`` (3,); ``moment_nm`` (3,) extra [N m]. Returns (n, 3).
    Rigid body, small movement, anchors that pull and push alike: a hanger or an unbacked bolt with a pushing force is
    slack, solve again without. Exact whatever the stiffness where the anchors are statically determinate.
    A load that the anchors cannot balance (all in a line, or nothing holds that direction) is a ValueError.

    Examples
    --------
    >>> k = [[0, 0, 1.0]] * 3
    >>> f = anchor_reactions([[0, 0, 0], [2, 0, 0], [1, 1.5, 0]], k, [0, 0, -1.0], [1.0, 0.4, 0])
    >>> f[:, 2].round(5)
    array([0.36667, 0.36667, 0.26667])

    References
    ----------
    Elastic method of eccentric bolt groups; least-energy solution of a redundant system, any text on statics.
    """
    places, k = np.asarray(places_m, float), np.asarray(stiffness_n_m, float)
    force, at = np.asarray(force_n, float), np.asarray(force_at_m, float)
    origin = places.mean(axis=0)
    arm = places - origin
    reach = max(float(np.abs(arm).max()), 1e-300)
    arm = arm / reach  # turns and shifts of like size, or the rank below would depend on the unit of length
    shift = np.zeros((len(places), 3, 6))
    shift[:, range(3), range(3)] = 1.0
    x, y, z = arm.T
    zero = 0 * x
    shift[:, :, 3:] = np.array([[zero, z, -y], [-z, zero, x], [y, -x, zero]]).transpose(2, 0, 1)
    moment = np.cross(at - origin, force) + (0.0 if moment_nm is None else np.asarray(moment_nm, float))
    load = np.concatenate([force, moment / reach])
    weight = k / k.max()
    system = np.einsum("ndi,nd,ndj->ij", shift, weight, shift)
    move = np.linalg.lstsq(system, load, rcond=1e-10)[0]
    if np.abs(system @ move - load).max() > 1e-6 * np.abs(load).max():
        raise ValueError(
            "the anchors cannot balance this load: add an anchor off their common line, or one that holds it"
        )
    return -weight * (shift @ move)


def tip_angle(centre_height_m: float, edge_distance_m: float) -> float:
    """Angle by which a standing piece must lean to tip over an edge: atan(d / h).

    Parameters
    ----------
    centre_height_m : float or array [m] e.g. 0.8
    edge_distance_m : float or array [m] e.g. 0.3

    Returns
    -------
    float or array [rad]

    Notes
    -----
    Rigid piece on firm level ground; ``edge_distance_m`` from below the centre of mass to the edge, negative: it falls.
    The sideways force at the centre of mass that tips it is W d / h.

    Examples
    --------
    >>> round(float(np.degrees(tip_angle(0.8, 0.3))), 2)
    20.56

    References
    ----------
    Geometry.
    """
    return np.arctan2(edge_distance_m, centre_height_m)
