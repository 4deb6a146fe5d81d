"""Tipping worked out by geometry: atan(d / h) in the worst direction and W d / h, on a box, a cone and a ball."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import trimesh
from tests.reference.told import told

from pourwright.findings import Code
from pourwright.outcome import Site, Stand, refusals, stand, way_words
from pourwright.outcome.stand import edge_distances
from pourwright.ranges import Range

G = 9.80665


def stood(made, lump, parts=None, mesh=None, **asked):
    parts = parts or [lump(100.0, (0.1, 0.05, 0.0), "skin")]
    return stand(*made(parts, Site(stand=Stand(**asked)), mesh))


def test_a_box_tips_over_its_nearest_edge(made, lump):
    """Base 1 x 0.5, centre 0.05 back of the middle and 0.5 up: d = 0.2, atan(0.2 / 0.5), W d / h."""
    result = stood(made, lump)
    stage = result.stages[-1]
    assert stage.edge_m.nominal == pytest.approx(0.20)
    assert stage.angle_rad.nominal == pytest.approx(math.atan(0.4))
    assert stage.push_n.nominal == pytest.approx(100 * G * 0.4)
    assert stage.top_push_n.nominal == pytest.approx(100 * G * 0.2)
    assert way_words(stage.way) == "to the back"
    assert result.support.area == pytest.approx(0.5)


def test_a_slope_takes_its_angle_off(made, lump):
    slope = math.radians(10.0)
    stage = stood(made, lump, slope_rad=slope).stages[-1]
    assert stage.push_n.nominal == pytest.approx(100 * G * math.tan(math.atan(0.4) - slope))
    steep = stood(made, lump, slope_rad=math.radians(25.0))
    assert not steep.stages[-1].stands
    assert refusals(steep) == ("empty skin: does not stand", "finished: does not stand")
    assert told(steep)[Code.SLOPE_TIPS]["slope_rad"] == pytest.approx(math.radians(25.0))


def test_the_lightest_and_the_worst_placed_count(made, lump):
    parts = [lump(Range(40.0, 50.0, 60.0), (0, 0.2, 0.3), "skin"), lump(Range(40.0, 50.0, 60.0), (0, -0.1, -0.3))]
    stage = stood(made, lump, parts).stages[-1]
    worst_y = (60 * 0.2 - 40 * 0.1) / 100
    worst_z = 0.5 + (60 * 0.3 - 40 * 0.3) / 100
    assert stage.edge_m.low == pytest.approx(0.25 - worst_y)
    assert stage.angle_rad.low == pytest.approx(math.atan((0.25 - worst_y) / worst_z))
    assert stage.push_n.low < stage.push_n.nominal < stage.push_n.high


def test_every_stage_of_filling(made, lump):
    high = replace(lump(50.0, (0.0, 0.0, 0.45), "foam"), after_lift=1)
    result = stood(made, lump, [lump(50.0, (0.0, 0.0, -0.4), "skin"), high])
    angles = [stage.angle_rad.nominal for stage in result.stages]
    assert angles[0] == pytest.approx(math.atan(0.25 / 0.1))
    assert angles[1] == pytest.approx(math.atan(0.25 / 0.525))


def test_a_cone_on_its_round_base_and_a_ball_on_a_point(made, lump):
    cone = trimesh.creation.cone(radius=0.5, height=1.0, sections=96)
    stage = stood(made, lump, [lump(10.0, (0, 0, 0.25), "skin")], cone).stages[-1]
    assert stage.angle_rad.nominal == pytest.approx(math.atan(0.5 / 0.25), rel=2e-3)
    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.5)
    result = stood(made, lump, [lump(10.0, (0, 0, 0), "skin")], ball, contact_m=0.0)
    assert not result.stages[-1].stands
    assert Code.STANDS_ON_NO_BASE in told(result)


def test_a_base_plate_under_the_finished_piece(made, lump):
    """1.4 x 1 m, 20 mm thick: d = 0.5 - 0.05, h = 0.5 + 0.02; before it is on, the box's own base counts."""
    pads = tuple((x, y, -0.52) for x in (-0.7, 0.7) for y in (-0.5, 0.5))
    result = stood(made, lump, pads_m=pads)
    bare, done = result.stages[0], result.stages[-1]
    assert bare.angle_rad.nominal == pytest.approx(math.atan(0.2 / 0.5))
    assert done.angle_rad.nominal == pytest.approx(math.atan(0.45 / 0.52))
    assert done.top_push_n.nominal == pytest.approx(done.push_n.nominal * 0.52 / 1.02)
    assert result.ground_m == pytest.approx(-0.02)


def test_distances_to_the_edges_of_any_hull_agree_with_shapely():
    rng = np.random.default_rng(2)
    hull = shapely.MultiPoint(rng.normal(size=(12, 2))).convex_hull
    inside = np.array([np.asarray(hull.centroid.coords[0])])
    distance, normal = edge_distances(hull, inside)
    assert distance.min() == pytest.approx(hull.exterior.distance(shapely.Point(inside[0])))
    assert np.linalg.norm(normal, axis=1) == pytest.approx(1.0)
    line = shapely.LineString([(0, 0), (1, 0)])
    assert edge_distances(line, np.array([[0.5, 0.3]]))[0] == pytest.approx(-0.3)


def test_what_falls_or_tips_early_is_told(made, lump):
    """Centre 0.6 beside the middle of a base 0.5 to either side: it falls. 0.45: atan(0.05 / 0.5) = 5.7 degrees."""
    falls = told(stood(made, lump, [lump(10.0, (0.6, 0, 0), "skin")]))
    assert falls[Code.FALLS].subject == ("empty skin", "finished")
    early = told(stood(made, lump, [lump(10.0, (0.45, 0, 0), "skin")]))
    assert early[Code.TIPS_EARLY]["angle_rad"] == pytest.approx(math.atan(0.1))
    assert Code.TIPS_EARLY not in told(stood(made, lump, [lump(10.0, (0, 0, 0), "skin")]))
