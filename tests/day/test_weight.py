"""What the days of a front weigh, by hand on a square column; and what is taken for each aim."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.day import Allowed, Heat, Question, Source, Weighs, choose_day
from pourwright.day.choose import pick
from pourwright.day.model import Stretch
from pourwright.day.search import Found
from pourwright.day.timing import Timed
from pourwright.heat import HeatCurve, SkinLayer, Surroundings

CURVE = HeatCurve(np.array([0.0, 40.0, 300.0]), np.array([0.0, 0.0, 1.0]))


def asked_of(cells, work, thick_m):
    """A column of 200 x 200 x 400 mm, pours of ``thick_m`` at most."""
    cavity, graph = cells(np.ones((20, 20, 40), bool), 0.01, 0.01)
    return Question(
        cavity=cavity,
        graph=graph,
        source=Source(Heat(147.0, 147.0), 294.15, 49.7, 1750.0, 0.030, CURVE, 423.15),
        skin=SkinLayer(0.005, 1800.0, 1000.0, 0.2, 291.15),
        air=Surroundings(291.15, 8.0, 2.0),
        work=work(),
        allowed=Allowed(1.0),
        least_m3=0.0,
        stray_m3=0.0,
        spill_m=0.0,
        thin_m=0.05,
        weighs=Weighs(50.0, 55.0, 0.08),
        tall_m=np.full(len(graph.node_level), thick_m),
    )


@pytest.mark.parametrize("cuts", [1, 3])
def test_the_foam_of_a_day_is_that_of_its_spaces_and_of_a_layer_at_each_cut(cells, work, cuts):
    day = choose_day(asked_of(cells, work, 0.4 / (cuts + 1)), fewest=True).day
    assert len(day.stretches) == cuts + 1
    below, above = 0.04 * 0.4 * cuts / (cuts + 1), 0.04 * 0.4 / (cuts + 1)
    assert day.foam_kg == pytest.approx(50.0 * below + 55.0 * above + 0.08 * 0.04 * cuts, rel=1e-6)


def test_the_lightest_the_fewest_and_the_cheapest_day_are_taken_by_their_aims():
    def found(count, cost, kept=True):
        stretches = tuple(Stretch(0, k, k + 1) for k in range(count))
        return Found(stretches, Timed(np.zeros(count), np.zeros(count), None, 0.0), cost, kept)

    front = [found(2, 1000.0, kept=False), found(3, 9000.0), found(4, 7000.0), found(5, 8000.0)]
    foam_kg = [1.0, 5.0, 4.9, 4.8]
    assert pick(front, "fewest pours", None, foam_kg) == 1
    assert pick(front, "hours", None, foam_kg) == 2
    assert pick(front, "lightest", None, foam_kg) == 3
    assert pick(front, "hours", 2, foam_kg) == 0
