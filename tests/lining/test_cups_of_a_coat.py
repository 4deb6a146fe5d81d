"""Each cup of a coat that is spread is for a band of its own, as large as the others, told by tape."""

from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.wording.cups_of_a_coat import cup_lines, cups_of


@pytest.fixture
def strip():
    """A wall of 1.2 m by 0.1 m from left to right, of 24 faces; its last quarter is not spread; a mouth at the left."""
    middle = np.column_stack([0.025 + 0.05 * np.arange(24), np.zeros(24), np.zeros(24)])
    inside = SimpleNamespace(middle_m=middle, area_m2=np.full(24, 0.005))
    mouth = SimpleNamespace(name="mouth", centroid_m=np.array([-0.1, 0.0, 0.0]))
    spread = SimpleNamespace(mouths=("mouth",))
    plan = SimpleNamespace(
        lining=SimpleNamespace(inside=inside, spread=spread),
        frame=SimpleNamespace(to_standing=lambda points: points),
        skin=SimpleNamespace(openings=(mouth,)),
    )
    return plan, SimpleNamespace(spread_on=np.arange(24) < 18)


def test_bands_are_alike_and_the_first_is_farthest_from_the_mouth(strip):
    plan, one = strip
    cup, axis = cups_of(plan, SimpleNamespace(cups=3), one)
    assert axis == 0
    assert cup.tolist() == [3] * 6 + [2] * 6 + [1] * 6 + [0] * 6


def test_each_cup_has_its_measures_and_one_cup_none(strip):
    plan, one = strip
    lines = cup_lines(plan, SimpleNamespace(cups=3), one)
    assert len(lines) == 3
    assert (
        lines[0]
        == "Cup 1: 600 mm (23.6 in) to 875 mm (34.4 in) from the left of the standing piece, 0.03 m² (0.323 ft²)"
    )
    assert lines[1].startswith("Cup 2: 300 mm (11.8 in) to 600 mm (23.6 in) from the left")
    assert cup_lines(plan, SimpleNamespace(cups=1), one) == []
    assert [line[:7] for line in cup_lines(plan, SimpleNamespace(cups=18), one)] == ["Cup 1: ", "Cup 2: ", "Cup 18:"]
