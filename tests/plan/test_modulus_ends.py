"""A modulus that is known to a range: bulge and gain each take the end that is unsafe for them."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
import trimesh

from pourwright.document.plan_json import plan_json
from pourwright.errors import JobError
from pourwright.intake import job_from_shell
from pourwright.plan import make_plan
from pourwright.shell import custom_material, skin_material

ASKED = {
    "piece.unit": "m",
    "piece.material": "polyethylene",
    "wall.thickness": "6 mm",
    "foam.grade": "rigid-3",
    "grid.cell": "12 mm",
    "heat.computed": False,
    "foam.bond": 1.0,
}


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    file = tmp_path_factory.mktemp("ends") / "box.stl"
    trimesh.creation.box((0.3, 0.25, 0.25)).export(file)
    return job_from_shell(file, ASKED)


def _with(job, modulus):
    exact = custom_material("polyethylene", {"youngs_modulus_pa": modulus}, "a coupon")
    return make_plan(replace(job, material=exact))


def _stands(plan):
    return [lift.pours[0].checks[k].limit for lift in plan.lift_plan.lifts for k in _pressure(lift)]


def _pressure(lift):
    return [k for k, check in enumerate(lift.pours[0].checks) if check.name == "pressure on the skin"]


def test_bulge_takes_the_low_end_and_gain_the_high_one(job):
    ends = skin_material("polyethylene").youngs_pa
    assert ends.low < 0.36e9 < 0.75e9 < ends.high
    found, soft, stiff = make_plan(job), _with(job, ends.low), _with(job, ends.high)
    assert _stands(found) == pytest.approx(_stands(soft))
    assert min(_stands(stiff)) > 1.5 * min(_stands(found))
    for gain, least, most in zip(*(plan.outcome.stiffness for plan in (found, stiff, soft)), strict=True):
        assert gain.bonded == pytest.approx(least.bonded)
        assert gain.bonded <= most.bonded
    assert found.outcome.stiffness[1].bonded < 0.9 * soft.outcome.stiffness[1].bonded


def test_a_modulus_that_the_job_gives_is_taken_at_both_ends():
    given = custom_material("polyethylene", {"youngs_modulus_pa": 5e8}, "a coupon").youngs_pa
    assert given.low == given.high == 5e8


def test_the_plan_keeps_the_range_for_those_who_read_it(job):
    told = json.loads(plan_json(make_plan(job)))["shell"]["material"]["values"]["youngs_modulus_pa"]
    assert told["value"] * (1 - told["spread"]) == pytest.approx(skin_material("polyethylene").youngs_pa.low)


def test_the_earlier_name_of_the_design_stress_is_read_and_said(job):
    own = {"reference": "a coupon", "short_term_stress": "9 MPa"}
    read = job_from_shell(job.shell, {**ASKED, "piece.material_values": own})
    assert read.material.design_stress_pa == 9e6
    assert any("read as design_stress" in line for line in read.assumed)
    with pytest.raises(JobError, match="give one of them"):
        job_from_shell(job.shell, {**ASKED, "piece.material_values": {**own, "design_stress": "8 MPa"}})


def test_limits_that_are_no_strengths_are_called_what_they_are():
    for name in ("grp", "polyethylene"):
        assert "design limit" in skin_material(name).cited["design_stress_pa"].note
