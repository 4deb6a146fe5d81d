"""Six reference plans take no more processor time, in kernels, and no more memory than is stored; no absolute time."""

from __future__ import annotations

import importlib.util
import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest

FILE = Path(__file__).parent / "benchmarks" / "reference_plans.py"
spec = importlib.util.spec_from_file_location("reference_plans", FILE)
reference = importlib.util.module_from_spec(spec)
sys.modules["reference_plans"] = reference
spec.loader.exec_module(reference)


def _as_stored(name):
    held = reference.stored()[name]
    return reference.Figure(name, 2.0 * held["ratio"], 2.0, held["memory_mb"])


def test_each_of_them_is_stored():
    assert set(reference.stored()) == set(reference.PLANS)


@pytest.mark.parametrize("name", reference.PLANS)
def test_a_plan_half_as_slow_again_is_told(name):
    as_stored = _as_stored(name)
    assert reference.over([as_stored], reference.stored()) == []
    (slow,) = reference.over([replace(as_stored, seconds=1.5 * as_stored.seconds)], reference.stored())
    assert slow.startswith(f"{name}: ")
    assert "kernels" in slow
    (fat,) = reference.over([replace(as_stored, memory_mb=1.5 * as_stored.memory_mb)], reference.stored())
    assert fat.startswith(f"{name}: ")
    assert "MB" in fat


def test_a_slow_machine_is_no_slow_plan():
    as_stored = _as_stored("ram, quick")
    slow = replace(as_stored, seconds=5 * as_stored.seconds, kernel_s=5 * as_stored.kernel_s)
    assert reference.over([slow], reference.stored()) == []


@pytest.mark.skipif(not hasattr(os, "wait4"), reason="needs os.wait4")
def test_processor_seconds_and_memory_of_a_process():
    """An interpreter that is kept busy for 0.3 s of its own processor time and holds 200 MB."""
    busy = "import time; b = bytearray(200_000_000); t = time.process_time()\nwhile time.process_time() < t + 0.3: pass"
    used = reference.run([sys.executable, "-c", busy])
    assert used.code == 0
    assert 0.3 <= used.seconds < 1.5
    assert 195 < used.memory_mb < 300


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "wait4"), reason="needs os.wait4")
@pytest.mark.parametrize("name", reference.PLANS)
def test_a_reference_plan_keeps_its_ratio(name, tmp_path):
    assert reference.over([reference.measured(name, tmp_path)], reference.stored()) == []
