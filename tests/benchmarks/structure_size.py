"""How time and memory of the filled piece grow with its triangles.

    python tests/benchmarks/structure_size.py            # prints the table
    python tests/benchmarks/structure_size.py --write    # and puts it into docs/benchmarks.md

An upright egg of 0.6 m x 0.6 m x 1.4 m, 4 mm GRP, filled: five load cases and 60 hand pushes, each on the empty skin,
on foam that is bonded and on foam that only pushes. Each size in a process of its own.
"""

import json
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

DOCS = Path(__file__).resolve().parents[2] / "docs" / "benchmarks.md"
BEGIN, END = "<!-- structure: made by tests/benchmarks/structure_size.py -->", "<!-- end of structure -->"
SIZES = (5000, 10_000, 20_000, 40_000)
HEAD = """## Structure: skin and foam by finite elements

An upright egg of 0.6 m x 0.6 m x 1.4 m, 4 mm of GRP, filled with foam: own weight, side pressure, bending both ways
and twist, and 60 hand pushes, each on the empty skin, on bonded foam and on foam that only pushes (one-sided, its own
search for each of the five loads). "Meshed" is the making of even triangles. Seconds are processor seconds over both
threads, which other work on the machine lengthens too; "elapsed" is the clock's, on two cores.

| triangles | cells of foam | unknowns | meshed | empty | bonded | only pushing | all, processor | all, elapsed | GB |
| --: | --: | --: | --: | --: | --: | --: | --: | --: | --: |"""


def one(triangles: int) -> None:
    import trimesh

    from pourwright.cavity import Grid
    from pourwright.structure import Filled, Loads, SkinMesh, even_mesh, foam_block, piece_gains

    spent = dict.fromkeys(("before", "bonded", "sliding", "touching_many"), 0.0)
    inside = [""]

    def timed(name):
        usual = getattr(Filled, name)

        def run(self, *arguments):
            if inside[0]:
                return usual(self, *arguments)
            inside[0], start = name, time.process_time()
            try:
                return usual(self, *arguments)
            finally:
                inside[0] = ""
                spent[name] += time.process_time() - start

        setattr(Filled, name, run)

    for name in spent:
        timed(name)
    clock, cpu = time.perf_counter(), time.process_time()
    half = np.array([0.3, 0.3, 0.7])
    ball = trimesh.creation.icosphere(5)
    points, faces, _ = even_mesh(ball.vertices * half + half, ball.faces, triangles)
    meshed = time.process_time() - cpu
    made = trimesh.Trimesh(points, faces, process=False)
    side = float(made.edges_unique_length.mean())
    n, m = len(points), len(faces)
    mesh = SkinMesh(points, faces, np.full(m, 0.004), np.full(n, 0.004), np.array(made.vertex_normals), side, "")
    cell = max((4.19 * half.prod() / 2500) ** (1 / 3), side)
    shape = tuple(int(v) for v in np.ceil(2 * half / cell))
    grid = Grid(np.zeros(3), cell, shape)
    centre = grid.centres(np.moveaxis(np.indices(shape), 0, -1))
    depth = (1 - np.linalg.norm(centre / half - 1, axis=-1)) * half.min()
    share = np.clip(depth / cell + 0.5, 0, 1)
    foam = foam_block(grid, share, np.full(shape[2], 8e6), np.full(shape[2], 50.0), 0.3)
    gains, *_ = piece_gains(mesh, 7e9, 0.3, foam, Loads(1500.0, 500.0, np.zeros((0, 3)), 1.0, 0.001))
    told = {
        "triangles": m,
        "cells": len(foam.cells),
        "unknowns": 6 * n + foam.size,
        "meshed": meshed,
        "empty": spent["before"],
        "bonded": spent["bonded"],
        "pushing": spent["sliding"] + spent["touching_many"],
        "processor": time.process_time() - cpu,
        "elapsed": time.perf_counter() - clock,
        "gb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / 1e9,
        "ratios": [round(gain.times[1], 4) for gain in gains],
    }
    print(json.dumps(told))


def row(told: dict) -> str:
    seconds = " | ".join(f"{told[k]:.1f}" for k in ("meshed", "empty", "bonded", "pushing", "processor", "elapsed"))
    return f"| {told['triangles']:,} | {told['cells']:,} | {told['unknowns']:,} | {seconds} | {told['gb']:.2f} |"


def main(arguments: list[str]) -> None:
    rows = []
    for size in SIZES:
        done = subprocess.run([sys.executable, __file__, str(size)], check=True, capture_output=True, text=True)
        told = json.loads(done.stdout.splitlines()[-1])
        rows.append(row(told))
        print(rows[-1], told["ratios"], flush=True)
    if "--write" in arguments:
        text = DOCS.read_text(encoding="utf-8")
        made = "\n".join([BEGIN, "", HEAD, *rows, "", END])
        before, found, rest = text.partition(BEGIN)
        text = before + made + rest.partition(END)[2] if found else text.rstrip() + "\n\n" + made + "\n"
        DOCS.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) > 1 and sys.argv[1].isdigit():
        one(int(sys.argv[1]))
    else:
        main(sys.argv[1:])
