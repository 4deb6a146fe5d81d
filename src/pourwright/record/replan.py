"""The plan for what is left of the cavity, from the real top of the foam and the yield that was found."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import Cavity, LevelGraph, build_cavity, build_levels, pour_frame
from pourwright.errors import LimitError, ShellError
from pourwright.foam import FoamGrade, Parts, parts_for
from pourwright.lifts import Landing, Lift, LiftPlan, Measures, Pour, Tighter, Unfilled, plan_lifts
from pourwright.outcome import predict
from pourwright.plan import (
    Computed,
    Job,
    Plan,
    cautions_for,
    course_of,
    provenance_of,
    refine,
    shores_named_for,
    skin_judge,
    whole_checks,
    whole_warnings,
)
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.record.fill import Filled, Mass, conditions_of, filled_of
from pourwright.record.model import Hole, Record
from pourwright.record.yields import YieldEstimate, estimate_yield, grade_with
from pourwright.shell import Skin, load_skin, panels

_UNKNOWN = Range.exact(math.inf)
SAME_HOLE_CELLS = 3.0
"""A new hole nearer than this many cells to one that was named before is that hole."""


@dataclass(frozen=True, eq=False)
class Replanned:
    """The whole piece again: what is poured as poured, what is left as it shall be poured."""

    plan: Plan
    found: YieldEstimate
    filled: Filled
    done: dict[str, Mass]  # by the name of each poured pour
    holes: tuple[Hole, ...]  # every hole that any sheet named
    left_m3: float  # of the cavity, above the foam


def replan(job: Job, record: Record, progress: Progress = silent) -> Replanned:
    """Plan the lifts that are left.

    Parameters
    ----------
    job : Job
        As it was planned first; its shell is held against the record's hash.
    record : Record
    progress : Progress, optional

    Returns
    -------
    Replanned
        Poured lifts keep their numbers and weigh what was poured; new ones are numbered on. The last recorded
        temperatures are taken for what is left. Heat and rise of what is left are closed forms; the skin under its
        pressure is computed where it was at first.

    Raises
    ------
    ShellError
        The shell is not the one of the record.
    """
    skin = load_skin(job.shell, unit=job.unit, material=job.material, bands=job.bands, kind=job.kind, progress=progress)
    if skin.sha256 != record.shell_sha256:
        raise ShellError(f"{job.shell} is not the file this plan was made from: its content has changed; plan again.")
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cavity = build_cavity(
        skin, frame, cell_m=job.cell_m, memory_bytes=job.memory_bytes, crumb_m3=job.crumb_m3, progress=progress
    )
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m, progress=progress)
    filled = filled_of(cavity, graph, job.grade, job.conditions, record.counted)
    found = estimate_yield(filled.readings, job.grade.density_spread)
    today = job.conditions
    for entry in record.counted:
        today = conditions_of(today, entry)
    used = replace(job, grade=grade_with(job.grade, found), conditions=today, heat=replace(job.heat, computed=False))
    poured, done = _poured_lifts(filled, graph, job.grade)
    elements = job.structure.computed and job.heat.computed
    rest, computed, left_m3 = _rest(used, skin, cavity, graph, filled, elements, progress)
    before = max((lift.number for lift in poured), default=0)
    rest, holes = _named_on(rest, before, record.holes, cavity.grid.cell_m)
    steps = (replace(step, lift=step.lift + before, pour=_moved(step.pour, before)) for step in computed.steps)
    computed = replace(computed, steps=tuple(steps))
    whole = replace(rest, lifts=(*poured, *rest.lifts))
    return Replanned(
        plan=_plan(used, job, skin, cavity, graph, whole, rest, computed, record),
        found=found,
        filled=filled,
        done=done,
        holes=holes,
        left_m3=left_m3,
    )


def _rest(
    job: Job, skin: Skin, cavity: Cavity, graph: LevelGraph, filled: Filled, elements: bool, progress: Progress
) -> tuple[LiftPlan, Computed, float]:
    """The division of what is left, in nodes of the whole graph."""
    start, dropped = _start(graph, filled.full, job.limits.least_pour_m3)
    left = ~filled.full
    left[dropped] = False
    left_m3 = float(graph.node_volume_m3[left].sum())
    course = course_of(job)
    nothing = LiftPlan((), (), (), "nothing is left to pour", 0.0, (), _crumbs(cavity, graph, dropped))
    if not left.any() or left_m3 < job.limits.least_pour_m3:
        return nothing, Computed(course, None, (), 0, ("Nothing is left to pour.",)), left_m3
    above = left | (graph.node_level < start)
    kept = np.concatenate([[False], above])[graph.label]
    rest = replace(cavity, fraction=np.where(kept, cavity.fraction, 0).astype(np.uint8), volume_m3=_sum(graph, above))
    rest.fraction.setflags(write=False)
    smaller = build_levels(rest, ripple_m=graph.ripple_m, progress=progress)
    whole_of = _match(graph, smaller, rest.fraction)
    smaller = _standing_on_foam(graph, smaller, whole_of, filled.full, start)
    flattest = panels(skin, 16)

    judge, why = skin_judge(job, skin, cavity, course.foam, flattest, elements)

    def divide(tighter: tuple[Tighter, ...], by_panels: bool) -> LiftPlan:
        return plan_lifts(
            skin, cavity.frame, rest, smaller, course.foam, job.limits, flattest, progress, start, tighter, by_panels
        )

    try:
        refined = refine(job, skin, rest, smaller, course, divide, progress, judge, why)
    except LimitError:
        return nothing, Computed(course, None, (), 0, ("Nothing is left to pour.",)), left_m3
    plan = _in_whole(refined.plan, whole_of)
    plan = replace(plan, unfilled=(*plan.unfilled, *_crumbs(cavity, graph, dropped)))
    return plan, refined.computed, left_m3


def _start(graph: LevelGraph, full: np.ndarray, least_m3: float) -> tuple[int, np.ndarray]:
    """Lowest level that is not full, leaving out what is too little to pour and has foam all above it."""
    free = ~full
    keep = free[graph.edge_lower] & free[graph.edge_upper]
    ends = (graph.edge_lower[keep], graph.edge_upper[keep])
    count, piece = connected_components(
        coo_matrix((np.ones(int(keep.sum()), np.int8), ends), shape=(len(free), len(free))), directed=False
    )
    volume = np.bincount(piece, weights=np.where(free, graph.node_volume_m3, 0.0), minlength=count)
    small = free & (volume[piece] < least_m3) & full.any()
    left = free & ~small
    start = int(graph.node_level[left].min()) if left.any() else graph.levels
    return start, np.flatnonzero(small)


def _sum(graph: LevelGraph, chosen: np.ndarray) -> float:
    return float(graph.node_volume_m3[chosen].sum())


def _match(whole: LevelGraph, part: LevelGraph, share: np.ndarray) -> np.ndarray:
    """For each node of ``part``, the node of ``whole`` it is or lies in: the one with most of it, by the cells' shares.

    Thin cells may count with another node of ``whole`` than the rest of theirs.
    """
    both = (part.label > 0) & (whole.label > 0)
    pairs = (part.label[both] - 1, whole.label[both] - 1)
    shape = (len(part.node_level), len(whole.node_level))
    return np.asarray(coo_matrix((share[both].astype(np.int64), pairs), shape=shape).tocsr().argmax(axis=1)).ravel()


def _standing_on_foam(
    whole: LevelGraph, part: LevelGraph, whole_of: np.ndarray, full: np.ndarray, start: int
) -> LevelGraph:
    """``part`` with what stands on set foam joined to a node below ``start``, so that it is known to stand on foam."""
    on = np.zeros(len(whole.node_level), bool)
    on[whole.edge_upper[full[whole.edge_lower]]] = True
    bare = ~np.isin(np.arange(len(part.node_level)), part.edge_upper)
    upper = np.flatnonzero(on[whole_of] & bare & (part.node_level >= start))
    if not len(upper) or not (part.node_level < start).any():
        return part
    return replace(
        part,
        edge_lower=np.concatenate([part.edge_lower, np.zeros(len(upper), part.edge_lower.dtype)]),
        edge_upper=np.concatenate([part.edge_upper, upper.astype(part.edge_upper.dtype)]),
        edge_overlap_m2=np.concatenate([part.edge_overlap_m2, part.node_area_m2[upper]]),
    )


def _in_whole(plan: LiftPlan, whole_of: np.ndarray) -> LiftPlan:
    vents = {vent.name: replace(vent, node=int(whole_of[vent.node]) if vent.node >= 0 else -1) for vent in plan.vents}
    lifts = tuple(
        replace(
            lift,
            pours=tuple(
                replace(p, nodes=_frozen(whole_of[p.nodes]), vents=tuple(vents[v.name] for v in p.vents))
                for p in lift.pours
            ),
        )
        for lift in plan.lifts
    )
    unfilled = tuple(replace(space, nodes=_frozen(whole_of[space.nodes])) for space in plan.unfilled)
    return replace(plan, lifts=lifts, vents=tuple(vents.values()), unfilled=unfilled)


def _named_on(plan: LiftPlan, lifts: int, holes: Sequence[Hole], cell_m: float) -> tuple[LiftPlan, tuple[Hole, ...]]:
    """Lifts numbered on after those that are poured; a hole that was named before keeps its name."""
    known = list(holes)
    ports = {port.name: replace(port, name=_hole(port.name[0], port.point_m, known, cell_m)) for port in plan.ports}
    vents = {vent.name: replace(vent, name=_hole(vent.name[0], vent.point_m, known, cell_m)) for vent in plan.vents}

    names = {pour.name for lift in plan.lifts for pour in lift.pours}

    def moved(name: str) -> str:
        return _moved(name, lifts)

    def said(words: str) -> str:
        words = re.sub(r"\b\d+[a-z]+\b", lambda found: moved(found[0]) if found[0] in names else found[0], words)
        return re.sub(r"\b([Ll]ifts?) (\d+)\b", lambda found: f"{found[1]} {int(found[2]) + lifts}", words)

    def landing(one: Landing) -> Landing:
        return replace(one, port=ports.get(one.port.name, one.port))

    renamed = tuple(
        replace(
            lift,
            number=lift.number + lifts,
            limit_words=said(lift.limit_words),
            bow=shores_named_for(lift.bow, lift.number + lifts),
            pours=tuple(
                replace(
                    pour,
                    name=moved(pour.name),
                    lift=pour.lift + lifts,
                    together=tuple(moved(name) for name in pour.together),
                    landings=tuple(landing(one) for one in pour.landings),
                    vents=tuple(vents.get(vent.name, vent) for vent in pour.vents),
                )
                for pour in lift.pours
            ),
        )
        for lift in plan.lifts
    )
    warnings = tuple(said(words) for words in plan.warnings)
    named = replace(plan, lifts=renamed, ports=tuple(ports.values()), vents=tuple(vents.values()), warnings=warnings)
    return named, tuple(known)


def _moved(name: str, by: int) -> str:
    """The name of a pour ``by`` lifts on.

    >>> _moved("2a", 3), _moved("", 3)
    ('5a', '')
    """
    digits = name.rstrip("abcdefghijklmnopqrstuvwxyz")
    return f"{int(digits) + by}{name[len(digits) :]}" if digits else name


def _hole(letter: str, point_m: np.ndarray, known: list[Hole], cell_m: float) -> str:
    same = [hole for hole in known if hole.name.startswith(letter)]
    near = [(float(np.linalg.norm(np.array(hole.point_m) - point_m)), hole.name) for hole in same]
    if near and min(near)[0] <= SAME_HOLE_CELLS * cell_m:
        return min(near)[1]
    number = max((int(hole.name[1:]) for hole in same if hole.name[1:].isdigit()), default=0) + 1
    x, y, z = (float(value) for value in point_m)
    known.append(Hole(name=f"{letter}{number}", point_m=(x, y, z)))
    return f"{letter}{number}"


def _poured_lifts(filled: Filled, graph: LevelGraph, grade: FoamGrade) -> tuple[tuple[Lift, ...], dict[str, Mass]]:
    """Lifts as they were poured."""
    lifts = []
    done: dict[str, Mass] = {}
    for number in sorted({mass.lift for mass in filled.masses}):
        masses = [mass for mass in filled.masses if mass.lift == number and len(mass.nodes)]
        for mass in filled.masses:
            if mass.lift == number:
                done.update(dict.fromkeys(mass.pours, mass))
        if not masses:
            continue
        pours = tuple(_poured(mass, graph, grade) for mass in masses)
        levels = np.concatenate([graph.node_level[mass.nodes] for mass in masses])
        lifts.append(
            Lift(
                number=number,
                bottom_level=int(levels.min()),
                top_level=int(levels.max()) + 1,
                bottom_m=min(mass.bottom_m for mass in masses),
                top_m=max(mass.top_m for mass in masses),
                volume_m3=sum(pour.volume_m3 for pour in pours),
                pours=pours,
                limit="poured",
                limit_words="It is poured.",
            )
        )
    return tuple(lifts), done


def _poured(mass: Mass, graph: LevelGraph, grade: FoamGrade) -> Pour:
    a_kg, b_kg = (sum(getattr(entry, part) for entry in mass.entries) for part in ("part_a_kg", "part_b_kg"))
    cups = len(mass.entries)
    parts = Parts(a_kg, b_kg, a_kg / grade.part_a_density_kg_m3, b_kg / grade.part_b_density_kg_m3)
    planned = mass.entries[0].planned
    return Pour(
        name=mass.pours[0],
        lift=mass.lift,
        nodes=mass.nodes,
        shares=_frozen(np.ones(len(mass.nodes))),
        bottom_m=mass.bottom_m,
        top_m=mass.top_m,
        volume_m3=float(graph.node_volume_m3[mass.nodes].sum()),
        closes=planned.closes,
        foam_kg=Range.exact(mass.kg),
        parts=parts,
        batches=cups,
        batch=Parts(parts.a_kg / cups, parts.b_kg / cups, parts.a_m3 / cups, parts.b_m3 / cups),
        landings=(),
        vents=(),
        rise_m=mass.top_m - mass.bottom_m,
        peak_k=_UNKNOWN,
        hot_hours=math.nan,
        peak_pressure_pa=_UNKNOWN,
        wait_s=math.nan,
        checks=(),
        poured=True,
    )


def _plan(
    used: Job,
    asked: Job,
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    whole: LiftPlan,
    rest: LiftPlan,
    computed: Computed,
    record: Record,
) -> Plan:
    foam = computed.course.foam
    outcome = predict(skin, panels(skin, 16), cavity, graph, foam, whole, loss_share=used.loss_share, bond=used.bond)
    high = sum(pour.foam_kg.high for lift in rest.lifts for pour in lift.pours)
    buy = parts_for(foam, high * cavity.volume_high_m3 / cavity.volume_m3 / (1.0 - used.loss_share))
    outcome = replace(
        outcome, liquids_a_kg=buy.a_kg, liquids_b_kg=buy.b_kg, liquids_a_m3=buy.a_m3, liquids_b_m3=buy.b_m3
    )
    said = (
        "What is poured stands in this plan as it was recorded; only the lifts after it are still to be poured. "
        "Before the first of them, the foam it lands on must be cool: hold a thermometer to it.",
        "Heat and rise of what is left were taken by closed forms.",
    )
    return Plan(
        job=used,
        skin=skin,
        frame=cavity.frame,
        cavity=cavity,
        graph=graph,
        foam=foam,
        lift_plan=whole,
        outcome=outcome,
        checks=whole_checks(skin, rest),
        warnings=(*said, *whole_warnings(used, skin, cavity, foam, rest, computed)),
        cautions=cautions_for(skin, foam, rest),
        provenance={
            **provenance_of(asked, skin),
            "issue": str(record.issue),
            "recorded": f"{len(record.counted)} of {len(record.entries)} entries",
        },
        computed=computed,
    )


def _crumbs(cavity: Cavity, graph: LevelGraph, dropped: np.ndarray) -> tuple[Unfilled, ...]:
    """What is left empty below the foam, each too little for a pour, as one space."""
    if not len(dropped):
        return ()
    largest = int(dropped[np.argmax(graph.node_volume_m3[dropped])])
    centre = graph.node_centroid_m[largest]
    left, front, base = (float(value) for value in centre)
    return (
        Unfilled(
            nodes=_frozen(dropped),
            volume_m3=float(graph.node_volume_m3[dropped].sum()),
            point_m=_frozen(cavity.frame.to_shell(centre)),
            measures=Measures(base, left, front),
        ),
    )


def _frozen(array: np.ndarray) -> np.ndarray:
    array = np.array(array)
    array.setflags(write=False)
    return array
