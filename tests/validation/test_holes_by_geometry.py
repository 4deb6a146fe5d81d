"""Where holes lie on a skin: distances to the walls by shapely, the rim of a hole turned onto the skin by trimesh."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh

from pourwright.access import inner_room_m
from pourwright.access.side_holes import side_edge
from pourwright.cavity import build_cavity, build_levels

WALL = 0.005


def test_room_over_the_cavity_ends_where_the_first_wall_is(skin_of, stand):
    """Of points of a lid: no circle that is wider than the way to the walls lies over the cavity all round."""
    skin = skin_of(trimesh.creation.box(bounds=[[0, 0, 0], [0.6, 0.4, 0.25]]), WALL)
    cavity = build_cavity(skin, stand(skin), cell_m=0.005)
    points = np.array([[0.025, 0.2, 0.25], [0.3, 0.345, 0.25], [0.555, 0.1, 0.25], [0.535, 0.335, 0.25]])
    up = np.tile([0.0, 0.0, 1.0], (len(points), 1))
    room = inner_room_m(cavity, build_levels(cavity), points, up, np.full(len(points), WALL), 0.09)
    walls = shapely.box(WALL, WALL, 0.6 - WALL, 0.4 - WALL).exterior
    due = shapely.distance(walls, shapely.points(points[:, :2]))
    assert room == pytest.approx(due, abs=0.0126)  # a cell, and a ring of 7.5 mm
    assert (room <= due + 0.005).all()


@pytest.mark.parametrize("upward", [0.0, 0.3, -0.5, 0.9])
def test_the_lowest_edge_is_that_of_a_circle_on_the_skin(upward):
    """Points all round a hole of 40 mm on skin of that slope, turned there by trimesh."""
    normal = np.array([np.sqrt(1.0 - upward**2), 0.0, upward])
    turn = np.linspace(0.0, 2.0 * np.pi, 20001)
    rim = np.stack([0.02 * np.cos(turn), 0.02 * np.sin(turn), np.zeros_like(turn)], axis=-1)
    rim = trimesh.transform_points(rim, trimesh.geometry.align_vectors([0, 0, 1], normal)) + np.array([0.0, 0.0, 1.3])
    low = side_edge(np.array([1.3]), np.array([0.04]), np.array([upward]))[0]
    assert low == pytest.approx(rim[:, 2].min(), abs=1e-7)
