"""A cradle about one axis: what is done of its stops, and what it cannot do."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.errors import JobError, LimitError
from pourwright.findings import Code
from pourwright.intake import job_from_shell
from pourwright.lining import Rules, stops_of
from pourwright.plan import make_plan


@pytest.fixture
def planned(tmp_path):
    def run(**more):
        trimesh.creation.icosphere(3, 0.4).export(tmp_path / "ball.ply")
        asked = {
            "foam.grade": "rigid-3", "wall.thickness": "5 mm", "piece.unit": "m", "grid.cell": "25 mm",
            "fill.style": "lining", "fill.thickness": "50 mm", "fill.turning": "cradle",
        }  # fmt: skip
        asked |= {name.replace("__", "."): value for name, value in more.items()}
        return make_plan(job_from_shell(tmp_path / "ball.ply", asked))

    return run


def test_stops_that_come_after_gel_are_no_part_of_the_work_and_the_plan_says_so(planned):
    plan = planned(fill__axis="+x", fill__stops=[f"{45 * k} deg" for k in range(1, 9)])
    lining = plan.lining
    assert len([one for one in lining.sequence if one.coat == 1]) == lining.rolls < 8
    (told,) = [one for one in plan.warnings if one.code is Code.STOPS_AFTER_GEL]
    assert (told["asked"], told["done"]) == (8, lining.rolls)


def test_stops_that_all_come_before_gel_are_not_spoken_of(planned):
    plan = planned(fill__axis="+x", fill__stops=["90 deg", "180 deg"])
    assert [one.number for one in plan.lining.sequence if one.coat == 1] == [1, 2]
    assert not [one for one in plan.warnings if one.code is Code.STOPS_AFTER_GEL]


def test_an_axis_that_stands_upright_is_refused_in_one_sentence(planned):
    with pytest.raises(JobError, match=r"fill\.axis.*upright.*level"):
        planned(fill__axis="+z")


def test_a_mix_that_gels_before_one_roll_is_refused_in_one_sentence(planned):
    with pytest.raises(LimitError, match=r"gels .* before .* one roll") as told:
        planned(shop__air="35 degC", shop__mix="60 s")
    assert "\n" not in str(told.value)


def test_a_cradle_is_led_back_about_its_own_axis():
    axis = np.array([1.0, 0.0, 0.0])
    there = stops_of(Rules(turning="cradle", stops_rad=(math.pi,)), axis, np.array([0.0, 0, 1]))[0]
    back = there.path(np.array([0.0, 0.0, -1.0]))
    assert len(back) > 20
    assert back @ axis == pytest.approx(np.zeros(len(back)), abs=1e-9)


def test_a_wall_carries_no_more_than_its_slower_way_from_stop_to_stop_lets_it(planned):
    """What a turning wall carries goes by the root of its speed (H. K. Moffatt, Journal de Mecanique 16 (1977) 651)."""
    round_, half, eighth = (
        planned(fill__stops=[f"{stop} deg"], fill__thickness="20 mm").lining.most_coat_m for stop in (360, 180, 45)
    )
    assert half == pytest.approx(round_ / math.sqrt(2), rel=1e-6)
    assert eighth < half
