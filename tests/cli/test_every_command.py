"""What every command keeps to: JSON and nothing else with --json, no colour in a pipe, silence with --quiet."""

import inspect
import json
import re
import shutil

import pytest
import trimesh
import typer
from typer.main import get_command

from pourwright.cli import main
from pourwright.cli.app import app

JOB = """
[piece]
name = "Ball"
shell = "ball.stl"
unit = "mm"
[wall]
thickness = "5 mm"
[foam]
grade = "rigid-3"
[grid]
cell = "10 mm"
[heat]
computed = false
[hang]
out = "-y"
up = "+z"
factor_value = 4
factor_reference = "a letter"
[hook]
above = "500 mm"
[moving]
main = { from_left = "200 mm", from_back = "100 mm", from_top = "40 mm" }
tail = { from_left = "200 mm", from_front = "60 mm", from_top = "40 mm" }
hook = "5 kN"
tail_hook = "5 kN"
[boat]
persons = "10 kg"
"""
ANCHOR = '[[anchor]]\nname = "A{}"\nat = ["{} mm", "200 mm", "{} mm"]\nshear = "5 kN"\npull = "5 kN"\n'
SLING = '[[sling]]\nname = "S{}"\nat = ["{} mm", "0 mm", "120 mm"]\n'
COMMANDS = {
    "plan": ("{job}",),
    "record": ("{plan}", "--pour", "1a", "--as-planned", "--full", "--no-pictures"),
    "compare": ("{job}", "--grade", "rigid-6", "--quick"),
    "check": ("{shell}", "--unit", "mm"),
    "turn": ("{job}", "--confirm", "1", "--no-pictures"),
    "ways": ("{job}", "--no-pictures"),
    "cup": ("{job}",),
    "grades": (),
    "materials": (),
    "weights": ("{plan}", "--no-files"),
    "hang": ("{plan}", "--no-files"),
    "sling": ("{plan}", "--no-files"),
    "stand": ("{plan}", "--no-files"),
    "move": ("{plan}", "--no-files"),
    "float": ("{plan}", "--no-files"),
    "stiffness": ("{plan}", "--no-files", "--triangles", "1000", "--no-gains"),
    "warm": ("--processes", "1"),
}
QUIET = ("plan", "record", "compare", "turn", "ways", "stiffness", "warm")
"""Those that take a while and show how far they are."""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("every")
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(folder / "ball.stl")
    anchors = [ANCHOR.format(k, x, z) for k, (x, z) in enumerate([(-80, 60), (80, 60), (0, -80)])]
    slings = [SLING.format(k, x) for k, x in enumerate([-150, 150])]
    (folder / "job.toml").write_text(JOB + "".join([*anchors, *slings]))
    assert main(["plan", str(folder / "job.toml"), "--out", str(folder / "plan"), "--no-pictures", "-q"]) == 0
    return folder


@pytest.fixture
def run(made, call, tmp_path, monkeypatch):
    """``run(command, ...)``: with a plan of its own, in surroundings that like colour."""
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)
    own = tmp_path / "every"
    shutil.copytree(made, own)

    def do(command, *more):
        words = {"job": own / "job.toml", "plan": own / "plan", "shell": own / "ball.stl"}
        return call(command, *(word.format(**words) for word in COMMANDS[command]), *more)

    return do


def not_json(word):
    raise AssertionError(f"{word} is not JSON")


def test_no_command_is_forgotten():
    assert [command.name for command in app.registered_commands] == list(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_json_is_all_that_is_printed_and_a_table_has_no_colour(run, command):
    table = run(command)
    assert table.code in (0, 1, 3), table
    assert len(table.out.splitlines()) > 2
    assert "\x1b" not in table.out + table.err
    as_json = run(command, "--json") if command != "record" else run(command, "--json", "--top-up", "--yes")
    assert as_json.code == table.code
    assert as_json.out.startswith(("{", "["))
    assert json.loads(as_json.out, parse_constant=not_json)
    assert as_json.out.endswith(("}\n", "]\n"))
    assert "\x1b" not in as_json.out + as_json.err
    assert table.err == as_json.err
    assert table.err == "" if table.code == 0 else table.err.startswith("pourwright: ")


@pytest.mark.parametrize("command", QUIET)
def test_quiet_is_silent(run, command):
    said = run(command, "--quiet")
    assert (said.out, said.code) == ("", 0), said


def test_whoever_shows_progress_can_be_silenced():
    for command in app.registered_commands:
        source = inspect.getsource(inspect.getmodule(command.callback))
        assert ("progress_shown" in source) == (command.name in QUIET), command.name


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_calls_its_arguments_what_the_usage_calls_them(command):
    """Not PIECE in the text where the usage says JOB.toml|SHELL."""
    root = get_command(app)
    asked = root.get_command(typer.Context(root), command)
    named = {word for one in asked.params for word in re.findall(r"[A-Z]{3,}", one.metavar or "")}
    assert set(re.findall(r"(?<![-\w])[A-Z]{3,}(?!\w)", asked.help or "")) <= named | {"JSON"}
