"""Ways that a job does not ask for and that are worth a look beside it: mixtures by limb, spreading, cores."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np

from pourwright.cavity import limbs_of
from pourwright.cores import EPS_LIMIT, CoreRules, clear_m, rim_m
from pourwright.lining import HAND, Lining, Rules
from pourwright.sources import Cited, Standing
from pourwright.ways.mixtures import MEET, mixed_thicknesses, narrow_stretches

if TYPE_CHECKING:
    from pourwright.ways.compare import Bench

CORE_DENSITY = Cited(20.0, "kg/m^3", Standing.MEMORY, note="of expanded polystyrene in blocks, 15 to 30")
COVER_M, GAP_M = 0.05, 0.03
"""Foam round a core and between two, of cores that no job asks for: as a job has them that leaves both out."""
EDGES = (1.0, 0.75, 0.5)
"""Edges of such a core, of its longest; our judgement."""
CORE_STEP_M = 0.01
"""... in whole steps of this."""
SIDES = np.array([(0, 0, 1), (0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 0, -1)], float)
"""Ways up, standing axes: as it stands, on its sides, upside down."""
LEAST_CELLS = 4.2
"""Cells that a core spans at least by its shortest edge, with what its laying may lose."""


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


def ups_of(lining: Lining) -> tuple[tuple[float, float, float], ...]:
    """Ways up that the coats of a lining are spread in, each once."""
    out: list[tuple[float, float, float]] = []
    for coat in lining.coats:
        up = tuple(round(float(x), 6) + 0.0 for x in coat.up)
        if up not in out:
            out.append(up)  # type: ignore[arg-type]
    return tuple(out)


def some_cores(bench: Bench) -> Rules | str:
    """Blocks for the widest place of a piece, limbs that are too narrow for one solid; why there are none."""
    import edt

    fraction, cell = bench.cavity.fraction, bench.cavity.grid.cell_m
    half = cell * float(edt.edt(np.pad(fraction >= 128, 1)).max())
    edge = 2.0 * (half - COVER_M) / math.sqrt(math.fsum(e**2 for e in EDGES))
    wide = [clear_m(one, rim_m(one, bench.skin)) for one in bench.skin.openings]
    if wide:
        edge = min(edge, max(wide) / math.hypot(*EDGES[1:]))
    edges = tuple(math.floor(edge * e / CORE_STEP_M + 1e-9) * CORE_STEP_M for e in EDGES)
    if edges[2] < max(LEAST_CELLS * cell, CORE_STEP_M):
        return f"cores: under {1e3 * COVER_M:.0f} mm of foam there is no room for a block that is worth its laying"
    size = (round(edges[0], 6), round(edges[1], 6), round(edges[2], 6))
    core = CoreRules("blocks", size, CORE_DENSITY.value, EPS_LIMIT.value, COVER_M, GAP_M, EPS_LIMIT.standing)
    return Rules("core", core=core)


def cores_words(rules: Rules) -> str:
    """What the cores of a way are called."""
    if rules.core is None:
        return "cores"
    kind = "blocks" if rules.core.kind == "blocks" else "bags"
    return f"cores: {kind} {' x '.join(f'{1e3 * one:.0f}' for one in rules.core.size_m)} mm, solid round them"


def lining_words(rules: Rules) -> str:
    """What a lining is called.

    >>> from pourwright.lining import PartRules
    >>> lining_words(Rules("lining", 0.03, parts=(PartRules("legs"), PartRules("neck"), PartRules("foot", 0.06))))
    'lining 30 mm, legs and neck solid, foot 60 mm'
    """
    thick = f"{1e3 * (rules.thickness_m or 0.0):.0f} mm"
    parts = ""
    for same, some in itertools.groupby(rules.parts, key=lambda one: one.thickness_m):
        names = [one.name for one in some]
        parts += f", {' and '.join([', '.join(names[:-1]), names[-1]] if len(names) > 1 else names)} "
        parts += "solid" if same is None else f"{1e3 * same:.0f} mm"
    if rules.by == "spreading":
        ups = max(len(rules.positions), 1)
        return f"spread {thick}{parts}, {ups} way{'s' if ups > 1 else ''} up"
    return f"lining {thick}{parts}" + ("" if rules.turning == "hand" else f", {rules.turning}")
