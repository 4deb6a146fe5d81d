"""Folders are written whole: a new one in one step, an earlier one file by file with plan.json last."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from pourwright.errors import FileError
from pourwright.paper import check_folder, write_plan, writing


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


def test_a_new_folder_holds_every_file(hand_plan, tmp_path):
    files = write_plan(hand_plan(), tmp_path / "a" / "b", pictures=False)
    assert names(tmp_path / "a" / "b") == ["plan.json", "plan.md", "pours.csv", "sheet.html"]
    assert [file.name for file in files] == ["plan.md", "pours.csv", "sheet.html", "plan.json"]
    assert names(tmp_path / "a") == ["b"]
    assert json.loads(files[-1].read_text(encoding="utf-8"))["files"] == ["plan.md", "pours.csv", "sheet.html"]


def test_an_empty_folder_is_filled(hand_plan, tmp_path):
    write_plan(hand_plan(), tmp_path, pictures=False)
    assert names(tmp_path) == ["plan.json", "plan.md", "pours.csv", "sheet.html"]


def test_an_earlier_plan_is_replaced_and_strangers_are_kept(hand_plan, tmp_path):
    write_plan(hand_plan(), tmp_path, pictures=False)
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "lift_9.png").write_text("old picture")
    (tmp_path / "other.png").write_text("mine too")
    tree = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    tree["files"] += ["lift_9.png", "../other.png", "notes.txt", "/etc/hosts", 7]
    (tmp_path / "plan.json").write_text(json.dumps(tree))
    write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    assert names(tmp_path) == ["notes.txt", "other.png", "plan.json", "plan.md", "pours.csv", "sheet.html"]
    assert "Second" in (tmp_path / "plan.md").read_text(encoding="utf-8")


def test_same_plan_same_files(hand_plan, tmp_path):
    write_plan(hand_plan(), tmp_path / "a", pictures=False)
    write_plan(hand_plan(), tmp_path / "b", pictures=False)
    for name in names(tmp_path / "a"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_a_folder_with_other_files_is_refused(tmp_path):
    (tmp_path / "holiday.jpg").write_text("")
    with pytest.raises(FileError, match="holds other files and no plan"):
        check_folder(tmp_path)


def test_a_file_in_the_way_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(FileError, match="is a file, not a folder"):
        check_folder(tmp_path / "file")
    with pytest.raises(FileError, match="is a file, so"):
        check_folder(tmp_path / "file" / "below")


@pytest.mark.parametrize("name", ["a\0b", "x" * 300])
def test_an_impossible_name_is_refused(hand_plan, tmp_path, name):
    with pytest.raises(FileError):
        write_plan(hand_plan(), tmp_path / name, pictures=False)
    assert names(tmp_path) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_rights_is_refused(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(FileError, match="may not be written"):
        check_folder(tmp_path / "new")


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("name", ["plan_json", "plan_markdown", "pours_csv"])
def test_a_failure_leaves_nothing(hand_plan, tmp_path, monkeypatch, error, name):
    def fail(*_):
        raise error

    monkeypatch.setattr(writing, name, fail)
    with pytest.raises((FileError, KeyboardInterrupt)):
        write_plan(hand_plan(), tmp_path / "a" / "b", pictures=False)
    assert names(tmp_path) == []


def test_a_failure_leaves_the_earlier_plan(hand_plan, tmp_path, monkeypatch):
    write_plan(hand_plan(), tmp_path, pictures=False)
    before = {name: (tmp_path / name).read_bytes() for name in names(tmp_path)}

    def fail(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing, "plan_json", fail)
    with pytest.raises(FileError, match="No space left"):
        write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    assert {name: (tmp_path / name).read_bytes() for name in names(tmp_path)} == before


def test_what_a_killed_run_left_is_swept_and_a_running_one_is_not(hand_plan, tmp_path):
    gone = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    dead = tmp_path / f".plan.part-{int(gone.stdout)}-abc"
    alive = tmp_path / f".plan.part-{os.getpid()}-abc"
    dead.mkdir()
    alive.mkdir()
    write_plan(hand_plan(), tmp_path / "plan", pictures=False)
    assert names(tmp_path) == [alive.name, "plan"]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_at_any_moment_each_file_is_whole(hand_plan, tmp_path):
    """Kill a writer 60 times while it replaces one plan by the other: never half a file."""
    plans = [hand_plan(name="First"), hand_plan(name="Second")]
    whole = {}
    for plan in plans:
        for file in write_plan(plan, tmp_path / plan.job.name, pictures=False):
            whole.setdefault(file.name, set()).add(file.read_bytes())
    target = tmp_path / "out"
    write_plan(plans[0], target, pictures=False)
    for round_ in range(60):
        child = os.fork()
        if child == 0:
            try:
                while True:
                    for plan in plans:
                        write_plan(plan, target, pictures=False)
            finally:
                os._exit(1)
        time.sleep(0.004 + 0.0007 * round_)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for name, versions in whole.items():
            assert (target / name).read_bytes() in versions
    write_plan(plans[0], target, pictures=False)
    assert names(target) == sorted(whole)
