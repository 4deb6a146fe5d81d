"""Every bad input gets one clear sentence on standard error, the right exit code, no traceback, no file."""

import os
import signal
import subprocess
import sys
import time

import pytest
import trimesh

WALL = ("--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--out")


def sheet():
    return trimesh.Trimesh([[0, 0, 0], [400, 0, 0], [400, 300, 0], [0, 300, 0]], [[0, 1, 2], [0, 2, 3]], process=False)


def ascii_stl(vertices):
    lines = "".join(f"vertex {' '.join(map(str, v))}\n" for v in vertices)
    return f"solid x\nfacet normal 0 0 1\nouter loop\n{lines}endloop\nendfacet\nendsolid x\n".encode()


SHELLS = {
    "an empty file": (b"", "empty", 1),
    "a text file": (b"Dear sir, please find enclosed our shell.\n" * 5, "", 1),
    "no triangles": (b"solid x\n" + b" " * 80 + b"\nendsolid x\n", "", 1),
    "NaN vertices": (ascii_stl([("nan", 0, 0), (1, 0, 0), (0, 1, 0)]), "", 1),
    "one triangle": (ascii_stl([(0, 0, 0), (300, 0, 0), (0, 300, 0)]), "", 1),
    "a flat sheet": (sheet().export(file_type="stl"), "", 1),
    "a header that lies": (b"\0" * 80 + (4_000_000_000).to_bytes(4, "little") + b"\0" * 100, "", 1),
    "cut short": (trimesh.creation.icosphere(radius=200.0).export(file_type="stl")[:-700], "", 1),
    "1e9 m away": (
        trimesh.creation.icosphere(radius=200.0).apply_translation([1e12, 0, 0]).export(file_type="stl"),
        "",
        1,
    ),
    "too large": (trimesh.creation.icosphere(radius=1e9).export(file_type="stl"), "check the unit", 1),
    "a point": (trimesh.creation.icosphere(radius=1e-9).export(file_type="stl"), "check the unit", 1),
}


@pytest.mark.parametrize("name", SHELLS)
def test_a_bad_shell(refused, tmp_path, name):
    data, words, code = SHELLS[name]
    path = tmp_path / "bad.stl"
    path.write_bytes(data)
    sentence = refused(code, "plan", path, *WALL, tmp_path / "out")
    assert "bad.stl" in sentence
    assert words in sentence


JOBS = {
    "a wall of nothing": ("5 mm", "0 mm", "wall.thickness", 2),
    "a wall thicker than the piece": ("5 mm", "450 mm", "wall.thickness = 450 mm (17.7 in): two such walls", 2),
    "a wall that leaves no cavity": ("5 mm", "199.9 mm", "", 1),
    "an unknown unit": ('unit = "mm"', 'unit = "mile"', "piece.unit", 2),
    "no unit for an STL": ('unit = "mm"\n', "", "400 m (1312 ft) if m", 2),
    "a negative density": (
        '"rigid-3"',
        '"rigid-3"\n[foam.sheet]\nreference = "x"\ndensity = "-3 lb/ft^3"',
        "foam.sheet.density",
        2,
    ),
    "an unknown grade": ("rigid-3", "rigid-33", "foam.grade", 2),
    "a path out of the folder": ('"ball.stl"', '"../../etc/passwd"', "piece.shell", 2),
    "a misspelt key": ("thickness", "thickens", "did you mean 'thickness'", 2),
    "no TOML": ("[piece]", "[piece", "TOML", 2),
    "a grid that does not fit": ('"5 mm"\n[foam]', '"5 mm"\n[foam]', "", 1),
}


@pytest.mark.parametrize("name", JOBS)
def test_a_bad_job(refused, job, tmp_path, name):
    old, new, words, code = JOBS[name]
    text = job.read_text()
    assert old in text
    text = text.replace(old, new, 1)
    if name == "a grid that does not fit":
        text = text.replace('cell = "5 mm"', 'cell = "0.3 mm"\nmemory = "60 MB"')
    job.write_text(text)
    assert words in refused(code, "plan", job, "--out", tmp_path / "out")


def test_paths_that_do_not_serve(refused, job, ball, tmp_path):
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "photo.jpg").write_text("")
    assert "does not exist" in refused(2, "plan", tmp_path / "none.toml", "--out", tmp_path / "out")
    assert "does not exist" in refused(2, "plan", tmp_path / "none.stl", *WALL, tmp_path / "out")
    assert "is a folder" in refused(2, "plan", tmp_path, *WALL, tmp_path / "out")
    assert "holds other files" in refused(2, "plan", job, "--out", tmp_path / "full")
    assert "not a folder" in refused(2, "plan", job, "--out", ball)
    assert "is a file" in refused(2, "plan", job, "--out", ball / "below")
    assert "name another folder" in refused(2, "plan", job, "--out", tmp_path / ("x" * 300))
    assert ".stl" in refused(2, "plan", (tmp_path / "full" / "photo.jpg"), *WALL, tmp_path / "out")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read and write anything")
def test_paths_without_rights(refused, job, ball, tmp_path):
    (tmp_path / "locked").mkdir(mode=0o500)
    assert "may not be written" in refused(2, "plan", job, "--out", tmp_path / "locked")
    ball.chmod(0)
    assert "cannot be read" in refused(2, "plan", ball, *WALL, tmp_path / "out")


USAGE = {
    "no such command": (("pour",), "pour"),
    "no piece": (("plan",), "JOB.toml|SHELL"),
    "no such option": (("plan", "x.toml", "--shiny"), "--shiny"),
    "a setting without a value": (("plan", "x.toml", "--set", "wall.thickness"), "KEY=VALUE"),
    "an unknown kind": (("check", "x.stl", "--kind", "solid"), "both-faces"),
    "an unknown unit": (("plan", "x.stl", "--unit", "mile", "--foam", "rigid-3"), "piece.unit"),
    "a wall without a unit": (("plan", "x.stl", "--wall", "5", "--foam", "rigid-3"), "wall.thickness"),
    "no foam": (("plan", "x.stl", "--unit", "m", "--wall", "5 mm"), "foam"),
    "an unknown grade to list": (("grades", "rigid-99"), "foam.density"),
    "an unknown material to list": (("materials", "cheese"), "polyethylene"),
}


@pytest.mark.parametrize("name", USAGE)
def test_bad_usage(refused, name):
    arguments, words = USAGE[name]
    assert words in refused(2, *arguments)


def test_no_command_shows_the_help_and_is_bad_usage(call):
    said = call()
    assert said.code == 2
    assert "Usage: pourwright" in said.out


def test_a_file_name_that_moves_the_cursor_is_tamed(refused, tmp_path):
    sentence = refused(2, "plan", tmp_path / "a\x1b[2Jb\n.toml", "--out", tmp_path / "out")
    assert "\x1b" not in sentence


def _command(*arguments):
    code = "import sys; from pourwright.cli import main; sys.exit(main())"
    return [sys.executable, "-c", code, *map(str, arguments)]


@pytest.mark.parametrize("delay_s", [0.05, 0.5, 1.5, 3.0])
def test_ctrl_c_while_it_works(tmp_path, delay_s):
    """A real interrupt of a real run, some while it still imports: exit code 130, one sentence, no file."""
    mesh = trimesh.creation.icosphere(subdivisions=6, radius=500.0)
    mesh.export(tmp_path / "ball.stl")
    code = "import sys; from pourwright.cli import main; print(flush=True); sys.exit(main())"
    arguments = ("plan", tmp_path / "ball.stl", *WALL, tmp_path / "deep" / "out")
    run = subprocess.Popen(
        [sys.executable, "-c", code, *map(str, arguments)], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    run.stdout.readline()  # it has come to main
    time.sleep(delay_s)
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=120)
    if run.returncode == 0:  # it had finished, or could no longer be broken off
        assert "files in" in out
        assert (tmp_path / "deep" / "out" / "plan.json").exists()
        return
    assert (run.returncode, err.count("\n"), "Traceback" in err) == (130, 1, False), err
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["ball.stl"]


def test_a_pipe_that_is_closed_early_is_no_error():
    run = subprocess.Popen(_command("grades", "--json"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    run.stdout.close()
    assert (run.wait(timeout=60), run.stderr.read()) == (0, "")


def test_a_wall_too_thick_for_the_piece_is_said_in_the_unit_of_a_wall(refused, tmp_path):
    path = tmp_path / "box.stl"
    trimesh.creation.box((500, 500, 500)).export(path)
    sentence = refused(
        2, "plan", path, "--unit", "mm", "--wall", "300 mm", "--foam", "rigid-3", "--out", tmp_path / "out"
    )
    assert "wall.thickness = 300 mm (11.8 in): " in sentence
    assert "under 250 mm (9.84 in)" in sentence
    assert " = 0.3" not in sentence


def test_a_piece_just_too_small_is_not_said_to_be_as_long_as_is_allowed(refused, tmp_path):
    path = tmp_path / "box.stl"
    trimesh.creation.box((9.998, 9.998, 9.998)).export(path)
    sentence = refused(
        1, "plan", path, "--unit", "mm", "--wall", "1 mm", "--foam", "rigid-3", "--out", tmp_path / "out"
    )
    assert "is 9.998 mm (0.394 in) long" in sentence
    assert "may be 10 mm" in sentence
