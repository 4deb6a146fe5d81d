"""Links in a circle, pipes, devices and folders without rights in place of files: one sentence, and never a wait."""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import subprocess
import sys

import pytest

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links, pipes and rights as POSIX has them")
CODE = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A small plan of a ball."""
    import trimesh

    from pourwright.cli import main

    folder = tmp_path_factory.mktemp("odd")
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(folder / "ball.stl")
    given = ["--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=12 mm", "--quick"]
    assert main(["plan", str(folder / "ball.stl"), *given, "--no-pictures", "-q", "--out", str(folder / "plan")]) == 0
    return folder / "plan"


@pytest.fixture
def copy(planned, tmp_path):
    """A copy of the plan that may be spoiled."""
    shutil.copy(planned.parent / "ball.stl", tmp_path)
    return shutil.copytree(planned, tmp_path / "plan")


def spoil(path, how):
    path.unlink(missing_ok=True)
    if how == "pipe":
        os.mkfifo(path)
    elif how == "device":
        path.symlink_to("/dev/zero")
    elif how == "folder":
        path.mkdir()
    else:
        path.symlink_to(path.name)


@pytest.mark.parametrize("where", ["ball.stl", "sub/ball.stl"])
def test_a_circle_of_links_as_shell_is_refused(refused, tmp_path, where):
    (tmp_path / "a").symlink_to("b")
    (tmp_path / "b").symlink_to("a")
    path = tmp_path / "ball.stl"
    if where == "ball.stl":
        path.symlink_to(path.name)
        assert "is a link that leads to no file" in refused(2, "check", path)
    else:
        refused(2, "check", tmp_path / "a" / "ball.stl")
        refused(2, "plan", tmp_path / "a" / "job.toml", "--out", tmp_path / "out")


def test_a_circle_of_links_in_a_job_is_refused(refused, job, ball):
    ball.unlink()
    ball.symlink_to(ball.name)
    assert "piece.shell" in refused(2, "plan", job, "--out", job.parent / "out")


@pytest.mark.parametrize("how", ["pipe", "device", "folder", "circle"])
@pytest.mark.parametrize("name", ["plan.json", "UNFINISHED.txt"])
def test_no_answer_waits_for_what_is_no_file(call, copy, how, name):
    spoil(copy / name, how)
    for command in (("weights", copy), ("hang", copy), ("record", copy, "--pour", "1a", "--as-planned", "--full")):
        said = call(*command)
        assert said.code == 2
        assert "wrong in pourwright" not in said.err
        assert (said.out, said.err.count("\n")) == ("", 1)


@pytest.mark.parametrize("how", ["pipe", "device", "folder", "circle"])
@pytest.mark.parametrize("name", ["record.json", "request.json"])
def test_no_record_waits_for_what_is_no_file(call, copy, how, name):
    spoil(copy / name, how)
    said = call("record", copy, "--pour", "1a", "--as-planned", "--full", "--later")
    assert said.code == 2
    assert "wrong in pourwright" not in said.err
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity"])
@pytest.mark.parametrize("place", [("shell", "area_m2"), ("outcome", "total_kg", "nominal"), ("frame", "size_m", 2)])
def test_a_plan_with_numbers_that_are_none_is_refused(refused, copy, number, place):
    tree = json.loads((copy / "plan.json").read_text(encoding="utf-8"))
    at = tree
    for step in place[:-1]:
        at = at[step]
    at[place[-1]] = float(number.replace("Infinity", "inf"))
    (copy / "plan.json").write_text(json.dumps(tree))
    assert number in (copy / "plan.json").read_text()
    assert "is not a plan in the schema" in refused(2, "weights", copy)


def _without_rights_of_root():
    """In the child: root too is held to the rights of files (Linux, CAP_DAC_OVERRIDE)."""
    if os.geteuid() == 0:
        ctypes.CDLL(None, use_errno=True).prctl(24, 1, 0, 0, 0)


def test_a_plan_that_may_not_be_written_is_answered_all_the_same(copy):
    copy.chmod(0o555)
    probe = f"open({str(copy / 'x')!r}, 'w')"

    def run(*arguments):
        return subprocess.run(
            [sys.executable, "-c", *arguments],
            preexec_fn=_without_rights_of_root, capture_output=True, text=True, check=False,
        )  # fmt: skip

    try:
        if run(probe).returncode == 0:
            pytest.skip("rights do not bind this user here")
        before = sorted(copy.iterdir())
        done = run(CODE, "weights", str(copy))
        assert done.returncode == 0
        assert "licensed engineer" in " ".join(done.stdout.split())
        assert "weights.md" not in done.stdout
        assert done.stderr.startswith("pourwright: nothing was written: ")
        assert done.stderr.count("\n") == 1
        assert sorted(copy.iterdir()) == before
    finally:
        copy.chmod(0o755)


def test_an_answer_of_a_person_stays_and_the_question_is_answered(call, copy):
    (copy / "weights.md").write_text("mine")
    said = call("weights", copy)
    assert said.code == 0
    assert "licensed engineer" in " ".join(said.out.split())
    assert said.err.startswith("pourwright: nothing was written: weights.md in ")
    assert (copy / "weights.md").read_text() == "mine"
