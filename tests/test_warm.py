"""What the first plan would compile is listed, fits the program, and can be compiled ahead of it."""

import importlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from pourwright import compiled, warm

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
        "print(warm.is_cold(), warm._compiled(room), warm.is_cold())"
    )
    assert _run(code, cache=tmp_path).stdout.split() == ["True", "(1,", "0)", "False"]
    assert _run("from pourwright import warm; print(warm.is_cold())", cache=tmp_path).stdout == "False\n"


def test_what_no_longer_fits_is_counted_and_is_no_error():
    assert warm._compiled(("pourwright.cavity._label", (("no_such_loop", "int64"),))) == (0, 1)
    assert warm._compiled(("pourwright.no_such_module", (("loop", "int64"),))) == (0, 1)


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
