"""The same input gives the same plan.json, byte for byte, on two runs and two numbers of threads."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

DEMOS = Path(__file__).resolve().parents[2] / "demo_shells"


def plan_bytes(job, out, threads, *options):
    """plan.json of a process of its own; hash seeds differ as they do from run to run."""
    count = {name: str(threads) for name in ("POURWRIGHT_THREADS", "NUMBA_NUM_THREADS", "OMP_NUM_THREADS")}
    env = {**os.environ, **count, "OPENBLAS_NUM_THREADS": str(threads), "PYTHONHASHSEED": str(threads + 10)}
    code = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-c", code, "plan", str(job), "--out", str(out), "--no-pictures", "-q", *options]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1, 3), done.stderr  # planned, over, not all known
    return (out / "plan.json").read_bytes()


def test_a_small_piece_gives_the_same_bytes(job, tmp_path):
    first = plan_bytes(job, tmp_path / "plan", 1)
    assert len(first) > 10_000
    assert plan_bytes(job, tmp_path / "plan", 2) == first


@pytest.mark.slow
@pytest.mark.parametrize(
    ("demo", "options"),
    [("heron", ()), ("ram", ("--set", "day.search=false")), ("tender", ("--set", "day.search=false"))],
    ids=["heron, searched", "ram", "tender"],
)
def test_a_demo_piece_gives_the_same_bytes(demo, options, tmp_path):
    job = DEMOS / demo / "job.toml"
    first = plan_bytes(job, tmp_path / "plan", 1, *options)
    assert plan_bytes(job, tmp_path / "plan", 2, *options) == first  # other threads and other hash seeds at once
