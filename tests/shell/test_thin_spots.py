"""The wall that a panel is judged with is the least on it, also where that lies between corners of its triangles."""

import numpy as np
import pytest
from trimesh.creation import box

from pourwright.access import side_places
from pourwright.cavity import build_cavity, build_levels, pour_frame, straight_up
from pourwright.panels import panels
from pourwright.shell import LocalWalls, WallBand, WallGauge, WallRegion

SIZE = (1.0, 0.6, 0.4)


def region(low, high, thickness_m):
    return WallRegion("spot", thickness_m, 0.1, low, high, None, 0.0, 0.0)


def tops(skin):
    return [one for one in panels(skin, 6) if one.normal[2] > 0.9]


def test_a_thin_region_in_the_middle_of_a_side_is_its_panels_wall(skin_of):
    mesh = box(SIZE)
    spot = region((0.1, 0.05, 0.1), (0.2, 0.15, 0.3), 0.002)  # no corner and no middle of the lid's two triangles
    (lid,) = tops(skin_of((mesh.vertices, mesh.faces), 0.006, local=LocalWalls((spot,))))
    assert lid.thickness_m == pytest.approx(0.002)


def test_a_region_that_a_later_one_covers_or_that_only_touches_a_side_is_not(skin_of):
    mesh = box(SIZE)
    spot, over = region((0.1, 0.05, 0.1), (0.2, 0.15, 0.3), 0.002), region((0.0, 0.0, 0.1), (0.3, 0.2, 0.3), 0.008)
    below = region((-1.0, -1.0, -1.0), (1.0, 1.0, 0.19), 0.003)
    (lid,) = tops(skin_of((mesh.vertices, mesh.faces), 0.006, local=LocalWalls((spot, over, below))))
    assert lid.thickness_m == pytest.approx(0.006)


def test_a_thin_spot_that_was_measured_is_its_panels_wall(skin_of):
    mesh = box(SIZE)
    points = np.array([[x, y, z] for x in (-0.5, 0.5) for y in (-0.3, 0.3) for z in (-0.2, 0.2)] + [[0.15, 0.1, 0.2]])
    gauge = WallGauge("gauge.csv", points, np.r_[np.full(8, 0.006), 0.002], 0.1)
    found = panels(skin_of((mesh.vertices, mesh.faces), 0.006, local=LocalWalls(gauge=gauge)), 6)
    assert [one.thickness_m for one in found if one.normal[2] > 0.9] == pytest.approx([0.002])
    assert all(one.thickness_m > 0.0025 for one in found if one.normal[2] < -0.9)  # opposite: not measured there


def test_bands_hold_beside_a_region(skin_of):
    mesh = box(SIZE)
    bands = (WallBand("low", -np.inf, 0.2, 0.004), WallBand("high", 0.2, np.inf, 0.006))
    spot = region((-1.0, -1.0, 0.15), (1.0, 1.0, 1.0), 0.009)
    found = panels(skin_of((mesh.vertices, mesh.faces), None, bands=bands, local=LocalWalls((spot,))), 6)
    walls = {
        ("lid" if one.normal[2] > 0.9 else "floor" if one.normal[2] < -0.9 else "side"): one.thickness_m
        for one in found
    }
    assert walls == pytest.approx({"lid": 0.009, "floor": 0.004, "side": 0.004})


def test_a_hole_in_the_side_is_looked_for_behind_the_wall_of_its_region(skin_of):
    """A column whose one wall is 60 mm thick in a region: its cavity begins that far behind the skin there too."""
    mesh = box((0.3, 0.3, 1.0))
    thick = WallRegion("thick", 0.06, 0.1, (0.14, -1.0, -1.0), (1.0, 1.0, 1.0), None, 0.0, 0.0)
    skin = skin_of((mesh.vertices, mesh.faces), 0.005, local=LocalWalls((thick,)))
    frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    cavity = build_cavity(skin, frame, cell_m=0.01)
    graph = build_levels(cavity)
    columns = straight_up(cavity, graph)
    every = np.arange(len(columns.low))
    places = side_places(skin, cavity, graph, columns, [(every, 30)], 0.03)
    sides = {(round(float(x), 1) + 0.0, round(float(y), 1) + 0.0) for x, y, _ in places.normal}
    assert sides == {(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)}
