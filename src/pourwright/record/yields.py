"""What the foam really yields, from all that was poured, and how sure that is.

The density in place over the density that was expected at that day's temperatures is one number for each mass of foam
whose height was read. Its logarithm is taken for the sum of what all pours share (this drum of foam, this scale, this
cavity) and what each has for itself (how it was mixed). The shared part starts at zero with the data sheet's spread and
moves with every reading, each weighed by its own doubt.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourwright.errors import UsageError
from pourwright.foam import FoamGrade
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

SHARED = 0.5
"""Share of the data sheet's variance that all pours have in common; our judgement, no published source."""
WEIGHT_OF_PRIOR = 4.0
"""Pours that the data sheet's own scatter counts for when the scatter is found; our judgement, no published source."""
HEIGHT_SIGMA_M = 0.005
"""Standard deviation of a height read off a stick; our judgement, no published source."""
AMOUNT_SIGMA = 0.01
"""The same of a weighed amount, as a share of it; our judgement, no published source."""


SCALE_SPREAD = 2.0 * AMOUNT_SIGMA
"""Plus or minus share of what a poured pour weighs: two standard deviations of its amounts."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One mass of foam whose height was read: log of density in place over expected, and its standard deviation."""

    log_ratio: float
    sigma: float
    pours: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class YieldEstimate:
    """Density in place as a factor on the expected one; low and high are two standard deviations of the next pour."""

    factor: Range
    shared_sigma: float  # of the logarithm: how well the shared part is known
    scatter: float  # of the logarithm: from pour to pour
    readings: int

    @property
    def next_sigma(self) -> float:
        """Standard deviation of the logarithm for the next pour."""
        return math.hypot(self.shared_sigma, self.scatter)


def reading_of(kg: float, expected_kg: float, volume_m3: float, top_area_m2: float, pours: tuple[str, ...]) -> Reading:
    """A reading from the foam in place, the foam expected in that volume, the volume and its area at the top.

    r = ln(m / (rho V)); sigma^2 = (sigma_h A / V)^2 + sigma_m^2.

    Raises
    ------
    UsageError
        Nothing was poured, or it filled nothing.

    Examples
    --------
    >>> found = reading_of(1.1, 1.0, 0.02, 0.1, ("1a",))
    >>> round(found.log_ratio, 4), round(found.sigma, 4)
    (0.0953, 0.0269)
    """
    if not (kg > 0 and expected_kg > 0 and volume_m3 > 0):
        raise UsageError(f"pour {', '.join(pours)}: {kg:g} kg in {volume_m3:g} m3 says nothing of the yield")
    sigma = math.hypot(HEIGHT_SIGMA_M * top_area_m2 / volume_m3, AMOUNT_SIGMA)
    return Reading(math.log(kg / expected_kg), sigma, pours)


def estimate_yield(readings: Sequence[Reading], spread: float) -> YieldEstimate:
    """The factor on the expected density.

    Normal prior N(0, tau^2) on the shared log factor, normal readings with known variance::

        sigma_0 = ln(1 + spread) / 2                 (the data sheet's spread is two standard deviations)
        tau^2   = SHARED sigma_0^2,  s_0^2 = (1 - SHARED) sigma_0^2
        s^2     = (k s_0^2 + sum (r_i - mean)^2) / (k + n - 1)      scatter from pour to pour, k = WEIGHT_OF_PRIOR
        w_i     = 1 / (s^2 + sigma_i^2)
        v       = 1 / (1 / tau^2 + sum w_i),   m = v sum w_i r_i
        next pour: ln factor ~ N(m, v + s^2)

    Parameters
    ----------
    readings : sequence of Reading
        May be empty: then the data sheet comes back.
    spread : float
        Plus or minus share of the data sheet's density [-], 0 to under 1.

    Returns
    -------
    YieldEstimate

    References
    ----------
    Gelman, Carlin, Stern, Dunson, Vehtari, Rubin, Bayesian Data Analysis, 3rd ed. 2013, section 2.5, normal mean with
    known variance (from memory). Pooling the scatter with the data sheet's, and the shares, are our judgement.

    Examples
    --------
    >>> none = estimate_yield([], 0.10)
    >>> round(none.factor.nominal, 6), round(none.factor.high, 4)
    (1.0, 1.1)
    >>> heavy = estimate_yield([Reading(0.08, 0.0, ("1a",)), Reading(0.10, 0.0, ("2a",))], 0.10)
    >>> round(heavy.factor.nominal, 4)
    1.0655
    """
    if not 0.0 <= spread < 1.0:
        raise UsageError(f"a spread of {spread:g} is not a share: give 0 to under 1")
    sigma_0 = max(math.log1p(spread) / 2.0, 1e-6)
    prior, own = SHARED * sigma_0**2, (1.0 - SHARED) * sigma_0**2
    count = len(readings)
    if count > 1:
        mean = sum(reading.log_ratio for reading in readings) / count
        squares = sum((reading.log_ratio - mean) ** 2 for reading in readings)
        own = (WEIGHT_OF_PRIOR * own + squares) / (WEIGHT_OF_PRIOR + count - 1)
    weights = [1.0 / (own + reading.sigma**2) for reading in readings]
    variance = 1.0 / (1.0 / prior + sum(weights))
    middle = variance * sum(w * reading.log_ratio for w, reading in zip(weights, readings, strict=True))
    wide = 2.0 * math.sqrt(variance + own)
    factor = Range(math.exp(middle - wide), math.exp(middle), math.exp(middle + wide))
    return YieldEstimate(factor, math.sqrt(variance), math.sqrt(own), count)


def grade_with(grade: FoamGrade, found: YieldEstimate) -> FoamGrade:
    """The grade with the density and the spread that the record shows; untouched where nothing was read."""
    if not found.readings:
        return grade
    values = {
        "free_rise_density_kg_m3": grade.free_rise_density_kg_m3 * found.factor.nominal,
        "density_spread": min(math.expm1(2.0 * found.next_sigma), 0.9),
    }
    cited = dict(grade.cited)
    for name, value in values.items():
        if name in cited:
            said = f"record of {found.readings} reading{'' if found.readings == 1 else 's'}"
            cited[name] = Cited(value, grade.cited[name].unit, Standing.JOB, said)
    return replace(
        grade,
        free_rise_density_kg_m3=values["free_rise_density_kg_m3"],
        density_spread=values["density_spread"],
        cited=cited,
    )
