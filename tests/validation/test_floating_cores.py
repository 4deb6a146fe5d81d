"""Cores in liquid and rising foam by Archimedes, worked out by hand, and balls in a bag by their published packing."""

import numpy as np
import pytest

from pourwright.cores import BALLS_PACK, CoreRules, Rising, most_uplift_n


def pour(kg, area_m2, height_m, levels=400, bottom_m=0.0):
    """Foam that ends ``height_m`` tall in a straight shaft."""
    top = np.linspace(0.0, height_m, levels + 1)[1:]
    return Rising(kg, 1100.0, bottom_m, bottom_m + top, area_m2 * top)


def test_a_block_under_liquid_is_pushed_up_with_the_weight_of_what_it_displaces():
    """330 kg of liquids of 1100 kg/m3 stand 0.3 m deep over 1 m2 and do not rise: (1100 - 20) kg/m3 x 6 L x g."""
    push = most_uplift_n(pour(330.0, 1.0, 0.3), 0.05, 0.25, 0.03, 20.0 * 0.006)
    assert push == pytest.approx((1100.0 - 20.0) * 0.006 * 9.80665, rel=1e-6)


def test_a_block_in_rising_foam_floats_most_when_foam_just_covers_it():
    """15 kg over 0.5 m2: at its top, 0.4 m up, foam weighs 15 / (0.5 x 0.4) = 75 kg/m3; 0.02 m3 of it are displaced.

    Less deep the foam is denser and displaces less of the block, as the bottom of it is 0.2 m up: 15 / (0.5 z) x 0.1
    (z - 0.2) grows with z. Deeper it is lighter.
    """
    push = most_uplift_n(pour(15.0, 0.5, 0.6, 600), 0.2, 0.4, 0.1, 0.5)
    assert push == pytest.approx((75.0 * 0.02 - 0.5) * 9.80665, rel=1e-6)


def test_a_block_heavier_than_the_foam_does_not_float():
    assert most_uplift_n(pour(15.0, 0.5, 0.6), 0.2, 0.4, 0.1, 2.0) == 0.0


def test_a_block_that_set_foam_holds_by_its_bottom_is_not_pushed_up():
    assert most_uplift_n(pour(15.0, 0.5, 0.6, bottom_m=0.3), 0.2, 0.5, 0.1, 0.1) == 0.0


def test_a_block_whose_bottom_lies_a_millimetre_in_set_foam_floats_as_if_it_stood_on_it():
    """15 kg over 0.5 m2 from 0.3 m on; 75 kg/m3 at its top, 0.4 m above the pour's bottom: as a block in rising foam,
    which is also what a block that stands on the set foam is pushed up with, to the millimetre of its 400."""
    free = most_uplift_n(pour(15.0, 0.5, 0.6, 600, bottom_m=0.3), 0.3, 0.7, 0.1, 0.5)
    sunk = most_uplift_n(pour(15.0, 0.5, 0.6, 600, bottom_m=0.3), 0.299, 0.699, 0.1, 0.5)
    assert free == pytest.approx((75.0 * 0.04 - 0.5) * 9.80665, rel=1e-2)
    assert sunk == pytest.approx(free, rel=0.01)
    assert most_uplift_n(pour(15.0, 0.5, 0.6, 600, bottom_m=0.3), 0.269, 0.669, 0.1, 0.5) == 0.0


def test_a_bag_of_balls_weighs_by_their_random_packing():
    """0.64 of its room when shaken down (J. G. Berryman, Physical Review A 27 (1983) 1053); balls may be a tenth denser
    than they are called, as blocks may."""
    bag = CoreRules("bags", (0.4, 0.3, 0.2), 25.0, 353.15, 0.05, 0.03)
    block = CoreRules("blocks", (0.4, 0.3, 0.2), 25.0, 353.15, 0.05, 0.03)
    assert block.kg.high == pytest.approx(1.1 * 25.0 * 0.024, rel=1e-9)
    assert bag.kg.high == pytest.approx(0.64 * block.kg.high, rel=1e-9)
    assert bag.kg.low == pytest.approx(0.60 * block.kg.low, rel=1e-9)
    assert bag.kg.low < bag.kg.nominal < bag.kg.high
    assert BALLS_PACK.source.startswith("J. G. Berryman")
