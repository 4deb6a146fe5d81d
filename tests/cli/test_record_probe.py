"""A probe in the first lift, from the command line to the sheet of what is left."""

import json
import shutil

import pytest
import trimesh

from pourwright.cli import main
from pourwright.document.read_json import read_plan_json


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A plan of a ball with staged heat on few cells, several lifts by a supplier's own largest one."""
    place = tmp_path_factory.mktemp("ball")
    trimesh.creation.icosphere(subdivisions=3, radius=0.15).export(place / "ball.stl")
    settings = (
        "piece.unit=m", "piece.material=grp", "wall.thickness=4 mm", "foam.grade=rigid-3", "grid.cell=10 mm",
        "limits.lift=100 mm", "limits.lift_reference=sheet of the test", "heat.cells=2000", "heat.rounds=1",
        "structure.computed=false",
    )  # fmt: skip
    given = [word for setting in settings for word in ("--set", setting)]
    assert main(["plan", str(place / "ball.stl"), "--no-pictures", "-q", "-o", str(place / "plan"), *given]) in (0, 1)
    return place


@pytest.fixture
def planned(made, tmp_path):
    """A copy of it to record in."""
    return shutil.copytree(made, tmp_path / "ball") / "plan"


def first(folder):
    return read_plan_json(folder).lifts[0].pours[0]


def test_a_probe_narrows_the_rise_and_plans_the_rest_again(call, planned):
    before = read_plan_json(planned)
    due = first(planned)
    assert due.heat.later_c.nominal < due.heat.peak_c.nominal
    low = due.peak_temperature_c - 22
    said = call(
        "record", planned, "--no-pictures", "--pour", "1a", "--as-planned", "--full", "--probe", f"{low:.0f} degC"
    )
    assert said.code in (0, 1), said
    after = read_plan_json(planned)
    wide, narrow = (plan.foam.rise_k.high - plan.foam.rise_k.low for plan in (before, after))
    assert narrow < 0.45 * wide
    assert after.foam.rise_k.likely == pytest.approx(before.foam.rise_k.likely - 20, abs=3)
    assert "readings: 1 of a probe" in said.out.replace("\n", " ")
    assert "moves no limit" in said.out.replace("\n", " ")
    left = [pour for lift in after.lifts for pour in lift.pours if not pour.poured]
    was = {pour.name: pour for lift in before.lifts for pour in lift.pours}
    assert all(p.peak_temperature_c < was[p.name].peak_temperature_c - 15 for p in left if p.name in was)
    # The supplier's largest lift stands, however cool the foam was read to be.
    assert max(pour.rise_m for pour in left) <= 0.10 + 1e-6
    sheet = (planned / "sheet.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert "The foam warms itself by" in sheet


def test_readings_may_come_after_the_pour_is_recorded(call, planned):
    due = first(planned).heat
    assert call("record", planned, "--no-pictures", "-q", "--pour", "1a", "--as-planned", "--full").code in (0, 1)
    peak, later = due.peak_c.nominal - 10, due.later_c.nominal - 14
    said = call("record", planned, "--no-pictures", "--pour", "1a", "--probe", f"{peak:.0f} degC", "--json")
    assert said.code in (0, 1), said
    first_told = json.loads(said.out)
    assert first_told["rise_k"]["probes"] == 1
    assert first_told["diffusivity"]["readings"] == 0
    said = call("record", planned, "--no-pictures", "--pour", "1a", "--probe-later", f"{later:.0f} degC", "--json")
    told = json.loads(said.out)
    assert len(told["record"]["entries"]) == 1
    assert told["rise_k"] == first_told["rise_k"]
    assert told["diffusivity"]["readings"] == 1
    assert told["diffusivity"]["factor"] > 1.0
    value = read_plan_json(planned).foam.values["conductivity_hot_w_mk"]
    assert "an hour after" in value.source


def test_a_core_over_the_stop_temperature_is_told_loudly(call, planned):
    peak = first(planned).heat.peak_c.nominal
    said = call(
        "record", planned, "--no-pictures", "--pour", "1a", "--as-planned", "--full", "--probe", f"{peak + 25:.0f} degC"
    )
    assert "STOP: the core of pour 1a was read at" in said.out.replace("\n", " ")
    assert read_plan_json(planned).foam.rise_k.likely > 155


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--probe", "35 degC"), "a reading of foam in reaction lies between"),
        (("--probe", "400 degC"), "a reading of foam in reaction lies between"),
        (("--probe", "150"), "--probe '150'"),
        (("--probe-later", "100 degC"), "--probe-later goes with --probe"),
        (("--probe", "150 degC", "--probe-later", "155 degC"), "an hour later"),
        (("--probe", "75 degC"), "Insisted on, it is kept and counts for nothing"),
    ],
)
def test_readings_that_cannot_be_are_refused_and_nothing_is_recorded(call, planned, words, reason):
    said = call("record", planned, "--no-pictures", "--pour", "1a", "--as-planned", "--full", *words)
    assert said.code == 2
    assert reason in said.err
    assert not (planned / "record.json").exists()


def test_a_reading_without_a_pour_or_before_it_is_refused(call, planned):
    assert "say which pour" in call("record", planned, "--probe", "150 degC").err
    assert "say what went in" in call("record", planned, "--pour", "1a", "--probe", "150 degC").err


def test_help_says_what_the_readings_are(call):
    said = call("record", "--help").out
    assert "--probe-later" in said
    assert "--infrared" in said
