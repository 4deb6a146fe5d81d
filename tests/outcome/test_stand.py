"""Tipping against geometry: atan(d / h) in the worst direction and W d / h, on a box, a cone and a ball."""

import math
from dataclasses import replace

import pytest

from pourwright.outcome import Site, Stand, refusals, stand

G = 9.80665


def stood(made, lump, parts=None, mesh=None, **asked):
    parts = parts or [lump(100.0, (0.1, 0.05, 0.0), "skin")]
    return stand(*made(parts, Site(stand=Stand(**asked)), mesh))


def test_a_piece_that_falls_while_it_is_empty_is_refused_though_it_stands_when_finished(made, lump):
    """Skin with its centre 0.1 beyond the edge; foam twice as heavy brings it back inside."""
    skin, foam = lump(50.0, (0.0, 0.35, 0.0), "skin"), replace(lump(100.0, (0.0, -0.1, 0.0), "foam"), after_lift=1)
    result = stood(made, lump, [skin, foam])
    assert [stage.stands for stage in result.stages] == [False, True, True]
    assert refusals(result) == ("empty skin: does not stand",)


def test_a_centre_beyond_the_base_falls_by_itself(made, lump):
    result = stood(made, lump, [lump(10.0, (0.0, -0.3, 0.0), "skin")])
    stage = result.stages[-1]
    assert stage.edge_m.nominal == pytest.approx(-0.05)
    assert stage.push_n is None
    assert "FALLS by itself to the front" in stage.words
    assert refusals(result)


def test_stood_another_way_up(made, lump):
    result = stood(made, lump, up=(1.0, 0.0, 0.0))
    # On its side: base 0.5 x 1, height 1, centre 0.6 up, 0.05 back of the middle.
    assert result.stages[-1].angle_rad.nominal == pytest.approx(math.atan(0.2 / 0.6))
