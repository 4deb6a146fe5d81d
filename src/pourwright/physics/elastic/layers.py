"""Two layers that bend as one."""

from __future__ import annotations


def two_layers(
    first_pa: float, first_poisson: float, first_m: float, second_pa: float, second_poisson: float, second_m: float
) -> float:
    """Bending stiffness per width of two plates bonded to each other, about their common neutral plane.

    ``D = sum E' t^3 / 12 + E1' t1 E2' t2 / (E1' t1 + E2' t2) ((t1 + t2) / 2)^2``, ``E' = E / (1 - nu^2)``.

    Parameters
    ----------
    first_pa : float [Pa] e.g. 6.5e9
    first_poisson : float [-] e.g. 0.33
    first_m : float [m] e.g. 0.004
    second_pa : float [Pa] e.g. 8e6
    second_poisson : float [-] e.g. 0.3
    second_m : float [m] e.g. 0.05

    Returns
    -------
    float [N m]

    Notes
    -----
    Thin plates: shear in a soft layer is left out, so that wide panels are meant.

    Examples
    --------
    Two halves of one plate are that plate; a soft layer adds to a hard one:

    >>> round(two_layers(200e9, 0.3, 0.004, 200e9, 0.3, 0.006), 2)
    18315.02
    >>> round(two_layers(6.5e9, 0.33, 0.004, 8e6, 0.3, 0.05) / two_layers(6.5e9, 0.33, 0.004, 8e6, 0.3, 0.0), 2)
    11.47

    References
    ----------
    S. Timoshenko, Strength of Materials, Part I, 3rd ed. 1955, beams of two materials (from memory), with the plate
    modulus in place of Young's.
    """
    first, second = (pa / (1.0 - nu**2) for pa, nu in ((first_pa, first_poisson), (second_pa, second_poisson)))
    a, b = first * first_m, second * second_m
    return (first * first_m**3 + second * second_m**3) / 12 + a * b / (a + b) * (0.5 * (first_m + second_m)) ** 2
