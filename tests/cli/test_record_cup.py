"""A cup test on the day is a record: one that passed changes what is left, one that failed stops it."""

import pytest

from pourwright.document.read_json import read_plan_json
from pourwright.record import read_record
from pourwright.record.cups import FAILED


@pytest.fixture
def planned(call, job, tmp_path):
    folder = tmp_path / "plan"
    said = call(
        "plan", job, "--quick", "--no-pictures", "-q", "-o", folder, "--set", "limits.lift=100 mm",
        "--set", "limits.lift_reference=sheet of the test",
    )  # fmt: skip
    assert said.code in (0, 1), said
    return folder


def cup(call, planned, *arguments):
    said = call("record", planned, "--no-pictures", *arguments)
    assert said.code in (0, 1), said
    return said


def left(folder):
    return [pour for lift in read_plan_json(folder).lifts for pour in lift.pours if not pour.poured]


def test_a_denser_cup_asks_for_as_much_more_liquid(call, planned):
    """The same space takes foam in proportion to its density: the sheet's own free rise against a block of the cup."""
    before = read_plan_json(planned)
    kg = sum(pour.part_a_kg for pour in left(planned))
    value = before.foam.values["free_rise_density_kg_m3"].value
    cup(call, planned, "--cup", f"density={1.1 * value:.2f} kg/m^3", "--at", "8:10")
    assert sum(pour.part_a_kg for pour in left(planned)) == pytest.approx(1.1 * kg, rel=0.01)
    assert [pour.name for pour in left(planned)] == [pour.name for lift in before.lifts for pour in lift.pours]


def test_a_slower_cup_moves_the_clock(call, planned):
    before = read_plan_json(planned).foam.cream_s
    cup(call, planned, "--cup", "cream=80 s")
    assert read_plan_json(planned).foam.cream_s > 1.2 * before


def test_after_a_failed_cup_nothing_is_poured_until_one_passes(call, planned):
    said = cup(call, planned, "--cup", "failed", "--note", "did not rise")
    assert said.code == 1
    assert "did not rise" in said.out
    assert "cup tests that failed: over; not checked before" in said.out
    assert "not not" not in said.out
    plan = read_plan_json(planned)
    assert plan.status.startswith("over a limit: do not pour")
    assert any(check.name == FAILED and check.verdict == "over" for check in plan.checks)
    assert "cup tests that failed: 1, and none is allowed" in (planned / "plan.md").read_text(encoding="utf-8")
    later = cup(call, planned, "--later")
    assert "A cup failed: pour no more until one passes" in later.out
    passed = cup(call, planned, "--cup", "cream=45 s")
    assert "cup tests that failed: no longer checked; over before" in passed.out
    assert "A cup failed" not in cup(call, planned, "--later").out
    assert not any(check.name == FAILED for check in read_plan_json(planned).checks)
    assert [one.failed for one in read_record(planned).cups] == [True, False]


def test_a_cup_by_mistake_is_struck(call, planned):
    cup(call, planned, "--cup", "failed")
    cup(call, planned, "--strike-cup", "1")
    assert not any(check.name == FAILED for check in read_plan_json(planned).checks)


def test_a_cup_between_two_pours_leaves_what_is_poured(call, planned):
    cup(call, planned, "--pour", "1a", "--as-planned", "--full")
    before = [pour for lift in read_plan_json(planned).lifts for pour in lift.pours if pour.poured]
    cup(call, planned, "--cup", "cream=70 s", "--cup", "rise_end=7 min")
    after = [pour for lift in read_plan_json(planned).lifts for pour in lift.pours if pour.poured]
    assert [(p.name, p.part_a_kg, p.top_m) for p in after] == [(p.name, p.part_a_kg, p.top_m) for p in before]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (("cream",), "write a key"),
        (("cream=1 h",), "cream"),
        (("colour=blue",), "colour"),
        (("peak=150 degC",), "across"),
        (("cream=40 s", "gel=20 s"), "gel"),
    ],
)
def test_a_cup_that_cannot_be_is_refused(call, planned, said, words):
    given = [part for one in said for part in ("--cup", one)]
    refused = call("record", planned, *given)
    assert refused.code == 2, refused
    assert words in refused.err
    assert len(refused.err.splitlines()) == 1
    assert read_record(planned) is None
