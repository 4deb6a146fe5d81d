"""Small shells on disk, and the command line called in this process."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
import trimesh

from pourwright.cli import main


@dataclass(frozen=True)
class Said:
    code: int
    out: str
    err: str


@pytest.fixture
def call(capsys):
    """``call("plan", ...)`` -> exit code, standard output, standard error."""

    def run(*arguments):
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return Said(code, out, err)

    return run


@pytest.fixture
def refused(call, tmp_path):
    """``refused(code, ...)`` -> the one sentence of a refusal; nothing may be left behind."""

    def run(code, *arguments):
        before = sorted(tmp_path.rglob("*"))
        said = call(*arguments)
        assert said.code == code, said
        assert said.out == ""
        assert "Traceback" not in said.err
        lines = said.err.splitlines()
        assert len(lines) == 1, said.err
        assert lines[0].startswith("pourwright: ")
        assert len(lines[0]) < 1000
        assert sorted(tmp_path.rglob("*")) == before
        return lines[0]

    return run


@pytest.fixture
def ball(tmp_path):
    """A ball of 0.4 m across as an STL in millimetres."""
    path = tmp_path / "ball.stl"
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(path)
    return path


@pytest.fixture
def job(ball):
    """A job file beside the ball."""
    path = ball.with_name("job.toml")
    path.write_text(
        '[piece]\nname = "Ball"\nshell = "ball.stl"\nunit = "mm"\n'
        '[wall]\nthickness = "5 mm"\n[foam]\ngrade = "rigid-3"\n[grid]\ncell = "5 mm"\n[structure]\ntriangles = 800\n'
    )
    return path
