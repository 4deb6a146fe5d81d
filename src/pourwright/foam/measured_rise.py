"""The adiabatic rise after somebody has measured it: a cup, a probe in a lift, or the heat of a surface."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pourwright.foam.grade import FoamGrade
from pourwright.foam.heat_of_recipe import with_rise
from pourwright.physics import heat
from pourwright.sources import Cited, Standing

OWN_SD = {
    "thermocouple": Cited(6.0, "K", Standing.JUDGEMENT, note="from cup to cup: place of the junction, mixing"),
    "probe": Cited(4.0, "K", Standing.JUDGEMENT, note="in the core of a lift"),
    "infrared": Cited(20.0, "K", Standing.JUDGEMENT, note="of the surface, which is cooler than the core"),
}
"""Standard deviation of one reading by instrument."""
SHARED_SD = Cited(4.0, "K", Standing.JUDGEMENT, note="what all readings of a day share: thermometer, scale, drum")
WEIGHT_OF_OWN = 4.0
"""Readings that `OWN_SD` counts for when the scatter of several is found; our judgement, no published source."""
LEAST_ACROSS_M = 0.09
"""Least diameter and height of foam whose middle keeps its heat until it peaks (99.7 % of it at 48 kg/m3)."""


DIFFUSIVITY_SD = Cited(
    0.15,
    "-",
    Standing.JUDGEMENT,
    note="of the logarithm: conductivity of hot foam, its density, its specific heat",
)
_SHARES = (0.02, 0.98)  # of its excess a core may be expected to keep for its cooling to tell anything


def updated_rise(
    rise_k: float, sd_k: float, readings_k: Sequence[float], own_sd_k: float, shared_sd_k: float = SHARED_SD.value
) -> tuple[float, float]:
    """Likely rise and its standard deviation [K] after readings of it.

    Normal prior N(m, s^2) and normal readings: conjugate update, both ways::

        u^2 = (k own^2 + sum (r - mean)^2) / (k + n - 1)     scatter, pooled with what is expected of it, k = 4
        v^2 = u^2 / n + shared^2                             of the mean reading; the shared part is not averaged out
        1/s'^2 = 1/s^2 + 1/v^2,  m' = s'^2 (m / s^2 + mean / v^2)

    Parameters
    ----------
    rise_k, sd_k : float
        Before, [K]; a deviation of 0 stays.
    readings_k : sequence of float
        Rises read, [K].
    own_sd_k, shared_sd_k : float
        Standard deviation of one reading by itself, and of what all share [K].

    Returns
    -------
    tuple of float

    References
    ----------
    Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 2.5, normal mean with known variance (from memory).

    Examples
    --------
    >>> tuple(round(x, 1) for x in updated_rise(145.7, 15.8, [144.0, 150.0, 156.0], 6.0))
    (149.6, 5.0)
    """
    count = len(readings_k)
    if not count or sd_k <= 0:
        return rise_k, sd_k
    mean = sum(readings_k) / count
    squares = sum((reading - mean) ** 2 for reading in readings_k)
    own = (WEIGHT_OF_OWN * own_sd_k**2 + squares) / (WEIGHT_OF_OWN + count - 1)
    variance = own / count + shared_sd_k**2
    after = 1 / (1 / sd_k**2 + 1 / variance)
    return after * (rise_k / sd_k**2 + mean / variance), math.sqrt(after)


def with_readings(grade: FoamGrade, readings_k: Sequence[float], instrument: str, reference: str) -> FoamGrade:
    """The grade with its rise after readings [K] by an instrument of `OWN_SD`."""
    before = grade.heat_j_kg / grade.specific_heat_j_kgk
    rise, sd = updated_rise(before, grade.rise_sd_k, readings_k, OWN_SD[instrument].value)
    count = len(readings_k)
    mean = sum(readings_k) / count
    note = (
        f"{count} reading{'' if count == 1 else 's'} by {instrument}, mean {mean:.0f} K, with {before:.0f} K, "
        f"deviation {grade.rise_sd_k:.0f} K, known before"
    )
    return with_rise(grade, rise, sd, Cited(rise, "K", Standing.JOB, reference, note=note))


def updated_diffusivity(
    cooled: Sequence[tuple[float, float, float]], log_sd: float = DIFFUSIVITY_SD.value
) -> tuple[float, float]:
    """Factor on the diffusivity and the standard deviation of its logarithm, from cores read a while after their peak.

    Time and diffusivity come together only: a core expected to keep the share ``s(Fo)`` of its excess keeps
    ``s(f Fo)`` where the diffusivity is f times as large; ``s`` is that of the slab that keeps as much. Normal prior on
    ln f, normal readings of the share; mean and deviation of the posterior by the trapezium rule.

    Parameters
    ----------
    cooled : sequence of (expected, read, standard deviation)
        Shares of the excess over the air that were left [-]. Those expected outside 0.02 to 0.98 tell nothing.
    log_sd : float
        Of the logarithm before.

    Returns
    -------
    factor, log_sd : float

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 3.3, for the slab; as `updated_rise`.

    Examples
    --------
    A core that was to keep 0.7 of its excess kept 0.6:

    >>> tuple(round(x, 2) for x in updated_diffusivity([(0.7, 0.6, 0.05)]))
    (1.16, 0.09)
    >>> updated_diffusivity([])
    (1.0, 0.15)
    """
    log = np.linspace(-6 * log_sd, 6 * log_sd, 1201)
    weight = -0.5 * (log / log_sd) ** 2
    low, high = _SHARES
    telling = [one for one in cooled if low <= one[0] <= high]
    if not telling:
        return 1.0, log_sd
    for expected, read, sd in telling:
        fourier = heat.slab_time_to_share(expected, 1.0, 1.0) * np.exp(log)
        weight = weight - 0.5 * ((read - heat.slab_share(fourier)) / sd) ** 2
    weight = np.exp(weight - weight.max())
    weight /= np.trapezoid(weight, log)
    mean = float(np.trapezoid(log * weight, log))
    return math.exp(mean), math.sqrt(float(np.trapezoid((log - mean) ** 2 * weight, log)))


def kept_share(expected: float, factor: float) -> float:
    """Share of its excess that a core keeps where it was expected to keep ``expected``, at ``factor`` the diffusivity.

    >>> [round(kept_share(0.7, factor), 3) for factor in (1.0, 1.2)]
    [0.7, 0.623]
    """
    low, high = _SHARES
    if not low <= expected <= high:
        return expected
    return float(heat.slab_share(heat.slab_time_to_share(expected, 1.0, 1.0) * factor))


def with_diffusivity(grade: FoamGrade, factor: float, reference: str) -> FoamGrade:
    """The grade with its hot conductivity times ``factor``; density and specific heat stay."""
    value = factor * grade.conductivity_hot_w_mk
    note = f"{factor:.2f} times the {grade.conductivity_hot_w_mk:.3f} W/(m K) taken before"
    cited = {**grade.cited, "conductivity_hot_w_mk": Cited(value, "W/(m K)", Standing.JOB, reference, note=note)}
    return replace(grade, conductivity_hot_w_mk=value, cited=cited)
