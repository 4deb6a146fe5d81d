"""What the first plan would compile is listed, fits the program, and can be compiled ahead of it."""

import importlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from pourwright import compiled, warm
from pourwright.errors import PourwrightError

LISTED = warm.listed()
COUNTED = """
import sys
from numba.core import event
from pourwright.cli import main

class Listener(event.Listener):
    def on_start(self, event): print("compiles", event.data["dispatcher"].py_func.__qualname__)
    def on_end(self, event): pass

event.register("numba:compile", Listener())
sys.exit(main(sys.argv[1:]))
"""


@pytest.mark.parametrize("module", [module for module, _ in LISTED])
def test_every_loop_of_the_list_is_one_of_its_module_with_types_that_can_be_read(module):
    room = importlib.import_module(module)
    for name, types in dict(LISTED)[module]:
        loop = getattr(room, name)
        assert f"def {name}(" in Path(loop.py_func.__code__.co_filename).read_text("utf-8")
        assert loop.py_func.__code__.co_argcount == len(compiled.types_of(types)), f"{name}: {types}"


def test_what_is_called_is_told_as_the_list_has_it():
    import numpy as np

    from pourwright.shell.bucket import by_two_keys

    by_two_keys(np.array([1, 0]), np.array([0, 1]), 2)
    line = next(line for line in compiled.called() if line.startswith("pourwright.shell.bucket:by_two_keys "))
    assert line.split(" ", 1)[1] in [types for _, types in dict(LISTED)["pourwright.shell.bucket"]]


def _run(code, *arguments, cache):
    env = os.environ | {"NUMBA_CACHE_DIR": str(cache)}
    return subprocess.run([sys.executable, "-c", code, *map(str, arguments)], env=env, capture_output=True, text=True)


def test_a_room_of_loops_is_compiled_and_kept_and_then_no_longer_cold(tmp_path):
    code = (
        "from pourwright import warm; import json\n"
        "room = (warm.PROBE, tuple(dict(warm.listed())[warm.PROBE][:1]))\n"
        "print(warm.is_cold(), *warm._compiled(room), warm.is_cold())"
    )
    assert _run(code, cache=tmp_path).stdout.split() == ["True", "1", "0", "0", "False"]
    assert _run("from pourwright import warm; print(warm.is_cold())", cache=tmp_path).stdout == "False\n"


NO_PLACE = """
from numba.core.dispatcher import Dispatcher

def nowhere(self):
    raise RuntimeError("cannot cache function: no locator available")

Dispatcher.enable_caching = nowhere
"""
ONE = """
import sys
from pourwright import warm
from pourwright.cli import main

loops = tuple(dict(warm.listed())[warm.PROBE][:1])
warm.listed = lambda: [(warm.PROBE, loops)]
sys.exit(main(["warm"]))
"""


def test_what_is_compiled_where_nothing_can_be_kept_is_not_called_kept(tmp_path):
    """As where neither the program's folder nor the user's may be written, nor a temporary one."""
    done = _run(NO_PLACE + ONE, cache=tmp_path)
    assert done.returncode == 1, done.stderr
    assert done.stdout.startswith("Loops compiled and not kept: 1. ")
    kept = _run(ONE, cache=tmp_path)
    assert kept.returncode == 0, kept.stderr
    assert kept.stdout.startswith("Loops compiled and kept: 1.")
    assert "not kept" not in kept.stdout


def test_what_no_longer_fits_is_counted_and_is_no_error():
    assert warm._compiled(("pourwright.cavity._label", (("no_such_loop", "int64"),))) == (0, 0, 1)
    assert warm._compiled(("pourwright.no_such_module", (("loop", "int64"),))) == (0, 0, 1)


@pytest.mark.slow
def test_after_it_a_plan_compiles_nothing(tmp_path):
    trimesh.creation.icosphere(subdivisions=3, radius=0.2).export(tmp_path / "ball.stl")
    program = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"
    made = _run(program, "warm", "--json", cache=tmp_path / "kept")
    assert (made.returncode, made.stderr) == (0, "")
    assert '"missing": 0' in made.stdout
    given = (
        "--unit",
        "m",
        "--wall",
        "5 mm",
        "--foam",
        "rigid-3",
        "--set",
        "grid.cell=10 mm",
        "--out",
        tmp_path / "plan",
    )
    done = _run(COUNTED, "plan", tmp_path / "ball.stl", *given, cache=tmp_path / "kept")
    assert done.returncode in (0, 1, 3), done.stderr
    assert [line for line in done.stdout.splitlines() if line.startswith("compiles")] == []


ENDED = """
import json, multiprocessing, sys, time
from pourwright import warm
from pourwright.errors import PourwrightError

START = time.monotonic()

def heard(step, done):
    if {raises}:
        raise KeyboardInterrupt

if __name__ == "__main__":
    try:
        warm.warm(heard, [("{module}", (("loop", "int64"),)), ("{module}", (("other", "int64"),))], processes=2)
    except (PourwrightError, KeyboardInterrupt) as error:
        print(json.dumps([type(error).__name__, str(error), len(multiprocessing.active_children())]))
"""


def _broken_off(tmp_path, body, raises):
    (tmp_path / "a_loop.py").write_text(body)
    script = tmp_path / "script.py"
    script.write_text(ENDED.format(module="a_loop", raises=raises))
    done = subprocess.run([sys.executable, script], capture_output=True, text=True, timeout=60)
    assert done.stdout, done.stderr
    return json.loads(done.stdout)


def test_a_process_that_is_killed_is_told_in_one_sentence_and_waited_for_no_longer(tmp_path):
    """As a system does that is short of memory."""
    kind, said, left = _broken_off(tmp_path, "import os, signal\nos.kill(os.getpid(), signal.SIGTERM)", "False")
    assert (kind, left) == ("PourwrightError", 0)
    assert "--processes 1" in said
    assert len(said.splitlines()) == 1


def test_ctrl_c_ends_what_compiles(tmp_path):
    kind, _, left = _broken_off(tmp_path, "import time\ntime.sleep(300)", "time.monotonic() > START + 2")
    assert (kind, left) == ("KeyboardInterrupt", 0)


def test_nothing_is_compiled_unasked_where_one_processor_is_allowed(monkeypatch):
    """Whatever the machine has: a container is given a share of it."""
    monkeypatch.setattr(os, "cpu_count", lambda: 8)
    monkeypatch.setattr(os, "sched_getaffinity", lambda pid: {3}, raising=False)
    monkeypatch.setattr(warm, "is_cold", lambda: True)
    monkeypatch.setattr(warm, "warm", lambda *a, **k: pytest.fail("compiled"))
    warm.at_first_use(lambda step, done: None)


def test_a_first_plan_goes_on_where_what_compiles_is_killed(monkeypatch):
    def ended(*arguments):
        raise PourwrightError(warm.ENDED)

    monkeypatch.setattr(os, "sched_getaffinity", lambda pid: {0, 1}, raising=False)
    monkeypatch.setattr(warm, "is_cold", lambda: True)
    monkeypatch.setattr(warm, "warm", ended)
    warm.at_first_use(lambda step, done: None)
