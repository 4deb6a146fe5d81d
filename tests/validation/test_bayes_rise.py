"""The measured rise by Bayes: the conjugate update on a grid of its own, and how often the 95 % band holds the truth.

Normal prior and normal readings (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 2.5, from memory).
"""

import numpy as np
import pytest
from scipy.stats import norm

from pourwright.foam import updated_rise

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
