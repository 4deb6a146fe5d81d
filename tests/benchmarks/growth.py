"""How processor time and memory grow with cells, triangles, lifts and elements, each with its slope.

    python tests/benchmarks/growth.py                  # measures whole plans of 1 to 60 lifts and prints all slopes
    python tests/benchmarks/growth.py --write          # and puts both into docs/benchmarks.md
    python tests/benchmarks/growth.py --everything     # first makes all other tables of the page anew: an hour

The rows over cells and triangles are those of ``cavity_speed.py``, those over elements of ``structure_size.py``, as
they stand on the page. A slope is the exponent p of seconds ~ size^p, from a straight line through the logarithms of
all rows of a table. Not for Windows (``os.wait4``).
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import numpy as np

os.environ["POURWRIGHT_KEPT"] = "no"  # what is timed is made, not read back

HERE = Path(__file__).resolve().parent
PAGE = HERE.parents[1] / "docs" / "benchmarks.md"
BEGIN, END = "<!-- growth: made by tests/benchmarks/growth.py -->", "<!-- end of growth -->"
OTHERS = ("cavity_speed.py", "structure_size.py", "reference_plans.py")
COLUMN_M = (0.31, 0.31, 1.21)
LIFTS_MM = (1250.0, 410.0, 121.0, 40.5, 20.5)
"""Largest lift of each plan: the column is divided into some 1 to 60 even bands."""
RUNS = 2
JOB = """
[piece]
name = "Column"
shell = "column.stl"
unit = "m"
material = "grp"
[wall]
thickness = "5 mm"
[foam]
grade = "rigid-3"
[shop]
largest_batch = "20 L"
mix = "10 s"
[limits]
lift = "{lift_mm:g} mm"
lift_reference = "a benchmark"
[grid]
cell = "10 mm"
[day]
search = false
"""
NOTE = f"""An upright box of {COLUMN_M[0]:g} m x {COLUMN_M[1]:g} m x {COLUMN_M[2]:g} m, 5 mm of GRP, 10 mm cells, even
bands, `--quick`: lifts, ways in, vents, checks and all files, by formulas. Whole commands, warm, best of {RUNS}: what a
command takes to start is in every row."""


@dataclass(frozen=True, slots=True)
class Row:
    """A size, and the processor seconds that it took."""

    size: float
    seconds: float


def slope(rows: Sequence[Row]) -> float:
    """Exponent p of seconds ~ size^p.

    >>> round(slope([Row(1, 2.0), Row(10, 20.0), Row(100, 200.0)]), 6)
    1.0
    """
    size, seconds = (np.log([getattr(row, name) for row in rows]) for name in ("size", "seconds"))
    return float(np.polyfit(size, seconds, 1)[0])


def rows_of(page: str, heading: str, size: str, seconds: str, first: str = "") -> list[Row]:
    """Rows of the first table below a heading whose first cell begins with ``first``; columns by their names."""
    lines = page[page.index(heading) :].splitlines()
    start = next(k for k, line in enumerate(lines) if line.startswith("|"))
    names = cells_of(lines[start])
    found = []
    for line in lines[start + 2 :]:
        if not line.startswith("|"):
            break
        cells = cells_of(line)
        if cells[0].startswith(first):
            found.append(Row(number(cells[names.index(size)]), number(cells[names.index(seconds)])))
    return found


def cells_of(line: str) -> list[str]:
    """What stands between the bars of a line."""
    return [cell.strip() for cell in line.strip().strip("|").split("|")]


def number(text: str) -> float:
    """A figure of a table.

    >>> number("5,242,880"), number("51.1 M")
    (5242880.0, 51100000.0)
    """
    return float(text.replace(",", "").removesuffix("M")) * (1e6 if text.endswith("M") else 1.0)


def summary(page: str, lifts: Sequence[Row]) -> list[str]:
    """The table of slopes."""
    chain = "### Growth with cells and triangles"
    kinds = (
        ("cells, 82 k triangles, to the level graph", rows_of(page, chain, "cells", "processor, s", "82 k")),
        ("triangles, 51 M cells, to the level graph", rows_of(page, chain, "triangles", "processor, s", "50 million")),
        ("elements of the skin, on foam", rows_of(page, "## Structure", "triangles", "all, processor")),
        ("lifts, a whole quick plan", lifts),
    )
    lines = ["| over | from | to | seconds, first | seconds, last | slope |", "| --- | --: | --: | --: | --: | --: |"]
    for words, rows in kinds:
        a, b = min(rows, key=lambda row: row.size), max(rows, key=lambda row: row.size)
        lines.append(
            f"| {words} | {a.size:,.0f} | {b.size:,.0f} | {a.seconds:.3g} | {b.seconds:.3g} | {slope(rows):.2f} |"
        )
    return lines


def reference() -> ModuleType:
    """The benchmark that runs a command in a process of its own."""
    spec = importlib.util.spec_from_file_location("reference_plans", HERE / "reference_plans.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def planned(folder: Path, lift_mm: float) -> tuple[int, int, float, float]:
    """Lifts, pours, processor seconds and peak memory [MB] of one plan of the column."""
    import json

    import trimesh

    trimesh.creation.box(COLUMN_M).export(folder / "column.stl")
    (folder / "job.toml").write_text(JOB.format(lift_mm=lift_mm), encoding="utf-8")
    program = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"
    asked = ["plan", str(folder / "job.toml"), "--quick", "--no-pictures", "--quiet", "--out", str(folder / "out")]
    used = [reference().run([sys.executable, "-c", program, *asked]) for _ in range(RUNS)]
    if any(one.code not in (0, 1, 3) for one in used):
        raise SystemExit(f"the plan with lifts of {lift_mm:g} mm ended with exit code {used[0].code}")
    plan = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    pours = sum(len(lift["pours"]) for lift in plan["lifts"])
    return len(plan["lifts"]), pours, min(u.seconds for u in used), min(u.memory_mb for u in used)


def main() -> None:
    """Measure, print, and write if asked."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--write", action="store_true", help="put the tables into docs/benchmarks.md")
    parser.add_argument("--everything", action="store_true", help="make all tables of the page anew, this one last")
    asked = parser.parse_args()
    for other in OTHERS if asked.everything else ():
        subprocess.run([sys.executable, str(HERE / other), "--write"], check=True)
    lines = ["| lifts | pours | processor, s | peak memory, MB |", "| --: | --: | --: | --: |"]
    rows = []
    for lift_mm in LIFTS_MM:
        with tempfile.TemporaryDirectory() as folder:
            lifts, pours, seconds, memory_mb = planned(Path(folder), lift_mm)
        rows.append(Row(lifts, seconds))
        lines.append(f"| {lifts} | {pours} | {seconds:.2f} | {memory_mb:.0f} |")
        print(lines[-1], flush=True)
    page = PAGE.read_text(encoding="utf-8")
    slopes = summary(page, rows)
    print("\n".join(slopes))
    if asked.write or asked.everything:
        head, _, rest = page.partition(BEGIN)
        told = "A slope of 1 is seconds in proportion to the size; the rows are those of the tables on this page."
        text = ["", "", "## Growth", "", told, "", *slopes, "", "### Lifts", "", NOTE, "", *lines, "", END]
        if not rest:
            head = head.rstrip("\n") + "\n\n"
        PAGE.write_text(head + BEGIN + "\n".join(text) + (rest.partition(END)[2] or "\n"), encoding="utf-8")


if __name__ == "__main__":
    main()
