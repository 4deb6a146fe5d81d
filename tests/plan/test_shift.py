"""A day has a start and a shift: what does not fit goes on the next morning, and every time is by the clock."""

from dataclasses import replace
from itertools import pairwise

import pytest

from pourwright.document.plan_json import plan_document
from pourwright.errors import JobError
from pourwright.intake import job_from_shell
from pourwright.plan import DayRules, make_plan, schedule_of
from pourwright.report.card import starts
from pourwright.report.sheet import sheet_html
from pourwright.wording.computed import day_lines, nights, wall_clock

H = 3600.0
SHIFT = DayRules(start_s=8 * H, end_s=17 * H)


def seen(plan, shift):
    foam, rules = plan.computed.history.foam, plan.job.heat
    steps = schedule_of(plan.lift_plan, foam, plan.job.limits, rules.between_s, shift)
    return replace(plan, job=replace(plan.job, day=shift), computed=replace(plan.computed, steps=steps))


@pytest.fixture(scope="module")
def long_day(stool_plan):
    """The stool with five hours after each lift: the third cannot begin before the shift ends."""
    lifts = tuple(replace(lift, wait_s=5 * H) for lift in stool_plan.lift_plan.lifts)
    return replace(stool_plan, lift_plan=replace(stool_plan.lift_plan, lifts=lifts))


def test_no_hand_works_outside_the_shift(long_day):
    plan = seen(long_day, SHIFT)
    for step in plan.computed.steps:
        if step.kind in ("mix", "pour", "rise"):
            assert (8 * H + step.start_s) % 86400 >= 8 * H
            assert (8 * H + step.end_s) % 86400 <= 17 * H
    assert nights(plan)


def test_a_night_only_makes_waits_longer(long_day):
    free, kept = seen(long_day, replace(SHIFT, end_s=None)), seen(long_day, SHIFT)
    begins = [{s.pour: s.start_s for s in reversed(plan.computed.steps) if s.kind == "mix"} for plan in (free, kept)]
    assert set(begins[0]) == set(begins[1])
    order = sorted(begins[0], key=begins[0].get)
    for earlier, later in pairwise(order):
        assert begins[1][later] - begins[1][earlier] >= begins[0][later] - begins[0][earlier] - 1e-6


def test_cards_and_the_day_carry_the_clock_and_say_what_a_night_does(long_day):
    plan = seen(long_day, SHIFT)
    first = plan.lift_plan.lifts[0].pours[0]
    assert starts(plan, first) == "08:00"
    (number, start), *_ = nights(plan)
    assert wall_clock(plan, start) == "day 2, 08:00"
    lift = next(lift for lift in plan.lift_plan.lifts if lift.number == number)
    assert starts(plan, lift.pours[0]) == "day 2, 08:00"
    (night,) = [line for line in day_lines(plan) if line.startswith(f"A night lies before lift {number}")]
    assert "costs no heat limit" in night
    text = sheet_html(plan)
    assert "day 2, 08:00" in text
    assert "after the night" in text
    assert "on the day's clock" not in text.replace("&#39;", "'")


def test_without_a_start_times_count_from_the_first_mix(stool_plan):
    assert starts(stool_plan, stool_plan.lift_plan.lifts[0].pours[0]) == "0:00 h"
    assert nights(stool_plan) == []


def settings(**day):
    return {"piece.unit": "m", "wall.thickness": "4 mm", "foam.grade": "rigid-3", "heat.computed": False, **day}


def test_a_job_says_its_shift(ball, tmp_path):
    job = job_from_shell(ball, settings(**{"day.start": "7:30", "day.end": "16:00", "grid.cell": "15 mm"}))
    assert (job.day.start_s, job.day.end_s) == (7.5 * H, 16 * H)
    plan = make_plan(job)
    assert starts(plan, plan.lift_plan.lifts[0].pours[0]) == "07:30"


@pytest.mark.parametrize(
    "day", [{"day.start": "8"}, {"day.start": "25:00"}, {"day.end": "17:00"}, {"day.start": "8:00", "day.end": "8:30"}]
)
def test_a_shift_that_is_none_is_refused(ball, day):
    with pytest.raises(JobError, match=r"day\.(start|end)"):
        job_from_shell(ball, settings(**day))


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    import trimesh

    path = tmp_path_factory.mktemp("ball") / "ball.stl"
    trimesh.creation.icosphere(subdivisions=2, radius=0.15).export(path)
    return path


def test_the_day_ends_with_the_longest_wait_not_with_the_step_that_begins_last(long_day):
    plan = seen(long_day, replace(SHIFT, start_s=None, end_s=None))
    last = max(step.start_s for step in plan.computed.steps if step.kind == "mix" and step.batch == 1)
    day = plan_document(plan).day
    assert day.hours_until_cool >= last / H + 5.0
    assert day.hours_until_cool * H == pytest.approx(max(step.end_s for step in plan.computed.steps))
