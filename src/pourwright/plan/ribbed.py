"""The plan of a piece with ribs: planned as vessels open at the top, then told of the whole piece."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pourwright.banded import RibSpace, board_of, dam_checks, hollow_of, insert_checks, ribbed_of, space_of_ribs
from pourwright.cavity import Space
from pourwright.cores import Cells
from pourwright.outcome import ribbed_gains
from pourwright.plan.made import Plan, RibbedPlan
from pourwright.plan.model import Job
from pourwright.progress import Progress, silent


def by_formulas_of_skin(job: Job) -> Job:
    """A job of ribs with its skin by formulas: finite elements of a skin that ends at cuts would be those of a ring."""
    if job.fill.ribs is None:
        return job
    return replace(job, structure=replace(job.structure, computed=False, gains=False))


def rib_space(job: Job, whole: Space, progress: Progress = silent) -> Space:
    """The ribs of a piece as a space of their own; the whole of it where the job asks for none."""
    if job.fill.ribs is None:
        return whole
    cells = Cells(job.cell_m, job.memory_bytes, job.stray_void_m3, job.site.irons(whole.frame))
    return space_of_ribs(job.fill.ribs, whole, cells, progress)


def with_ribs(plan: Plan, found: Space) -> RibbedPlan:
    """A plan of the ribs as a plan of the whole piece: skin, stiffness, dams, checks."""
    job, rules = plan.job, plan.job.fill.ribs
    if rules is None or not isinstance(found, RibSpace):
        raise ValueError("a job without ribs")
    whole = found.whole
    up = job.site.hang.up if job.site.hang is not None else job.site.stand.up
    hollow = hollow_of(found)
    ribbed = ribbed_of(rules, found, plan.lift_plan, found.frame.up if up is None else np.array(up), hollow)
    gains = ribbed_gains(
        whole.skin, whole.panels, whole.cavity, whole.graph, plan.foam, hollow, rules.bands_m, bond=job.bond
    )
    boards = [board_of(dam, rules) for dam in ribbed.dams]
    own = vars(plan) | {
        "job": replace(job, site=replace(job.site, items=(*job.site.items, *boards))), "skin": whole.skin,
        "outcome": replace(plan.outcome, stiffness=gains),
        "checks": (*plan.checks, *dam_checks(ribbed), *insert_checks(job.site, rules, whole.frame)),
    }  # fmt: skip
    return RibbedPlan(**own, ribbed=ribbed)
