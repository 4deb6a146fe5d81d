"""Folders are written whole: a new one in one step, an earlier one by a change that is finished once begun."""

import json
import os
import random
import shutil
import signal
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from pourwright.document import replacement as changeover
from pourwright.document.ledger import LEDGER
from pourwright.document.read_json import read_plan_json
from pourwright.document.replacement import LOCK, UNFINISHED
from pourwright.errors import FileError
from pourwright.report import folder as writing
from pourwright.report.folder import check_folder, write_plan


def names(folder):
    return sorted(entry.name for entry in folder.iterdir() if entry.name not in (LOCK, LEDGER))


def test_a_new_folder_holds_every_file(hand_plan, tmp_path):
    files = write_plan(hand_plan(), tmp_path / "a" / "b", pictures=False)
    assert names(tmp_path / "a" / "b") == ["plan.json", "plan.md", "pours.csv", "sheet.html", "surface.npz"]
    assert [file.name for file in files] == ["plan.md", "pours.csv", "sheet.html", "surface.npz", "plan.json"]
    assert names(tmp_path / "a") == ["b"]
    assert json.loads(files[-1].read_text(encoding="utf-8"))["files"] == [
        "plan.md",
        "pours.csv",
        "sheet.html",
        "surface.npz",
    ]


def test_an_empty_folder_is_filled(hand_plan, tmp_path):
    write_plan(hand_plan(), tmp_path, pictures=False)
    assert names(tmp_path) == ["plan.json", "plan.md", "pours.csv", "sheet.html", "surface.npz"]


def test_an_earlier_plan_is_replaced_and_strangers_are_kept(hand_plan, tmp_path):
    write_plan(hand_plan(), tmp_path, pictures=False)
    for name in ("notes.txt", "other.png", "hang.md", "lift_09.png"):  # some named as our own are
        (tmp_path / name).write_text("mine")
    write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    kept = [
        "hang.md",
        "lift_09.png",
        "notes.txt",
        "other.png",
        "plan.json",
        "plan.md",
        "pours.csv",
        "sheet.html",
        "surface.npz",
    ]
    assert names(tmp_path) == kept
    assert (tmp_path / "hang.md").read_text() == "mine"
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


def pictures_of(plan, stage, progress):
    """Many small files, so that a change takes a while: other ones and another number for every piece."""
    made = []
    for k in range(30 if plan.job.name == "First" else 45):
        path = stage / f"{'lift' if k % 2 else plan.job.name.lower()}_{k:02d}.png"
        path.write_text(plan.job.name * 200)
        made.append(path.name)
    return sorted(made)


def quickly(monkeypatch):
    """Nothing is drawn; the text of a sheet and a page is the name of the piece."""
    monkeypatch.setattr(writing, "_draw", pictures_of)
    monkeypatch.setattr(writing, "_page", lambda plan, pictures: plan.job.name)
    monkeypatch.setattr(writing, "sheet_html", lambda plan, pictures, issue: plan.job.name)


def held(folder):
    return {
        entry.name: entry.read_bytes()
        for entry in folder.iterdir()
        if entry.is_file() and entry.name not in (LOCK, "notes.txt")
    }


def in_a_child(work):
    """A child that gives a sign when it calls what it is given; reads it with ``os.read``."""
    sign, give = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            work(lambda: os.write(give, b"."))
        finally:
            os._exit(1)
    os.close(give)
    return child, sign


def kill_many(hand_plan, tmp_path, monkeypatch, rounds, *, in_change):
    """Kill a writer that replaces one plan by the other; what is there before and after the next reader came.

    Returns how often the change had begun and was not finished.
    """
    plans = [hand_plan(name="First"), hand_plan(name="Second")]
    quickly(monkeypatch)
    target = tmp_path / "out"
    whole = []
    for plan in plans:
        write_plan(plan, target)
        whole.append(held(target))
    assert whole[0].keys() != whole[1].keys()
    versions = {}
    for files in whole:
        for name, text in files.items():
            versions.setdefault(name, set()).add(text)
    (target / "notes.txt").write_text("mine")
    begun, chance = 0, random.Random(5)
    to_disk, marks = changeover._to_disk, []

    def timed(folder):
        marks.append(time.perf_counter())  # once before the files are moved and once after
        to_disk(folder)

    with monkeypatch.context() as patch:
        patch.setattr(changeover, "_to_disk", timed)
        for _ in range(10):
            for plan in plans:
                write_plan(plan, target)
    moving = sorted(after - before for before, after in zip(marks[::2], marks[1::2], strict=True))[10]
    once = (marks[-1] - marks[1]) / 19
    for _ in range(rounds):

        def work(tell):
            if in_change:
                monkeypatch.setattr(changeover, "_to_disk", lambda folder: (tell(), to_disk(folder)))
            else:
                tell()
            while True:
                for plan in reversed(plans):
                    write_plan(plan, target)

        child, sign = in_a_child(work)
        assert os.read(sign, 1) == b"."
        time.sleep(chance.uniform(0, 1.4 * moving if in_change else 3 * once))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(sign)
        found = held(target)
        unfinished = found.pop(UNFINISHED, None)
        for name, text in found.items():
            assert text in versions[name]  # never half a file
        if unfinished is None:
            assert found in whole  # never files of two plans that nobody says are of two
        else:
            begun += 1
        before = held(target)
        read_plan_json(target)  # as any command does: one plan or the other, and nothing is changed
        assert held(target) == before
        check_folder(target)  # as the next that writes does
        assert held(target) in whole
        assert (target / "notes.txt").read_text() == "mine"
    write_plan(plans[0], target)
    assert held(target) == whole[0]
    assert names(target) == sorted([*(whole[0].keys() - {LEDGER}), "notes.txt"])  # nothing left behind
    return begun


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_at_any_moment_the_folder_is_of_one_plan(hand_plan, tmp_path, monkeypatch):
    assert kill_many(hand_plan, tmp_path, monkeypatch, 20, in_change=True) > 2


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("in_change", [True, False])
def test_killed_200_times_at_random_moments_the_folder_is_of_one_plan(hand_plan, tmp_path, monkeypatch, in_change):
    begun = kill_many(hand_plan, tmp_path, monkeypatch, 200, in_change=in_change)
    assert begun > (40 if in_change else 2), f"only {begun} kills of 200 fell into a change"


@pytest.fixture
def unfinished(hand_plan, tmp_path, monkeypatch):
    """A folder whose change was killed after its second file; and the files of the new plan."""
    quickly(monkeypatch)
    folder = tmp_path / "out"
    write_plan(hand_plan(name="Second"), tmp_path / "new")
    write_plan(hand_plan(name="First"), folder)
    left, replace = [2], os.replace

    def killed(old, new):
        if str(old).endswith((".png", ".md")):
            left[0] -= 1
            if left[0] < 0:
                raise KeyboardInterrupt
        replace(old, new)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", killed)
        with pytest.raises(KeyboardInterrupt):
            write_plan(hand_plan(name="Second"), folder)
    assert (folder / UNFINISHED).is_file()
    return folder, held(tmp_path / "new")


def test_whoever_reads_an_unfinished_change_reads_the_new_plan_and_changes_nothing(unfinished):
    folder, _ = unfinished
    before = held(folder)
    assert read_plan_json(folder).piece.name == "Second"
    assert read_plan_json(folder / "plan.json").piece.name == "Second"
    assert held(folder) == before


def test_whoever_writes_next_finishes_the_change(unfinished):
    folder, new = unfinished
    check_folder(folder)
    tell = ("plan.json", LEDGER)  # the folder's own name, and the digest of what tells it
    assert {name: text for name, text in held(folder).items() if name not in tell} == {
        name: text for name, text in new.items() if name not in tell
    }
    assert names(folder) == sorted(new.keys() - {LEDGER})


def test_a_file_held_open_is_told_and_nothing_is_lost(unfinished, monkeypatch):
    folder, new = unfinished
    with monkeypatch.context() as patch:

        def busy(old, new):
            raise PermissionError(13, "Permission denied", str(new))

        patch.setattr(os, "replace", busy)
        with pytest.raises(FileError, match="parts of two plans"):
            check_folder(folder)
    assert (folder / UNFINISHED).is_file()
    check_folder(folder)
    assert names(folder) == sorted(new.keys() - {LEDGER})


def test_a_file_that_somebody_changed_meanwhile_is_not_replaced(unfinished):
    folder, _ = unfinished
    (folder / "pours.csv").write_text("mine")
    with pytest.raises(FileError, match=r"pours.csv in .* is not as Pourwright wrote it: move it away"):
        check_folder(folder)
    assert (folder / "pours.csv").read_text() == "mine"
    (folder / "pours.csv").unlink()
    check_folder(folder)
    assert UNFINISHED not in names(folder)


def test_a_change_whose_files_are_gone_is_refused_until_planned_again(unfinished):
    folder, _ = unfinished
    for entry in folder.glob(".*part-*"):
        shutil.rmtree(entry)
    for comes in (read_plan_json, check_folder):
        with pytest.raises(FileError, match="parts of two plans"):
            comes(folder)
    assert (folder / UNFINISHED).is_file()


@pytest.mark.parametrize(
    "text", ["", "words\n\n{", 'w\n\n{"from": "../..", "files": {}, "over": {}, "gone": {}}', 'w\n\n{"from": 3}',
             'w\n\n{"from": ".a.part-1-x/plan", "files": {}, "gone": ["notes.txt"]}',
             'w\n\n{"from": ".a.pourwright-part-x/plan", "files": {}, "over": {}, "gone": {"../notes.txt": []}}',
             'w\n\n{"from": ".a.pourwright-part-x/plan", "files": {}, "over": {}, "gone": {"notes.txt": []}}'],
)  # fmt: skip
def test_a_note_of_somebody_else_moves_and_removes_nothing(hand_plan, tmp_path, text):
    folder = tmp_path / "out"
    write_plan(hand_plan(), folder, pictures=False)
    (tmp_path / "notes.txt").write_text("mine")
    before = held(folder)
    (folder / UNFINISHED).write_text(text)
    for comes in (read_plan_json, check_folder):
        with pytest.raises(FileError, match="not as it was written"):
            comes(folder)
    assert {**before, UNFINISHED: text.encode()} == held(folder)
    assert (tmp_path / "notes.txt").is_file()


def test_two_writers_leave_one_plan(hand_plan, tmp_path, monkeypatch):
    quickly(monkeypatch)
    plans = [hand_plan(name="First"), hand_plan(name="Second")]
    target = tmp_path / "out"
    whole = []
    for plan in plans:
        write_plan(plan, target)
        whole.append(held(target))
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(lambda k: write_plan(plans[k % 2], target), range(30)))
    assert held(target) in whole
    assert UNFINISHED not in names(target)
