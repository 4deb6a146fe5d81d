"""Make heron.stl: a standing heron, 2.2 m tall, looking to the reader's left with its bill a little raised."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from clay import ellipsoid, limb, saw, skin, smooth_cut, smooth_step, smooth_union, spline, turned, write  # noqa: E402

NECK = spline(
    [
        (0.02, 0, 1.26, 0.150),
        (-0.13, 0, 1.33, 0.118),
        (-0.235, 0, 1.43, 0.086),
        (-0.268, 0, 1.55, 0.068),
        (-0.200, 0, 1.675, 0.058),
        (-0.098, 0, 1.79, 0.052),
        (-0.052, 0, 1.905, 0.049),
        (-0.090, 0, 2.015, 0.050),
        (-0.180, 0, 2.085, 0.056),
    ]
)
BILL = spline(
    [(-0.255, 0, 2.096, 0.047), (-0.36, 0, 2.108, 0.036), (-0.50, 0, 2.138, 0.025), (-0.665, 0, 2.178, 0.0085)]
)
CREST = spline(
    [
        (-0.22, 0, 2.140, 0.034),
        (-0.11, 0, 2.146, 0.024),
        (0.01, 0, 2.150, 0.0145),
        (0.12, 0, 2.141, 0.008),
        (0.2, 0, 2.122, 0.005),
    ]
)
TAIL = spline([(0.20, 0, 1.19, 0.10), (0.37, 0, 1.155, 0.072), (0.52, 0, 1.125, 0.045)])


def leg(x: float, y: float, hip_x: float, hip_y: float, hock_back: float) -> list[np.ndarray]:
    """Shank with its hock, and four toes, of the foot at ``x, y``."""
    shank = spline(
        [
            (x, y, 0.034, 0.036),
            (x + 0.3 * hock_back, y, 0.16, 0.0315),
            (x + 0.75 * hock_back, y, 0.40, 0.0320),
            (x + hock_back, y + 0.1 * (hip_y - y), 0.535, 0.0440),
            (x + 0.8 * hock_back + 0.15 * (hip_x - x), y + 0.3 * (hip_y - y), 0.63, 0.0365),
            (0.5 * (x + hip_x) + 0.4 * hock_back, 0.4 * y + 0.6 * hip_y, 0.82, 0.0480),
            (hip_x, hip_y, 1.03, 0.0900),
        ]
    )
    toes = []
    for angle, length in ((180, 0.235), (146, 0.205), (214, 0.205), (8, 0.145)):
        dx, dy = np.cos(np.radians(angle)), np.sin(np.radians(angle))
        toes.append(
            spline(
                [
                    (x, y, 0.033, 0.032),
                    (x + 0.35 * length * dx, y + 0.35 * length * dy, 0.0315, 0.0265),
                    (x + 0.75 * length * dx, y + 0.75 * length * dy, 0.0295, 0.0215),
                    (x + length * dx, y + length * dy, 0.0255, 0.0105),
                ],
                24,
            )
        )
    return [shank, *toes]


LEGS = [*leg(-0.055, -0.112, 0.045, -0.082, 0.045), *leg(0.115, 0.112, 0.072, 0.082, 0.035)]


def scales(s: np.ndarray, v: np.ndarray, length: float, width: float) -> np.ndarray:
    """Overlapping round-ended feathers that point along +s, 0 to 1."""
    row = np.floor(v / width)
    across = v / width - row - 0.5
    return saw(s / length + 0.5 * np.mod(row, 2) + 1.5 * across * across, 0.16) * (1 - 1.6 * across * across)


def wing(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """One folded wing (both by symmetry): distance and feather relief."""
    q = np.column_stack([p[:, 0], np.abs(p[:, 1]), p[:, 2]])
    local = turned(q, (0.150, 0.118, 1.268), yaw=-6, pitch=18, roll=20)
    s, v = local[:, 0], local[:, 2]
    # A leaf: round at the shoulder, drawn out to a point over the tail.
    width = 0.140 * np.clip(1.0 - (s + 0.05) / 0.45, 0.02, 1.0) ** 0.6
    stretched = np.column_stack([s, local[:, 1], v * 0.140 / np.maximum(width, 0.045)])
    d = ellipsoid(stretched, (0.405, 0.056, 0.140)) * 0.8
    quill = (v + 0.10 * np.clip(s, 0, None)) / (0.034 - 0.02 * np.clip(s, 0, 0.4))
    quills = saw(quill, 0.3)
    step = 0.020 * np.abs(np.sin(np.pi * quill))
    relief = np.where(s < 0.06 + step - 0.5 * v, 0.35 + 0.65 * scales(s + 0.5 * v, v, 0.085, 0.044), 0.75 * quills)
    relief = np.where(s < -0.15 - 0.4 * v, 0.45 + 0.55 * scales(s + 0.4 * v, v, 0.056, 0.034), relief)
    return d, relief


def heron(p: np.ndarray) -> np.ndarray:
    body = ellipsoid(turned(p, (0.06, 0, 1.235), pitch=19), (0.335, 0.172, 0.205))
    belly = ellipsoid(turned(p, (0.05, 0, 1.13), pitch=8), (0.20, 0.135, 0.13))
    d = smooth_union(body, belly, 0.09)
    tail, _ = limb(p * (1, 0.62, 1), TAIL * (1, 1, 1, 1))
    d = smooth_union(d, tail, 0.10)
    folded, feathers = wing(p)
    on_wing = smooth_step(0.022, -0.012, folded)
    d = smooth_union(d, folded - 0.0085 * feathers * on_wing, 0.020)
    neck, along = limb(p * (1, 1.08, 1), NECK)
    plumes = saw(np.arctan2(p[:, 1], -(p[:, 0] + 0.02)) * 5.5 / 1.6 + 0.5, 0.5)
    plumes = (
        plumes * smooth_step(0.42, 0.20, along) * smooth_step(0.0, 0.10, along) * smooth_step(-0.03, -0.14, p[:, 0])
    )
    d = smooth_union(d, neck - 0.007 * plumes, 0.11)
    # Plumes that hang from the foot of the neck, close to the breast.
    for side, length in ((-0.045, 0.20), (0.0, 0.25), (0.045, 0.20)):
        plume, _ = limb(
            p,
            spline(
                [
                    (-0.262, side * 0.6, 1.47, 0.036),
                    (-0.262, side * 0.9, 1.47 - 0.55 * length, 0.034),
                    (-0.222, side, 1.47 - length, 0.014),
                ],
                20,
            ),
        )
        d = smooth_union(d, plume, 0.03)
    head = ellipsoid(turned(p, (-0.205, 0, 2.118), pitch=8), (0.112, 0.064, 0.077))
    d = smooth_union(d, head, 0.07)
    bill, where = limb(p * (1, 1.25, 1), BILL)
    bill_axis = np.interp(p[:, 0], BILL[::-1, 0], BILL[::-1, 2])
    groove = np.exp(-(((p[:, 2] - bill_axis + 0.004) / 0.0045) ** 2)) * smooth_step(0.02, 0.12, where)
    d = smooth_union(d, bill + 0.0045 * groove * smooth_step(0.98, 0.8, where), 0.035)
    crest, _ = limb(p * (1, 1.1, 1), CREST)
    d = smooth_union(d, crest, 0.025)
    q = np.column_stack([p[:, 0], np.abs(p[:, 1]), p[:, 2]])
    eye = ellipsoid(q - (-0.250, 0.0515, 2.128), (0.0185, 0.0145, 0.0185))
    socket = ellipsoid(q - (-0.250, 0.0695, 2.128), (0.031, 0.016, 0.025))
    brow, _ = limb(
        q, spline([(-0.315, 0.034, 2.134, 0.008), (-0.25, 0.0535, 2.154, 0.010), (-0.165, 0.057, 2.142, 0.006)], 16)
    )
    d = smooth_union(smooth_union(smooth_cut(d, socket, 0.02), eye, 0.006), brow, 0.018)
    for part in LEGS:
        d = smooth_union(d, limb(p, part)[0], 0.022 if part[-1, 2] < 0.5 else 0.085)
    return d


def main(cell: float = 0.005, triangles: int = 58_000) -> None:
    mesh = skin(heron, (-0.74, -0.28, -0.02), (0.66, 0.28, 2.24), cell, triangles)
    mesh.apply_translation((0, 0, -mesh.bounds[0, 2]))
    mesh.apply_scale(2.2 / mesh.extents[2])
    write(mesh, HERE / "heron.stl", 0.001)


if __name__ == "__main__":
    main()
