"""What a part that the job has filled solid adds: pours one on the other, and the heat of one of them."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.lining import heat_of_places as heat
from pourwright.lining.chambers import SolidPlace


def place(bottom, top, asked=True):
    return SolidPlace(0.01, np.zeros(3), bottom, top, asked)


@pytest.fixture
def caps(monkeypatch):
    monkeypatch.setattr(heat, "lift_cap", lambda *_: SimpleNamespace(thickness_m=0.15))
    monkeypatch.setattr(heat, "hours_hot", lambda foam, half_m, film, caution: half_m)


FOAM = SimpleNamespace(grade=SimpleNamespace(caution_k=370.0))


def test_the_tallest_solid_part_counts_by_its_lifts(caps):
    assert heat.steps_of(None, FOAM, (place(0.0, 0.4), place(0.0, 0.1), place(0.0, 2.0, asked=False))) == 3
    assert heat.steps_of(None, FOAM, ()) == 0


def test_a_solid_part_is_as_hot_as_a_whole_step_of_it(caps):
    assert heat.hours_of_all((5.0, 8.0), None, FOAM, 0.03, (0.015, 0.04), (place(0.0, 0.4),)) == pytest.approx(0.15)
    assert heat.hours_of_all((5.0, 8.0), None, FOAM, 0.03, (0.015, 0.04), (place(0.0, 0.05),)) == pytest.approx(0.05)
    shut = heat.hours_of_all((5.0, 8.0), None, FOAM, 0.03, (0.015, 0.04), (place(0.0, 0.4, asked=False),))
    assert math.isclose(shut, heat.SOLID_HALF * 0.03)
