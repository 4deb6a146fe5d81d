"""Small files that ask for much time or memory: answered within 10 s of processor time and 1 GB, in one sentence.

The files are made by tests/meshes/hostile.py (formats) and tests/meshes/heaps.py (triangles that are no surface). Small
ones are tried in this process, those as they were found in a process of their own whose memory and time are held.
"""

import contextlib
import importlib.util
import inspect
import os
import re
import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import NamedTuple

import pytest
import trimesh

from pourwright.errors import PourwrightError
from pourwright.sanitising.budget import SMALL_TRIANGLES, Budget
from pourwright.shell import shell_report

MESHES = Path(__file__).parents[1] / "meshes"
SECONDS, BYTES = 10.0, 1_000_000_000


def _module(name):
    spec = importlib.util.spec_from_file_location(f"pourwright_{name}", MESHES / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


HOSTILE, HEAPS = _module("hostile"), _module("heaps")
FILES = {**HOSTILE.FILES, **HEAPS.FILES}


class Answer(NamedTuple):
    code: int
    seconds: float  # of processor
    bytes: int  # at the peak
    out: str
    err: str


def answer(*arguments, seconds=60, memory=4_000_000_000):
    """What the command line answers in a process that may use so much processor and address space, and what it took."""

    def held():
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))

    # What the system tells of a process that was started counts the memory of the one that started it.
    far, near = os.pipe()
    code = (
        f"import atexit, os, sys\natexit.register(lambda: os.write({near}, open('/proc/self/status', 'rb').read()))\n"
        "from pourwright.cli import main\nsys.exit(main(sys.argv[1:]))"
    )
    command = [sys.executable, "-c", code, *map(str, arguments)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, preexec_fn=held, text=True, pass_fds=(near,)
    ) as run:
        os.close(near)
        out, err = run.stdout.read(), run.stderr.read()
        _, status, used = os.wait4(run.pid, 0)
        run.returncode = os.waitstatus_to_exitcode(status)
    with os.fdopen(far) as told:
        most = re.search(r"VmHWM:\s*(\d+) kB", told.read())
    peak = int(most.group(1)) if most else used.ru_maxrss
    return Answer(run.returncode, used.ru_utime + used.ru_stime, peak * 1024, out, err)


def is_answered(found):
    """A table, or one sentence of the project's own."""
    assert found.code in {0, 1, 2}, found
    assert "pourwright itself" not in found.err, found.err
    assert "Traceback" not in found.err
    assert len(found.err.splitlines()) <= 1
    assert found.out or found.err.startswith("pourwright: ")


@pytest.fixture(scope="module")
def compiled(tmp_path_factory):
    """So that no file pays for compiling."""
    path = tmp_path_factory.mktemp("compiled") / "ball.stl"
    ball = trimesh.creation.icosphere(3, radius=200.0)
    (ball + ball.copy().apply_translation([100, 0, 0]) + ball.slice_plane([0, 0, 9], [0, 0, 1])).export(path)
    shell_report(path, "mm")
    for ending, data in (HOSTILE.ply_mixed_faces(10), HOSTILE.ply_text_rows_of_lists(10), HEAPS.star(500)):
        path.with_suffix(f".{ending}").write_bytes(data)
        with contextlib.suppress(PourwrightError):
            shell_report(path.with_suffix(f".{ending}"), "mm")


@pytest.mark.parametrize("name", FILES)
def test_a_small_one_is_answered_at_once(name, compiled, tmp_path):
    size = next(iter(inspect.signature(FILES[name]).parameters.values())).default
    ending, data = FILES[name](max(size // 100, 12))
    path = tmp_path / f"a.{ending}"
    path.write_bytes(data)
    start = time.process_time()
    said = report_or_words(path)
    assert time.process_time() - start < 5.0
    if isinstance(said, str):
        assert said.startswith(path.name)
        assert "\n" not in said
        assert len(said) < 400


def report_or_words(path):
    try:
        return shell_report(path, "mm")
    except PourwrightError as error:
        return str(error)


@pytest.mark.slow
@pytest.mark.parametrize("name", FILES)
def test_one_as_it_was_found_is_answered_in_ten_seconds_and_a_gigabyte(name, compiled, tmp_path):
    ending, data = FILES[name]()
    times = 1 if len(data) < 5_000_000 else 2
    assert (times == 2) == (name in HOSTILE.LARGE)
    path = tmp_path / f"a.{ending}"
    path.write_bytes(data)
    found = answer("check", path, "--unit", "mm")
    is_answered(found)
    assert found.seconds < times * SECONDS
    assert found.bytes < times * BYTES


def test_a_number_of_two_hundred_thousand_digits_takes_no_time(compiled, tmp_path):
    path = tmp_path / "a.obj"
    path.write_bytes(HOSTILE.obj_long_number()[1])
    found = answer("check", path, "--unit", "mm")
    is_answered(found)
    assert "point 1 does not have three numbers" in found.err
    assert found.seconds < SECONDS


@pytest.mark.parametrize("ending", ["stl", "ply", "obj", "glb", "3mf", "off"])
def test_honest_files_are_far_from_what_a_file_of_their_size_may_ask_for(ending):
    """A bound on triangles by size must not meet a mesh that is simply written out, however well it packs."""
    ball = trimesh.creation.icosphere(6, radius=200.0)
    data = (trimesh.Scene(ball) if ending == "glb" else ball).export(file_type=ending)
    assert len(ball.faces) < 0.7 * len(data) / 8
    assert Budget(len(data)).triangles >= SMALL_TRIANGLES > len(ball.faces)
