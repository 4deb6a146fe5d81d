"""From a plan's folder to the job of its structure: skin, lifts and foam as they were planned."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.document.model import PlanDocument
from pourwright.document.read_plan import skin_of
from pourwright.document.write_site import site_from
from pourwright.errors import FileError
from pourwright.lifts import judged
from pourwright.outcome import Site
from pourwright.plan import hung_frame, resting_of
from pourwright.progress import Progress, silent
from pourwright.shell import SkinMaterial
from pourwright.sources import Cited, Standing
from pourwright.structure import PressedPour, StructureJob, pressed_lift

EARLIER = {"design_stress_pa": "short_term_stress_pa"}
"""Names that values of the skin had in earlier plans."""


@dataclass(frozen=True, slots=True)
class Instead:
    """What is taken in place of what the plan has; None: as it has it."""

    side_pa: float | None = None
    triangles: int | None = None
    rests: str | None = None
    wall_m: float | None = None


AS_PLANNED = Instead()


def structure_job_of(
    plan: PlanDocument,
    folder: Path,
    *,
    shell: Path | None = None,
    site: Site | None = None,
    asked: Instead = AS_PLANNED,
    progress: Progress = silent,
) -> StructureJob:
    """The job of ``structure.solve_structure`` for a planned piece: what is not asked for is as the plan has it.

    Raises
    ------
    FileError
        The plan lacks a value of skin or foam.
    UsageError, ShellError
        The shell file is not there, or is another.
    """
    frame = PourFrame(np.array(plan.frame.rotation), np.array(plan.frame.offset_m), np.array(plan.frame.size_m))
    skin = skin_of(plan, folder, _material(plan), shell, progress)
    site = site if site is not None else site_from(plan.site)
    lifts = tuple(
        pressed_lift(
            lift.number,
            (lift.bottom_m, lift.top_m),
            any(p.closes for p in lift.pours),
            [
                PressedPour(
                    p.bottom_m,
                    p.top_m,
                    math.nan if p.peak_pressure_pa is None else p.peak_pressure_pa,
                    p.closes,
                    tuple(p.reach_m),
                )
                for p in lift.pours
                if not p.poured
            ],
        )
        for lift in plan.lifts
    )
    bond = plan.shop.bond if plan.shop.bond is not None else float(plan.shell.material.foam_bonds)
    rules = plan.shop.structure
    rests = resting_of(rules.rests if asked.rests is None else asked.rests, site)
    down, out, anchors = hung_frame(site, skin, frame, rests)
    if plan.outcome.gap_m is None:
        raise FileError("this plan does not say what gap cooling opens; it is of an earlier version: plan it again")
    return StructureJob(
        skin=skin,
        frame=frame,
        lifts=lifts,
        cavity_m3=plan.cavity.volume_m3,
        foam_pa=_foam(plan, "compressive_modulus_pa"),
        foam_density_kg_m3=_foam(plan, "free_rise_density_kg_m3"),
        foam_poisson=_foam(plan, "poisson"),
        open_density_kg_m3=plan.foam.open_density_kg_m3.nominal or math.nan,
        closed_density_kg_m3=plan.foam.closed_density_kg_m3.nominal or math.nan,
        gap_m=plan.outcome.gap_m,
        bulge_share=plan.shop.bulge_share,
        held=plan.shop.held,
        bond=bond,
        anchors_m=anchors,
        down=down,
        out=out,
        side_pa=rules.side_pa if asked.side_pa is None else asked.side_pa,
        triangles=rules.gain_triangles if asked.triangles is None else asked.triangles,
        pressure_triangles=rules.triangles if asked.triangles is None else min(asked.triangles, rules.triangles),
        wall_m=asked.wall_m,
        rests=rests,
    )


def closed_limits(plan: PlanDocument) -> dict[int, float]:
    """What the plan's formula says that the skin stands under each lift [Pa], by the lift's number."""
    out = {}
    for lift in plan.lifts:
        limits = [c.limit for pour in lift.pours for c in pour.checks if c.name == judged.PRESSURE]
        if lift.bulge is not None:
            limits = [lift.bulge.closed_limit_pa]
        if limits and None not in limits:
            out[lift.number] = min(limit for limit in limits if limit is not None)
    return out


def _material(plan: PlanDocument) -> SkinMaterial:
    block = plan.shell.material
    names = (
        "density_kg_m3",
        "youngs_modulus_pa",
        "poisson",
        "design_stress_pa",
        "heat_limit_k",
        "specific_heat_j_kgk",
        "conductivity_w_mk",
    )
    found = {}
    for name in names:
        cited = block.values.get(name) or block.values.get(EARLIER.get(name, ""))
        if cited is None or cited.value is None:
            raise FileError(f"this plan holds no {name} of its skin: plan the piece again.")
        found[name] = cited.value
    stiff = block.values["youngs_modulus_pa"]
    spread = Cited(found["youngs_modulus_pa"], "Pa", Standing(stiff.standing), stiff.source, spread=stiff.spread or 0.0)
    kept = {"youngs_modulus_pa": spread}
    return SkinMaterial(name=block.name, title=block.title, foam_bonds=block.foam_bonds, cited=kept, **found)


def _foam(plan: PlanDocument, name: str) -> float:
    cited = plan.foam.values.get(name)
    if cited is None or cited.value is None:
        raise FileError(f"this plan holds no {name} of its foam: plan the piece again.")
    return cited.value
