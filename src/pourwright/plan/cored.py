"""Light cores in a piece: laid before the first pour as things inside, judged when the lifts are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pourwright.cavity import pour_frame
from pourwright.cores import Cells, Cored, Laid, cored, laid_in
from pourwright.evaluation import ByFormulas
from pourwright.outcome import core_item
from pourwright.plan.case import Case
from pourwright.plan.heating import Heating
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.model import Job
from pourwright.plan.skin import skin_of
from pourwright.progress import Progress, silent


def with_cores(job: Job, progress: Progress = silent) -> tuple[Job, tuple[Laid, ...]]:
    """The job with its cores among what is inside before the first pour; as it is where it asks for none."""
    rules, site = job.fill.core, job.site
    if rules is None:
        return job, ()
    skin = skin_of(job, progress)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cells = Cells(job.cell_m, job.memory_bytes, job.stray_void_m3, site.irons(frame))
    found = laid_in(skin, frame, rules, cells, progress)
    items = tuple(core_item(one.name, one.low_m, one.high_m, rules.kg) for one in found)
    return replace(job, site=replace(site, items=(*site.items, *items))), found


def cores_in(case: Case, found: tuple[Laid, ...], lift_plan: LiftPlan, heating: Heating | ByFormulas) -> Cored:
    """What the lifts of a plan do to its cores; ``heating`` knows of pours that are poured, too."""
    rules = case.job.fill.core
    if rules is None:
        raise ValueError("a job without cores")
    pours = [pour for lift in lift_plan.lifts for pour in lift.pours]
    heats = heating.pours if isinstance(heating, Heating) else lift_plan.heats
    peaks = {name: heat.peak_k.high for name, heat in heats.items()}
    return cored(rules, found, case.space, case.foam, pours, peaks)
