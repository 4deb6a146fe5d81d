"""A ball on a scale: what is recorded, what is refused, and that every answer follows."""

import json

import pytest

JOB = """
[hang]
out = "-y"
up = "+z"
[[anchor]]
name = "left"
from_left = "100 mm"
from_base = "300 mm"
[[anchor]]
name = "right"
from_right = "100 mm"
from_base = "300 mm"
[[anchor]]
name = "low"
from_left = "200 mm"
from_base = "60 mm"
"""


@pytest.fixture
def planned(job, call, tmp_path):
    job.write_text(job.read_text() + JOB)
    out = tmp_path / "plan"
    assert call("plan", job, "--quick", "--no-pictures", "--out", out, "-q").code in (0, 1, 3)
    return out


def kg_of(call, planned, command):
    tree = json.loads(call(command, planned, "--no-files", "--json").out)
    result = tree["result"]
    return result["kg"] if command == "hang" else result["stages"][-1]["kg"]


def test_a_ball_on_a_scale(planned, call, refused, tmp_path):
    before = {command: kg_of(call, planned, command) for command in ("weights", "hang", "stand")}
    whole = before["weights"]["nominal"]
    empty = json.loads(call("weights", planned, "--no-files", "--json").out)["result"]["stages"][0]["kg"]["nominal"]

    sheet = (planned / "sheet.html").read_bytes()
    heavier = 1.03 * empty
    said = call("record", planned, "--weighed", f"{heavier:.4f} kg", "--scale-error", "5 g", "--at", "noon")
    assert said.code == 0, said
    assert "Weighing 1: empty" in said.out
    assert "Learnt: thickness of the wall 5." in said.out
    assert (planned / "sheet.html").read_bytes() == sheet

    stages = json.loads(call("weights", planned, "--no-files", "--json").out)["result"]["stages"]
    assert stages[0]["kg"]["nominal"] == pytest.approx(heavier, abs=0.003)
    assert stages[0]["kg"]["high"] - stages[0]["kg"]["low"] < 0.05
    after = {command: kg_of(call, planned, command) for command in before}
    for command, kg in after.items():
        assert kg["nominal"] == pytest.approx(stages[-1]["kg"]["nominal"]), command
        assert whole < kg["nominal"] < whole + 0.03 * empty, command  # a thicker wall leaves less room for foam
        assert kg["high"] - kg["low"] < before[command]["high"] - before[command]["low"], command
    assert "narrowed by the scale: empty" in call("hang", planned, "--no-files").out.replace("\n", " ")
    assert "likely" in call("hang", planned, "--no-files").out

    # Refused: nothing is as it was taken, and nothing is written.
    kept = (planned / "record.json").read_bytes()
    far = call("record", planned, "--weighed", f"{3 * empty:.3f} kg", "--weighed-when", "finished")
    assert far.code == 2
    assert "was expected" in far.err
    assert "--yes" in far.err
    for wrong, due in (
        (("--weighed", "heavy"), "--weighed 'heavy'"),
        (("--weighed", "12 kg at 100 mm"), "from the left and from the front"),
        (("--weighed", "2 kg", "--tare", "3 kg"), "--tare"),
        (("--weighed", "2 kg", "--scale-error", "0 kg"), "--scale-error"),
        (("--weighed", "2 kg", "--weighed-when", "lift 99"), "--weighed-when"),
        (("--weighed", "1 kg", "--weighed", "1 kg at 1 mm, 1 mm"), "of every scale"),
        (("--strike-weighing", "9"), "no such weighing"),
        (("--weighed", "2 kg", "--pour", "1", "--as-planned"), "one at a time"),
        (("--weighed", "2 kg", "--cup", "cream=38 s"), "one at a time"),
        (("--weighed", "2 kg", "--from", "bench.json"), "one at a time"),
        (("--weighed", "2 kg", "--strike", "1"), "one at a time"),
        (("--weighed", "2 kg", "--strike-cup", "1"), "one at a time"),
        (("--weighed", "2 kg", "--again"), "one at a time"),
        (("--weighed", "2 kg", "--both", "1 kg"), "--pour NAME"),
        (("--strike-weighing", "1", "--pour", "1", "--as-planned"), "one at a time"),
        (("--tare", "1 kg", "--later"), "--tare: give --weighed"),
        (
            ("--scale-error", "1 g", "--weighed-when", "empty", "--later"),
            "--weighed-when, --scale-error: give --weighed",
        ),
    ):
        said = call("record", planned, *wrong)
        assert said.code == 2, wrong
        assert due in said.err, said.err
    assert (planned / "record.json").read_bytes() == kept

    # A mistake is struck, and everything is as it was.
    tree = json.loads(call("record", planned, "--strike-weighing", "1", "--json").out)
    assert tree["weighings"][0]["struck"] is True
    assert tree["learnt"] is None
    assert kg_of(call, planned, "weights") == before["weights"]
