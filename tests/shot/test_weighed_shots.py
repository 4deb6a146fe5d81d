"""A machine that is given by shots that were weighed, in place of an output: a head that comes up late gives less."""

import pytest
from trimesh.creation import box

from pourwright.errors import JobError
from pourwright.intake import job_from_shell

LATE_S, STEADY = 0.4, 0.6  # the head gives nothing for so long, then this [kg/s]


def job_with(tmp_path, shots, **more):
    box((0.8, 0.5, 0.3)).export(tmp_path / "part.ply")
    asked = {"piece.unit": "m", "piece.material": "polyethylene", "wall.thickness": "5 mm", "foam.grade": "rigid-2"}
    return job_from_shell(tmp_path / "part.ply", {**asked, "shop.machine.shot": shots, **more})


def weighed(*seconds):
    return [{"seconds": f"{s} s", "weight": f"{STEADY * (s - LATE_S):.6f} kg"} for s in seconds]


def test_a_shot_shorter_than_the_shortest_weighed_is_not_one_that_is_known(tmp_path):
    job = job_with(tmp_path, weighed(2, 4))
    assert job.machine.shortest_s == 2.0
    assert job_with(tmp_path, weighed(2, 4), **{"shop.machine.shortest": "1 s"}).machine.shortest_s == 1.0
    assert not [words for words in job.assumed if "shortest shot" in words]
    assert [words for words in job.assumed if "longest shot" in words]


@pytest.mark.parametrize(
    ("shots", "more", "words"),
    [
        (weighed(2), {}, "two or more"),
        ([], {}, "give it, or two"),
        (weighed(2, 4), {"shop.machine.output": "0.6 kg/s"}, "not both"),
        ([{"seconds": "2 s", "weight": "2 kg"}, {"seconds": "4 s", "weight": "1.5 kg"}], {}, "gives more than"),
        ([{"seconds": "2 s", "weight": "2 kg"}, {"seconds": "2 s", "weight": "2.1 kg"}], {}, "gives more than"),
        ([{"seconds": "1 s", "weight": "2 kg"}, {"seconds": "2 s", "weight": "90 kg"}], {}, "must be from"),
    ],
)  # fmt: skip
def test_shots_that_tell_nothing_are_refused_in_a_sentence(tmp_path, shots, more, words):
    with pytest.raises(JobError, match=words):
        job_with(tmp_path, shots, **more)


def test_the_plan_has_the_seconds_of_the_table_at_the_port_and_in_the_order(shoot):
    mesh = box((0.8, 0.5, 0.3))
    mesh.apply_translation((0, 0, 0.15))
    shots = [{"seconds": f"{s} s", "weight": f"{STEADY * (s - LATE_S):.6f} kg"} for s in (1, 10)]
    doc = shoot(mesh, "20 mm", more="", settings={"shop.machine": {"shot": shots}})
    landings = [one for lift in doc["lifts"] for pour in lift["pours"] for one in pour["landings"]]
    for one in [*landings, *doc["fill"]["shots"]]:
        assert one["seconds"] == pytest.approx(one["kg"] / STEADY + LATE_S, rel=1e-4)
