"""What is proposed against a bulge holds when it is applied anew: shores and boards on a finer mesh, a thinner lift."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.panels import panels
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import PressedLift, Under, lift_bulge, skin_mesh
from pourwright.structure.pressed import PressedPart

PACKED = 0.5 * 101325.0  # [Pa] gas squeezed to 1 / 1.5 of its volume
SHAPES = {
    "box": lambda: trimesh.creation.box((0.6, 0.4, 0.3)),
    "drum": lambda: trimesh.creation.cylinder(radius=0.29, height=0.6, sections=64),
}


@pytest.fixture(scope="module")
def pieces(tmp_path_factory):
    """A function of shape, material and wall that gives what judges it, on a mesh of so many triangles."""
    folder = tmp_path_factory.mktemp("shapes")

    def piece(shape, material, wall):
        file = folder / f"{shape}.stl"
        SHAPES[shape]().export(file)
        bands = [WallBand("", -math.inf, math.inf, wall, 0.1)]
        skin = load_skin(file, unit="m", material=skin_material(material), bands=bands)
        frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
        found = panels(skin, 16)
        middles = frame.to_standing(np.array([p.point_m for p in found]))
        bonds = skin.material.foam_bonds

        def under(triangles):
            mesh = skin_mesh(skin, frame, triangles)
            return Under(mesh, skin.material, found, middles, 0.01, lambda h: 8e6, 0.3, 0.075, bonds, False)

        return under

    return piece


@pytest.mark.parametrize(
    ("shape", "material", "bottom", "top"),
    [
        ("box", "polyethylene", 0.15, 0.3),
        pytest.param("box", "polyethylene", 0.0, 0.3, marks=pytest.mark.slow),
        pytest.param("box", "grp", 0.15, 0.3, marks=pytest.mark.slow),
        ("drum", "grp", 0.4, 0.6),
    ],
)
def test_shores_hold_on_a_finer_mesh_than_proposed_them(pieces, shape, material, bottom, top):
    """4 mm of wall, packed to one and a half: caught, and the proposal passes on another mesh, three times as fine."""
    under, lift = pieces(shape, material, 0.004), PressedLift(1, bottom, top, PACKED, True)
    bulge = lift_bulge(under(1500), lift, thinner=False)
    assert bulge.verdict == "over"
    assert bulge.used > 3
    assert bulge.passes
    fine = PressedPart(under(4500), lift)
    again = fine.solve(bulge.props)
    assert again.verdict == "ok"
    # the shores hold no more than the gas can push on what they cover
    assert all(0 < prop.force_n < 1.02 * PACKED * 0.6 * 0.58 for prop in bulge.props)
    assert sum(prop.force_n for prop in again.props) == pytest.approx(sum(p.force_n for p in bulge.props), rel=0.15)


def test_drum_that_no_shore_can_hold_is_said_so(pieces):
    """Polyethylene drum: p R / t = 3.7 MPa alone is nearly the 4.1 MPa allowed, and its rim bends: a mould."""
    bulge = lift_bulge(
        pieces("drum", "polyethylene", 0.004)(1500), PressedLift(1, 0.4, 0.6, PACKED, True), thinner=False
    )
    assert bulge.verdict == "over"
    assert not bulge.passes
    assert "mould or cradle" in bulge.words


def test_thinner_lift_passes_when_it_is_poured(pieces):
    under = pieces("box", "grp", 0.006)(1500)
    lift = PressedLift(1, 0.0, 0.28, 13e3, False)
    bulge = lift_bulge(under, lift, props=False)
    assert bulge.verdict == "over"
    assert bulge.props == ()
    assert 0 < bulge.thinner_m < 0.28
    again = lift_bulge(under, replace(lift, top_m=bulge.thinner_m), props=False)
    assert again.verdict == "ok"
    assert again.used < bulge.used


def test_no_thinner_lift_is_found_where_none_would_do(pieces):
    bulge = lift_bulge(pieces("box", "polyethylene", 0.004)(1500), PressedLift(1, 0.0, 0.3, PACKED, True), props=False)
    assert bulge.verdict == "over"
    assert math.isnan(bulge.thinner_m)


def test_thinner_lift_is_not_looked_for_where_not_asked(pieces):
    under, lift = pieces("box", "grp", 0.006)(800), PressedLift(1, 0.0, 0.28, 13e3, False)
    assert math.isnan(lift_bulge(under, lift, thinner=False, props=False).thinner_m)
