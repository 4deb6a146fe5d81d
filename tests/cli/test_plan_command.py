"""``pourwright plan``: the contract others script against."""

import csv
import json

import pytest

import pourwright.plan


def test_a_job_is_planned(call, job, tmp_path):
    said = call("plan", job, "--out", tmp_path / "out", "--no-pictures")
    assert (said.code, said.err) == (0, "")
    assert sorted(entry.name for entry in (tmp_path / "out").iterdir()) == [
        "plan.json",
        "plan.md",
        "pours.csv",
        "request.json",
        "sheet.html",
        "surface.npz",
        "written.json",
    ]
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert plan["status"] == "planned"
    assert plan["piece"]["name"] == "Ball"
    pours = [pour for lift in plan["lifts"] for pour in lift["pours"]]
    with (tmp_path / "out" / "pours.csv").open(encoding="utf-8") as file:
        assert [row["pour"] for row in csv.DictReader(file)] == [pour["name"] for pour in pours]
    assert sum(pour["volume_m3"] for pour in pours) == pytest.approx(plan["cavity"]["volume_m3"], rel=1e-6)
    for pour in pours:
        assert pour["name"] in said.out
    for words in [*plan["warnings"], *plan["cautions"]]:
        assert " ".join(words.split()) in " ".join(said.out.split()).replace(" - ", " ")


def test_a_shell_is_planned_by_stated_defaults(call, ball, tmp_path):
    arguments = ("plan", ball, "--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=6 mm")
    said = call(*arguments, "--out", tmp_path / "out", "--no-pictures")
    assert said.code == 0
    assumed = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))["assumed"]
    assert any("grp" in words for words in assumed)
    for words in assumed:
        assert words in " ".join(said.out.split())


def test_json_is_all_of_standard_output(call, job, tmp_path):
    said = call("plan", job, "--json")
    assert json.loads(said.out)["schema"] == "pourwright.plan/1"
    written = call("plan", job, "--json", "--out", tmp_path / "out", "--no-pictures")
    assert written.out == (tmp_path / "out" / "plan.json").read_text(encoding="utf-8")


def test_a_quick_plan_draws_only_what_is_asked_for(call, job, tmp_path):
    for asked, drawn in (((), False), (("--pictures",), True)):
        assert call("plan", job, "--quick", "-q", "--out", tmp_path / "out", *asked).code in (0, 3)
        assert bool(list((tmp_path / "out").glob("*.png"))) is drawn


def test_quiet_says_nothing(call, job, tmp_path):
    said = call("plan", job, "--quiet", "--out", tmp_path / "out", "--no-pictures")
    assert (said.code, said.out, said.err) == (0, "", "")


def test_without_a_folder_nothing_is_written(call, job, tmp_path):
    before = sorted(tmp_path.rglob("*"))
    assert call("plan", job).code == 0
    assert sorted(tmp_path.rglob("*")) == before


def test_options_win_over_the_job_file(call, job):
    said = call("plan", job, "--json", "--wall", "8 mm", "--foam", "rigid-6", "--set", "shop.hands=2")
    plan = json.loads(said.out)
    assert plan["shell"]["bands"][0]["thickness_m"] == 0.008
    assert (plan["foam"]["grade"], plan["shop"]["hands"]) == ("rigid-6", 2)


def test_the_same_job_gives_the_same_bytes(call, job, tmp_path):
    for name in ("a", "b"):
        call("plan", job, "--out", tmp_path / name, "--no-pictures", "--quiet")
    for entry in (tmp_path / "a").iterdir():
        assert entry.read_bytes() == (tmp_path / "b" / entry.name).read_bytes()


def test_over_a_limit_is_written_and_marked_and_exits_1(call, job, tmp_path):
    """Liquid that may run 20 mm only cannot fill a ball of 390 mm through any few ports."""
    said = call("plan", job, "--out", tmp_path / "out", "--no-pictures", "--set", "limits.flow_distance=20 mm")
    assert said.code == 1
    assert said.err.startswith("pourwright: over a limit: do not pour (")
    assert "flow distance" in said.err
    assert "do not pour" in said.out
    assert "is OVER the 20 mm" in " ".join(said.out.split())
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert plan["status"] == "over a limit: do not pour"
    over = [
        c["name"] for lift in plan["lifts"] for pour in lift["pours"] for c in pour["checks"] if c["verdict"] == "over"
    ]
    assert "flow distance" in over
    assert set(over) <= {"flow distance", "closing a port", "room for a hole", "pour time"}  # so many holes
    assert "do not pour" in (tmp_path / "out" / "plan.md").read_text(encoding="utf-8")


def test_an_internal_error_is_one_sentence(call, refused, job, tmp_path, monkeypatch):
    def broken(job, progress):
        raise RuntimeError("wires\ncrossed")

    monkeypatch.setattr(pourwright.plan, "make_plan", broken)
    sentence = refused(1, "plan", job, "--out", tmp_path / "out")
    assert "wires crossed" in sentence
    assert "--debug" in sentence
    assert "Traceback" in call("plan", job, "--debug").err


def test_ctrl_c_leaves_nothing(refused, job, tmp_path, monkeypatch):
    def interrupted(job, progress):
        raise KeyboardInterrupt

    monkeypatch.setattr(pourwright.plan, "make_plan", interrupted)
    assert "broken off" in refused(130, "plan", job, "--out", tmp_path / "out")


def test_running_out_of_memory_is_one_sentence(refused, job, monkeypatch):
    def hungry(job, progress):
        raise MemoryError

    monkeypatch.setattr(pourwright.plan, "make_plan", hungry)
    assert "grid.cell" in refused(1, "plan", job)
