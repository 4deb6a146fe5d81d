"""Likely ranges against JCGM 101:2008 (GUM Supplement 1), 9.2: sums of rectangular quantities, and the law of JCGM 100.

JCGM 101, 9.2.3.4: four rectangular quantities of standard deviation 1 have the 95 % range of their sum at
+-2 sqrt(3) (2 - (3/5)^(1/4)), about 3.88. 9.2.4: with one of standard deviation 10 it is +-17.0, where the
law of propagation with normal coverage would give +-19.9 (both from memory; the first is worked out again here by
convolution, and the second too).
"""

import math

import numpy as np
import pytest

from pourwright.hanging import hang
from pourwright.outcome import Anchor, Hang, Part, Site, Spot
from pourwright.outcome.likely.causes import drawn, even_points
from pourwright.outcome.likely.spread import likely_of, shares_of
from pourwright.ranges import Range

G = 9.80665
ZERO = np.zeros(3)


def items(deviations, middle=50.0):
    half = [math.sqrt(3.0) * one for one in deviations]
    return tuple(
        Part(f"item {k}", "item", 0, *[Range(middle - h, middle, middle + h)] * 3, "", ZERO, np.zeros((3, 3)))
        for k, h in enumerate(half)
    )


def by_convolution(deviations):
    """Upper end of the 95 % range of a sum of rectangular quantities, on a fine line."""
    step = 0.005
    sizes = [round(math.sqrt(3.0) * one / step) for one in deviations]
    density = np.ones(1)
    for size in sizes:
        density = np.convolve(density, np.full(2 * size + 1, 1.0 / (2 * size + 1)))
    return step * (np.searchsorted(np.cumsum(density), 0.975) - sum(sizes))


def test_four_alike():
    likely = likely_of(drawn(items([1, 1, 1, 1]))[0].sum(axis=1) - 200.0)
    published = 2 * math.sqrt(3) * (2 - 0.6**0.25)
    assert published == pytest.approx(3.88, abs=0.005)
    assert by_convolution([1, 1, 1, 1]) == pytest.approx(published, abs=0.01)
    assert likely.high == pytest.approx(published, rel=0.01)
    assert likely.low == pytest.approx(-published, rel=0.01)
    assert likely.deviation == pytest.approx(2.0, rel=0.01)  # JCGM 100, 5.1.2: the sum of the squares


def test_one_of_four_ten_times_as_wide():
    likely = likely_of(drawn(items([1, 1, 1, 10]))[0].sum(axis=1) - 200.0)
    assert by_convolution([1, 1, 1, 10]) == pytest.approx(17.0, abs=0.05)
    assert likely.high == pytest.approx(17.0, rel=0.01)
    assert likely.deviation == pytest.approx(math.sqrt(103), rel=0.01)


def test_shares_of_the_variance_are_those_of_the_squares():
    masses, causes = drawn(items([1, 2, 2, 4]))
    shares = shares_of(masses.sum(axis=1), causes)
    assert shares[3:] == pytest.approx([16 / 25, 4 / 25, 4 / 25, 1 / 25], abs=0.01)  # the widest first
    assert shares[:3] == pytest.approx([0, 0, 0], abs=0.003)  # no skin, no foam


@pytest.mark.parametrize("ways", [1, 2, 3, 5, 9])
def test_the_points_fill_every_way_evenly(ways):
    points = even_points(4096, ways)
    for k in range(ways):
        assert np.sort(points[:, k]) == pytest.approx((np.arange(4096) + 0.5) / 4096, abs=0.01)
    if ways > 1:
        assert np.abs(np.corrcoef(points.T) - np.eye(ways)).max() < 0.02


def shell(kg, wall, density):
    """A skin whose weight is wall times density, each within its share."""
    own = Range(kg * (1 - wall) * (1 - density), kg, kg * (1 + wall) * (1 + density))
    ends = [Range.about(kg * (1 + way * wall), density) for way in (-1, 1)]
    return Part("skin", "skin", 0, own, *ends, "", ZERO, np.zeros((3, 3)))


def test_a_product_as_random_numbers_have_it():
    random = np.random.default_rng(101)
    wall, density = random.uniform(-1, 1, (2, 400_000))
    kg = 40 * (1 + 0.15 * wall) * (1 + 0.08 * density)
    likely = likely_of(drawn((shell(40.0, 0.15, 0.08),))[0].sum(axis=1))
    assert [likely.low, likely.high] == pytest.approx(np.quantile(kg, [0.025, 0.975]), rel=0.005)
    assert likely.deviation == pytest.approx(kg.std(), rel=0.01)


def four(**more):
    places = ((-0.15, -0.2), (0.15, -0.2), (0.15, 0.2), (-0.15, 0.2))
    return tuple(Anchor(f"A{k}", Spot(at_m=(x, 0.25, z)), **more) for k, (x, z) in enumerate(places))


def hung(made, wall, anchors):
    site = Site(anchors=anchors, hang=Hang((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)))
    return hang(*made([shell(40.0, wall, 0.08)], site))


def test_loads_spread_as_the_weight_that_they_come_from(made):
    """Weight at one place: every load is a share of it, so the ranges are in proportion."""
    result = hung(made, 0.15, four())
    for load, likely in zip(result.anchors, result.likely.anchors, strict=True):
        share = load.shear_n.nominal / result.kg.nominal
        assert likely.shear_n.high == pytest.approx(share * result.likely.kg.high, rel=0.005)
        assert likely.shear_n.low == pytest.approx(share * result.likely.kg.low, rel=0.005)
        assert load.shear_n.low < likely.shear_n.low < load.shear_n.nominal < likely.shear_n.high < load.shear_n.high


def test_the_wall_is_asked_for_where_it_decides_and_nowhere_else(made):
    """One anchor's shear with one of four gone is 40 kg G times a share; its rating is set between the two ends."""
    free = hung(made, 0.15, four(shear_n=1e5, pull_n=1e5, breaking=False))
    assert math.isnan(free.likely.wall_known)
    worst = 1e5 * free.utilisation
    for rating, decides in ((worst / 1.15 * 1.05, True), (worst / 1.15 * 0.95, False), (worst * 1.1, False)):
        result = hung(made, 0.15, four(shear_n=rating, pull_n=rating, breaking=False))
        assert result.utilisation == pytest.approx(worst / rating)
        assert result.likely.wall_decides is decides
