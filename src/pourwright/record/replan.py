"""The plan for what is left of the cavity, from the real top of the foam and the yield that was found."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.banded import RibSpace, whole_skin
from pourwright.cautions import cautions_for
from pourwright.cavity import LevelGraph, Space
from pourwright.cores import Laid, core_checks
from pourwright.findings import Code, Finding, finding, note
from pourwright.foam import Conditions, FoamGrade, Parts, parts_for
from pourwright.lifts import Kept, Landing, Lift, Pour, judged
from pourwright.outcome import inside_found, predict
from pourwright.plan import (
    Case,
    Computed,
    CoredPlan,
    Heating,
    Job,
    LiftPlan,
    Plan,
    Tools,
    cores_in,
    history_of,
    lift_plan_of,
    provenance_of,
    refine,
    skin_judge,
    whole_checks,
    whole_warnings,
    with_ribs,
)
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.record.cups import failed_cups
from pourwright.record.fill import Filled, Mass, PourSpace, conditions_of, filled_of
from pourwright.record.ground import CoredSpace, SheetPour, ground_of
from pourwright.record.heat import AtHand, HeatedRest, begun_s, heated_rest, sheet_waits
from pourwright.record.holes import MORE_AIR, Drilled, settled, without_buried
from pourwright.record.model import Entry, Hole, Planned, Record
from pourwright.record.names import Names, order_of
from pourwright.record.probes import Probed, probed, with_probes
from pourwright.record.reach import landed
from pourwright.record.rest import rest_of
from pourwright.record.rising import can_be_followed, risen_through
from pourwright.record.yields import SCALE_SPREAD, YieldEstimate, estimate_yield, grade_with

_UNKNOWN = Range.exact(math.inf)


@dataclass(frozen=True, eq=False)
class Replanned:
    """The whole piece again: what is poured as poured, what is left as it shall be poured."""

    plan: Plan
    found: YieldEstimate
    heat: Probed
    filled: Filled
    done: dict[str, Mass]  # by the name of each poured pour
    holes: tuple[Hole, ...]  # every hole that any sheet named
    names: tuple[str, ...]  # of pours, on any sheet
    left_m3: float  # of the cavity, above the foam


def planned_again(
    job: Job,
    record: Record,
    progress: Progress = silent,
    sheet: Sequence[SheetPour] = (),
    ground: Space | None = None,
) -> Replanned:
    """Plan the lifts that are left.

    Parameters
    ----------
    job : Job
        As it was planned first; its shell is checked against the record's hash.
    record : Record
    progress : Progress, optional
    sheet : sequence of SheetPour, optional
        The pours of the sheet that holds now. Without it nothing is known of pours that are not recorded, and every
        lift after the recorded ones is a new one.
    ground : Space, optional
        The piece, where it is built already: what `ground_of` made for this job.

    Returns
    -------
    Replanned
        Poured pours keep their names and weigh what was poured. A lift of which a pour is recorded is not divided
        again: its other pours stay, and so do those under foam that is recorded, and all where heat has shaped the
        cuts (`keeps_cuts`). Poured, to pour and empty add up to the cavity. The last recorded temperatures are taken
        for what is left. Its heat is
        computed from what is poured and when (by the clock of the entries, else by the sheet's waits), its rise in the
        space that is left and through the holes that are there, and the skin under its pressure, each where it was at
        first.

    Raises
    ------
    ShellError
        The shell is not the one of the record.
    """
    space = ground if ground is not None else ground_of(job, record.shell_sha256, progress)
    skin, cavity, graph = space.skin, space.cavity, space.graph
    open_pours = unrecorded(record, sheet)
    pending = pending_of(record.counted, open_pours, whole=keeps_cuts(job))
    filled = filled_of(cavity, graph, job.grade, job.conditions, record.counted, pending)
    found = estimate_yield(filled.readings, job.grade.density_spread)
    read = probed(job.grade, record.counted)
    within, cores = (space.job, space.cores) if isinstance(space, CoredSpace) else (job, ())
    used = replace(
        within,
        grade=grade_with(with_probes(job.grade, read), found),
        conditions=last_conditions(job.conditions, record.counted),
        heat=replace(job.heat, computed=False),
    )
    history = history_of(used)
    names = Names(
        old={name: planned for name, planned in open_pours.items() if name not in pending},
        used=frozenset(names_used(record, sheet)),
        after=max((p.lift for p in [*pending.values(), *(e.planned for e in record.counted)]), default=0),
    )
    drilled = Drilled(record.holes, cavity.frame, cavity.grid.cell_m, job.limits)
    kept = _kept(filled, sheet, space)
    uses = Counter(landing.port.name for pour in sheet for landing in pour.landings)
    case = Case(used, space, history)
    rest = rest_of(case, filled.taken, kept, names, drilled.ports(uses), progress)
    wanted = job.structure.computed and job.heat.computed and not isinstance(space, RibSpace)
    judge, why = skin_judge(used, skin, cavity, history.foam, space.panels, wanted)
    rising = job.heat.computed and can_be_followed(kept)
    refined = refine(case, Tools(rest.divide, judge, why, rise=rising), progress)
    division, holes = settled(refined.division, drilled, MORE_AIR if rising else 1.0)
    computed_now = risen_through(division, refined, case) if rising else refined.plan.evaluation
    left = without_buried(lift_plan_of(division, computed_now, case), filled.full, space)
    computed = refined.computed if left.lifts else replace(refined.computed, words=("Nothing is left to pour.",))
    whole = replace(left, lifts=_all_lifts(filled, sheet, graph, job.grade, left.lifts))
    waits = sheet_waits(sheet, record.counted) if keeps_cuts(job) else {}
    mixed_k = {e.pour: e.parts_k for e in record.counted if e.kind == "pour" and e.parts_k is not None}
    at_hand = AtHand(whole, division, computed_now, waits, mixed_k, begun_s(record.counted))
    heated = heated_rest(case.by_rules(job.heat), at_hand, progress)
    if heated is not None:
        left = without_buried(heated.left, filled.full, space)
        whole = replace(left, lifts=_all_lifts(filled, sheet, graph, job.grade, left.lifts))
        words = (*(computed.words if rising or not heated.said else computed.words[1:]), *heated.said)
        computed = replace(computed, heating=heated.heating, steps=heated.steps, words=words)
    by = case.by_rules(job.heat) if rising else case
    plan = _plan(by, job, whole, left, computed, record, tuple(pending), heated)
    plan = _with_inside(plan, case, cores, whole, computed)
    return Replanned(
        plan=plan,
        found=found,
        heat=read,
        filled=filled,
        done={name: mass for mass in filled.masses for name in mass.pours},
        holes=holes,
        names=tuple(sorted({*names.used, *(p.name for lift in whole.lifts for p in lift.pours)}, key=order_of)),
        left_m3=rest.left_m3,
    )


def _with_inside(plan: Plan, case: Case, cores: tuple[Laid, ...], whole: LiftPlan, computed: Computed) -> Plan:
    """A plan with what is told of things inside, and with its ribs or its cores."""
    space = case.space
    told = inside_found(case.job.site, space.cavity, space.graph, {one.name for one in cores})
    plan = replace(plan, warnings=(*plan.warnings, *told))
    if isinstance(space, RibSpace):
        plan = with_ribs(plan, space)
    if cores:
        inside = cores_in(case, cores, whole, computed.heating)
        plan = replace(plan, checks=(*plan.checks, *core_checks(inside)))
        plan = CoredPlan(**vars(plan), cores=inside)
    return plan


def unrecorded(record: Record, sheet: Sequence[SheetPour]) -> dict[str, Planned]:
    """Pours that are to be poured still, by name: those of the sheet, and those whose entry was struck."""
    done = {entry.pour for entry in record.counted if entry.kind == "pour"}
    struck = {entry.pour: entry.planned for entry in record.entries if entry.struck and entry.kind == "pour"}
    open_pours = {pour.name: pour.planned for pour in sheet if not pour.poured}
    return {name: planned for name, planned in {**struck, **open_pours}.items() if name not in done}


def keeps_cuts(job: Job) -> bool:
    """Whether pours to come stay as they are cut: heat has shaped them, by a search or by thinner lifts."""
    return job.day.search or job.heat.computed


def pending_of(entries: Sequence[Entry], open_pours: Mapping[str, Planned], whole: bool = False) -> dict[str, Planned]:
    """Those of the pours to come that stay: in a lift that is recorded or below one; all of them in a ``whole`` one."""
    if whole and all(planned.nodes for planned in open_pours.values()):
        return dict(open_pours)
    begun = max((entry.planned.lift for entry in entries), default=0)
    return {name: planned for name, planned in open_pours.items() if planned.lift <= begun}


def names_used(record: Record, sheet: Sequence[SheetPour]) -> set[str]:
    """Every name of a pour that any sheet has used."""
    return {*record.names, *(pour.name for pour in sheet), *(entry.pour for entry in record.entries)}


def last_conditions(conditions: Conditions, entries: Sequence[Entry]) -> Conditions:
    """The shop with the temperatures that were recorded last."""
    for entry in entries:
        conditions = conditions_of(conditions, entry)
    return conditions


def _kept(filled: Filled, sheet: Sequence[SheetPour], ground: Space) -> tuple[Kept, ...]:
    """Pours of lifts that are begun, as the sheet has them; one whose space is full of other foam is gone.

    What is poured on foam that ended lower falls farther.
    """
    on_sheet = {pour.name: pour for pour in sheet}
    out = []
    for name, space in sorted(filled.pending.items(), key=lambda one: order_of(one[0])):
        if not len(space.nodes):
            continue
        pour, planned = on_sheet.get(name), space.planned
        out.append(
            Kept(
                name=name,
                lift=planned.lift,
                nodes=space.nodes,
                shares=space.shares,
                closes=planned.closes,
                landings=_lands(pour.landings, space.nodes, ground) if pour is not None else (),
                vents=pour.vents if pour is not None else (),
                limit=pour.limit if pour is not None and not pour.poured else judged.BEGUN,
                limb=pour.limb if pour is not None else "",
            )
        )
    return tuple(out)


def _lands(landings: Sequence[Landing], nodes: np.ndarray, ground: Space) -> tuple[Landing, ...]:
    return tuple(landed(one, nodes, ground.cavity, ground.graph) or one for one in landings)


def _all_lifts(
    filled: Filled, sheet: Sequence[SheetPour], graph: LevelGraph, grade: FoamGrade, left: Sequence[Lift]
) -> tuple[Lift, ...]:
    """Lifts as they were poured, with those that are left; one that is begun holds both kinds of pours."""
    entries = {name: mass.entries for mass in filled.masses for name in mass.pours}
    on_sheet = {pour.name: pour for pour in sheet}
    poured = [
        _poured(space, tuple(e for e in entries[name] if e.pour == name), on_sheet.get(name), graph, grade)
        for name, space in filled.spaces.items()
        if len(space.nodes)
    ]
    lifts = {lift.number: lift for lift in left}
    for number in sorted({pour.lift for pour in poured}):
        mine = [pour for pour in poured if pour.lift == number]
        begun = lifts.get(number)
        pours = tuple(sorted([*mine, *(begun.pours if begun is not None else ())], key=lambda p: order_of(p.name)))
        levels = np.concatenate([graph.node_level[pour.nodes] for pour in pours])
        lifts[number] = Lift(
            number=number,
            bottom_level=int(levels.min()),
            top_level=int(levels.max()) + 1,
            bottom_m=min(pour.bottom_m for pour in pours),
            top_m=max(pour.top_m for pour in pours),
            volume_m3=sum(pour.volume_m3 for pour in pours),
            pours=pours,
            limit=judged.POURED if begun is None else begun.limit,
            wait_s=math.nan if begun is None else begun.wait_s,  # what is left of it is waited for
        )
    return tuple(lifts[number] for number in sorted(lifts))


def _poured(
    space: PourSpace, entries: tuple[Entry, ...], sheet: SheetPour | None, graph: LevelGraph, grade: FoamGrade
) -> Pour:
    """A pour as it was poured. It was weighed: the scale decides what it weighs, whatever the cavity holds."""
    a_kg, b_kg = (sum(getattr(entry, part) for entry in entries) for part in ("part_a_kg", "part_b_kg"))
    cups = len(entries)
    parts = Parts(a_kg, b_kg, a_kg / grade.part_a_density_kg_m3, b_kg / grade.part_b_density_kg_m3)
    return Pour(
        name=space.name,
        lift=space.planned.lift,
        nodes=space.nodes,
        shares=space.shares,
        bottom_m=space.planned.bottom_m,
        top_m=space.top_m,
        volume_m3=space.volume_m3(graph),
        closes=space.planned.closes,
        foam_kg=Range.about(a_kg + b_kg, SCALE_SPREAD),
        parts=parts,
        batches=cups,
        batch=Parts(parts.a_kg / cups, parts.b_kg / cups, parts.a_m3 / cups, parts.b_m3 / cups),
        landings=sheet.landings if sheet is not None else (),
        vents=sheet.vents if sheet is not None else (),
        rise_m=space.top_m - space.planned.bottom_m,
        peak_k=_UNKNOWN,
        hot_hours=math.nan,
        peak_pressure_pa=_UNKNOWN,
        wait_s=math.nan,
        checks=(),
        poured=True,
        limb=sheet.limb if sheet is not None else "",
    )


def _plan(
    case: Case,
    asked: Job,
    whole: LiftPlan,
    rest: LiftPlan,
    computed: Computed,
    record: Record,
    pending: tuple[str, ...],
    heated: HeatedRest | None,
) -> Plan:
    used, space, foam = case.job, case.space, case.foam
    skin, cavity, graph = space.skin, space.cavity, space.graph
    outcome = predict(
        whole_skin(space), space.panels, cavity, graph, foam, whole, loss_share=used.loss_share, bond=used.bond
    )
    high = sum(pour.foam_kg.high for lift in rest.lifts for pour in lift.pours)
    buy = parts_for(foam, high * cavity.volume_high_m3 / cavity.volume_m3 / (1.0 - used.loss_share))
    outcome = replace(
        outcome, liquids_a_kg=buy.a_kg, liquids_b_kg=buy.b_kg, liquids_a_m3=buy.a_m3, liquids_b_m3=buy.b_m3
    )
    said = (
        note(Code.AS_RECORDED),
        *([] if used.heat.computed else [_by_formulas(computed)]),
        *([finding(Code.REST_HEATED, words=heated.words)] if heated is not None and heated.words else []),
    )
    return Plan(
        job=used if heated is None else replace(used, day=heated.day),
        skin=skin,
        frame=cavity.frame,
        cavity=cavity,
        graph=graph,
        foam=foam,
        lift_plan=whole,
        outcome=outcome,
        checks=(*failed_cups(record), *whole_checks(used, skin, cavity, foam, rest)),
        warnings=(*said, *_under(record, pending), *whole_warnings(used, skin, cavity, foam, rest, computed)),
        cautions=cautions_for(skin, foam, rest, used.machine is not None),
        provenance={
            **provenance_of(asked, skin),
            "issue": str(record.issue),
            "recorded": f"{len(record.counted)} of {len(record.entries)} entries",
        },
        computed=computed,
    )


def _by_formulas(computed: Computed) -> Finding:
    return note(Code.REST_BY_FORMULAS, heat_computed=float(isinstance(computed.heating, Heating)))


def _under(record: Record, pending: tuple[str, ...]) -> tuple[Finding, ...]:
    """A finding where foam is recorded above a pour that is not."""
    begun = max((entry.planned.lift for entry in record.counted), default=0)
    under = [name for name in pending if order_of(name)[0] < begun]
    if not under:
        return ()
    return (finding(Code.FOAM_ABOVE, *under),)
