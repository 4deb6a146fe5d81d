"""What is measured of the heat, by Bayes: updates against posteriors of their own, and how often 95 % bands hold.

Normal prior and normal readings (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 2.5, from memory).
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from pourwright.foam import DIFFUSIVITY_SD, OWN_SD, load_grade, updated_diffusivity, updated_rise
from pourwright.record import Entry, Expected, Planned, probed

PRIOR, PRIOR_SD, OWN, SHARED = 145.7, 15.8, 6.0, 4.0


@pytest.mark.parametrize("readings", [[150.0], [144.0, 150.0, 156.0], [120.0, 122.0], [170.0, 171.0, 169.0, 172.0]])
def test_update_against_the_posterior_on_a_grid(readings):
    """Prior times likelihood, integrated by trapezia over the rise and over what the readings share."""
    rise = np.linspace(60.0, 240.0, 3601)
    shared = np.linspace(-6 * SHARED, 6 * SHARED, 601)
    count, mean = len(readings), np.mean(readings)
    own = np.sqrt((4 * OWN**2 + np.sum((np.array(readings) - mean) ** 2)) / (3 + count))
    log = sum(norm.logpdf(reading, rise[:, None] + shared[None, :], own) for reading in readings)
    like = np.trapezoid(np.exp(log - log.max()) * norm.pdf(shared, 0.0, SHARED), shared, axis=1)
    post = norm.pdf(rise, PRIOR, PRIOR_SD) * like
    post /= np.trapezoid(post, rise)
    middle = np.trapezoid(rise * post, rise)
    got = updated_rise(PRIOR, PRIOR_SD, readings, OWN, SHARED)
    assert got[0] == pytest.approx(middle, abs=0.02)
    assert got[1] == pytest.approx(np.sqrt(np.trapezoid((rise - middle) ** 2 * post, rise)), abs=0.02)


@pytest.mark.parametrize("cups", [1, 3, 6])
def test_band_holds_the_truth_in_95_of_100_shops(cups):
    """1,000 synthetic shops, fixed seed: a foam from the prior, a bias a day, cups around it."""
    draw = np.random.default_rng(20)
    held = 0
    for _ in range(1000):
        truth = draw.normal(PRIOR, PRIOR_SD)
        readings = truth + draw.normal(0.0, SHARED) + draw.normal(0.0, OWN, cups)
        mean, sd = updated_rise(PRIOR, PRIOR_SD, list(readings), OWN, SHARED)
        held += abs(truth - mean) < 1.959964 * sd
    assert 930 <= held <= 970


_FO = np.geomspace(2e-3, 3.0, 20_001)
_N = 2 * np.arange(40) + 1
_CENTRE = (4 / np.pi) * ((-1.0) ** np.arange(40) / _N) @ np.exp(-(_N[:, None] ** 2) * np.pi**2 * _FO)


def _kept(expected: float, factor: float) -> float:
    """Share that the middle of a slab keeps where it would keep ``expected`` at factor 1 (Carslaw & Jaeger, 3.3)."""
    fo = np.interp(-expected, -_CENTRE, _FO)
    return float(np.interp(fo * factor, _FO, _CENTRE))


@pytest.mark.parametrize(
    "cooled",
    [[(0.7, 0.6, 0.05)], [(0.5, 0.62, 0.04)], [(0.9, 0.86, 0.05), (0.4, 0.33, 0.04)], [(0.97, 0.99, 0.05)]],
)
def test_diffusivity_against_the_posterior_by_quadrature(cooled):
    """Normal prior on the logarithm, normal readings of a share; moments by scipy's adaptive quadrature."""
    sd = DIFFUSIVITY_SD.value

    def weight(log: float) -> float:
        like = np.prod([norm.pdf(read, _kept(expected, np.exp(log)), own) for expected, read, own in cooled])
        return float(norm.pdf(log, 0.0, sd) * like)

    whole, first, second = (
        quad(lambda x, k=k: x**k * weight(x), -0.9, 0.9, limit=200, epsrel=1e-7)[0] for k in range(3)
    )
    mean = first / whole
    factor, spread = updated_diffusivity(cooled)
    assert np.log(factor) == pytest.approx(mean, abs=1e-4)
    assert spread == pytest.approx(np.sqrt(second / whole - mean**2), abs=1e-4)


def test_band_of_the_diffusivity_holds_the_truth_in_95_of_100_shops():
    draw = np.random.default_rng(31)
    held = 0
    for _ in range(1000):
        log = draw.normal(0.0, DIFFUSIVITY_SD.value)
        expected = draw.uniform(0.3, 0.9)
        read = _kept(expected, np.exp(log)) + draw.normal(0.0, 0.05)
        factor, sd = updated_diffusivity([(expected, read, 0.05)])
        held += abs(log - np.log(factor)) < 1.959964 * sd
    assert 930 <= held <= 970


@pytest.mark.parametrize(("instrument", "pours"), [("probe", 1), ("probe", 3), ("infrared", 1)])
def test_band_after_readings_of_a_record_holds_the_truth_in_95_of_100_shops(instrument, pours):
    """A foam from the prior, a bias a day, cores that show 0.9 of it, surfaces 0.6, liquids off by some kelvin."""
    grade = load_grade("rigid-3")
    rise, sd = grade.heat_j_kg / grade.specific_heat_j_kgk, grade.rise_sd_k
    parts, shares = 295.15, {"probe": 0.9, "infrared": 0.6}
    due = Expected(
        rise_k=rise, parts_k=parts, air_k=291.15, peak_k=parts + 0.9 * rise, peak_per_k=0.9, top_k=parts + 0.6 * rise,
        top_per_k=0.6,
    )  # fmt: skip
    planned = Planned(
        lift=1, bottom_m=0.0, top_m=0.2, closes=False, part_a_kg=1.0, part_b_kg=1.0, seed_m=None, expected=due
    )
    draw = np.random.default_rng(20)
    held, share = 0, shares[instrument]
    for _ in range(1000):
        truth, bias = draw.normal(rise, sd), draw.normal(0.0, SHARED)
        entries = []
        for number in range(pours):
            warm = draw.normal(0.0, 3.0)
            shown = parts + warm + share * truth + bias + draw.normal(0.0, OWN_SD[instrument].value)
            entries.append(
                Entry(
                    number=number + 1,
                    kind="pour",
                    issue=1,
                    pour=f"{number + 1}a",
                    part_a_kg=1.0,
                    part_b_kg=1.0,
                    planned=planned,
                    parts_k=parts + warm,
                    **{f"{instrument}_k": shown},
                )
            )
        found = probed(grade, entries)
        held += abs(truth - found.after_k) < 1.959964 * found.after_sd_k
    assert 930 <= held <= 970
