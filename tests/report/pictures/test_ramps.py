"""Ramps of colour, held by colorspacious: lightness of CIECAM02 (CIE 159:2004), colour deficiencies by Machado 2009."""

import itertools

import numpy as np
import pytest
from colorspacious import cspace_convert

from pourwright.draw.paint import LIT, SETTLED, ladder
from pourwright.draw.ramps import ramp

SEEN = ["", "deuteranomaly", "protanomaly", "tritanomaly"]
RAMPS = ["temperature", "pressure", "gain", "density"]


def ucs(colours, seen):
    """CAM02-UCS coordinates (n, 3), lightness first, of sRGB colours 0..255 as they are seen at full severity."""
    space = {"name": "sRGB1+CVD", "cvd_type": seen, "severity": 100} if seen else "sRGB1"
    return cspace_convert(
        np.clip(cspace_convert(np.asarray(colours) / 255, space, "sRGB1"), 0, 1), "sRGB1", "CAM02-UCS"
    )


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("quantity", RAMPS)
def test_a_ramp_grows_lighter_with_every_step_whoever_looks(quantity, seen):
    light = ucs(ramp(quantity, 64), seen)[:, 0]
    steps = np.diff(light)
    assert steps.min() > 0.2 * steps.mean()  # no step is flat, none goes back
    assert light[-1] - light[0] > 60  # of 100


@pytest.mark.parametrize("seen", SEEN)
def test_no_ramp_is_taken_for_another(seen):
    """In their middles, where hue is what tells them apart; 10 in CAM02-UCS is a difference seen at once."""
    middles = [ucs(ramp(quantity, 9), seen)[3:6] for quantity in RAMPS]
    for one, other in itertools.combinations(middles, 2):
        assert np.linalg.norm(one - other, axis=1).max() > 10


@pytest.mark.parametrize("seen", SEEN)
def test_the_lifts_and_what_is_poured_now_are_told_apart(seen):
    assert np.diff(ucs(ladder(8), seen)[:, 0]).min() > 3
    lit, *settled = ucs([LIT, *SETTLED], seen)
    assert min(one[0] for one in settled) > lit[0] + 8
