"""What is left after a record is heated by what was really poured, and when; the day stays of its size."""

import math

import pytest
import trimesh

from pourwright.cli.sheet_pours import sheet_holes, sheet_pours
from pourwright.document.plan_json import plan_document
from pourwright.intake import job_from_shell
from pourwright.plan import DayRules, make_plan
from pourwright.record import Entry, Record, ground_of, replan
from pourwright.record.heat import clock_s, day_left, sheet_waits


class Day:
    """A column of a few lifts, planned with its staged heat."""

    def __init__(self, folder, search, mesh=None):
        (trimesh.creation.box((0.16, 0.14, 0.8)) if mesh is None else mesh).export(folder / "column.stl")
        settings = {
            "piece.unit": "m", "piece.material": "grp", "wall.thickness": "4 mm", "foam.grade": "rigid-3",
            "grid.cell": "15 mm", "heat.cells": 3000, "heat.rounds": 1, "limits.lift": "170 mm",
            "limits.lift_reference": "sheet of the test", "structure.computed": False, "day.search": search,
        }  # fmt: skip
        self.job = job_from_shell(folder / "column.stl", settings)
        self.first = make_plan(self.job)
        self.document = plan_document(self.first)
        self.ground = ground_of(self.job, self.first.skin.sha256)

    def after(self, *at, short=0.08, only=None, **more):
        """The plan after as many lifts as there are times, each poured so much short; or after one pour of them."""
        sheet = sheet_pours(self.document)
        entries = []
        for number, when in enumerate(at, start=1):
            for one in (pour for pour in sheet if pour.planned.lift == number and only in (None, pour.name)):
                planned = one.planned
                reached = planned.bottom_m + (1 - short) * (planned.top_m - planned.bottom_m)
                entries.append(
                    Entry(
                        number=len(entries) + 1, kind="pour", issue=1, pour=one.name, part_a_kg=planned.part_a_kg,
                        part_b_kg=planned.part_b_kg, reached_m=reached, planned=planned, at=when, **more,
                    )
                )  # fmt: skip
        record = Record(schema="pourwright.record/1", shell_sha256=self.first.skin.sha256, entries=tuple(entries))
        record = record.model_copy(update={"holes": sheet_holes(self.document, ())})
        return replan(self.job, record, sheet=sheet, ground=self.ground).plan


@pytest.fixture(scope="module", params=[False, True], ids=["even bands", "searched"])
def day(request, tmp_path_factory):
    return Day(tmp_path_factory.mktemp("column"), request.param)


@pytest.fixture(scope="module")
def bands(tmp_path_factory):
    return Day(tmp_path_factory.mktemp("bands"), False)


def to_the_last_h(plan):
    """From the first mix that is left to the last one."""
    waits = [lift.wait_s for lift in plan.lift_plan.lifts if any(not pour.poured for pour in lift.pours)]
    return sum(waits[:-1]) / 3600


def test_a_lift_poured_short_leaves_a_day_of_the_size_it_had(day):
    before = to_the_last_h(day.first)
    assert before > 0
    plan = day.after("")
    left = [pour for lift in plan.lift_plan.lifts for pour in lift.pours if not pour.poured]
    assert left
    assert {pour.name for pour in left} <= plan.lift_plan.heats.keys()
    assert to_the_last_h(plan) <= 1.3 * before + 0.25


def test_lifts_stand_in_the_heat_as_the_clock_had_them(bands):
    """Two lifts a third of an hour apart, or five hours: the core under the second is cooler after five."""
    soon, late = bands.after("9:00", "9:20"), bands.after("9:00", "14:00")
    begins = [plan.computed.heating.waits.start_s for plan in (soon, late)]
    assert begins[0][1] - begins[0][0] == pytest.approx(1200, abs=1)
    assert begins[1][1] - begins[1][0] == pytest.approx(18000, abs=1)
    cores = [plan.computed.heating.waits.waits[0].core_k for plan in (soon, late)]
    assert cores[1] < cores[0] - 20.0


def test_liquids_poured_warmer_make_a_hotter_core(bands):
    def core(plan):
        return plan.computed.heating.nominal.pours[0].peak_k

    warm = bands.after("9:00", parts_k=bands.job.conditions.parts_k + 8)
    assert core(warm) - core(bands.after("9:00")) == pytest.approx(8, abs=1.5)  # the core keeps its heat at first


def test_waits_by_the_clock_go_before_those_of_the_sheet(bands):
    sheet = sheet_pours(bands.document)
    planned = {pour.planned.lift: pour.planned for pour in sheet}
    entries = [
        Entry(number=n, kind="pour", issue=1, pour=f"{n}a", part_a_kg=1, part_b_kg=1, at=at, planned=planned[n])
        for n, at in ((1, "Monday 23:50"), (2, "0:30"))
    ]
    waits = sheet_waits(sheet, entries)
    assert waits[1] == pytest.approx(2400)  # past midnight
    assert waits[2] == pytest.approx(planned[2].wait_s)
    assert clock_s("25:00") is None
    assert clock_s("14.05 by the wall") == pytest.approx(50700)


def test_the_clock_of_what_is_left_goes_on_from_what_was_noted():
    day, waits = DayRules(start_s=28800.0, end_s=61200.0), {1: 1200.0, 2: 3600.0}
    on = day_left(day, {1: 32400.0}, waits, 2)
    assert (on.start_s, on.morning_s, on.end_s) == (33600.0, 28800.0, 61200.0)
    assert day_left(day, {}, waits, 2).start_s is None  # nobody noted a time: no clock is made up
    assert day_left(day, {}, waits, 1) == day


def two_legs(folder, search=False):
    """Two legs that a body joins on top."""
    legs = [trimesh.creation.box((0.12, 0.14, 0.3), trimesh.transformations.translation_matrix((x, 0, 0.15)))
            for x in (-0.15, 0.15)]  # fmt: skip
    body = trimesh.creation.box((0.42, 0.14, 0.2), trimesh.transformations.translation_matrix((0, 0, 0.4)))
    return Day(folder, search, trimesh.boolean.union([*legs, body], engine="manifold"))


def test_a_lift_over_its_limit_by_itself_makes_no_wait_of_what_is_left_longer(tmp_path):
    """Waits of 30 min grew to 156 min after the first pour, for a minute less at temperature in a lift that is over."""
    two = two_legs(tmp_path)
    lift = two.first.lift_plan.lifts[0]
    plan = two.after("9:00", short=0.0, only=lift.pours[0].name)
    hours = [one.hot_s[0][1] / 3600 for one in plan.computed.heating.pours.values()]
    assert max(hours) > plan.job.heat.scorch_s / 3600  # still told to be over
    assert to_the_last_h(plan) <= 1.3 * to_the_last_h(two.first)


def test_a_lift_of_two_legs_keeps_its_wait_while_one_of_them_is_left(tmp_path):
    """What was told after the first pour of a lift was "waits an unknown time"."""
    two = two_legs(tmp_path)
    lift = two.first.lift_plan.lifts[0]
    assert len(lift.pours) == 2
    plan = two.after("9:00", short=0.0, only=lift.pours[0].name)
    again = plan.lift_plan.lifts[0]
    assert [pour.poured for pour in again.pours] == [True, False]
    assert 600.0 <= again.wait_s < math.inf
    mixes = {step.lift: step.start_s for step in reversed(plan.computed.steps) if step.kind == "mix"}
    assert mixes[2] - mixes[1] >= again.wait_s - plan.foam.rise_end_s - 1.0  # the next lift is begun after it
