"""``plan`` into a folder that has a record: what is poured is never forgotten without a word."""

import json

import pytest

from pourwright.document.read_json import read_plan_json
from pourwright.errors import FileError
from pourwright.record import read_record

PLAN = ("--quick", "--no-pictures", "-q", "--set", "limits.lift=100 mm", "--set", "limits.lift_reference=test")


@pytest.fixture
def recorded(call, job, tmp_path):
    """A plan of the ball whose first pour is recorded."""
    folder = tmp_path / "plan"
    assert call("plan", job, "-o", folder, *PLAN).code in (0, 1)
    assert call("record", folder, "--pour", "1a", "--as-planned", "--full", "--no-pictures", "-q").code in (0, 1)
    assert read_plan_json(folder).lifts[0].pours[0].poured
    return folder


def held(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name[0] != "."}


@pytest.mark.parametrize("more", [(), ("--foam", "rigid-2")])
def test_plan_over_a_record_is_refused_and_changes_nothing(call, job, recorded, more):
    before = held(recorded)
    said = call("plan", job, "-o", recorded, *PLAN, *more)
    assert said.code == 2
    assert len(said.err.splitlines()) == 1
    assert "pour 1a" in said.err
    assert "--start-over" in said.err
    assert f"pourwright record {recorded}" in said.err
    assert held(recorded) == before


def test_a_record_that_was_only_begun_counts_too(call, job, tmp_path):
    folder = tmp_path / "plan"
    assert call("plan", job, "-o", folder, *PLAN).code in (0, 1)
    assert call("record", folder, "--pour", "1a", "--as-planned", "--full", "--later", "-q").code == 0
    assert call("plan", job, "-o", folder, *PLAN).code == 2


def test_a_sheet_with_poured_pours_counts_without_its_record(call, job, recorded):
    (recorded / "record.json").unlink()
    said = call("plan", job, "-o", recorded, *PLAN)
    assert said.code == 2
    assert "pour 1a" in said.err


def test_a_broken_record_is_no_leave_to_plan_over_it(call, job, recorded):
    (recorded / "record.json").write_text("{")
    assert call("plan", job, "-o", recorded, *PLAN).code == 2
    assert call("plan", job, "-o", recorded, *PLAN, "--start-over").code in (0, 1)
    assert (recorded / "record-1.json").read_text() == "{"


def test_start_over_plans_the_empty_shell_and_keeps_the_old_record(call, job, recorded):
    old = (recorded / "record.json").read_bytes()
    assert call("plan", job, "-o", recorded, *PLAN, "--start-over").code in (0, 1)
    assert not any(pour.poured for lift in read_plan_json(recorded).lifts for pour in lift.pours)
    assert read_record(recorded) is None
    assert (recorded / "record-1.json").read_bytes() == old
    assert call("record", recorded, "--pour", "1a", "--as-planned", "--full", "--later", "-q").code == 0
    assert call("plan", job, "-o", recorded, *PLAN, "--start-over").code in (0, 1)
    assert (recorded / "record-1.json").read_bytes() == old
    assert json.loads((recorded / "record-2.json").read_bytes())["entries"]


def test_a_plan_that_cannot_be_written_leaves_the_record_in_its_place(call, job, recorded, monkeypatch):
    import pourwright.report.folder

    def full(*_, **__):
        raise FileError("no space left")

    monkeypatch.setattr(pourwright.report.folder, "write_plan", full)
    before = held(recorded)
    assert call("plan", job, "-o", recorded, *PLAN, "--start-over").code == 2
    assert held(recorded) == before


def test_start_over_without_a_record_is_an_ordinary_plan(call, job, tmp_path):
    assert call("plan", job, "-o", tmp_path / "new", *PLAN, "--start-over").code in (0, 1)
    assert not list((tmp_path / "new").glob("record*.json"))
    (tmp_path / "empty").mkdir()
    assert call("plan", job, "-o", tmp_path / "empty", *PLAN, "--start-over").code in (0, 1)
    said = call("plan", job, *PLAN, "--start-over")
    assert said.code == 2
    assert "--out" in said.err
