"""``check``, ``grades``, ``materials`` and what every command shares."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

import pourwright


def test_version(call):
    assert call("--version").out.strip() == f"pourwright {pourwright.__version__}"


@pytest.mark.parametrize("command", [(), ("plan",), ("check",), ("grades",), ("materials",)])
def test_help(call, command):
    said = call(*command, "--help")
    assert said.code == 0
    assert "Usage: pourwright" in said.out


def test_check_says_what_it_is(call, ball):
    said = call("check", ball, "--unit", "mm")
    assert said.code == 0
    for words in ("outside", "closed", "1280 triangles", "400 mm", "can be planned"):
        assert words in said.out


def test_check_says_why_not(call, tmp_path):
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=200.0)
    mesh.update_faces(mesh.triangles_center[:, 2] < -190.0)
    mesh.export(tmp_path / "scrap.stl")
    said = call("check", tmp_path / "scrap.stl", "--unit", "mm", "--json")
    report = json.loads(said.out)
    assert (said.code, report["can_plan"]) == (1, False) if report["reasons"] else (0, True)


def test_check_stops_at_a_missing_unit_and_shows_the_sizes(refused, ball):
    sentence = refused(2, "check", ball)
    for words in ("mm", "cm", "in", "ft", "m"):
        assert f"if {words}" in sentence


def test_check_as_json(call, ball):
    report = json.loads(call("check", ball, "--unit", "mm", "--json").out)
    assert report["schema"] == "pourwright.check/1"
    assert (report["triangles"], report["watertight"], report["kind"]) == (1280, True, "outside")


def test_grades_name_their_sources(call):
    said = call("grades")
    assert [line.split()[0] for line in said.out.splitlines() if line.startswith("rigid")] == [
        "rigid-2", "rigid-3", "rigid-6",
    ]  # fmt: skip
    assert "our judgement, no published source" in said.out
    one = " ".join(call("grades", "rigid-3").out.split())
    assert "max_lift_m" in one
    assert "from memory" in one
    values = json.loads(call("grades", "--json").out)[1]["values"]
    assert all(value["how_known"] for value in values.values())


def test_a_column_of_stiffness_is_in_one_unit(call):
    table = call("materials").out  # its cells may break over lines
    assert "psi" in table
    assert "ksi" not in table


def test_materials_name_their_sources(call):
    assert "polyethylene" in call("materials").out
    values = json.loads(call("materials", "polyethylene", "--json").out)[0]["values"]
    assert values["foam_bonds"]["value"] == 0.0
    assert all(value["how_known"] for value in values.values())


def test_a_terminal_that_cannot_spell_is_served_all_the_same():
    code = "import sys; from pourwright.cli import main; sys.exit(main(['grades']))"
    environment = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, env=environment, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"kg/m?" in done.stdout


def test_the_installed_command_is_this_one():
    done = subprocess.run(
        [str(Path(sys.executable).with_name("pourwright")), "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == f"pourwright {pourwright.__version__}"
