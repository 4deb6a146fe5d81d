"""A rigid body on anchors: hangers, wall patterns, rods, tipping, wind."""

from __future__ import annotations

import math

import numpy as np

DIMENSIONS_BY_SCALING = (
    "anchor_reactions",
    "hanger_forces",
    "hanger_forces_one_slack",
    "wall_shear",
    "wall_pullout",
    "tip_angle",
)


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


def hanger_forces(
    places_m: np.ndarray, centre_m: np.ndarray, weight_n: float, stiffness_n_m: np.ndarray | None = None
) -> np.ndarray:
    """Vertical hangers' shares of a weight: f = K A' (A K A')^-1 w.

    Parameters
    ----------
    places_m : array [m] e.g. [[0,0],[2,0],[2,1],[0,1]]
    centre_m : array [m] e.g. [0.8,0.45]
    weight_n : float [N] e.g. 1000
    stiffness_n_m : array

    Returns
    -------
    array [N]

    Notes
    -----
    ``places_m`` (n, 2) in plan, ``centre_m`` (2,), stiffness (n,) [N/m] equal where not given. A negative
    share means that hanger goes slack: remove it and solve again. Hangers in a line that does
    not pass over the centre: ValueError.

    Examples
    --------
    >>> hanger_forces([[0, 0], [2, 0], [2, 1], [0, 1]], [0.8, 0.45], 1.0).round(3)
    array([0.325, 0.225, 0.175, 0.275])

    References
    ----------
    As ``anchor_reactions``.
    """
    places = np.asarray(places_m, float)
    flat = np.column_stack([places, np.zeros(len(places))])
    k = np.zeros((len(places), 3))
    k[:, 2] = 1.0 if stiffness_n_m is None else stiffness_n_m
    at = np.append(np.asarray(centre_m, float), 0.0)
    return anchor_reactions(flat, k, np.array([0.0, 0.0, -float(weight_n)]), at)[:, 2]


def hanger_forces_one_slack(places_m: np.ndarray, centre_m: np.ndarray, weight_n: float) -> np.ndarray:
    """Vertical hangers' shares with each of them slack in turn; row i is without hanger i, not a number if it falls.

    Parameters
    ----------
    places_m : array [m] e.g. [[0,0],[2,0],[2,1],[0,1]]
    centre_m : array [m] e.g. [0.8,0.45]
    weight_n : float [N] e.g. 1000

    Returns
    -------
    array [N]

    Notes
    -----
    Returns (n, n). A hanger that would have to push is slack as well, so such a row is solved again without it; a row
    that cannot be balanced is not a number: the piece tips. ``nanmax`` over a column is that hanger's
    worst case.

    Examples
    --------
    >>> rows = hanger_forces_one_slack([[0, 0], [2, 0], [2, 1], [0, 1]], [0.8, 0.45], 1.0)
    >>> rows[1].round(3), rows[0]  # without the second it hangs on three; without the first it tips
    (array([0.55, 0.  , 0.4 , 0.05]), array([nan, nan, nan, nan]))

    References
    ----------
    As ``anchor_reactions``.
    """
    places = np.asarray(places_m, float)
    out = np.full((len(places), len(places)), np.nan)
    for gone in range(len(places)):  # a handful of anchors
        left = np.delete(np.arange(len(places)), gone)
        while len(left):
            try:
                forces = hanger_forces(places[left], centre_m, weight_n)
            except ValueError:
                break
            if forces.min() >= -1e-9 * abs(weight_n):
                out[gone] = 0.0
                out[gone, left] = forces
                break
            left = np.delete(left, np.argmin(forces))
    return out


def wall_shear(places_m: np.ndarray, force_n: np.ndarray, force_at_m: np.ndarray) -> np.ndarray:
    """Shear of each anchor of a pattern in a wall: V / n + M x r_i / sum r^2.

    Parameters
    ----------
    places_m : array [m] e.g. [[0,0],[0.3,0],[0.3,0.4],[0,0.4]]
    force_n : array [N] e.g. [0,-2000]
    force_at_m : array [m] e.g. [0.25,0.2]

    Returns
    -------
    array [N]

    Notes
    -----
    All (n, 2) or (2,), in the wall. Returns the vectors that the body puts on the anchors, (n, 2).
    Equal anchors, rigid body; conservative against the instantaneous-centre method.

    Examples
    --------
    >>> v = wall_shear([[0, 0], [0.3, 0], [0.3, 0.4], [0, 0.4]], [0, -2000], [0.25, 0.2])
    >>> np.hypot(*v.T).round(1)
    array([412.3, 640.3, 640.3, 412.3])

    References
    ----------
    Elastic vector method for eccentric bolt groups.
    """
    places, force = np.asarray(places_m, float), np.asarray(force_n, float)
    arm = places - places.mean(axis=0)
    lever = np.asarray(force_at_m, float) - places.mean(axis=0)
    moment = lever[0] * force[1] - lever[1] * force[0]
    squares = (arm**2).sum()
    turn = moment * np.column_stack([-arm[:, 1], arm[:, 0]]) / squares if squares else 0.0
    return force / len(places) + turn


def wall_pullout(
    heights_m: np.ndarray, moment_nm: float, pivot_m: float, pull_n: float = 0.0
) -> tuple[np.ndarray, np.ndarray]:
    """Pull on wall anchors from a weight that stands off the wall, reckoned both ways.

    about their centroid N_i = M y_i / sum y^2, and with the body bearing on its lower edge N_i = M h_i / sum h^2,
    h from that edge

    Parameters
    ----------
    heights_m : array [m] e.g. [0,0,0.4,0.4]
    moment_nm : float [N m] e.g. 500
    pivot_m : float [m] e.g. -0.05
    pull_n : float

    Returns
    -------
    about_centroid : array [N]
    about_edge : array [N]

    Notes
    -----
    ``heights_m`` (n,) of the anchors, ``moment_nm`` weight times standoff, ``pivot_m`` height of the lowest edge that
    bears on the wall, below the anchors; ``pull_n`` a straight pull [N], shared evenly. Report the larger of
    the two; the first assumes anchors that can push. All anchors at one height: the first is not a number.

    Examples
    --------
    >>> a, b = wall_pullout([0, 0, 0.4, 0.4], 500.0, -0.05)
    >>> a.round(1), b.round(1)
    (array([-625., -625.,  625.,  625.]), array([ 61. ,  61. , 548.8, 548.8]))

    References
    ----------
    Elastic method for anchors in tension; any text on bolted brackets.
    """
    heights = np.asarray(heights_m, float)
    y, h = heights - heights.mean(), heights - pivot_m
    even = pull_n / len(heights)
    squares = (y**2).sum()
    about_centroid = moment_nm * y / squares if squares > 0 else np.full(len(y), np.nan)
    return about_centroid + even, moment_nm * h / (h**2).sum() + even


def standoff_rod_stress(shear_n: float, standoff_m: float, diameter_m: float, fixed_both: bool = False) -> float:
    """Bending stress of a round stand-off rod: 32 V e / (pi d^3), half of it where both ends are held from turning.

    Parameters
    ----------
    shear_n : float or array [N] e.g. 640
    standoff_m : float or array [m] e.g. 0.05
    diameter_m : float or array [m] e.g. 0.016
    fixed_both : bool

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Elastic, bending alone.

    Examples
    --------
    >>> round(standoff_rod_stress(640, 0.05, 0.016) / 1e6, 1)
    79.6

    References
    ----------
    Beam bending, M = V e, section modulus pi d^3 / 32.
    """
    return 32 * shear_n * standoff_m / (math.pi * diameter_m**3) * (0.5 if fixed_both else 1.0)


def prying_force(pull_n: float, bolt_to_load_m: float, bolt_to_edge_m: float) -> float:
    """Upper bound of a bolt's force with prying of a rigid plate: T (1 + b / a).

    Parameters
    ----------
    pull_n : float or array [N] e.g. 550
    bolt_to_load_m : float or array [m] e.g. 0.03
    bolt_to_edge_m : float or array [m] e.g. 0.04

    Returns
    -------
    float or array [N]

    Notes
    -----
    Rigid plate lifting about its edge.

    Examples
    --------
    >>> prying_force(550.0, 0.03, 0.04)
    962.5

    References
    ----------
    Moments about the edge, derived.
    """
    return pull_n * (1 + bolt_to_load_m / bolt_to_edge_m)


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
    >>> round(math.degrees(tip_angle(0.8, 0.3)), 2)
    20.56

    References
    ----------
    Geometry.
    """
    return np.arctan2(edge_distance_m, centre_height_m)


def wind_pressure(speed_m_s: float, air_density_kg_m3: float = 1.226, factors: float = 1.0) -> float:
    """Velocity pressure of wind, rho v^2 / 2 times the code's factors.

    Parameters
    ----------
    speed_m_s : float or array [m/s] e.g. 25
    air_density_kg_m3 : float or array [kg/m^3] e.g. 1.25
    factors : float or array [-] e.g. 1

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    1.226 kg/m3 is behind ASCE 7's 0.613 V^2 (0.00256 V^2 in psf and mph), 1.25 behind EN 1991-1-4.
    Given for checks: the tool hands on areas and centroids, the factors are an engineer's.

    Examples
    --------
    >>> wind_pressure(25.0, 1.25)
    390.625

    References
    ----------
    ASCE 7; EN 1991-1-4, 4.5 (from memory).
    """
    return 0.5 * air_density_kg_m3 * speed_m_s**2 * factors
