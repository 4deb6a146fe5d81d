"""Make float.ply: a float for a floating dock, 1.6 m long, two chambers with a groove between, two posts in each."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from clay import skin, smooth_cut, smooth_step, write  # noqa: E402

HALF = np.array([0.80, 0.38, 0.19])
POSTS = [(x, y) for x in (-0.42, 0.42) for y in (-0.15, 0.15)]


def block(p: np.ndarray, half: np.ndarray, round_m: float) -> np.ndarray:
    """Rounded block about the origin."""
    q = np.abs(p) - half + round_m
    return np.linalg.norm(np.maximum(q, 0), axis=1) + np.minimum(q.max(axis=1), 0) - round_m


def dock_float(p: np.ndarray) -> np.ndarray:
    """About the distance to the moulded outside."""
    # Sides draw in towards the keel; treads run across the deck.
    q = p.copy()
    q[:, 1] = p[:, 1] * (1.0 + 0.10 * smooth_step(0.05, -0.19, p[:, 2]))
    d = block(q, HALF, 0.06)
    tread = np.exp(-(((np.mod(p[:, 0], 0.08) - 0.04) / 0.012) ** 2))
    d = d - 0.004 * tread * smooth_step(0.15, 0.19, p[:, 2])
    # A groove all round leaves a web as thick as two walls: there are two chambers.
    groove = np.abs(p[:, 0]) - 0.024
    web = 0.006 - np.abs(p[:, 2] + 0.02)
    d = smooth_cut(d, np.maximum(groove, web), 0.006)
    # Posts: hollow from deck to keel, so that deck and keel hold each other.
    for x, y in POSTS:
        narrow = 0.045 + 0.03 * (np.abs(p[:, 2]) / HALF[2]) ** 2
        d = smooth_cut(d, np.hypot(p[:, 0] - x, p[:, 1] - y) - narrow, 0.015)
    return d


def main(cell: float = 0.006, triangles: int = 40_000) -> None:
    mesh = skin(dock_float, (-0.86, -0.44, -0.24), (0.86, 0.44, 0.24), cell, triangles)
    mesh.apply_translation((0, 0, -mesh.bounds[0, 2]))
    mesh.apply_scale(1.6 / mesh.extents[0])
    write(mesh, HERE / "float.ply", 1.0)


if __name__ == "__main__":
    main()
