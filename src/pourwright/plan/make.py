"""From a job to a plan: the only place where the stages meet."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

import pourwright.cores as coring  # what few plans have is loaded when it is asked of these two
import pourwright.hanging as hanging
import pourwright.plan as stages
from pourwright.cautions import cautions_for
from pourwright.cavity import Cavity, LevelGraph, PourFrame, Space, pour_frame
from pourwright.kept import kept
from pourwright.outcome import inside_found, predict, small_mixes
from pourwright.plan.case import Case
from pourwright.plan.dividing import Divider
from pourwright.plan.fallback import even_bands, not_worse
from pourwright.plan.made import CoredPlan, MachinePlan, Plan
from pourwright.plan.model import Job
from pourwright.plan.provenance import provenance_of
from pourwright.plan.reaction import history_of
from pourwright.plan.refine import Refined, Tools, refine
from pourwright.plan.review import whole_checks, whole_warnings
from pourwright.plan.skin import skin_of
from pourwright.progress import Progress, silent

if TYPE_CHECKING:
    from pourwright.foam import FoamAtShop
    from pourwright.irons import Iron
    from pourwright.panels import Panel
    from pourwright.plan.skin_bulge import SkinJudge
    from pourwright.shell import Skin


def space_of(job: Job, progress: Progress = silent) -> Space:
    """Skin, cavity, levels and flattest panels of a job's shell."""
    skin = skin_of(job, progress)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cells = job.cell_m, job.memory_bytes, job.stray_void_m3
    inside = _inside(skin, frame, cells, job.site.irons(frame), job.limits.ripple_m, progress)
    return Space(skin, *inside, hanging.inserts_set_in(job.site, skin, frame) if job.site.anchors else ())


@kept
def _inside(
    skin: Skin,
    frame: PourFrame,
    cells: tuple[float | None, int, float | None],
    irons: tuple[Iron, ...],
    ripple_m: float | None,
    progress: Progress,
) -> tuple[Cavity, LevelGraph, tuple[Panel, ...]]:
    from pourwright.cavity import build_cavity, build_levels  # slow to load: what was made before has no use for them
    from pourwright.panels import panels

    cell_m, memory_bytes, stray_void_m3 = cells
    with ThreadPoolExecutor(1) as beside:  # the panels know nothing of the cavity
        panelled = beside.submit(panels, skin, 16)
        cavity = build_cavity(
            skin, frame, cell_m=cell_m, memory_bytes=memory_bytes, stray_void_m3=stray_void_m3, irons=irons,
            apart=True, progress=progress,
        )  # fmt: skip
        return cavity, build_levels(cavity, ripple_m=ripple_m, progress=progress), panelled.result()


def _judge_of(job: Job, space: Space, foam: FoamAtShop) -> tuple[SkinJudge | None, str]:
    """What judges the pressure on the skin by finite elements, or None, and why there is none; see `skin_judge`."""
    wanted = job.structure.computed and job.heat.computed
    if not (wanted or job.limits.held):
        return None, ""
    return stages.skin_judge(job, space.skin, space.cavity, foam, space.panels, wanted)


def make_plan(job: Job, progress: Progress = silent) -> Plan:
    """Plan one piece from its shell file to its pours.

    Raises
    ------
    PourwrightError
        For bad input only. A limit that is exceeded is a ``Check`` in the plan, see ``Plan.over_limit``.
    """
    job, cores = stages.with_cores(job, progress) if job.fill.core is not None else (job, ())
    space = whole = space_of(job, progress)
    packed = None
    if job.machine is not None:
        job, packed = stages.packed_job(job, job.machine, space)
    history = history_of(job)
    foam = history.foam
    if job.fill.style == "lining":
        return stages.lined_plan(Case(job, space, history), progress)
    if job.fill.ribs is not None:
        job, space = stages.by_formulas_of_skin(job), stages.rib_space(job, space, progress)
    skin, cavity, graph = space.skin, space.cavity, space.graph

    judge, why = _judge_of(job, space, foam)

    def refined_of(asked: Job) -> Refined:
        case = Case(asked, space, history)
        divider = Divider(case, progress)
        return refine(case, Tools(divider, judge, why, divider.offered), progress)

    refined = not_worse(job, refined_of(job), lambda: refined_of(even_bands(job)))
    lift_plan = refined.plan
    outcome = predict(
        whole.skin, space.panels, cavity, graph, foam, lift_plan, loss_share=job.loss_share, bond=job.bond
    )
    if job.structure.gains and job.heat.computed:
        found = stages.filled_gains(job, skin, cavity, foam, lift_plan.lifts, outcome, progress)
        outcome = replace(outcome, stiffness=found)
    checks = whole_checks(job, skin, cavity, foam, lift_plan)
    if cores:
        inside = stages.cores_in(Case(job, space, history), cores, lift_plan, refined.computed.heating)
        checks = (*checks, *coring.core_checks(inside))
    made = Plan(
        job=job,
        skin=skin,
        frame=space.frame,
        cavity=cavity,
        graph=graph,
        foam=foam,
        lift_plan=lift_plan,
        outcome=outcome,
        checks=checks,
        warnings=(
            *whole_warnings(job, skin, cavity, foam, lift_plan, refined.computed),
            *inside_found(job.site, cavity, graph, {one.name for one in cores}),
            *small_mixes(lift_plan.lifts, job.limits, job.day.least_mix_m3, foam.cream_s),
        ),
        cautions=cautions_for(skin, foam, lift_plan, job.machine is not None),
        provenance=provenance_of(job, skin),
        computed=refined.computed,
    )
    if space is not whole:
        return stages.with_ribs(made, space)
    if cores:
        return CoredPlan(**vars(made), cores=inside)
    if packed is None:
        return made
    shot = stages.one_shot(job, space, history, lift_plan, outcome, packed)
    return MachinePlan(**{**vars(made), "checks": (*checks, *stages.shot_checks(shot, foam))}, shot=shot)
