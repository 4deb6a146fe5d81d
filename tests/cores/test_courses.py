"""Cores in courses: how many lie in a box, counted by hand, and how far they are from a curved skin."""

import numpy as np
import pytest

from pourwright.cores import CoreRules, laid, passes
from pourwright.errors import CavityError


def rules(size, cover=0.05, gap=0.02):
    return CoreRules("blocks", size, 20.0, 353.15, cover, gap)


def test_a_box_takes_the_courses_that_are_counted_by_hand(cells):
    """Of 1.00 x 0.80 x 0.60 m 50 mm of cover leave 0.9 x 0.7 x 0.5 m. With gaps of 20 mm an edge of 200 mm goes
    4, 3 and 2 times into these, one of 150 mm 5, 4 and 3 times, one of 100 mm 7, 6 and 4 times. Of the six ways to lie
    that with 200 along the width, 100 along the depth and 150 up holds most: 4 x 6 x 3."""
    cavity, _ = cells(np.ones((103, 83, 63), bool), 0.01)
    found = laid(cavity, rules((0.2, 0.15, 0.1)))
    assert len(found) == 72
    assert found[-1].course == 3


def test_no_two_cores_are_nearer_than_the_gap_and_none_than_the_cover(cells):
    ball = np.linalg.norm(np.mgrid[:80, :80, :80] - 39.5, axis=0) < 38
    cavity, _ = cells(ball, 0.01)
    found = laid(cavity, rules((0.14, 0.11, 0.07), 0.04, 0.03))
    assert len(found) > 20
    for k, one in enumerate(found):
        corners = np.array(np.meshgrid(*zip(one.low_m, one.high_m, strict=True))).reshape(3, -1).T
        assert (np.linalg.norm(corners - 0.4, axis=1) <= 0.38 - 0.04).all()
        assert sorted(np.round(one.high_m - one.low_m, 9)) == pytest.approx([0.07, 0.11, 0.14])
        for other in found[:k]:
            apart = np.maximum(one.low_m - other.high_m, other.low_m - one.high_m)
            assert apart.max() >= 0.03 - 1e-9


def test_a_cavity_that_is_too_narrow_takes_none(cells):
    cavity, _ = cells(np.ones((40, 40, 15), bool), 0.01)
    assert laid(cavity, rules((0.2, 0.15, 0.1))) == ()


def test_a_core_goes_end_first_through_a_mouth():
    assert passes((0.6, 0.3, 0.4), 0.5)
    assert not passes((0.6, 0.3, 0.4), 0.49)


def test_a_core_of_fewer_cells_than_four_and_too_many_cores_are_refused_in_one_sentence(cells):
    """Of 2.0 x 2.0 x 0.6 m, cores of 100 x 100 x 50 mm with no gap: far more than 500."""
    cavity, _ = cells(np.ones((80, 80, 24), bool), 0.025)
    with pytest.raises(CavityError, match=r"4 cells") as told:
        laid(cavity, rules((0.2, 0.15, 0.09)))
    assert "\n" not in str(told.value)
    cavity, _ = cells(np.ones((170, 170, 50), bool), 0.0125)
    with pytest.raises(CavityError, match=r"more than 500") as told:
        laid(cavity, rules((0.1, 0.1, 0.05), gap=0.0))
    assert "\n" not in str(told.value)
    assert len(laid(cavity, rules((0.4, 0.4, 0.2)))) > 10
