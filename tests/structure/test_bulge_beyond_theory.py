"""A pressure far beyond what a skin stands is refused, and no bulge is made up for it."""

from __future__ import annotations

import math
import sys

import numpy as np
import pytest
import trimesh
from shell_problems import grid, held_at

from pourwright.cavity import pour_frame
from pourwright.errors import ShellError
from pourwright.fem import TURN_RAD, ShellModel, equilibrium
from pourwright.panels import panels
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import PressedLift, Under, lift_bulge, skin_mesh

WALL = 0.003
PACKED = 31.5e3  # [Pa] a 48 kg/m3 foam packed to 1.3


@pytest.fixture(scope="module")
def cooler(tmp_path_factory):
    """The double-walled body of a cooler, 600 x 400 x 350 mm, in polyethylene of 3 mm."""
    file = tmp_path_factory.mktemp("cooler") / "cooler.stl"
    outside = trimesh.creation.box(bounds=[[0, 0, 0], [0.6, 0.4, 0.35]])
    inside = trimesh.creation.box(bounds=[[0.05, 0.05, 0.06], [0.55, 0.35, 0.4]])
    trimesh.boolean.difference([outside, inside]).export(file)
    bands = [WallBand("", -math.inf, math.inf, WALL, 0.1)]
    skin = load_skin(file, unit="m", material=skin_material("polyethylene"), bands=bands)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    found = panels(skin, 16)
    middles = frame.to_standing(np.array([p.point_m for p in found]))
    return Under(
        skin_mesh(skin, frame, 1200), skin.material, found, middles, 0.01, lambda h: 4e6, 0.3, 0.1, False, False
    )


def test_where_no_rest_is_found_at_all_it_is_unknown_and_never_safe(cooler, monkeypatch):
    def lost(*_, **__):
        raise ShellError("no rest found")

    monkeypatch.setattr(sys.modules["pourwright.structure.pressed"], "equilibrium", lost)
    bulge = lift_bulge(cooler, PressedLift(1, 0.0, 0.35, 10.0, True), thinner=False, props=False)
    assert bulge.verdict == "unknown"
    assert bulge.words == "no rest found"


def test_a_plate_pressed_across_its_buckling_still_comes_to_rest():
    """A shallow arch that snaps through: its tangent is not stiff on the way, and the search goes on downhill."""
    x, y, faces = grid(14, 4, "crossed")
    points = np.c_[x, 0.25 * y, 0.05 * np.sin(np.pi * x)]
    model = ShellModel(points, faces, 0.0005, 1e9, 0.3)
    held = held_at(len(x), ((x == 0) | (x == 1), (0, 1, 2)))
    load = model.pressure_load(-50.0)
    rest = equilibrium(model, load, held, large=True)
    middle = np.argmin(np.abs(x - 0.5) + np.abs(y - 0.5))
    assert rest.movement.reshape(-1, 6)[middle, 2] < -0.09  # through, to the other side
    assert rest.residual <= 1e-5
    assert rest.turn_rad < 2 * TURN_RAD
