"""A dispenser's head that comes up late, worked out by hand: nothing for 0.4 s, then 0.6 kg/s."""

import numpy as np
import pytest
from trimesh.creation import box

from pourwright.intake import job_from_shell

LATE_S, STEADY = 0.4, 0.6  # the head gives nothing for so long, then this [kg/s]


def job_with(tmp_path, shots):
    box((0.8, 0.5, 0.3)).export(tmp_path / "part.ply")
    asked = {"piece.unit": "m", "piece.material": "polyethylene", "wall.thickness": "5 mm", "foam.grade": "rigid-2"}
    return job_from_shell(tmp_path / "part.ply", {**asked, "shop.machine.shot": shots})


def weighed(*seconds):
    return [{"seconds": f"{s} s", "weight": f"{STEADY * (s - LATE_S):.6f} kg"} for s in seconds]


def test_seconds_are_those_after_which_the_head_has_given_the_weight(tmp_path):
    """By hand: kg = 0.6 (s - 0.4), so 3 kg take 5.4 s; kg / output alone would be 0.4 s short."""
    machine = job_with(tmp_path, weighed(2, 4, 8)).machine
    for kg in (1.5, 3.0, 4.5, 6.0):
        assert machine.seconds_of(kg) == pytest.approx(kg / STEADY + LATE_S, abs=1e-6)
    assert machine.output_kg_s == pytest.approx(STEADY)


def test_between_uneven_shots_the_line_through_the_two_beside_it_is_taken(tmp_path):
    rows = [
        {"seconds": "8 s", "weight": "5 kg"},
        {"seconds": "2 s", "weight": "0.8 kg"},
        {"seconds": "4 s", "weight": "2 kg"},
    ]
    machine = job_with(tmp_path, rows).machine
    for kg in (0.8, 1.1, 2.0, 3.3, 5.0):
        assert machine.seconds_of(kg) == pytest.approx(np.interp(kg, [0.8, 2.0, 5.0], [2.0, 4.0, 8.0]))
