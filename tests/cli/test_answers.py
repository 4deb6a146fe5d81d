"""weights, hang, sling, stand and float: from a made plan, without planning again."""

from __future__ import annotations

import json

import pytest
import trimesh
from PIL import Image

LATER = """
[[item]]
name = "hanging plate"
weight = "2 kg"
spread = "10 %"
at = ["0 mm", "180 mm", "0 mm"]

[hang]
out = "-y"
up = "+z"
factor_value = 4
factor_reference = "a letter"

[[anchor]]
name = "A1"
at = ["-80 mm", "200 mm", "60 mm"]
shear = "5 kN"
pull = "5 kN"

[[anchor]]
name = "A2"
at = ["80 mm", "200 mm", "60 mm"]
shear = "5 kN"
pull = "5 kN"

[[anchor]]
name = "A3"
at = ["0 mm", "200 mm", "-80 mm"]
shear = "5 kN"
pull = "5 kN"

[hook]
above = "500 mm"

[[sling]]
name = "left"
at = ["-150 mm", "0 mm", "120 mm"]

[[sling]]
name = "right"
at = ["150 mm", "0 mm", "120 mm"]

[boat]
persons = "10 kg"
"""


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A ball of 0.4 m with everything a job can say, planned once; the tests leave its plan.json alone."""
    from pourwright.cli import main

    folder = tmp_path_factory.mktemp("answers")
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(folder / "ball.stl")
    (folder / "job.toml").write_text(
        '[piece]\nname = "Ball"\nshell = "ball.stl"\nunit = "mm"\n[wall]\nthickness = "5 mm"\n'
        '[foam]\ngrade = "rigid-3"\n[grid]\ncell = "5 mm"\n[structure]\ntriangles = 800\n' + LATER
    )
    main(["plan", str(folder / "job.toml"), "--out", str(folder / "plan"), "--no-pictures", "-q"])
    return folder


@pytest.fixture
def no_cavity(monkeypatch):
    """Anything that would build a cavity again fails."""

    def refuse(*_, **__):
        raise AssertionError("the cavity was built again")

    monkeypatch.setattr("pourwright.cavity.build_cavity", refuse)
    monkeypatch.setattr("pourwright.cavity.build.build_cavity", refuse)


@pytest.mark.parametrize("command", ["weights", "hang", "sling", "stand", "float"])
def test_an_answer_says_it_is_an_estimate_and_writes_its_files(planned, call, no_cavity, command):
    before = (planned / "plan" / "plan.json").read_bytes()
    said = call(command, planned / "plan")
    assert said.code in (0, 1, 3), said.err
    assert "Traceback" not in said.err
    assert "checked by a licensed engineer" in " ".join(said.out.split())
    text = (planned / "plan" / f"{command}.md").read_text(encoding="utf-8")
    assert "checked by a licensed engineer" in " ".join(text.split())
    assert all(line == line.rstrip() for line in text.splitlines())
    assert "nan" not in text.lower().replace("finance", "")
    if command != "weights":
        with Image.open(planned / "plan" / f"{command}.png") as image:
            # The sheet of the hanging piece is as long as its load cases ask for.
            assert image.size == (1800, 1330) or (command == "hang" and image.size[0] == 1800)
        assert "![" in text
    assert (planned / "plan" / "plan.json").read_bytes() == before


@pytest.mark.parametrize("command", ["weights", "hang", "sling", "stand", "float"])
def test_json_is_whole_and_the_same_every_time(planned, call, command):
    first = call(command, planned / "plan", "--json", "--no-files")
    again = call(command, planned / "plan", "--json", "--no-files")
    assert first.out == again.out
    tree = json.loads(first.out)
    assert tree["schema"] == f"pourwright.{command}/1"
    assert "licensed" in tree["estimate"]
    assert first.code == (1 if tree["refused"] else 3 if tree["not_known"] else 0)


def test_hang_holds_the_items_of_the_job(planned, call):
    tree = json.loads(call("hang", planned / "plan", "--json", "--no-files").out)["result"]
    plan = json.loads((planned / "plan" / "plan.json").read_text())
    total = plan["outcome"]["total_kg"]
    holes = sum(p["kg"]["nominal"] for p in plan["outcome"]["parts"] if p["kind"] in ("holes", "plugs"))
    assert tree["kg"]["nominal"] == pytest.approx(total["nominal"] + 2.0 + holes)
    assert tree["kg"]["high"] == pytest.approx(total["high"] + 2.2, abs=0.1)
    assert [anchor["name"] for anchor in tree["anchors"]] == ["A1", "A2", "A3"]
    assert tree["views"][0]["area_m2"] == pytest.approx(0.1257, rel=0.02)


def test_another_job_moves_the_anchors_without_planning_again(planned, call, no_cavity, tmp_path):
    for name in ("ball.stl", "job.toml"):
        (tmp_path / name).write_bytes((planned / name).read_bytes())
    text = (tmp_path / "job.toml").read_text().replace('name = "A1"', 'name = "moved"')
    (tmp_path / "job.toml").write_text(text)
    tree = json.loads(call("hang", planned / "plan", "--job", tmp_path / "job.toml", "--json", "--no-files").out)
    assert tree["result"]["anchors"][0]["name"] == "moved"


def test_an_overloaded_anchor_is_refused_with_exit_code_1(planned, call, tmp_path):
    for name in ("ball.stl", "job.toml"):
        (tmp_path / name).write_bytes((planned / name).read_bytes())
    text = (tmp_path / "job.toml").read_text().replace('shear = "5 kN"', 'shear = "100 N"')
    (tmp_path / "job.toml").write_text(text)
    said = call("hang", planned / "plan", "--job", tmp_path / "job.toml", "--no-files", "--no-pictures")
    assert said.code == 1
    assert said.err.startswith("pourwright: refused: ")
    assert "shear" in said.err


def test_a_hang_that_swings_when_one_anchor_goes_is_refused(planned, call, tmp_path):
    for name in ("ball.stl", "job.toml"):
        (tmp_path / name).write_bytes((planned / name).read_bytes())
    text = (tmp_path / "job.toml").read_text()
    third = text.index('[[anchor]]\nname = "A3"')
    text = text[:third] + text[text.index("[hook]") :]
    (tmp_path / "job.toml").write_text(text)
    said = call("hang", planned / "plan", "--job", tmp_path / "job.toml", "--no-files", "--no-pictures")
    assert said.code == 1
    assert "Without A1 the piece swings about A2" in said.err
    assert "REFUSED" in said.out


def test_nothing_of_a_hang_is_called_held(planned, call):
    """Skin, rod and wall are never checked here, so the word may not be used."""
    said = call("hang", planned / "plan", "--no-pictures")
    text = (planned / "plan" / "hang.md").read_text(encoding="utf-8")
    for words in (said.out, text):
        assert " holds" not in " ".join(words.split()).replace("what holds this anchor inside the piece", "")
        assert "NOT CHECKED: hold in the piece (A1, A2, A3)" in " ".join(words.split())
    tree = json.loads(call("hang", planned / "plan", "--json", "--no-files").out)["result"]
    assert "holds" not in tree
    assert {case["name"] for case in tree["cases"]} >= {"all anchors; nothing bears on the wall"}


def test_a_shell_that_has_changed_is_refused(planned, call, tmp_path):
    other = tmp_path / "ball.stl"
    trimesh.creation.icosphere(subdivisions=3, radius=210.0).export(other)
    said = call("hang", planned / "plan", "--shell", other, "--no-files")
    assert said.code == 1
    assert "is not the file this plan was made from" in said.err
    assert len(said.err.splitlines()) == 1


def test_a_shell_that_has_gone_is_named_and_found_again(planned, call, tmp_path):
    (tmp_path / "plan.json").write_bytes((planned / "plan" / "plan.json").read_bytes())
    gone = call("stand", tmp_path, "--no-files", "--no-pictures")
    assert gone.code == 2
    assert "give --shell FILE" in gone.err
    assert call("stand", tmp_path, "--shell", planned / "ball.stl", "--no-files").code in (0, 1)
    assert call("weights", tmp_path, "--no-files").code == 0  # needs no mesh


def test_the_surface_beside_the_plan_answers_without_the_mesh_and_as_the_mesh_does(planned, call, tmp_path):
    for name in ("plan.json", "surface.npz", "written.json"):
        (tmp_path / name).write_bytes((planned / "plan" / name).read_bytes())
    asked = ("--json", "--no-files", "--no-pictures")
    kept = call("stand", tmp_path, *asked)
    read = call("stand", tmp_path, "--shell", planned / "ball.stl", *asked)
    (tmp_path / "surface.npz").unlink()
    again = call("stand", tmp_path, "--shell", planned / "ball.stl", *asked)
    assert kept.code == read.code == again.code
    assert json.loads(kept.out)["result"] == json.loads(again.out)["result"]


@pytest.mark.parametrize("change", [b"", b"PK", lambda data: data[:-40] + bytes(40)])
def test_a_surface_that_was_touched_is_not_believed(planned, call, tmp_path, change):
    for name in ("plan.json", "surface.npz", "written.json"):
        (tmp_path / name).write_bytes((planned / "plan" / name).read_bytes())
    data = (tmp_path / "surface.npz").read_bytes()
    (tmp_path / "surface.npz").write_bytes(change(data) if callable(change) else change)
    said = call("stand", tmp_path, "--no-files", "--no-pictures")
    assert said.code == 2
    assert "give --shell FILE" in said.err


def test_a_folder_without_a_plan_is_refused(refused, tmp_path):
    assert "cannot be read" in refused(2, "hang", tmp_path)


def test_a_plan_without_anchors_says_what_to_give(job, call, tmp_path):
    call("plan", job, "--out", tmp_path / "out", "--no-pictures", "--quick", "-q")
    said = call("hang", tmp_path / "out")
    assert said.code == 2
    assert "[[anchor]]" in said.err
    assert not (tmp_path / "out" / "hang.md").exists()


def test_a_new_plan_takes_the_old_answers_away(job, call, tmp_path):
    call("plan", job, "--out", tmp_path / "out", "--no-pictures", "--quick", "-q")
    call("weights", tmp_path / "out")
    assert (tmp_path / "out" / "weights.md").exists()
    call("plan", job, "--out", tmp_path / "out", "--no-pictures", "--quick", "-q")
    assert not (tmp_path / "out" / "weights.md").exists()


def test_a_hang_without_any_capacity_says_that_only_balance_was_tested(planned, call, tmp_path):
    for name in ("ball.stl", "job.toml"):
        (tmp_path / name).write_bytes((planned / name).read_bytes())
    text = (tmp_path / "job.toml").read_text().replace('shear = "5 kN"\n', "").replace('pull = "5 kN"\n', "")
    (tmp_path / "job.toml").write_text(text)
    said = call("hang", planned / "plan", "--job", tmp_path / "job.toml", "--no-files", "--no-pictures")
    assert "Only balance was tested. NOTHING WAS CHECKED AGAINST A LIMIT." in said.out
    assert "Within every limit" not in said.out
