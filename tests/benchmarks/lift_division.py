"""How long it takes to divide tall combs of limbs into lifts. Run by hand: ``python lift_division.py``.

A comb has so many upright limbs, each joined to the next at a random height: pools, pockets and joins in plenty. Times
are of the bands and of the division alone, without ports and vents; the first comb also compiles.
"""

from __future__ import annotations

import time

import numpy as np

from pourwright.cavity import Cavity, Grid, build_levels, pour_frame
from pourwright.divide.bands import Rules, grow, nodes_of
from pourwright.divide.even import divide


def comb(limbs: int, levels: int, cell: float) -> Cavity:
    """A comb drawn in cells, with a fixed seed."""
    rng = np.random.default_rng(0)
    mask = np.zeros((2 * limbs, 3, levels), bool)
    mask[::2] = True
    for limb in range(limbs - 1):
        height = rng.integers(5, levels - 10)
        mask[2 * limb + 1, :, height : height + 5] = True
    volume = float(mask.sum()) * cell**3
    frame = pour_frame(
        np.array([np.zeros(3), np.array(mask.shape) * cell]), np.array([0, 0, 1.0]), np.array([0, -1.0, 0])
    )
    grid = Grid(np.zeros(3), cell, mask.shape)
    return Cavity(grid, frame, (mask * 255).astype(np.uint8), volume, volume, volume, 0, 0.0, 0.0, "by hand")


def main() -> None:
    """Print the table."""
    print(
        f"{'limbs':>6}{'levels':>8}{'nodes':>8}{'tallest':>9}{'lifts':>7}{'pours':>7}{'bands, s':>10}{'divide, s':>11}"
    )
    for limbs, levels, cell in (
        (5, 100, 0.004),
        (10, 500, 0.004),
        (10, 500, 0.002),
        (40, 500, 0.004),
        (10, 1000, 0.001),
    ):
        graph = build_levels(comb(limbs, levels, cell))
        count = len(graph.node_level)
        low, high = graph.node_centroid_m[:, :2] - 0.02, graph.node_centroid_m[:, :2] + 0.02
        nodes = nodes_of(graph, np.zeros(count, bool), np.full(count, np.inf), low, high)
        rules = Rules(graph.ripple_m, 0.2, 1.0, 1 / 24, 1.1 / 24, 1e4, 4.5e3, 470.0, 0.6, 0.05)
        began = time.perf_counter()
        growth = grow(nodes, rules, 0, levels)
        grown = time.perf_counter()
        found = divide(growth.tallest, growth.cost, 0.35)
        done = time.perf_counter()
        print(
            f"{limbs:>6}{levels:>8}{count:>8}{growth.tallest.max():>9}{found.lifts:>7}{found.pours:>7}"
            f"{grown - began:>10.3f}{done - grown:>11.3f}"
        )


if __name__ == "__main__":
    main()
