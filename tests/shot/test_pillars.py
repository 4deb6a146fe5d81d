"""Foam that goes round a pillar meets itself behind it: by symmetry on the line from the port through its middle."""

import numpy as np
import pytest
from trimesh.creation import box, cylinder


def plate(pillars):
    """1.2 x 0.6 x 0.1 m, with pillars of 0.16 m right through at (x, y)."""
    mesh = box((1.2, 0.6, 0.1))
    for x, y in pillars:
        post = cylinder(0.08, 1.0, sections=32)
        post.apply_translation((x, y, 0))
        mesh = mesh.difference(post)
    mesh.apply_translation((0, 0, -mesh.bounds[0, 2]))
    return mesh


def port(x, y):
    return f'[[port]]\nat = ["{x} m", "{y} m", "0.1 m"]\n'


@pytest.fixture
def flow_of(shoot):
    def run(pillars, x=-0.5, y=0.0):
        (flow,) = shoot(plate(pillars), "12 mm", more=port(x, y))["fill"]["flow"]
        return flow

    return run


def test_without_a_pillar_foam_meets_itself_nowhere(flow_of):
    assert flow_of([])["knits"] == []


@pytest.mark.parametrize("y", [0.0, 0.1])
def test_behind_a_pillar_the_line_lies_beyond_it_as_seen_from_the_port(flow_of, y):
    """Port at (-0.5, y), pillar at (-0.1, y): mirrored about that line, so fronts meet on it, from the pillar on."""
    flow = flow_of([(-0.1, y)], y=y)
    knit = flow["knits"][0]
    assert knit["ports"][0] == knit["ports"][1]
    assert knit["point_m"][0] > -0.1 + 0.08
    if y == 0.0:
        assert knit["point_m"][1] == pytest.approx(0.0, abs=0.02)
        # a sheet from the pillar to the far wall at most, 0.61 m, as high as the room
        assert 0.3 * 0.61 * 0.09 < knit["area_m2"] <= 1.1 * 0.61 * 0.09


def test_each_of_two_pillars_has_its_own_line(flow_of):
    knits = flow_of([(-0.1, -0.15), (-0.1, 0.15)])["knits"]
    sides = {float(np.sign(knit["point_m"][1])) for knit in knits[:2]}
    assert sides == {-1.0, 1.0}
