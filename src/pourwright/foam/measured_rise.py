"""The adiabatic rise after somebody has measured it: a cup, a probe in a lift, or the heat of a surface."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourwright.foam.grade import FoamGrade
from pourwright.foam.heat_of_recipe import with_rise
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
