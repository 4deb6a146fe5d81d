"""What a part that the job has filled solid adds: pours one on the other, and the heat of one of them."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.banded import settings_alone
from pourwright.cavity import PourFrame
from pourwright.lining import heat_of_places as heat
from pourwright.lining.chambers import RESTS, SolidPlace
from pourwright.lining.rules import PartRules


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


FRAME = PourFrame(np.eye(3), np.zeros(3), np.array([1.0, 1.0, 2.0]))
RULES = (PartRules("rest", 0.03), PartRules("legs", None, 0.0, 0.605), PartRules("neck", None, 1.7, 2.0))


def solid(bottom, top, rests=RESTS[0], whole=True):
    return SolidPlace(0.01, np.zeros(3), bottom, top, True, 0.1, rests, whole)


def test_parts_up_from_the_base_and_down_from_the_top_are_planned_by_themselves():
    said = settings_alone([solid(0.0, 0.61), solid(0.0, 0.6), solid(1.69, 2.0, RESTS[1])], RULES, FRAME, 0.02)
    assert """--set 'fill={style = "ribs", bands = [["0 mm", "605 mm"]]}'""" in said
    assert """--set piece.up=-z --set 'fill={style = "ribs", bands = [["0 mm", "300 mm"]]}'""" in said


@pytest.mark.parametrize(
    "one", [solid(0.0, 0.6, whole=False), solid(0.3, 0.6), solid(0.3, 0.6, RESTS[2]), solid(1.2, 1.7, RESTS[1])]
)
def test_what_has_other_limbs_beside_it_or_a_hollow_under_it_is_not(one):
    assert settings_alone([one], RULES, FRAME, 0.02) == ""
