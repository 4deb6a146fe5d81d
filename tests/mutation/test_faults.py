"""Deliberate faults in formulas and planning, each put into a copy of the program, are caught from outside of it.

The list is `faults/*.toml`, a file a room: file, exact old text, new text, what is wrong then, and the test that fails.
Faults were chosen before it was known which of them a test would catch.
"""

from __future__ import annotations

import ast
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]


def _workbench():
    spec = importlib.util.spec_from_file_location("workbench", HERE / "workbench.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["workbench"] = module  # where its dataclass looks for itself
    spec.loader.exec_module(module)
    return module


WORKBENCH = _workbench()
ROOMS = WORKBENCH.read_faults()
FAULTS = [fault for faults in ROOMS.values() for fault in faults]


def test_there_are_enough_faults_in_every_room():
    assert {"physics", "foam", "heat", "rise", "structure", "lifts", "outcome"} <= set(ROOMS)
    assert all(len(faults) >= 5 for faults in ROOMS.values())
    assert len(FAULTS) >= 60
    assert len({fault.name for fault in FAULTS}) == len(FAULTS)


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_fits_the_source_and_names_a_test(fault):
    text = (ROOT / "src" / "pourwright" / fault.file).read_text(encoding="utf-8")
    assert text.count(fault.old) == 1, f"{fault.file}: the old text stands there {text.count(fault.old)} times"
    assert fault.new != fault.old
    assert fault.breaks
    path, _, name = fault.test.partition("::")
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}, f"no test {fault.test}"
    assert not fault.by or fault.by.startswith(WORKBENCH.OUTSIDE)
    assert bool(fault.by) != bool(fault.also)


def test_nearly_all_faults_are_caught_from_outside():
    caught, count = WORKBENCH.score(FAULTS)
    print(f"{caught} of {count} faults are caught by tests/validation and tests/properties alone")
    assert caught >= 0.95 * count


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="the runs are forks of one process")
@pytest.mark.parametrize("room", ROOMS)
def test_the_test_named_fails_on_the_fault_and_passes_without(room):
    done = subprocess.run(
        [sys.executable, str(HERE / "workbench.py"), room], cwd=ROOT, capture_output=True, text=True, check=False
    )
    print(done.stdout)
    assert done.returncode == 0, done.stdout + done.stderr
