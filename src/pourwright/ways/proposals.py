"""Ways that a job does not ask for and that are worth a look beside it: mixtures by limb, spreading, cores."""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity import limbs_of
from pourwright.cores import COVER, EPS_LIMIT, GAP, CoreRules, clear_m, rim_m
from pourwright.lining import HAND, Rules
from pourwright.sources import Cited, Standing
from pourwright.ways.bench import Bench
from pourwright.ways.mixtures import MEET, mixed_thicknesses, narrow_stretches

CORE_DENSITY = Cited(20.0, "kg/m^3", Standing.MEMORY, note="of expanded polystyrene in blocks, 15 to 30")
EDGES = (1.0, 0.75, 0.5)
"""Edges of such a core, of its longest; our judgement."""
CORE_STEP_M = 0.01
"""... in whole steps of this."""
SIDES = np.array([(0, 0, 1), (0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 0, -1)], float)
"""Ways up, standing axes: as it stands, on its sides, upside down."""
LEAST_CELLS = 4.2
"""Cells that a core spans at least by its shortest edge, with what its laying may lose; our judgement."""


def mixtures(bench: Bench) -> list[Rules] | str:
    """Linings whose narrow limbs are filled solid; why there are none."""
    space, job = bench.as_planned, bench.asked
    limbs = limbs_of(
        space.graph, job.day.least_mix_m3 * bench.history.foam.expansion.nominal, spill_m=job.limits.spill_m
    )
    found = narrow_stretches(space, limbs)
    if not found:
        return "mixtures by limb: no limb, and no end of one, is both long and less than half as wide as the widest"
    thick = mixed_thicknesses(bench.thicknesses(), found)
    if not thick:
        half = 1e3 * max(one.half_m for one in found)
        return (
            f"mixtures by limb: limbs no wider than {2.0 * half:.0f} mm are filled solid beside any of these linings, "
            f"whose coats would meet there from {half / MEET:.0f} mm on"
        )
    parts, least = tuple(one.rules for one in found), job.fill.least_m
    return [Rules("lining", t, "hand", least_m=least, parts=parts) for t in thick]


def spreads(bench: Bench, thick_m: list[float]) -> list[Rules] | str:
    """Linings spread by hand, in the ways up of the job, else as it stands and laid on any side; why there are none."""
    fill = bench.job.fill
    if not any(clear_m(one, rim_m(one, bench.skin)) >= HAND.value for one in bench.skin.openings):
        return (
            f"spreading: an arm with a brush wants a mouth {1e3 * HAND.value:.0f} mm clear, and this piece is modelled "
            "without one"
        )
    positions = fill.positions or tuple(
        (float(up[0]), float(up[1]), float(up[2])) for up in SIDES @ bench.frame.rotation
    )
    return [
        Rules("lining", t, least_m=fill.least_m, by="spreading", positions=positions, reach_m=fill.reach_m)
        for t in thick_m
    ]


def some_cores(bench: Bench) -> Rules | str:
    """Blocks for the widest place of a piece, limbs that are too narrow for one solid; why there are none."""
    import edt

    fraction, cell = bench.cavity.fraction, bench.cavity.grid.cell_m
    half = cell * float(edt.edt(np.pad(fraction >= 128, 1)).max())
    edge = 2.0 * (half - COVER.value) / math.sqrt(math.fsum(e**2 for e in EDGES))
    wide = [clear_m(one, rim_m(one, bench.skin)) for one in bench.skin.openings]
    if wide:
        edge = min(edge, max(wide) / math.hypot(*EDGES[1:]))
    edges = tuple(math.floor(edge * e / CORE_STEP_M + 1e-9) * CORE_STEP_M for e in EDGES)
    if edges[2] < max(LEAST_CELLS * cell, CORE_STEP_M):
        return f"cores: under {1e3 * COVER.value:.0f} mm of foam there is no room for a block that is worth its laying"
    size = (round(edges[0], 6), round(edges[1], 6), round(edges[2], 6))
    core = CoreRules("blocks", size, CORE_DENSITY.value, EPS_LIMIT.value, COVER.value, GAP.value, EPS_LIMIT.standing)
    return Rules("core", core=core)
