"""Processor seconds and peak memory of six reference plans, each against a fixed kernel that runs in turn with it.

    python tests/benchmarks/reference_plans.py            # prints the table and what is over its stored ratio
    python tests/benchmarks/reference_plans.py --write    # stores the ratios and puts the table into docs/benchmarks.md

A second on one machine is no second on another, nor on the same one while others work on it. So a plan is held to a
ratio: its processor seconds (user and system, all threads) to those of a kernel of plain Python and numpy that has
nothing of this program in it. Both run in processes of their own, kernel and plan in turn, after one plan that is not
counted and fills the cache of compiled loops; the best of each counts. Not for Windows (``os.wait4``).
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path

os.environ["POURWRIGHT_KEPT"] = "no"  # what is timed is made, not read back

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
STORED = HERE / "reference_plans.toml"
PAGE = ROOT / "docs" / "benchmarks.md"
BEGIN, END = "<!-- plans: made by tests/benchmarks/reference_plans.py -->", "<!-- end of plans -->"
RUNS = 2
OVER = 1.3  # times its stored ratio that a plan may take, and times its stored memory: our judgement
QUICK = ("--quick", "--no-pictures")
BANDS = ("--no-pictures", "--set", "day.search=false")
PLANS = {
    "ram, quick": ("ram", QUICK),
    "heron, quick": ("heron", QUICK),
    "tender, quick": ("tender", QUICK),
    "float, quick": ("float", QUICK),
    "ram, even bands": ("ram", BANDS),
    "ram, even bands, pictures": ("ram", BANDS[1:]),
}
KERNEL = """
import numpy as np
total = 0
for i in range(6_000_000):
    total = (total * 31 + i) & 0xFFFF
values = np.random.default_rng(1).random(4_000_000)
for _ in range(3):
    order = np.argsort(values, kind="stable")
    values = np.cumsum(values[order]) % 1.0
words = {}
for i in range(1_000_000):
    words[i * 7919 % 100_003] = words.get(i, 0) + 1
"""


@dataclass(frozen=True, slots=True)
class Used:
    """What one process took."""

    seconds: float  # user and system, all threads
    memory_mb: float  # at most at once
    code: int


@dataclass(frozen=True, slots=True)
class Figure:
    """A plan beside the kernel that ran in turn with it."""

    name: str
    seconds: float
    kernel_s: float
    memory_mb: float

    @property
    def ratio(self) -> float:
        """How many kernels a plan is."""
        return self.seconds / self.kernel_s


WAITER = """
import os, subprocess, sys
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
_, status, used = os.wait4(process.pid, 0)
print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1e3, os.waitstatus_to_exitcode(status))
"""
"""Waits for a command from a small process of its own: a child's greatest memory counts that of who forked it."""


def run(command: list[str]) -> Used:
    """Run a command to its end, silent."""
    said = subprocess.run([sys.executable, "-c", WAITER, *command], capture_output=True, text=True, check=True).stdout
    seconds, memory_mb, code = said.split()
    return Used(float(seconds), float(memory_mb), int(code))


def measured(name: str, folder: Path, runs: int = RUNS) -> Figure:
    """One reference plan, kernel and plan in turn."""
    piece, how = PLANS[name]
    job = ROOT / "demo_shells" / piece / "job.toml"
    program = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"
    plan = [sys.executable, "-c", program, "plan", str(job), "--out", str(folder / name), "--quiet", *how]
    kernel = [sys.executable, "-c", KERNEL]
    first = run(plan)
    if first.code not in (0, 1, 3):
        raise SystemExit(f"{name}: the plan ended with exit code {first.code}")
    plans, kernels = [], []
    for _ in range(runs):
        kernels.append(run(kernel).seconds)
        plans.append(run(plan))
    return Figure(name, min(p.seconds for p in plans), min(kernels), min(p.memory_mb for p in plans))


def over(figures: list[Figure], stored: dict[str, dict[str, float]]) -> list[str]:
    """A sentence for each figure beyond what is stored, and for each plan with nothing stored."""
    words = []
    for f in figures:
        if f.name not in stored:
            words.append(f"{f.name}: nothing is stored to hold it against; run with --write")
            continue
        ratio, memory = stored[f.name]["ratio"], stored[f.name]["memory_mb"]
        if f.ratio > OVER * ratio:
            words.append(f"{f.name}: {f.ratio:.2f} kernels, {f.ratio / ratio:.2f} times the stored {ratio:.2f}")
        if f.memory_mb > OVER * memory:
            words.append(f"{f.name}: {f.memory_mb:.0f} MB, {f.memory_mb / memory:.2f} times the stored {memory:.0f} MB")
    return words


def stored() -> dict[str, dict[str, float]]:
    """The stored ratios and memories by name."""
    return dict(tomllib.loads(STORED.read_text(encoding="utf-8")))


def table(figures: list[Figure]) -> list[str]:
    """The table of docs/benchmarks.md."""
    return [
        "| plan | processor, s | kernel, s | ratio | peak memory, MB |",
        "| --- | --: | --: | --: | --: |",
        *(f"| {f.name} | {f.seconds:.1f} | {f.kernel_s:.2f} | {f.ratio:.2f} | {f.memory_mb:.0f} |" for f in figures),
    ]


def written(figures: list[Figure]) -> None:
    """Store the ratios and put the table into the page."""
    lines = ["# Made by tests/benchmarks/reference_plans.py --write: kernels a plan, and its peak memory."]
    for f in figures:
        lines += ["", f'["{f.name}"]', f"ratio = {f.ratio:.2f}", f"memory_mb = {f.memory_mb:.0f}"]
    STORED.write_text("\n".join(lines) + "\n", encoding="utf-8")
    note = (
        f"Six plans of the demo pieces, warm, best of {RUNS}, each beside a fixed kernel of plain Python and numpy "
        "that runs in turn with it.\nThe ratio of the two is what the slow tests hold: no more than "
        f"{OVER:g} times the stored one, whatever the machine and\nwhatever else it does. Peak memory is held alike."
    )
    page = PAGE.read_text(encoding="utf-8")
    if BEGIN not in page:
        page = page.rstrip("\n") + f"\n\n{BEGIN}\n{END}\n"
    head, rest = page.split(BEGIN)
    _, tail = rest.split(END)
    body = "\n".join(["", "", "## Whole plans", "", note, "", *table(figures), "", ""])
    PAGE.write_text(head + BEGIN + body + END + tail, encoding="utf-8")


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--write", action="store_true", help="store the ratios and make the table of the page")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        figures = [measured(name, Path(folder)) for name in PLANS]
    print("\n".join(table(figures)))
    if asked.write:
        written(figures)
        return 0
    words = over(figures, stored())
    print("\n".join(words))
    return 1 if words else 0


if __name__ == "__main__":
    sys.exit(main())
