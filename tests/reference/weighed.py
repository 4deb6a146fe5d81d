"""Plain pieces planned for what they weigh, shared by the checks of weight and balance."""

import math

import numpy as np
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.outcome import predict
from pourwright.panels import panels
from pourwright.shell import WallBand, load_skin, skin_material

ROOM = Conditions(295.372, 295.372, 295.372)
BOX, WALL = np.array([0.4, 0.3, 0.5]), 0.01


def filled(skin, frame, cell_m, grade="rigid-3", bond=None):
    """Cavity, level graph, foam, lifts and outcome of a skin that is filled."""
    cavity = build_cavity(skin, frame, cell_m=cell_m)
    graph = build_levels(cavity)
    foam = at_conditions(load_grade(grade), ROOM)
    flat = panels(skin)
    lifts = plan_lifts(Space(skin, cavity, graph, flat), foam, ShopLimits(hands=4, largest_batch_m3=0.02))
    return cavity, graph, foam, lifts, predict(skin, flat, cavity, graph, foam, lifts, loss_share=0.1, bond=bond)


def planned(tmp_path, mesh, wall_m, cell_m, material="grp", grade="rigid-3", bond=None):
    """Skin, and what `filled` gives, of a mesh written to a file and read again."""
    path = tmp_path / "piece.stl"
    mesh.export(path)
    bands = (WallBand("wall", -math.inf, math.inf, wall_m, 0.1),)
    skin = load_skin(path, unit="m", material=skin_material(material), bands=bands)
    frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    return (skin, *filled(skin, frame, cell_m, grade, bond))


def boxed(skin_of, stand):
    """Skin, cavity, graph, lifts and outcome of a box with a wall."""
    skin = skin_of(trimesh.creation.box(BOX), WALL)
    cavity, graph, _, lifts, outcome = filled(skin, stand(skin), 0.01)
    return skin, cavity, graph, lifts, outcome


def ball(folder):
    """A ball of 0.3 m, wall 6 mm, as `planned` gives it."""
    return planned(folder, trimesh.creation.icosphere(subdivisions=5, radius=0.3), 0.006, 0.006)
