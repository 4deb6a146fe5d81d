"""A crash loses nothing that was confirmed; two writers do not clobber each other."""

import json
import os
import random
import signal
import subprocess
import sys
import time

import pytest

from pourwright.errors import FileError
from pourwright.record import RECORD_FILE, Entry, Planned, add_entry, read_record, update

PLANNED = Planned(lift=1, bottom_m=0.0, top_m=0.2, closes=False, part_a_kg=1.0, part_b_kg=1.0, seed_m=(0.0, 0.0, 0.0))
WRITER = """
import sys
from pathlib import Path
from pourwright.record import Entry, Planned, add_entry
planned = Planned.model_validate_json(sys.argv[3])
print("ready", flush=True)
for k in range(int(sys.argv[2])):
    name = sys.argv[4] + str(k)
    add_entry(Path(sys.argv[1]), "0" * 64, lambda number, record: Entry(
        number=number, kind="pour", issue=1, pour=name, part_a_kg=1, part_b_kg=1, note="x" * 4000, planned=planned))
    print(name, flush=True)
"""


def entry(number, **changes):
    return Entry(
        **{"number": number, "kind": "pour", "issue": 1, "pour": "1a", "part_a_kg": 1.0, "part_b_kg": 1.0,
           "planned": PLANNED} | changes
    )  # fmt: skip


def writer(folder, count, name):
    arguments = [sys.executable, "-c", WRITER, str(folder), str(count), PLANNED.model_dump_json(), name]
    return subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True)


def test_nothing_recorded_is_no_record(tmp_path):
    assert read_record(tmp_path) is None


def test_entries_come_back_as_they_went_in(tmp_path):
    add_entry(tmp_path, "0" * 64, lambda number, record: entry(number, note="<b> ☃", reached_m=0.19))
    record = add_entry(tmp_path, "0" * 64, lambda number, record: entry(number, pour="2a"))
    assert read_record(tmp_path) == record
    assert [(e.number, e.pour, e.note) for e in record.entries] == [(1, "1a", "<b> ☃"), (2, "2a", "")]


def test_a_refusal_writes_nothing(tmp_path):
    def refuse(number, record):
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        add_entry(tmp_path, "0" * 64, refuse)
    assert not (tmp_path / RECORD_FILE).exists()


@pytest.mark.parametrize("text", ["", "{", '{"schema": "other/1"}', "[" * 5000, '{"schema":"pourwright.record/1"}'])
def test_what_is_no_record_is_refused_and_left_alone(tmp_path, text):
    (tmp_path / RECORD_FILE).write_text(text)
    with pytest.raises(FileError, match="is not a record"):
        add_entry(tmp_path, "0" * 64, lambda number, record: entry(number))
    assert (tmp_path / RECORD_FILE).read_text() == text


def test_a_failed_write_leaves_the_old_record(tmp_path, monkeypatch):
    add_entry(tmp_path, "0" * 64, lambda number, record: entry(number))
    before = (tmp_path / RECORD_FILE).read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match="No space left"):
        update(tmp_path, lambda record: record)
    assert (tmp_path / RECORD_FILE).read_bytes() == before
    assert not list(tmp_path.glob("*.part-*"))


def test_two_writers_do_not_clobber_each_other(tmp_path):
    writers = [writer(tmp_path, 25, name) for name in ("a", "b", "c")]
    for one in writers:
        one.communicate(timeout=120)
        assert one.returncode == 0
    names = [e.pour for e in read_record(tmp_path).entries]
    assert sorted(names) == sorted(f"{name}{k}" for name in "abc" for k in range(25))
    assert [e.number for e in read_record(tmp_path).entries] == list(range(1, 76))


def killed(tmp_path, rounds, seed):
    chance = random.Random(seed)
    confirmed = []
    for number in range(rounds):
        one = writer(tmp_path, 1000, f"k{number}x")
        assert one.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0.0, 0.03))
        os.kill(one.pid, signal.SIGKILL)
        said = one.communicate()[0].splitlines(keepends=True)
        confirmed += [line.strip() for line in said if line.endswith("\n")]
        path = tmp_path / RECORD_FILE
        if path.exists():
            json.loads(path.read_bytes())  # whole
            held = [e.pour for e in read_record(tmp_path).entries]
            assert len(held) == len(set(held))
            assert set(confirmed) <= set(held)  # what was said to be written is there
            if len(held) > 150:  # keep it short
                path.unlink()
                confirmed = []
    return len(confirmed)


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
def test_killed_a_few_times_the_record_is_whole(tmp_path):
    killed(tmp_path, 3, seed=1)


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
def test_killed_200_times_at_random_moments_the_record_is_whole(tmp_path):
    killed(tmp_path, 200, seed=2)
    add_entry(tmp_path, "0" * 64, lambda number, record: entry(number))
    assert not list(tmp_path.glob(f".{RECORD_FILE}.part-*"))
