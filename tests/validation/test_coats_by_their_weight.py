"""Coats that were poured otherwise than planned, by hand: mass is kept, and a bare place is a cap (Archimedes)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from lined_ball import as_poured, lined_ball

from pourwright.lining import Pin


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    return lined_ball(tmp_path_factory.mktemp("ball"))


def test_what_a_coat_lacks_the_next_ones_make_up(ball):
    """Foam of all coats together is the lining's whatever went wrong: mass that is missing is mass to pour."""
    lining, again = ball
    whole = sum(coat.foam_m3 for coat in lining.coats)
    for ratio in (0.6, 1.2):
        found = again(as_poured(lining, 1, ratio))
        assert sum(coat.foam_m3 for coat in found.coats) == pytest.approx(whole, rel=1e-9)
        assert found.coats[0].foam_m3 == pytest.approx(ratio * lining.coats[0].foam_m3, rel=1e-9)
        assert all(coat.thickness_m <= found.most_coat_m for coat in found.coats if not coat.poured)


def test_a_pin_that_finds_nothing_makes_a_bare_place_there_and_foam_lies_elsewhere(ball):
    """What was weighed is in the piece: where a pin finds none the rest holds more, to the last gram."""
    lining, again = ball
    at = np.array([0.395, 0.0, 0.0])
    poured = [as_poured(lining, k + 1) for k in range(len(lining.coats))]
    before = again(*poured)
    after = again(*poured[:-1], replace(poured[-1], pins=(Pin(at, 0.0),)))
    gone = before.coverage - after.coverage
    reach = 0.12 * 0.79  # of the inside's size
    cap = 0.5 * (1.0 - np.cos(2.0 * np.arcsin(reach / (2.0 * 0.395))))  # Archimedes: share of a sphere by its cap
    assert gone == pytest.approx(cap, rel=0.2)
    nearest = min(after.bare, key=lambda one: np.linalg.norm(one.point_m - at))
    assert np.linalg.norm(nearest.point_m - at) < reach
    area = after.inside.area_m2
    assert (after.laid * area).sum() == pytest.approx((before.laid * area).sum(), rel=1e-6)
