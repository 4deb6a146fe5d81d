"""Nothing is deleted or replaced but what the program wrote itself, as it wrote it."""

import hashlib
import json
import os
import subprocess
import sys

import pytest

from pourwright.answers.answer_files import write_answer
from pourwright.answers.page import Page
from pourwright.document.ledger import LEDGER
from pourwright.document.read_json import read_plan_json
from pourwright.document.replacement import LOCK, UNFINISHED
from pourwright.document.stages import LOCK as STAGE_LOCK
from pourwright.document.stages import MARK
from pourwright.errors import FileError
from pourwright.report.folder import check_folder, write_plan

PAGE = Page("Piece", "", "Weights", (), (), "made from a plan")


def held(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.name != LOCK}


def planned(hand_plan, folder, name="First"):
    write_plan(hand_plan(name=name), folder, pictures=False)
    return held(folder)


@pytest.mark.parametrize(
    "text", ['{"files": ["thesis.md"]}', '{"schema": "cuts/1", "files": ["thesis.md"]}', "[]", "", "{", "3", "[" * 5000]
)
def test_a_plan_json_of_somebody_else_is_no_plan(hand_plan, tmp_path, text):
    (tmp_path / "plan.json").write_text(text)
    (tmp_path / "thesis.md").write_text("mine")
    before = held(tmp_path)
    for write in (check_folder, lambda folder: write_plan(hand_plan(), folder, pictures=False)):
        with pytest.raises(FileError, match="is not a plan of Pourwright's: name a new or empty folder"):
            write(tmp_path)
    assert held(tmp_path) == before


def test_a_list_of_files_that_was_changed_deletes_nothing(hand_plan, tmp_path):
    planned(hand_plan, tmp_path)
    (tmp_path / "thesis.md").write_text("mine")
    tree = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    tree["files"] += ["thesis.md", "../other.png", "/etc/hosts", 7]
    (tmp_path / "plan.json").write_text(json.dumps(tree))
    before = held(tmp_path)
    with pytest.raises(FileError, match=r"plan.json in .* is not as Pourwright wrote it: move it away"):
        write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    assert held(tmp_path) == before


@pytest.mark.parametrize("name", ["plan.md", "pours.csv", "sheet.html"])
def test_a_file_of_the_plan_that_a_person_changed_is_not_replaced(hand_plan, tmp_path, name):
    planned(hand_plan, tmp_path)
    (tmp_path / name).write_text("my notes")
    with pytest.raises(FileError, match=f"{name} in .* is not as Pourwright wrote it: move it away"):
        check_folder(tmp_path)
    with pytest.raises(FileError, match=name):
        write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    assert (tmp_path / name).read_text() == "my notes"
    (tmp_path / name).rename(tmp_path / "mine.txt")
    write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    assert (tmp_path / "mine.txt").read_text() == "my notes"


@pytest.mark.parametrize("name", ["piece.html", "request.json", "fill.gif"])
def test_a_stranger_with_a_name_of_ours_is_not_replaced(hand_plan, tmp_path, name):
    first = planned(hand_plan, tmp_path)
    (tmp_path / name).write_text("mine")
    if name == "fill.gif":  # only a film would replace it
        assert planned(hand_plan, tmp_path) == {**first, name: b"mine"}
        return
    with pytest.raises(FileError, match=f"{name} in .* is not as Pourwright wrote it"):
        check_folder(tmp_path)
    assert held(tmp_path) == {**first, name: b"mine"}


def test_a_plan_whose_list_of_files_is_gone_is_left_alone(hand_plan, tmp_path):
    planned(hand_plan, tmp_path)
    (tmp_path / LEDGER).unlink()
    before = held(tmp_path)
    with pytest.raises(FileError, match=f"a plan without {LEDGER}"):
        write_plan(hand_plan(name="Second"), tmp_path, pictures=False)
    assert held(tmp_path) == before


def test_answers_that_were_written_go_with_their_plan_and_those_of_a_person_stay(hand_plan, tmp_path):
    planned(hand_plan, tmp_path)
    write_answer(tmp_path, "weights", PAGE)
    write_answer(tmp_path, "weights", PAGE)  # again: replaced, it is ours
    (tmp_path / "hang.md").write_text("mine")
    (tmp_path / "stand.md").write_text("mine too")
    for name in ("hang", "stand"):
        with pytest.raises(FileError, match=f"{name}.md in .* is not as Pourwright wrote it"):
            write_answer(tmp_path, name, PAGE)
    planned(hand_plan, tmp_path, "Second")
    assert not (tmp_path / "weights.md").exists()
    assert (tmp_path / "hang.md").read_text() == "mine"
    assert (tmp_path / "stand.md").read_text() == "mine too"


def test_an_answer_that_a_person_wrote_on_stays(hand_plan, tmp_path):
    planned(hand_plan, tmp_path)
    write_answer(tmp_path, "weights", PAGE)
    with (tmp_path / "weights.md").open("a") as file:
        file.write("weighed today: 71 kg\n")
    planned(hand_plan, tmp_path, "Second")
    assert "71 kg" in (tmp_path / "weights.md").read_text()


def note(folder, **changes):
    """A note of a change as the program would write it, which names a document with its right digest."""
    digest = hashlib.sha256((folder / "thesis.md").read_bytes()).hexdigest()
    tree = {"from": ".x.pourwright-part-abc/plan", "files": {}, "over": {}, "gone": {"thesis.md": [digest]}} | changes
    (folder / UNFINISHED).write_text("words\n\n" + json.dumps(tree) + "\n")
    return digest


def test_whoever_only_reads_deletes_nothing_whatever_a_note_says(hand_plan, tmp_path):
    planned(hand_plan, tmp_path)
    (tmp_path / "thesis.md").write_text("mine")
    note(tmp_path)
    before = held(tmp_path)
    with pytest.raises(FileError):
        read_plan_json(tmp_path)
    with pytest.raises(FileError):
        write_answer(tmp_path, "weights", PAGE)
    assert held(tmp_path) == before


@pytest.mark.parametrize("gone", [{"thesis.md": ["0" * 64]}, ["thesis.md"], {"thesis.pdf": []}, {"../x.md": []}])
def test_a_note_with_another_digest_deletes_nothing(hand_plan, tmp_path, gone):
    planned(hand_plan, tmp_path)
    (tmp_path / "thesis.md").write_text("mine")
    (tmp_path / "thesis.pdf").write_text("mine")
    note(tmp_path, gone=gone)
    if gone == {"thesis.md": ["0" * 64]}:
        check_folder(tmp_path)
    else:
        with pytest.raises(FileError, match="not as it was written"):
            check_folder(tmp_path)
    assert (tmp_path / "thesis.md").read_text() == "mine"
    assert (tmp_path / "thesis.pdf").read_text() == "mine"


@pytest.mark.skipif(os.name != "posix", reason="links as POSIX has them")
@pytest.mark.parametrize("linked", ["part", "plan"])
def test_a_note_moves_nothing_out_of_a_folder_elsewhere(hand_plan, tmp_path, linked):
    folder, other = tmp_path / "out", tmp_path / "other"
    planned(hand_plan, folder)
    (folder / "thesis.md").write_text("mine")
    inside = other / "plan" if linked == "part" else other
    inside.mkdir(parents=True)
    for name in (STAGE_LOCK, MARK):
        (other / name).write_text("")
    (inside / "secret.md").write_text("theirs")
    part = folder / ".x.pourwright-part-abc"
    if linked == "part":
        part.symlink_to(other)
    else:
        part.mkdir()
        (part / STAGE_LOCK).write_text("")
        (part / MARK).write_text("")
        (part / "plan").symlink_to(other)
    note(folder, gone={}, files={"secret.md": hashlib.sha256(b"theirs").hexdigest()})
    with pytest.raises(FileError):
        check_folder(folder)
    assert (inside / "secret.md").read_text() == "theirs"
    assert not (folder / "secret.md").exists()


@pytest.mark.skipif(os.name != "posix", reason="links as POSIX has them")
def test_a_lock_that_is_a_link_is_not_written_through(hand_plan, tmp_path):
    planned(hand_plan, tmp_path / "out")
    (tmp_path / "thesis.md").write_text("mine")
    (tmp_path / "out" / LOCK).unlink(missing_ok=True)
    (tmp_path / "out" / LOCK).symlink_to(tmp_path / "thesis.md")
    with pytest.raises(FileError, match="is not the lock"):
        write_plan(hand_plan(name="Second"), tmp_path / "out", pictures=False)
    assert (tmp_path / "thesis.md").read_text() == "mine"


HOLD = """
import sys, time
from pathlib import Path
from pourwright.document.stages import stage_in
with stage_in(Path(sys.argv[1]), "plan") as stage:
    (stage / "lift_01.png").write_text("half")
    print(stage.parent.name, flush=True)
    time.sleep(600)
"""


def holder(folder):
    run = subprocess.Popen([sys.executable, "-c", HOLD, str(folder)], stdout=subprocess.PIPE, text=True)
    return run, run.stdout.readline().strip()


def test_what_a_killed_run_left_is_swept_and_what_another_works_in_is_not(hand_plan, tmp_path):
    killed, left = holder(tmp_path)
    alive, kept = holder(tmp_path)
    try:
        killed.kill()
        killed.wait()
        killed.stdout.close()
        assert (tmp_path / left / "plan" / "lift_01.png").is_file()
        planned(hand_plan, tmp_path / "plan")
        assert sorted(entry.name for entry in tmp_path.iterdir()) == sorted([kept, "plan"])
        assert (tmp_path / kept / "plan" / "lift_01.png").read_text() == "half"
    finally:
        alive.kill()
        alive.wait()
        alive.stdout.close()
    planned(hand_plan, tmp_path / "plan", "Second")  # in the folder itself nothing is left
    planned(hand_plan, tmp_path / "third")
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["plan", "third"]


@pytest.mark.parametrize("name", [".x.part-123-abc", ".x.part-999999999-abc", ".x.pourwright-part-abc"])
def test_hidden_folders_of_others_are_not_swept(hand_plan, tmp_path, name):
    (tmp_path / name).mkdir()
    (tmp_path / name / "letter.txt").write_text("theirs")
    planned(hand_plan, tmp_path / "plan")
    planned(hand_plan, tmp_path / "plan", "Second")
    assert (tmp_path / name / "letter.txt").read_text() == "theirs"
