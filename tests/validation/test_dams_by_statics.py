"""Dams in a box by statics: a board as large as the inside, under pressure on its area and the weight of its foam.

Weight is mass times the standard acceleration of gravity, 9.80665 m/s2 (NIST SP 811, B.8); areas by shapely 2.
"""

import numpy as np
import pytest
import shapely
import trimesh

from pourwright.cavity import build_levels
from pourwright.ranges import Range
from pourwright.ribs import Mouth, Push, RibRules, dam_of, ribs_of
from pourwright.shell import Opening

WALL = 0.005


def test_a_dam_bears_pressure_and_weight_of_its_foam(shell_of):
    skin, cavity = shell_of(trimesh.creation.box((0.5, 0.4, 0.8)), WALL, 0.01)
    rules = RibRules(((0.303, 0.45),), 0.009, 600.0)
    found = ribs_of(skin, cavity.frame, rules)
    lower, upper = found.cuts
    assert (lower.top, upper.top) == (False, True)
    assert found.coverage == pytest.approx(1.8 * 0.147 / (2 * 0.2 + 1.8 * 0.8))
    square = np.array([[0.1, 0.1, 0.8], [0.3, 0.1, 0.8], [0.3, 0.3, 0.8], [0.1, 0.3, 0.8]]) + skin.vertices_m.min(
        axis=0
    )
    mouth = Opening("lid", square, square.mean(axis=0), np.array([0.0, 0.0, 1.0]), 0.04)
    push = Push(Range(1000.0, 2000.0, 3000.0), Range(2.0, 2.5, 3.0))
    dam = dam_of(lower, rules, cavity, build_levels(cavity), push, (Mouth(mouth, 0.2),), 1.0)
    inside = shapely.box(0.005, 0.005, 0.495, 0.395)
    assert shapely.difference(dam.shape, inside).area < 1e-9  # it passes the skin
    assert dam.area_m2 == pytest.approx((0.49 - 0.006) * (0.39 - 0.006), rel=0.005)
    for end in ("nominal", "high"):
        weight = 9.80665 * getattr(push.kg, end)
        assert getattr(dam.force_n, end) == pytest.approx(dam.area_m2 * getattr(push.pressure_pa, end) + weight)
    assert dam.force_n.low == pytest.approx(1000.0 * dam.area_m2)
    assert dam.mouth_m == pytest.approx(0.2)
    assert dam.strips == 2  # 0.384 m of board through 0.2 m
