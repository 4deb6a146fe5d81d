"""``record`` killed at any moment: the entry is whole or not there, and the folder is of one plan."""

import json
import os
import random
import shutil
import signal
import time

import pytest
import trimesh

from pourwright.cli import main
from pourwright.document.read_json import read_plan_json
from pourwright.record import read_record
from pourwright.report.folder import check_folder

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
cell = "12 mm"
[heat]
computed = false
"""


def held(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.name[0] != "."}


def killed(folder, rounds, seed):
    """How often the kill came before the entry, between entry and plan, and after."""
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(folder / "ball.stl")
    (folder / "job.toml").write_text(JOB)
    assert main(["plan", str(folder / "job.toml"), "--out", str(folder / "first"), "--no-pictures", "-q"]) in (0, 1)
    asked = ["record", str(folder / "out"), "--pour", "1a", "--as-planned", "--full", "--no-pictures", "-q"]
    shutil.copytree(folder / "first", folder / "out")
    start = time.perf_counter()
    assert main(asked) in (0, 1)
    lasts = time.perf_counter() - start
    old, new = held(folder / "first"), held(folder / "out")
    entry = new.pop("record.json")
    chance, seen = random.Random(seed), [0, 0, 0]
    for _ in range(rounds):
        shutil.rmtree(folder / "out")
        shutil.copytree(folder / "first", folder / "out")
        child = os.fork()
        if child == 0:
            try:
                main(asked)
            finally:
                os._exit(0)
        time.sleep(chance.uniform(0, 1.6 * lasts))  # a busy machine takes longer than at first
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        record = read_record(folder / "out")  # whole, or not there
        read_plan_json(folder / "out")  # one of the two plans, whole
        check_folder(folder / "out")  # finishes a change that has begun
        now = held(folder / "out")
        text = now.pop("record.json", None)
        assert now in (old, new)
        if now == new:
            assert record is not None
        if record is not None:
            assert [e.pour for e in record.entries] == ["1a"]
            assert json.loads(text)["entries"] == json.loads(entry)["entries"]
        seen[0 if record is None else 1 if now == old else 2] += 1
    return seen


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_a_few_times(tmp_path):
    assert sum(killed(tmp_path, 5, seed=1)) == 5


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_200_times_at_random_moments(tmp_path):
    before, between, after = killed(tmp_path, 200, seed=2)
    assert min(before, between, after) > 3, (before, between, after)
