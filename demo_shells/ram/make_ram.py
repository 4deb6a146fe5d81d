"""Make ram.ply: a ram's head to hang on a wall, 0.9 m, open at the back with a flat rim in the plane y = 0."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import trimesh

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from clay import (  # noqa: E402
    ellipsoid,
    limb,
    locks,
    saw,
    skin,
    smooth_cut,
    smooth_step,
    smooth_union,
    spline,
    turned,
    write,
)

SKULL = spline(
    [
        (0, -0.290, 0.175, 0.120),
        (0, -0.375, 0.120, 0.122),
        (0, -0.455, 0.030, 0.103),
        (0, -0.515, -0.075, 0.081),
        (0, -0.550, -0.170, 0.066),
        (0, -0.556, -0.222, 0.056),
    ]
)
NOSE = spline(
    [(0, -0.415, 0.180, 0.060), (0, -0.530, 0.060, 0.052), (0, -0.596, -0.07, 0.036), (0, -0.605, -0.17, 0.026)]
)
JAW = spline(
    [(0, -0.300, -0.01, 0.098), (0, -0.385, -0.09, 0.080), (0, -0.465, -0.185, 0.056), (0, -0.515, -0.248, 0.040)]
)
NECK = spline(
    [
        (0, -0.30, 0.09, 0.150),
        (0, -0.20, 0.03, 0.185),
        (0, -0.09, -0.035, 0.225),
        (0, -0.01, -0.07, 0.262),
        (0, 0.06, -0.09, 0.30),
    ]
)
EAR = spline(
    [
        (0.105, -0.305, 0.085, 0.030),
        (0.19, -0.325, 0.085, 0.044),
        (0.275, -0.350, 0.062, 0.034),
        (0.335, -0.37, 0.035, 0.012),
    ],
    40,
)


def horn() -> np.ndarray:
    """Curl of the horn at the reader's right: from the poll back, down, forward and out to a drooping tip."""
    turn = np.radians(np.linspace(-4, 322, 160))
    t = np.linspace(0, 1, 160)
    reach = 0.192 - 0.045 * t - 0.035 * t**3
    x = 0.074 + 0.150 * t**0.75 + 0.06 * np.sin(np.pi * t) + 0.150 * t**4
    y = -0.315 + reach * np.sin(turn) - 0.045 * t**5
    z = 0.110 + reach * np.cos(turn) - 0.070 * t**2
    curl = np.column_stack([x, y, z, 0.082 * (1 - t) ** 0.62 + 0.004 + 0.012 * t])
    root = spline(
        [(0.045, -0.335, 0.150, 0.070), (0.058, -0.362, 0.215, 0.076), tuple(curl[0]), tuple(curl[8]), tuple(curl[16])],
        40,
    )
    return np.vstack([root[:-1], curl[16:]])


HORN = horn()


def ram(p: np.ndarray) -> np.ndarray:
    q = np.column_stack([np.abs(p[:, 0]), p[:, 1], p[:, 2]])
    head, _ = limb(p * (1.16, 1, 1), SKULL)
    d = smooth_union(head, limb(p * (1.35, 1, 1), NOSE)[0], 0.05)
    d = smooth_union(d, limb(p * (1.25, 1, 1), JAW)[0], 0.06)
    cheek = ellipsoid(turned(q, (0.070, -0.365, -0.005), yaw=12, roll=-25), (0.042, 0.080, 0.095))
    d = smooth_union(d, cheek, 0.05)
    muzzle = ellipsoid(turned(p, (0, -0.562, -0.205), roll=-20), (0.064, 0.058, 0.062))
    d = smooth_union(d, muzzle, 0.04)
    chin = ellipsoid(p - (0, -0.530, -0.262), (0.038, 0.040, 0.028))
    d = smooth_union(d, chin, 0.030)
    # Eyes under a heavy brow.
    orbit = ellipsoid(q - (0.098, -0.432, 0.098), (0.040, 0.050, 0.044))
    d = smooth_union(d, orbit, 0.030)
    d = smooth_cut(d, ellipsoid(turned(q, (0.132, -0.462, 0.094), yaw=-50), (0.037, 0.022, 0.023)), 0.014)
    eye = ellipsoid(q - (0.108, -0.443, 0.094), (0.0235, 0.0225, 0.0215))
    d = smooth_union(d, eye, 0.005)
    brow = limb(
        q,
        spline(
            [
                (0.055, -0.515, 0.108, 0.010),
                (0.105, -0.490, 0.134, 0.018),
                (0.140, -0.430, 0.128, 0.014),
                (0.148, -0.37, 0.095, 0.008),
            ],
            30,
        ),
    )[0]
    d = smooth_union(d, brow, 0.024)
    # Nostrils, mouth.
    nostril = limb(
        q, spline([(0.016, -0.628, -0.208, 0.008), (0.036, -0.622, -0.186, 0.011), (0.055, -0.594, -0.178, 0.007)], 20)
    )[0]
    d = smooth_cut(d, nostril, 0.016)
    line = -0.238 + 0.10 * np.clip(p[:, 1] + 0.60, 0, None) + 2.2 * np.clip(p[:, 1] + 0.60, 0, None) ** 2
    fade = smooth_step(-0.455, -0.50, p[:, 1])
    d = d + 0.009 * fade * np.exp(-(((p[:, 2] - line) / 0.0055) ** 2))
    between = (
        smooth_step(-0.565, -0.59, p[:, 1]) * smooth_step(-0.175, -0.20, p[:, 2]) * smooth_step(-0.25, -0.238, p[:, 2])
    )
    d = d + 0.009 * between * np.exp(-((p[:, 0] / 0.0055) ** 2))
    # Neck and poll in fleece.
    neck, _ = limb(p * (1.06, 1, 0.92), NECK)
    poll = ellipsoid(p - (0, -0.385, 0.250), (0.085, 0.085, 0.060))
    wool = smooth_union(neck, poll, 0.05)
    woolly = smooth_union(d, wool, 0.06)
    share = smooth_step(0.035, -0.005, wool - d)
    relief = locks(p * (1, 1, 0.75) + 0.008 * np.sin(p[:, [1, 2, 0]] * 60), 0.050)
    at_wall = smooth_step(-0.005, -0.060, p[:, 1])  # the fleece dies out before the rim
    d = woolly - 0.026 * share * at_wall * (relief - 0.75)
    # Ears.
    flat = turned(q, (0.2, -0.33, 0.07), roll=35) * (1, 1.9, 1) @ np.eye(3)
    axis = EAR.copy()
    axis[:, :3] = turned(EAR[:, :3], (0.2, -0.33, 0.07), roll=35) * (1, 1.9, 1)
    ear = limb(flat, axis)[0] * 0.62
    hollow_axis = axis + np.array([0, -0.040, 0.002, -0.012])
    ear = smooth_cut(ear, limb(flat, hollow_axis[6:-4])[0] * 0.62, 0.012)
    d = smooth_union(d, ear, 0.022)
    # Horns, ringed.
    curl, along = limb(q, HORN)
    rings = saw(-(along**0.9) * 30, 0.35) * smooth_step(1.0, 0.75, along)
    d = smooth_union(d, curl - 0.0055 * (rings - 0.5), 0.016)
    return d


def main(cell: float = 0.0036, triangles: int = 62_000) -> None:
    closed = skin(ram, (-0.50, -0.70, -0.48), (0.50, 0.02, 0.48), cell, triangles, rounds=10, closed=False)
    mesh = trimesh.intersections.slice_mesh_plane(closed, (0, -1, 0), (0, 0, 0))
    mesh.merge_vertices(digits_vertex=7)
    mesh.update_faces(mesh.nondegenerate_faces())
    mesh = max(mesh.split(only_watertight=False), key=lambda part: len(part.faces))
    rim = trimesh.grouping.group_rows(mesh.edges_sorted, require_count=1)
    if not np.all(np.abs(mesh.vertices[mesh.edges_sorted[rim], 1]) < 1e-6):
        raise SystemExit("the rim is not flat")
    mesh.apply_translation((0, 0, -mesh.bounds[:, 2].mean()))
    mesh.apply_scale(0.9 / mesh.extents.max())
    write(mesh, HERE / "ram.ply", 0.001)


if __name__ == "__main__":
    main()
