"""How time and memory of the filled piece grow with its triangles: ``python tests/benchmarks/structure_size.py``.

An upright egg of 0.6 m x 0.6 m x 1.4 m, 4 mm GRP, filled; empty, without bond and bonded, five load cases and 60 hand
pushes. Each size in a process of its own.
"""

import resource
import subprocess
import sys
import time

import numpy as np


def one(triangles: int) -> None:
    import trimesh

    from pourwright.cavity import Grid
    from pourwright.structure import Loads, SkinMesh, even_mesh, foam_block, piece_gains

    clock, cpu = time.perf_counter(), time.process_time()
    half = np.array([0.3, 0.3, 0.7])
    ball = trimesh.creation.icosphere(5)
    points, faces, _ = even_mesh(ball.vertices * half + half, ball.faces, triangles)
    meshed = time.perf_counter() - clock
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
    loads = Loads(1500.0, 500.0, np.zeros((0, 3)), 1.0, 0.001)
    gains, _, _, words = piece_gains(mesh, 7e9, 0.3, foam, loads)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    ratios = " ".join(f"{gain.ratios[1]:.3f}" for gain in gains)
    print(
        f"{m:6d} triangles {len(foam.cells):5d} cells: mesh {meshed:5.1f} s, all {time.perf_counter() - clock:6.1f} s, "
        f"processor {time.process_time() - cpu:6.1f} s, {peak:.2f} GB; bonded over empty {ratios}; "
        f"{len(words)} remarks",
        flush=True,
    )


if __name__ == "__main__":
    if len(sys.argv) > 1:
        one(int(sys.argv[1]))
    else:
        for size in (2500, 5000, 10_000, 20_000):
            subprocess.run([sys.executable, __file__, str(size)], check=True)
