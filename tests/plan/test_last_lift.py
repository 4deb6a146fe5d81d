"""By closed forms too the last lift is left until its core is cool, and what is not known stops nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourwright.plan.heating import band
from pourwright.ranges import Range


def test_a_hot_core_is_not_left_for_ten_minutes_only(plan_of):
    """A rise of 110 K is never near the caution temperature, so that the next lift could come at once."""
    plan = plan_of("column", **{"heat.rise": "110 K", "heat.computed": False})
    *before, last = plan.lift_plan.lifts
    (pour,) = last.pours
    assert before[0].pours[0].wait_s < 1800.0
    grade, air = plan.foam.grade, plan.foam.conditions.air_k
    density = pour.foam_kg.nominal / pour.volume_m3
    alpha = grade.conductivity_hot_w_mk / (density * grade.specific_heat_j_kgk)
    n = np.arange(60)

    def centre(fo):
        return np.sum(4 * (-1.0) ** n / ((2 * n + 1) * np.pi) * np.exp(-((2 * n + 1) ** 2) * np.pi**2 * fo))

    wide = plan.graph.node_width_m[pour.nodes].max()  # both faces at the skin
    assert wide == pytest.approx(0.192, abs=0.02)
    spent = pour.wait_s - plan.foam.rise_end_s
    core = air + (pour.peak_k.nominal - air) * centre(alpha * spent / wide**2)
    assert core == pytest.approx(plan.job.heat.release_k, abs=0.5)
    assert max(step.end_s for step in plan.computed.steps) > pour.wait_s


def test_a_pour_without_figures_has_a_range_that_is_not_known():
    found = band(math.nan, math.nan, Range(115.0, 146.0, 177.0))
    assert all(math.isnan(value) for value in (found.low, found.nominal, found.high))
    with pytest.raises(ValueError, match="low <= nominal"):
        Range(0.0, math.nan, 1.0)
