"""Make tender.ply: the hollow, double-walled hull of a small pond tender, 2.9 m long, moulded in one piece."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from clay import ellipsoid, limb, saw, skin, smooth_cut, smooth_step, smooth_union, write  # noqa: E402

LENGTH = 2.9
# Stations from the stem (0) to the transom (1).
AT = (-0.02, 0.0, 0.04, 0.10, 0.20, 0.35, 0.55, 0.75, 0.90, 1.0, 1.02)
BEAM = PchipInterpolator(AT, (0.05, 0.085, 0.175, 0.295, 0.445, 0.585, 0.640, 0.600, 0.525, 0.460, 0.447))
SHEER = PchipInterpolator(AT, (0.648, 0.640, 0.617, 0.587, 0.545, 0.500, 0.472, 0.478, 0.500, 0.522, 0.526))
KEEL = PchipInterpolator(AT, (0.40, 0.335, 0.235, 0.150, 0.080, 0.040, 0.030, 0.045, 0.085, 0.125, 0.132))
# The bilge is slack forward and full aft.
FULL = PchipInterpolator(AT, (1.0, 1.05, 1.15, 1.3, 1.65, 2.2, 2.7, 2.8, 2.6, 2.4, 2.4))


def hull(p: np.ndarray, inset: float = 0.0, laps: float = 0.0) -> np.ndarray:
    """About the distance to the moulded outside, drawn in by ``inset``, with ``laps`` metres of planking relief."""

    def field(q: np.ndarray) -> np.ndarray:
        u = np.clip(q[:, 0] / LENGTH, -0.02, 1.02)
        beam, keel, sheer, full = BEAM(u), KEEL(u), SHEER(u), FULL(u)
        t = np.clip((q[:, 2] - keel) / (sheer - keel), 0.0, 1.6)
        rise = np.clip(t, 1e-4, 1.0)
        half = beam * (1 - (1 - rise) ** full) ** (1 / 1.45) + 0.04 * beam * np.clip(t - 1, 0, None)
        girth = rise**0.62 * 5.0 + 0.05
        return np.abs(q[:, 1]) - half + laps * saw(girth, 0.14) * smooth_step(0.0, 0.12, u) * smooth_step(0.02, 0.25, t)

    e = 0.004
    here = field(p)
    slope = [(field(p + e * axis) - field(p - e * axis)) / (2 * e) for axis in np.eye(3)]
    side = here / np.maximum(np.sqrt(sum(g * g for g in slope)), 0.3)
    below = (KEEL(np.clip(p[:, 0] / LENGTH, -0.02, 1.02)) - p[:, 2]) * 0.8
    side = np.maximum(side, below)
    # The stem rakes forward, the transom aft.
    stem = (-p[:, 0] + 0.02 + 0.30 * np.clip(0.60 - p[:, 2], 0, 1) ** 1.5) * 0.9
    stern = (p[:, 0] - LENGTH + 0.14 * (0.52 - p[:, 2])) * 0.98
    d = -smooth_union(-side, -stem, 0.06)
    d = -smooth_union(-d, -stern, 0.05)
    return d + inset


def tender(p: np.ndarray) -> np.ndarray:
    u = np.clip(p[:, 0] / LENGTH, 0, 1)
    sheer = SHEER(u)
    deck = (p[:, 2] - sheer - 0.018 * (1 - (p[:, 1] / BEAM(u)) ** 2)) * 0.97
    d = -smooth_union(-hull(p, laps=0.011), -deck, 0.035)
    # Rubbing strake along the gunwale, keel and skeg.
    line = np.linspace(0.0, 0.992, 120)
    out = (BEAM(line) + 0.004) * smooth_step(-0.012, 0.03, line)
    rub = np.column_stack(
        [line * LENGTH + 0.03 * (1 - smooth_step(0, 0.03, line)), out, SHEER(line) - 0.035, 0 * line + 0.026]
    )
    q = np.column_stack([p[:, 0], np.abs(p[:, 1]), p[:, 2]])
    d = smooth_union(d, limb(q, rub)[0], 0.03)
    keel = np.linspace(0.06, 0.97, 60)
    drop = 0.045 * smooth_step(0.55, 0.97, keel)
    spine = np.column_stack([keel * LENGTH, 0 * keel, KEEL(keel) + 0.006 - 0.4 * drop, np.full(60, 0.030)])
    d = smooth_union(d, limb(p, spine)[0], 0.05)
    skeg = np.column_stack([keel * LENGTH, 0 * keel, KEEL(keel) - drop, 0.022 + 0 * keel])
    d = smooth_union(d, limb(p, skeg)[0], 0.04)
    # The cockpit: the hull drawn in, with a flat sole.
    sole = (0.165 + 0.02 * smooth_step(0.5, 0.0, u) - p[:, 2]) * 0.98
    well = -smooth_union(-hull(p, inset=0.085), -sole, 0.09)
    fore = (0.55 + 0.10 * (p[:, 2] - 0.3) - p[:, 0]) * 0.98  # bulkhead of the foredeck
    aft = (p[:, 0] - 2.66 + 0.15 * (p[:, 2] - 0.3)) * 0.98
    well = -smooth_union(-well, -fore, 0.14)
    well = -smooth_union(-well, -aft, 0.12)
    d = smooth_cut(d, well, 0.045)
    # Thwarts with a hollow seat each, grown out of the liner; the aft one is a bench.
    inside = hull(p, inset=0.050)
    for at, width, top in ((1.33, 0.115, 0.345), (2.52, 0.22, 0.375)):
        arch = 0.02 * (p[:, 1] / 0.5) ** 2
        seat = np.maximum(np.abs(p[:, 0] - at) - width + 0.04, 0) ** 2
        high = np.abs(p[:, 2] - (top - 0.035) - arch) - 0.0
        seat = np.sqrt(seat + np.maximum(high, 0) ** 2) - 0.04
        d = smooth_union(d, np.maximum(seat, inside), 0.05)
        post = np.hypot(p[:, 0] - at, 0.45 * p[:, 1]) - 0.065 - 0.05 * smooth_step(0.26, 0.16, p[:, 2])
        post = np.maximum(np.maximum(post, p[:, 2] - top + 0.055), 0.12 - p[:, 2])
        d = smooth_union(d, np.maximum(post, inside), 0.06)
    # Ribs on the sole, oarlock pads on the gunwale.
    ribs = np.exp(-(((np.mod(p[:, 0] - 0.08, 0.26) - 0.13) / 0.020) ** 2))
    on_sole = (
        smooth_step(0.30, 0.20, p[:, 2]) * smooth_step(-0.03, 0.0, -well) * smooth_step(0.05, 0.10, p[:, 2] - KEEL(u))
    )
    d = d - 0.010 * ribs * on_sole
    pad = ellipsoid(q - (1.62, 0.585, 0.485), (0.10, 0.055, 0.030))
    d = smooth_union(d, pad, 0.04)
    return d


def main(cell: float = 0.0075, triangles: int = 60_000) -> None:
    mesh = skin(tender, (-0.06, -0.74, -0.06), (2.98, 0.74, 0.74), cell, triangles)
    mesh.apply_translation((0, 0, -mesh.bounds[0, 2]))
    mesh.apply_scale(2.9 / mesh.extents[0])
    write(mesh, HERE / "tender.ply", 1.0)


if __name__ == "__main__":
    main()
