"""How long six lifts and 24 hours of cooling take on a million cells. Run by hand: ``python staged_heat.py``.

The piece is an invented egg, 1.5 m tall and 0.84 m across (0.55 m3), of 48 kg/m3 foam behind 4 mm of laminate.
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import replace

import numpy as np

from pourwright.heat import FineCells, PourHeat, SkinLayer, StagedHeat, Surroundings, heat_grid, s_curve, simulate

LIFTS, HOURS, WAIT_S = 6, 24.0, 3600.0


def egg(cells: int) -> tuple[np.ndarray, float]:
    """Filled shares (uint8) of the egg at about ``cells`` cells, and the cell's edge."""
    half = np.array([0.42, 0.42, 0.75])
    cell = float((4 / 3 * np.pi * half.prod() / cells) ** (1 / 3))
    axes = [(np.arange(int(2 * h / cell) + 4) + 0.5) * cell - h - 2 * cell for h in half]
    x, y, z = np.meshgrid(*(a / h for a, h in zip(axes, half, strict=True)), indexing="ij", sparse=True)
    reach = x**2 + y**2 + z**2
    distance = (np.sqrt(reach) - 1) * half.min()
    return np.rint(255 * np.clip(0.5 - distance / cell, 0, 1)).astype(np.uint8), cell


def main() -> None:
    """Print the cost."""
    wanted = int(float(sys.argv[1])) if len(sys.argv) > 1 else 1_000_000
    fraction, cell = egg(wanted)
    levels = fraction.shape[2]
    label = np.broadcast_to(np.arange(1, levels + 1, dtype=np.int32), fraction.shape)
    node_pour = np.minimum(np.arange(levels) * LIFTS // levels, LIFTS - 1)
    began, used = time.perf_counter(), time.process_time()
    grid = heat_grid(FineCells(fraction, label, node_pour, np.zeros(3), cell), target_cells=2 * wanted)
    gridded = time.perf_counter()
    first = PourHeat("1", 1, 0.0, 295.0, 48.06, 1800.0, 0.03, 210e3, s_curve(40.0, 300.0))
    pours = tuple(replace(first, name=f"{n + 1}", lift=n + 1, start_s=n * WAIT_S) for n in range(LIFTS))
    problem = StagedHeat(
        grid, pours, SkinLayer(0.004, 1800.0, 1000.0, 0.25, 295.0), Surroundings(295.0), HOURS * 3600.0
    )
    result = simulate(problem)
    ended = time.perf_counter()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{result.cells:,} cells of {grid.cell_m * 1000:.2f} mm, {result.steps} steps, {result.stages} stages")
    print(f"grid {gridded - began:.2f} s, heat {ended - gridded:.2f} s, processors {time.process_time() - used:.2f} s")
    print(f"most memory of the process {memory:.0f} MB, energy residual {result.energy_residual:.1e}")
    print("peaks K:", " ".join(f"{p.peak_k:.2f}" for p in result.pours))


if __name__ == "__main__":
    main()
