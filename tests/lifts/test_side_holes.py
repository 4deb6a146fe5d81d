"""Holes in the side of a limb that only a long tube would reach: against rays that trimesh shoots at the shell."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from tests.lifts.conftest import box, joined

from pourwright.errors import LimitError
from pourwright.findings import Code
from pourwright.lifts import HoleRules, KeepOut, ShopLimits
from pourwright.wording.findings import sentence

# a slender upright leg 1.2 m tall under a body: from the body's top liquid would have to go down a long tube
LEG = trimesh.creation.cylinder(radius=0.04, segment=[[0.3, 0.0, 0.0], [0.3, 0.0, 1.2]], sections=64)
BODY = joined(LEG, box(0.05, 0.55, -0.15, 0.15, 1.1, 1.4))


def _ports(made):
    return [port for port in made.plan.ports if port.sideways]


def _long(made):
    falls = [one for lift in made.plan.lifts for pour in lift.pours for one in pour.landings]
    return [one for one in falls if one.tube is not None and one.fall_m > 1.0]


def test_a_slender_leg_is_poured_from_its_side(planned):
    made = planned(BODY, cell=0.008)
    sides = _ports(made)
    assert sides
    assert not _long(made)
    without = planned(BODY, cell=0.008, limits=ShopLimits(holes=HoleRules(side=False)))
    assert not _ports(without)
    assert _long(without) or any(not pour.landings for lift in without.plan.lifts for pour in lift.pours)
    assert made.plan.unreached_m3 <= without.plan.unreached_m3


def test_a_hole_in_the_side_lies_on_steep_skin_with_room_before_it_and_the_cavity_behind(planned):
    made = planned(BODY, cell=0.008)
    for port in _ports(made):
        foot, away, face = trimesh.proximity.closest_point(BODY, [port.point_m])
        normal = BODY.face_normals[face[0]]
        assert away[0] < 1e-6
        assert abs(normal[2]) < 0.35
        assert port.face in ("hidden", "other")
        free = BODY.ray.intersects_location([foot[0] + 1e-4 * normal], [normal])[0]
        assert not len(free) or np.linalg.norm(free - foot, axis=1).min() >= 0.19
        through = BODY.ray.intersects_location([foot[0] - 1e-4 * normal], [-normal])[0]
        assert np.linalg.norm(through - foot, axis=1).min() > 0.05  # the leg's bore is behind it
        assert 0.016 <= port.hole_m <= 0.6 * 0.08 + 1e-9
        assert port.room_m >= 0.0


def test_no_foam_rises_past_an_open_hole_in_the_side(planned):
    """Every pour that tops out over the hole's lowest edge has it shut before, or in time."""
    made = planned(BODY, cell=0.008)
    pours = [pour for lift in made.plan.lifts for pour in lift.pours]
    names = [pour.name for pour in pours]
    closings = {one.hole: one for one in made.plan.closings}
    for port in _ports(made):
        low = port.measures.from_base_m - 0.5 * port.hole_m
        over = [pour for pour in pours if pour.top_m > low]
        if not over:
            continue
        one = closings[port.name]
        assert names.index(one.before) <= names.index(over[0].name)
        assert one.low_m == pytest.approx(low, abs=0.012)
        assert one.force_n.nominal > 0
        for pour in pours:
            for landing in pour.landings:
                if landing.port.name == port.name:
                    assert names.index(pour.name) <= names.index(one.before)
                    assert 0.0 < landing.fall_m < 1.0
                    assert made.frame.to_standing(landing.point_m)[2] < low


def test_regions_kept_free_and_a_cradle_are_heeded(planned):
    bands = tuple(KeepOut(face=face, to_base_m=1.05) for face in ("hidden", "other", "front"))
    assert not _ports(planned(BODY, cell=0.008, limits=ShopLimits(holes=HoleRules(keep_out=bands))))
    assert not _ports(planned(BODY, cell=0.008, limits=ShopLimits(held=True)))


def test_a_port_asked_for_in_the_side_is_poured_through(planned):
    """Where the job puts one at the knee, it is used and called what it is."""
    at = LEG.vertices[np.argmax(LEG.vertices[:, 1])] * [1, 1, 0] + [0.0, 0.0, 0.6]
    made = planned(BODY, cell=0.008, limits=ShopLimits(holes=HoleRules(at_m=(tuple(at.tolist()),))))
    asked = next(port for port in made.plan.ports if port.name == "P1")
    assert asked.sideways
    assert asked.point_m == pytest.approx(trimesh.proximity.closest_point(BODY, [at])[0][0], abs=2e-3)
    into = [one for lift in made.plan.lifts for pour in lift.pours for one in pour.landings if one.port.name == "P1"]
    assert into


def test_nothing_is_poured_up_from_a_port_in_the_side(planned):
    """A port that the job puts low in the leg serves what lies under it; for the rest other holes are found."""
    at = LEG.vertices[np.argmax(LEG.vertices[:, 1])] * [1, 1, 0] + [0.0, 0.0, 0.3]
    made = planned(BODY, cell=0.008, limits=ShopLimits(holes=HoleRules(at_m=(tuple(at.tolist()),))))
    pours = [pour for lift in made.plan.lifts for pour in lift.pours]
    assert any(one.port.name == "P1" for pour in pours for one in pour.landings)
    for pour in pours:
        assert pour.landings
        for one in pour.landings:
            hole = made.frame.to_standing(one.port.point_m)[2] - 0.5 * one.port.hole_m
            assert made.frame.to_standing(one.point_m)[2] < hole
            assert one.fall_m > 0.0


def test_a_port_in_the_side_under_every_floor_is_refused(planned):
    at = LEG.vertices[np.argmax(LEG.vertices[:, 1])] * [1, 1, 0] + [0.0, 0.0, 0.012]
    with pytest.raises(LimitError, match="leads to no pour"):
        planned(BODY, cell=0.008, limits=ShopLimits(holes=HoleRules(at_m=(tuple(at.tolist()),))))


def test_a_hole_in_the_side_is_told_with_what_becomes_of_it(planned):
    (first, *_) = _ports(planned(BODY, cell=0.008))
    found = [one for one in planned(BODY, cell=0.008).plan.warnings if one.code == Code.SIDE_HOLE]
    assert first.name in [name for one in found for name in one.subject]
    assert all(str(one.severity) == "note" for one in found)
    said = sentence(found[0])
    assert "bent spout" in said
    assert "laid over as thick as it was" in said
    assert not [one for one in planned(BODY, cell=0.008).plan.warnings if one.code == Code.STEEP_SKIN]


def test_liquid_is_not_let_run_down_the_wall_of_a_deep_leg(planned):
    """A leg that slants away under a shelf: what lands at its top would run 0.9 m down the wall. A hose goes all the
    way where no hole may be cut in its side, else a hole is cut."""
    leg = trimesh.creation.cylinder(radius=0.06, segment=[[0.0, 0.0, 0.0], [0.25, 0.0, 1.0]], sections=48)
    body = joined(leg, box(0.15, 0.75, -0.15, 0.15, 0.9, 1.2))
    rules = HoleRules(side=False, keep_out=(KeepOut(to_base_m=1.15),))
    made = planned(body, cell=0.01, limits=ShopLimits(holes=rules))
    deep = [(pour, one) for lift in made.plan.lifts for pour in lift.pours for one in pour.landings]
    for pour, one in deep:
        lands = made.frame.to_standing(one.point_m)[2]
        assert lands - pour.bottom_m <= 0.5 + 0.011
        if one.tube is not None and not one.tube.stiff and one.fall_m > 0.6:
            assert one.tube.length_m == pytest.approx(one.fall_m - 0.3 + 0.1, abs=1e-6)
