"""The direction search on a mesh of 100,000 triangles.

    python tests/benchmarks/turn_speed.py              # a lumpy head made here
    python tests/benchmarks/turn_speed.py SHELL.stl    # another mesh, in metres

Prints seconds by the clock and of the processor for each step, and what 200 directions take.
"""

from __future__ import annotations

import importlib
import os
import platform
import sys
import tempfile
import time
from pathlib import Path

import fast_simplification
import numpy as np
import trimesh

from pourwright.intake import job_from_shell
from pourwright.shell import load_skin

TRIANGLES = 100_000
DIRECTIONS = 200
search = importlib.import_module("pourwright.turn.search")
sphere = importlib.import_module("pourwright.turn.sphere")


def head(path: Path) -> None:
    """A head with lumps of hair, a nose and a neck, and nothing regular about it."""
    ball = trimesh.creation.icosphere(subdivisions=7)
    v = np.asarray(ball.vertices)
    bumps = sum(np.sin(f * v @ np.array(d) + f) / f for f, d in ((5, (1, 2, 0.5)), (9, (2, -1, 1)), (17, (1, 1, -2))))
    nose = np.exp(-18 * ((v - [0.0, -1.0, 0.1]) ** 2).sum(axis=1))
    neck = np.exp(-3 * ((v - [0.0, 0.1, -1.1]) ** 2).sum(axis=1))
    out = v * (1 + 0.25 * bumps + 0.35 * nose + 0.7 * neck)[:, None] * [0.24, 0.3, 0.38]
    points, faces = fast_simplification.simplify(
        out.astype(np.float32), np.asarray(ball.faces, np.int32), target_count=TRIANGLES
    )
    trimesh.Trimesh(points, faces).export(path)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        if len(sys.argv) > 1:
            path = Path(sys.argv[1])
        else:
            path = Path(folder) / "head.stl"
            head(path)
        job = job_from_shell(path, {"piece.unit": "m", "wall.thickness": "5 mm", "foam.grade": "rigid-3"})
        print(f"{path.name}: {platform.machine()}, {len(os.sched_getaffinity(0))} cores, load {os.getloadavg()[0]:.1f}")
        print(f"{'step':44s} {'clock s':>8s} {'processor s':>12s}")
        skin = timed("read and judge the mesh", lambda: load(job))
        search.scene_of(job, skin)  # compiles
        scene = timed("coarse cavity and its surface", lambda: search.scene_of(job, skin))
        symmetry = timed("symmetry", lambda: sphere.symmetry_of(skin))
        turn = np.pi * (3 - np.sqrt(5)) * np.arange(DIRECTIONS)
        z = 1 - (2 * np.arange(DIRECTIONS) + 1) / DIRECTIONS
        ups = np.column_stack([np.sqrt(1 - z**2) * np.cos(turn), np.sqrt(1 - z**2) * np.sin(turn), z])
        search.look(scene, ups[:4])
        timed(f"{DIRECTIONS} directions", lambda: search.look(scene, ups))
        ways, _ = timed("the search as it is done", lambda: search.search(scene, symmetry, False))
        print(f"triangles of the shell {len(skin.faces)}, of the cavity {len(scene.faces)}; searched {len(ways)}")


def load(job):
    return load_skin(job.shell, unit=job.unit, material=job.material, bands=job.bands, kind=job.kind)


def timed(words, work):
    clock, processor = time.perf_counter(), time.process_time()
    out = work()
    print(f"{words:44s} {time.perf_counter() - clock:8.2f} {time.process_time() - processor:12.2f}", flush=True)
    return out


if __name__ == "__main__":
    main()
