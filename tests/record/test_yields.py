"""The estimator against its definition, against brute force, and in the limits a person would expect."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourwright.errors import UsageError
from pourwright.foam import load_grade
from pourwright.record import Reading, estimate_yield, grade_with


def read(*values, sigma=0.02):
    return [Reading(value, sigma, (f"{k}a",)) for k, value in enumerate(values)]


def test_without_readings_the_data_sheet_comes_back():
    found = estimate_yield([], 0.12)
    assert found.factor.nominal == pytest.approx(1.0)
    assert found.factor.high == pytest.approx(1.12)


def test_one_reading_is_the_posterior_found_by_summing_over_a_grid():
    (reading,) = read(0.15)
    found = estimate_yield([reading], 0.10)
    sigma_0 = math.log(1.10) / 2
    prior = own = 0.5 * sigma_0**2
    theta = np.linspace(-0.6, 0.6, 200_001)
    weight = np.exp(-(theta**2) / (2 * prior) - (0.15 - theta) ** 2 / (2 * (own + 0.02**2)))
    mean = (theta * weight).sum() / weight.sum()
    spread = math.sqrt(((theta - mean) ** 2 * weight).sum() / weight.sum())
    assert math.log(found.factor.nominal) == pytest.approx(mean, rel=1e-6)
    assert found.shared_sigma == pytest.approx(spread, rel=1e-6)


def test_many_readings_win_over_the_data_sheet():
    found = estimate_yield(read(*[0.2] * 400, sigma=0.005), 0.10)
    assert math.log(found.factor.nominal) == pytest.approx(0.2, abs=0.002)
    assert found.next_sigma < math.log(1.10) / 2


def test_scattered_readings_widen_what_the_next_pour_may_do():
    calm, wild = estimate_yield(read(*[0.0] * 6), 0.10), estimate_yield(read(*[-0.2, 0.2] * 3), 0.10)
    assert wild.next_sigma > 2 * calm.next_sigma


def test_a_doubtful_reading_weighs_less():
    sure = estimate_yield([Reading(0.1, 0.01, ("1a",)), Reading(-0.1, 0.3, ("2a",))], 0.10)
    assert sure.factor.nominal > 1.0


@given(st.lists(st.floats(-0.5, 0.5), min_size=1, max_size=12), st.floats(0.01, 0.5))
def test_it_lies_between_the_data_sheet_and_the_readings(values, spread):
    middle = math.log(estimate_yield(read(*values), spread).factor.nominal)
    assert min(0.0, *values) - 1e-12 <= middle <= max(0.0, *values) + 1e-12


def test_it_covers_the_next_pour_as_often_as_it_says():
    """Pours made by the model itself: the interval of two standard deviations holds the next in about 95 of 100."""
    rng = np.random.default_rng(1)
    sigma_0 = math.log(1.10) / 2
    held = 0
    for _ in range(2000):
        shared = rng.normal(0, sigma_0 * math.sqrt(0.5))
        own = rng.normal(shared, sigma_0 * math.sqrt(0.5), 5)
        found = estimate_yield(read(*(own[:4] + rng.normal(0, 0.02, 4))), 0.10)
        held += found.factor.low <= math.exp(own[4]) <= found.factor.high
    assert 0.92 < held / 2000 < 0.98


def test_a_spread_that_is_no_share_is_refused():
    with pytest.raises(UsageError, match="is not a share"):
        estimate_yield([], 1.5)


def test_the_grade_takes_density_and_spread():
    grade = load_grade("rigid-3")
    found = estimate_yield(read(0.1, 0.1, 0.1), grade.density_spread)
    changed = grade_with(grade, found)
    assert changed.free_rise_density_kg_m3 == pytest.approx(grade.free_rise_density_kg_m3 * found.factor.nominal)
    assert changed.density_spread == pytest.approx(math.expm1(2 * found.next_sigma))
    assert "record of 3 readings" in changed.cited["free_rise_density_kg_m3"].source
    assert grade_with(grade, estimate_yield([], 0.1)) is grade
