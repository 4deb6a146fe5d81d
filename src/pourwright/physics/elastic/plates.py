"""Panels of a skin under even pressure: from small deflection through membrane stiffening, flat or curved.

The small-deflection plates are in ``plates_small``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq

from pourwright.physics.elastic.plates_small import (
    clamped_rectangle,
    flexural_rigidity,
    supported_rectangle,
    supported_rectangle_on_springs,
)

# Cubic term of q* = c1 z + c3 z^3 (times 1 - nu^2) where bending rules (low) and where the membrane rules (high), the
# load q* half way between the two, and the membrane stress factor sigma b^2 / (E t^2) = cm z^2 (times 1 - nu^2) at the
# spot that governs. Fitted to our own von Karman solution at nu = 0.3 and 0.42, q* = 1 to 800.
_WIDTH_OVER_LENGTH = (0.0, 0.25, 1 / 3, 0.4, 0.5, 0.57, 2 / 3, 0.73, 0.8, 0.87, 0.93, 1.0)
_FIT = {
    "supported": {
        "low": (19.33, 18.51, 16.52, 15.72, 15.60, 16.09, 17.45, 18.79, 20.75, 23.25, 25.89, 29.63),
        "high": (20.9, 20.93, 21.01, 21.18, 21.59, 22.15, 23.54, 24.99, 27.20, 30.17, 33.41, 38.12),
        "half": (40.0, 26.5, 16.0, 21.6, 37.1, 51.6, 74.8, 91.0, 109.3, 127.7, 143.4, 161.7),
        "membrane": (2.64, 2.64, 2.64, 2.64, 2.65, 2.67, 2.72, 2.78, 2.90, 3.08, 3.24, 3.45),
    },
    "clamped": {
        "low": (22.3, 23.3, 23.1, 21.0, 20.2, 20.2, 21.19, 22.49, 24.55, 27.32, 30.34, 34.70),
        "high": (23.2, 23.2, 23.3, 23.4, 23.69, 24.17, 25.52, 26.99, 29.29, 32.44, 35.93, 41.05),
        "half": (30.0, 30.0, 30.0, 13.2, 48.6, 82.6, 142.3, 189.1, 246.8, 308.4, 362.1, 423.1),
        "membrane": (2.54, 2.54, 2.60, 2.63, 2.70, 2.74, 2.80, 2.90, 3.00, 3.17, 3.33, 3.50),
    },
}

# Springs that stand for the curvature, as a share of E t / R^2, and their membrane stress as a share of k w R / t.
# The whole sphere has 2 / (1 - nu) = 3 and the long cylinder 1 under even pressure; near a held edge the movement
# overshoots, more so on a cylinder, whose bending waves are softer. Set so that deflection and stress are never below
# our own Marguerre solution (spheres, cylinders either way; length 1 and 2 widths; rise 0.5 to 20 thicknesses).
_CURVATURE_SPRING = {"single": 0.6, "double": 1.8}
_CURVATURE_STRESS = {"single": {"supported": 1.3, "clamped": 0.6}, "double": {"supported": 0.8, "clamped": 0.35}}


@dataclass(frozen=True, slots=True)
class Form:
    """Curvature of a panel, and how its four sides are held.

    ``radius_m`` is the smaller radius of curvature [m] of a panel whose hollow side takes the pressure, inf where it is
    flat; ``doubly_curved`` only where both radii are about equal (a dome). ``edges`` are ``clamped`` for a panel that
    runs on into the same skin around it, ``supported`` (free to turn) for one on a stiff rib or flange.
    """

    radius_m: float = math.inf
    edges: str = "clamped"
    doubly_curved: bool = False


FLAT = Form()


def _fit(edges: str, name: str, width_over_length: float) -> float:
    return float(np.interp(width_over_length, _WIDTH_OVER_LENGTH, _FIT[edges][name]))


@lru_cache(maxsize=4096)
def _linear(width_over_length: float, poisson: float, stiffness: float, edges: str) -> tuple[float, float]:
    """Deflection w D / (q b^4) and governing moment M / (q b^2) of the panel on k = stiffness * D / b^4."""
    length = 1 / max(width_over_length, 1e-3)
    if edges == "clamped":
        return clamped_rectangle(1.0, length, 1.0, 1.0, stiffness)
    if stiffness:
        return supported_rectangle_on_springs(1.0, min(length, 8.0), 1.0, poisson, stiffness, 1.0)
    w, across, along = supported_rectangle(1.0, length, 1.0, poisson, 1.0)
    return w, max(across, along)


def _strip(u: float, edges: str) -> tuple[float, float]:
    """Deflection and governing moment of a long strip with pull S, u^2 = S b^2 / (4 D), over those without pull."""
    if u < 1e-2:
        return 1.0, 1.0
    decay = 1 / math.cosh(min(u, 300.0))
    if edges == "clamped":
        tanh = math.tanh(u)
        w = 24 / u**4 * (u**2 / 2 + u * decay / tanh - u / tanh)
        return w, 3 * (u - tanh) / (u**2 * tanh)
    return (decay - 1 + u**2 / 2) / (5 * u**4 / 24), (1 - decay) / (u**2 / 2)


def _moment_share(deflection_share: float, edges: str) -> float:
    """Share of the small-deflection moment that is left where ``deflection_share`` of the deflection is left."""
    if deflection_share > 0.999:
        return 1.0
    u = brentq(lambda x: _strip(x, edges)[0] - deflection_share, 1e-2, 1e7)
    return _strip(u, edges)[1]


def _response(
    width_m: float,
    length_m: float,
    thickness_m: float,
    youngs_pa: float,
    poisson: float,
    pressure_pa: float,
    form: Form,
) -> tuple[float, float, float]:
    """Deflection, stress and the share that is left of the small-deflection movement."""
    radius_m, edges, doubly_curved = form.radius_m, form.edges, form.doubly_curved
    if edges not in _FIT:
        raise ValueError(f"edges = {edges!r}: 'clamped' or 'supported'")
    if not radius_m > 0:
        raise ValueError(f"radius_m = {radius_m}: above zero, or inf for a flat panel or one pressed against its bulge")
    width_m, length_m = sorted((float(width_m), float(length_m)))
    ratio = width_m / length_m
    rigidity = flexural_rigidity(youngs_pa, poisson, thickness_m)
    spring, curve = 0.0, 0.0
    if not math.isinf(radius_m):
        kind = "double" if doubly_curved else "single"
        spring = _CURVATURE_SPRING[kind] * youngs_pa * thickness_m / radius_m**2
        curve = _CURVATURE_STRESS[kind][edges] * spring * radius_m / thickness_m
    alpha, moment = _linear(ratio, float(poisson), float(spring * width_m**4 / rigidity), edges)
    small = alpha * pressure_pa * width_m**4 / rigidity
    load = pressure_pa * width_m**4 / (youngs_pa * thickness_m**4)
    if load <= 0:
        return 0.0, 0.0, 1.0
    low, high, half, membrane = (_fit(edges, name, ratio) for name in ("low", "high", "half", "membrane"))
    c1 = load * thickness_m / small
    c3 = (low + (high - low) * load / (load + half)) / (1 - poisson**2)
    # Only real root of c3 z^3 + c1 z = load, written so that nothing cancels where c3 z^2 is small.
    z = 2 * math.sqrt(c1 / (3 * c3)) * math.sinh(math.asinh(1.5 * load / c1 * math.sqrt(3 * c3 / c1)) / 3)
    share = z / (load / c1)
    bending = 6 * moment * pressure_pa * width_m**2 / thickness_m**2 * _moment_share(share, edges)
    stretch = membrane / (1 - poisson**2) * youngs_pa * (z * thickness_m / width_m) ** 2
    return z * thickness_m, bending + stretch + curve * z * thickness_m, share


def panel_deflection_and_stress(
    width_m: float,
    length_m: float,
    thickness_m: float,
    youngs_pa: float,
    poisson: float,
    pressure_pa: float,
    form: Form = FLAT,
) -> tuple[float, float, str]:
    """How far a panel of the skin bulges under even pressure, and its greatest stress.

    q b^4 / (E t^4) = c1 z + c3 z^3 with z = w/t: c1 from the exact small-deflection solution of the plate on springs
    k = f E t / R^2 (the curvature), c3 from a fit to the von Karman equations. Bending stress = the small-deflection
    one times the share that a long strip with the same loss of deflection keeps; to it the membrane stress
    cm E (w/b)^2 / (1 - nu^2) and that of the curvature, k w R / t, are added.

    Parameters
    ----------
    width_m : float [m] e.g. 0.3
    length_m : float [m] e.g. 0.4
    thickness_m : float [m] e.g. 0.004
    youngs_pa : float [Pa] e.g. 6.5e9
    poisson : float [-] e.g. 0.33
    pressure_pa : float [Pa] e.g. 30e3
    form : Form

    Returns
    -------
    deflection : float [m]
    stress : float [Pa]
    regime : str

    Notes
    -----
    Four sides held; they do not move in the plane of the panel. A panel that the pressure pushes in against its bulge
    can snap through, which is not computed: pass it as flat, and mind that. ``regime`` is ``flat`` or ``curved``, and
    ``small deflection`` or, where small-deflection theory would be more than 6 % too high, ``membrane-stiffened``.

    Error against our own Ritz solution of the von Karman (flat) and Marguerre (curved) equations, which itself
    agrees with the large-deflection tables of the held square plate. Flat, length up to 4 widths, nu 0.3 to 0.42,
    q b^4/(E t^4) up to 800: deflection within 1 %, stress -2 to +12 %. Curved with a rise b^2/(8 R) of 0.5 to 20
    thicknesses: never below it; deflection up to 75 % above, stress up to twice. Beyond q b^4/(E t^4) = 800 untested.

    Examples
    --------
    >>> w, s, regime = panel_deflection_and_stress(0.3, 0.3, 0.004, 6.5e9, 0.33, 30e3)
    >>> round(w * 1e3, 2), round(s / 1e6), regime
    (4.58, 43, 'flat, membrane-stiffened')
    >>> w, s, regime = panel_deflection_and_stress(0.3, 0.3, 0.004, 6.5e9, 0.33, 30e3, Form(radius_m=0.5))
    >>> round(w * 1e3, 2), regime
    (0.54, 'curved, small deflection')

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 1 (strip), ch. 8, ch. 13 (from
    memory); fit and its error are our own computation.
    """
    w, stress, share = _response(width_m, length_m, thickness_m, youngs_pa, poisson, pressure_pa, form)
    shape = "flat" if math.isinf(form.radius_m) else "curved"
    return w, stress, f"{shape}, {'small deflection' if share > 0.94 else 'membrane-stiffened'}"


def panel_pressure(
    width_m: float,
    length_m: float,
    thickness_m: float,
    youngs_pa: float,
    poisson: float,
    allowed_deflection_m: float,
    allowed_stress_pa: float,
    form: Form = FLAT,
) -> tuple[float, str]:
    """The even pressure at which a panel reaches its allowed deflection or its allowed stress, whichever comes first.

    The inverse of ``panel_deflection_and_stress``, solved to 1e-9.

    Parameters
    ----------
    width_m : float [m] e.g. 0.3
    length_m : float [m] e.g. 0.4
    thickness_m : float [m] e.g. 0.004
    youngs_pa : float [Pa] e.g. 6.5e9
    poisson : float [-] e.g. 0.33
    allowed_deflection_m : float [m] e.g. 0.003
    allowed_stress_pa : float [Pa] e.g. 13e6
    form : Form

    Returns
    -------
    pressure : float [Pa]
    governed_by : str

    Notes
    -----
    Validity and error of ``panel_deflection_and_stress``: flat panels 13 % low to 3 % high in pressure, curved ones
    never high. ``governed_by`` is ``deflection`` or ``stress``. A limit of ``inf`` is not held;
    one of the two is needed.

    Examples
    --------
    >>> p, governed_by = panel_pressure(0.3, 0.3, 0.004, 6.5e9, 0.33, 0.003, 13e6)
    >>> round(p), governed_by
    (7464, 'stress')

    References
    ----------
    As ``panel_deflection_and_stress``.
    """
    if not (allowed_deflection_m > 0 and allowed_stress_pa > 0):
        raise ValueError(f"limits {allowed_deflection_m} m and {allowed_stress_pa} Pa: both must be above zero")
    if math.isinf(allowed_deflection_m) and math.isinf(allowed_stress_pa):
        raise ValueError("both limits are infinite: give an allowed deflection or an allowed stress")
    geometry = (width_m, length_m, thickness_m, youngs_pa, poisson)

    def use(pressure: float) -> tuple[float, float]:
        w, s, _ = panel_deflection_and_stress(*geometry, pressure, form)
        return w / allowed_deflection_m, s / allowed_stress_pa

    # A panel is never softer than at first: scaling the small-deflection use to one gives a pressure below the answer.
    scale = youngs_pa * (thickness_m / min(width_m, length_m)) ** 4
    low = 1e-6 * scale
    low /= max(use(low))
    high = 2 * low
    while max(use(high)) < 1:
        high *= 2
    pressure = float(brentq(lambda p: max(use(p)) - 1, 0.5 * low, high, rtol=1e-10))
    by_deflection, by_stress = use(pressure)
    return pressure, "deflection" if by_deflection >= by_stress else "stress"
