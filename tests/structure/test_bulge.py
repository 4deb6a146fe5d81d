"""A flat-sided box bulges, and the shores that are proposed hold it."""

import math

import numpy as np
import trimesh

from pourwright.cavity import pour_frame
from pourwright.panels import panels
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import PressedLift, Under, lift_bulge, skin_mesh
from pourwright.structure.pressed import PressedPart


def under_of(tmp_path, material="polyethylene", wall=0.006, triangles=2500, held=False, size=(0.5, 0.4, 0.5)):
    file = tmp_path / "box.stl"
    trimesh.creation.box(size).export(file)
    skin = load_skin(
        file, unit="m", material=skin_material(material), bands=[WallBand("", -math.inf, math.inf, wall, 0.1)]
    )
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    found = panels(skin, 16)
    middles = frame.to_standing(np.array([p.point_m for p in found]))
    mesh = skin_mesh(skin, frame, triangles)
    return Under(mesh, skin.material, found, middles, 0.01, lambda h: 8e6, 0.3, 0.1, skin.material.foam_bonds, held)


def test_polyethylene_box_packed_to_one_and_a_half_bulges_and_its_shores_hold_it(tmp_path):
    """Gas squeezed to 1 / 1.5 of its volume presses with half an atmosphere: 51 kPa (physics.gas adds the solid's)."""
    under = under_of(tmp_path, wall=0.008, size=(0.3, 0.25, 0.3), triangles=1500)
    lift = PressedLift(1, 0.15, 0.3, 0.5 * 101325.0, True)
    bulge = lift_bulge(under, lift, thinner=False)
    assert bulge.verdict == "over"
    assert bulge.large
    assert bulge.outward_m > bulge.allowed_m
    assert bulge.passes
    assert bulge.propped_m < bulge.outward_m
    # the proposal itself, set up again from nothing: the same skin with those shores passes
    again = PressedPart(under, lift).solve(bulge.props)
    assert again.verdict == "ok"
    # shores and edges share the load: none takes more than the pressure on its own half of the piece
    assert all(0 < prop.force_n < 0.5 * 101325.0 * 0.3 * 0.25 for prop in bulge.props)


def test_held_skin_is_not_computed(tmp_path):
    under = under_of(tmp_path, held=True)
    assert lift_bulge(under, PressedLift(1, 0.0, 0.25, 4500.0, False)).verdict == "held"


def test_unknown_pressure_is_never_safe(tmp_path):
    under = under_of(tmp_path, triangles=500)
    assert lift_bulge(under, PressedLift(1, 0.0, 0.25, math.nan, False)).verdict == "unknown"


def test_stiff_small_box_passes(tmp_path):
    under = under_of(tmp_path, material="grp", wall=0.012, size=(0.25, 0.2, 0.25))
    bulge = lift_bulge(under, PressedLift(1, 0.0, 0.25, 4500.0, False))
    assert bulge.verdict == "ok"
    assert not bulge.props
