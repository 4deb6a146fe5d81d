"""What a part that the job has filled solid adds: pours one on the other, and the heat of one of them."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.lining import make
from pourwright.lining.chambers import SolidPlace


def place(bottom, top, asked=True):
    return SolidPlace(0.01, np.zeros(3), bottom, top, asked)


@pytest.fixture
def caps(monkeypatch):
    monkeypatch.setattr(make, "lift_cap", lambda *_: SimpleNamespace(thickness_m=0.15))
    monkeypatch.setattr(make, "hours_hot", lambda foam, half_m, film, caution: half_m)


SHOP = SimpleNamespace(limits=None, inside_film_w_m2k=5.0, outside_film_w_m2k=8.0)
FOAM = SimpleNamespace(grade=SimpleNamespace(caution_k=370.0))


def test_the_tallest_solid_part_counts_by_its_lifts(caps):
    assert make._steps(SHOP, FOAM, (place(0.0, 0.4), place(0.0, 0.1), place(0.0, 2.0, asked=False))) == 3
    assert make._steps(SHOP, FOAM, ()) == 0


def test_a_solid_part_is_as_hot_as_a_whole_step_of_it(caps):
    assert make._hours_hot(SHOP, FOAM, 0.03, (0.015, 0.04), (place(0.0, 0.4),)) == pytest.approx(0.15)
    assert make._hours_hot(SHOP, FOAM, 0.03, (0.015, 0.04), (place(0.0, 0.05),)) == pytest.approx(0.05)
    shut = make._hours_hot(SHOP, FOAM, 0.03, (0.015, 0.04), (place(0.0, 0.4, asked=False),))
    assert math.isclose(shut, make.SOLID_HALF * 0.03)
