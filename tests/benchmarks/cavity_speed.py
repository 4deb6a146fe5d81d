"""Occupancy, distance and level graph against general-purpose libraries on the same meshes.

    python tests/benchmarks/cavity_speed.py            # prints the tables
    python tests/benchmarks/cavity_speed.py --write    # and puts them, with a chart, into docs/benchmarks.md
    python tests/benchmarks/cavity_speed.py --quick    # a tenth of the cells, to see that it runs

Needs the test extras; libigl (``pip install libigl``) is measured if it is there. Every figure comes from a process of
its own. Seconds are the best of the repeats: "wall" by the clock, "processor" summed over threads, which other work on
the machine disturbs less.
"""

from __future__ import annotations

import argparse
import importlib.metadata
import importlib.util
import json
import os
import platform
import subprocess
import sys
from pathlib import Path
from typing import Any

os.environ["POURWRIGHT_KEPT"] = "no"  # what is timed is made, not read back

HERE = Path(__file__).resolve().parent
DOCS = HERE.parents[1] / "docs"
CHART = DOCS / "pictures" / "benchmarks_cavity.png"
BEGIN, END = "<!-- cavity: made by tests/benchmarks/cavity_speed.py -->", "<!-- end of cavity -->"

MILLION = 1e6
# section, note, [(words, task, mesh, cells, repeats)]
PLAN: list[tuple[str, str, list[tuple[str, str, str, float, int]]]] = [
    (
        "Occupancy",
        "Which cell centres are inside. The error is that of the volume of the marked cells against the mesh's own.",
        [
            (words, task, mesh, cells, repeats)
            for mesh, cells in (("heron", 12 * MILLION), ("ball-6", 50 * MILLION), ("ball-8", 50 * MILLION))
            for words, task, repeats in (
                ("signed crossings along columns (ours, clean meshes)", "occupancy_columns", 3),
                ("crossings voted over three axes (ours, dirty meshes)", "occupancy_votes", 2),
                ("VTK stencil", "occupancy_stencil", 3),
            )
        ]
        + [
            ("signed crossings along columns (ours, clean meshes)", "occupancy_columns", "ball-6", 2 * MILLION, 3),
            (
                "winding number of every cell (ours; used where votes differ)",
                "occupancy_own_winding",
                "ball-6",
                2 * MILLION,
                1,
            ),
            ("libigl fast winding number of every cell", "occupancy_igl", "ball-6", 2 * MILLION, 1),
            ("trimesh voxels, filled", "occupancy_voxel_fill", "ball-6", 2 * MILLION, 1),
        ],
    ),
    (
        "Distance",
        "A wall of 5 mm taken off. Ours gives the share of every cell from its exact distance to the triangles, near "
        "the wall only; the transforms give the distance of every cell to the nearest cell centre outside. The last "
        "rows ask for the nearest point of 200,000 points within 20 mm under the surface, tree included.",
        [
            ("exact shares near the wall (ours)", "distance_exact_shares", "ball-6", 50 * MILLION, 3),
            ("edt, two threads", "distance_edt", "ball-6", 50 * MILLION, 3),
            ("scipy", "distance_scipy", "ball-6", 50 * MILLION, 1),
            ("exact shares near the wall (ours)", "distance_exact_shares", "ball-8", 50 * MILLION, 2),
            ("nearest points (ours)", "nearest_own", "ball-6", 1 * MILLION, 3),
            ("nearest points, libigl", "nearest_igl", "ball-6", 1 * MILLION, 3),
        ],
    ),
    (
        "Level graph",
        "Ours measures every node as well: volume, centroid, perimeter, width. scipy's row labels, joins and counts. "
        "The persistence rows find pools and pockets with no threshold; both find the same pairs.",
        [
            ("level graph (ours)", "levels_own", "ball-6", 50 * MILLION, 3),
            ("scipy labels and unique pairs", "levels_scipy", "ball-6", 50 * MILLION, 2),
            ("level graph with pools and pockets (ours)", "pairs_own", "ball-5", 2 * MILLION, 3),
            ("gudhi cubical persistence, twice", "pairs_gudhi", "ball-5", 2 * MILLION, 1),
            ("level graph with pools and pockets (ours)", "pairs_own", "heron", 2 * MILLION, 3),
            ("gudhi cubical persistence, twice", "pairs_gudhi", "heron", 2 * MILLION, 1),
        ],
    ),
    (
        "All three",
        "From triangles to level graph; and the fastest libraries one after another (stencil, edt, scipy's labels).",
        [
            ("ours", "chain_own", "ball-6", 50 * MILLION, 3),
            ("libraries", "chain_libraries", "ball-6", 50 * MILLION, 2),
            ("ours", "chain_own", "heron", 12 * MILLION, 3),
            ("libraries", "chain_libraries", "heron", 12 * MILLION, 2),
        ],
    ),
    (
        "Growth with cells and triangles",
        "From triangles to level graph, ours.",
        [("82 k triangles", "chain_own", "ball-6", n * MILLION, 1) for n in (1, 6.25, 25, 100, 500)]
        + [("50 million cells", "chain_own", f"ball-{k}", 50 * MILLION, 1) for k in (4, 5, 7, 9)]
        + [("both", "chain_own", "ball-9", 500 * MILLION, 1)],
    ),
]


def measure(task: str, mesh: str, cells: float, repeats: int) -> dict[str, Any] | None:
    """One figure from a process of its own; None where it cannot be had."""
    if task.endswith("_igl") and importlib.util.find_spec("igl") is None:
        return None
    command = [sys.executable, str(HERE / "cavity_tasks.py"), task, mesh, repr(cells), str(repeats)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        print(done.stderr.splitlines()[-1] if done.stderr else f"{task} ended with {done.returncode}", file=sys.stderr)
        return None
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def machine() -> str:
    """Cores and versions."""
    names = ["numpy", "numba", "scipy", "edt", "vtk", "trimesh", "gudhi", "libigl"]
    versions = []
    for name in names:
        try:
            versions.append(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            versions.append(f"{name} not installed")
    return f"{os.cpu_count()} cores of a server; Python {platform.python_version()}, {', '.join(versions)}"


def row_of(words: str, found: dict[str, Any]) -> list[str]:
    """One line of a table."""
    note = ""
    if found["task"].startswith("occupancy"):
        note = f"{100 * (found['value'] / found['exact_m3'] - 1):+.4f} %"
    elif found["task"].startswith(("distance", "chain")):
        note = f"{found['value']:.6f} m3"
    elif found["task"].startswith(("levels", "pairs")):
        note = f"{found['value']:.0f} " + ("nodes" if found["task"].startswith("levels") else "pools and pockets")
    elif found["task"].startswith("nearest"):
        note = f"mean {1e3 * found['value']:.6f} mm"
    return [
        words,
        found["mesh"],
        f"{found['triangles']:,}",
        f"{found['cells'] / MILLION:.3g} M",
        f"{found['wall_s']:.3g}",
        f"{found['processor_s']:.3g}",
        f"{found['bytes_a_cell']:.1f}",
        note,
    ]


HEAD = ["what", "mesh", "triangles", "cells", "wall, s", "processor, s", "peak bytes a cell", "found"]


def table(rows: list[list[str]]) -> str:
    """Rows as a Markdown table."""
    lines = [HEAD, ["---"] * 3 + ["--:"] * 4 + ["---"], *rows]
    lines[1] = ["---", "---", "--:", "--:", "--:", "--:", "--:", "---"]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def draw(results: list[tuple[str, list[tuple[str, dict[str, Any]]]]]) -> None:
    """Bars by section on a logarithmic axis of processor seconds; ours dark, others light."""
    from matplotlib.figure import Figure

    shown = results[:4]
    heights = [len(rows) for _, rows in shown]
    figure = Figure(figsize=(10, 0.36 * sum(heights) + 2.2), layout="constrained")
    axes = figure.subplots(len(shown), 1, gridspec_kw={"height_ratios": heights}, sharex=True)
    for axis, (section, rows) in zip(axes, shown, strict=True):
        names = [f"{words} — {f['mesh']}, {f['cells'] / MILLION:.3g} M" for words, f in rows]
        ours = ["ours" in words for words, _ in rows]
        seconds = [f["processor_s"] for _, f in rows]
        axis.barh(range(len(rows)), seconds, color=["#0b4f6c" if o else "#d9a441" for o in ours])
        axis.set_yticks(range(len(rows)), names, fontsize=8)
        axis.invert_yaxis()
        axis.set_xscale("log")
        axis.set_title(section, loc="left", fontsize=10)
        axis.grid(axis="x", alpha=0.3)
    axes[-1].set_xlabel("processor seconds, summed over threads (dark: Pourwright)")
    CHART.parent.mkdir(exist_ok=True)
    figure.savefig(CHART, dpi=110)


def main() -> None:
    """Measure, print, and write if asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="put tables and chart into docs/benchmarks.md")
    parser.add_argument("--quick", action="store_true", help="a tenth of the cells, one repeat, no mesh of millions")
    asked = parser.parse_args()
    results, text = [], [BEGIN, "", machine() + ".", ""]
    for section, note, lines in PLAN:
        print(f"\n## {section}\n", flush=True)
        rows = []
        for words, task, mesh, cells, repeats in lines:
            if asked.quick and mesh in ("ball-8", "ball-9"):
                continue
            found = measure(task, mesh, cells / 10 if asked.quick else cells, 1 if asked.quick else repeats)
            if found:
                rows.append((words, found))
                print("  ".join(row_of(words, found)), flush=True)
        results.append((section, rows))
        text += [f"### {section}", "", note, "", table([row_of(words, f) for words, f in rows]), ""]
    if asked.write:
        draw(results)
        text += [f"![Processor seconds by section](pictures/{CHART.name})", "", END]
        page = DOCS / "benchmarks.md"
        old = page.read_text(encoding="utf-8") if page.exists() else f"# Benchmarks\n\n{BEGIN}\n{END}\n"
        head, _, rest = old.partition(BEGIN)
        page.write_text(head + "\n".join(text) + rest.partition(END)[2], encoding="utf-8")


if __name__ == "__main__":
    main()
