from __future__ import annotations

import numpy as np
import pytest

from pourwright.day.model import Work
from pourwright.day.timing import Piles


@pytest.fixture(scope="session")
def work():
    """``work(hands=1, ...)``: a shop that mixes 2 L at a time."""

    def make(**changes):
        values = {
            "hands": 1, "mix_s": 25.0, "between_s": 120.0, "pour_rate_m3_s": 2.5e-4, "batch_m3": 2e-3,
            "liquid_share": 1 / 24, "shortest_wait_s": 600.0, "price_s": 600.0,
        }  # fmt: skip
        return Work(**(values | changes))

    return make


@pytest.fixture(scope="session")
def piles():
    """``piles([slabs of each limb], [limbs below each], foam of a slab)``."""

    def make(counts, below, foam_m3=0.001):
        first = np.concatenate([[0], np.cumsum(counts)])
        return Piles(first, tuple(tuple(b) for b in below), np.full(first[-1], foam_m3))

    return make
