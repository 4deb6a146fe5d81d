"""Tilts of a fixture: a level roof leads no air, and the smallest slope that does is 3 degrees along every side met.

By hand: the sides of a box run along x and y, so up leans by tan 3 degrees both ways, and the blocks are that times
width and depth. The sides of an octagon lie 45 degrees apart: towards a corner the least lies 22.5 degrees off, so up
leans by tan 3 degrees / sin 22.5 degrees, 7.8 degrees. With a second octagon turned by half of that the sides lie 22.5
degrees apart, and it would take 15 degrees: two stages.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from trimesh.creation import box, cylinder
from trimesh.transformations import rotation_matrix
from trimesh.util import concatenate

from pourwright.access import led
from pourwright.intake import job_from_shell
from pourwright.plan import make_plan
from pourwright.shot import chambers_of, tilt_stages
from pourwright.wording.one_shot import stand_words, tilt_lines

SLOPE = math.tan(math.radians(3.0))


def beside(one, other, middle=0.7):
    one.apply_translation((-middle, 0, 0))
    other.apply_translation((middle, 0, 0))
    mesh = concatenate([one, other])
    mesh.apply_translation((0, 0, -mesh.bounds[0, 2]))
    return mesh


def octagon(turned_deg):
    mesh = cylinder(0.5, 0.3, sections=8)
    mesh.apply_transform(rotation_matrix(math.radians(turned_deg), (0, 0, 1)))
    return mesh


@pytest.fixture
def planned(tmp_path):
    def run(mesh, **more):
        mesh.export(tmp_path / "part.ply")
        asked = {
            "foam.grade": "rigid-2", "wall.thickness": "5 mm", "piece.material": "polyethylene", "piece.unit": "m",
            "shop.machine.output": "0.6 kg/s", "heat.computed": False, "grid.cell": "15 mm",
        }  # fmt: skip
        return make_plan(job_from_shell(tmp_path / "part.ply", asked | more))

    return run


def stages_without_vents(plan):
    """As if no vent were drilled: air stays under every level roof."""
    standing = plan.frame.to_standing(plan.skin.vertices_m)
    bare, _ = led([one.ceiling for one in plan.lift_plan.ceilings], [], standing)
    return tilt_stages(bare, chambers_of(plan.cavity, plan.graph).of_node, standing)


def test_two_boxes_take_one_tilt_of_three_degrees_along_both_sides(planned):
    (stage,) = stages_without_vents(planned(beside(box((0.8, 0.8, 0.3)), box((0.8, 0.8, 0.3)))))
    assert stage.chambers == (1, 2)
    assert math.tan(stage.tilt.angle_rad) == pytest.approx(math.sqrt(2) * SLOPE, rel=0.02)
    assert abs(stage.tilt.right_m) == pytest.approx(2.2 * SLOPE, rel=0.02)
    assert abs(stage.tilt.back_m) == pytest.approx(0.8 * SLOPE, rel=0.02)


def test_octagons_turned_against_each_other_take_two_stages(planned):
    plan = planned(beside(octagon(0.0), octagon(22.5)))
    first, second = stages_without_vents(plan)
    assert (first.chambers, second.chambers) == ((1,), (2,))
    for stage in (first, second):
        assert stage.tilt is not None
        assert math.tan(stage.tilt.angle_rad) == pytest.approx(SLOPE / math.sin(math.radians(22.5)), rel=0.1)


def test_where_vents_leave_no_air_nothing_is_tilted(planned):
    plan = planned(beside(box((0.8, 0.8, 0.3)), box((0.8, 0.8, 0.3))))
    left = sum(one.cover.air_m3 for one in plan.lift_plan.ceilings)
    assert (plan.shot.tilts == ()) == (left == 0)
    assert stand_words(plan).startswith("level")


def test_a_job_that_is_planned_tilted_says_so_with_its_blocks(planned):
    words = stand_words(planned(beside(box((0.8, 0.8, 0.3)), box((0.8, 0.8, 0.3))), **{"piece.up": [SLOPE, 0.0, 1.0]}))
    assert words.startswith("TILTED by 3.0")
    assert f"{np.round(1e3 * 2.2 * SLOPE):.0f} mm" in words
    assert "under its right edge" in words
    assert "back" not in words


def one_vented_well(plan):
    """Air stays under the roof of the first chamber as if it had no vent, and under that of the other none."""
    standing = plan.frame.to_standing(plan.skin.vertices_m)
    chamber = chambers_of(plan.cavity, plan.graph).of_node
    bare, _ = led([one.ceiling for one in plan.lift_plan.ceilings], [], standing)
    none = [replace(one, cover=replace(one.cover, air_m3=0.0)) for one in bare]
    mixed = [a if chamber[a.ceiling.nodes[0]] == 0 else b for a, b in zip(bare, none, strict=True)]
    return tilt_stages(mixed, chamber, standing)


def test_a_tilt_leads_the_air_of_a_chamber_too_that_has_none_while_level(planned):
    (stage,) = one_vented_well(planned(beside(box((0.8, 0.8, 0.3)), box((0.8, 0.8, 0.3)))))
    assert stage.chambers == (1, 2)
    assert math.tan(stage.tilt.angle_rad) == pytest.approx(math.sqrt(2) * SLOPE, rel=0.02)


def test_where_no_tilt_does_for_both_the_well_vented_chamber_is_shot_as_it_stands(planned):
    plan = planned(beside(octagon(0.0), octagon(22.5)))
    level, tilted = one_vented_well(plan)
    assert (level.chambers, level.tilt.angle_rad) == ((2,), 0.0)
    assert tilted.chambers == (1,)
    assert math.tan(tilted.tilt.angle_rad) == pytest.approx(SLOPE / math.sin(math.radians(22.5)), rel=0.1)
    told = tilt_lines(replace(plan, shot=replace(plan.shot, tilts=(level, tilted))))
    assert told[0].startswith("stage 1, chamber 2: shot as it stands")
