"""A closed cavity filled in one shot: its packing is found first, then fixture and series of the plan that keeps it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Space
from pourwright.findings import Verdict
from pourwright.fixture import Fixture, Release, WarmSkin, faces_of, fixture_of, release_of, sides_of
from pourwright.foam import FoamAtShop
from pourwright.lifts import Check, Division, Pour, closing_pressure, packing_of, plan_lifts
from pourwright.outcome import Outcome
from pourwright.plan.case import Case
from pourwright.plan.heat_cells import pours_of
from pourwright.plan.judge import checked
from pourwright.plan.model import Job
from pourwright.plan.reaction import History, history_of
from pourwright.plan.rising import rises_of
from pourwright.ranges import Range
from pourwright.series import PartFacts, Series, series_of
from pourwright.shot import (
    Chambers,
    Flow,
    Machine,
    PortShot,
    ScaleWeight,
    TiltStage,
    Window,
    at_density,
    chambers_of,
    flow_of,
    scale_weight,
    shots_of,
    tilt_stages,
    window_of,
)
from pourwright.sources import Cited, Standing

BY_SHOT = "shop.machine: in one shot"
FILLS, HOLDS, IN_TIME = "least packing that fills", "packing that holds", "shots before gel"
METERED = "least shot that is metered well"


@dataclass(frozen=True, eq=False)
class OneShot:
    """What a machine, a fixture and a series make of a plan."""

    machine: Machine
    window: Window
    flows: tuple[Flow, ...]
    shots: tuple[PortShot, ...]
    fixture: Fixture
    scale: ScaleWeight
    tilts: tuple[TiltStage, ...]  # none: no air stays as it stands
    series: Series | None  # None: not asked for, or no release is known

    @property
    def fill_s(self) -> float:
        """From the start of the first shot to the end of the last."""
        return max((shot.start_s + shot.seconds for shot in self.shots), default=0.0)


@dataclass(frozen=True, eq=False)
class Packed:
    """What is found before the cavity is divided for good."""

    machine: Machine
    window: Window
    chambers: Chambers
    ways: tuple[tuple[Pour, Flow], ...]  # of the first division


def packed_job(job: Job, machine: Machine, space: Space) -> tuple[Job, Packed]:
    """The job with the packing of its shot, and what it was found by.

    The cavity is divided with the grade's packing first: what a rise asks for depends on the space and its vents, not
    on how much is shot. A judged cap on the lift does not cut a shot; a supplier's does.
    """
    if job.grade.max_lift_is_judgement and job.limits.max_lift_m is None:
        tall = float(space.graph.level_m[-1] - space.graph.level_m[0])
        job = replace(job, limits=replace(job.limits, max_lift_m=tall, max_lift_reference=BY_SHOT))
    history = history_of(job)
    first = plan_lifts(space, history.foam, job.limits, panels_bind=False)
    rises = rises_of(first, Case(job, space, history))
    chambers = chambers_of(space.cavity, space.graph)
    found = _flows(space, history, first, chambers)
    ways = {pour.name: flow.packing for pour, flow in found}
    needs = [
        (pour.name, rises[pour.name].packing_needed if pour.name in rises else math.nan, ways.get(pour.name, math.nan))
        for pour in pours_of(first)
        if pour.closes
    ]
    grade = job.grade
    given = grade.packing if grade.cited["packing"].standing is Standing.JOB else None
    window = window_of(needs, job.fixture.pressure_pa, history.foam, given)
    chosen = max(window.chosen, grade.open_packing)
    cited = Cited(chosen, "-", Standing.COMPUTED, note="between what fills and what the fixture bears")
    if given is None:
        grade = replace(grade, packing=chosen, cited={**grade.cited, "packing": cited})
    return replace(job, grade=grade), Packed(machine, replace(window, chosen=chosen), chambers, found)


def one_shot(job: Job, space: Space, history: History, plan: Division, outcome: Outcome, packed: Packed) -> OneShot:
    """Fixture, ports and series of a plan."""
    chambers, window = packed.chambers, packed.window
    pours = pours_of(plan)
    shots = shots_of(pours, packed.machine)
    found = OneShot(
        machine=packed.machine,
        window=window,
        flows=tuple(flow for _, flow in _flows(space, history, plan, chambers, packed.ways)),
        shots=shots,
        fixture=_fixture(job, space, history, chambers, pours),
        scale=scale_weight(pours, window, outcome.total_kg),
        tilts=tilt_stages(plan.ceilings, chambers.of_node, space.frame.to_standing(space.skin.vertices_m)),
        series=None,
    )
    if job.series is None or math.isnan(found.fixture.release_s):
        return found
    return replace(found, series=series_of(job.series, _part(job, space, history.foam, outcome, found)))


def shot_checks(shot: OneShot, foam: FoamAtShop) -> tuple[Check, ...]:
    """Whether the packing fills and holds, and the shots come in time."""
    window, shots = shot.window, shot.shots
    last = max((one.start_s for one in shots), default=math.nan)
    least = min((one.seconds for one in shots), default=math.nan)
    job, why = Standing.JOB.value, "computed: least packing without a void"
    why += f"; {window.closed_by}" if window.closed_by else ""
    wider = "a port more, wider passes, more vents, or a slower foam"
    quicker = "a machine that gives more, more heads, or fewer ports"
    checks = (
        checked(FILLS, window.lowest, window.chosen, "", why, wider),
        checked(
            HOLDS, window.chosen, window.highest, "", f"{job} (fixture.pressure), gas law",
            "a stronger fixture, or less packing",
        ),
        checked(IN_TIME, last, foam.gel_s, "s", "start of the last shot against the gel time of the first", quicker),
        checked(
            METERED, shot.machine.shortest_s, least, "s", f"{job} (shop.machine), against the least",
            "fewer ports, or a machine that gives less",
        ),
    )  # fmt: skip
    return tuple(replace(check, remedy="") if check.verdict == Verdict.OK else check for check in checks)


def _flows(
    space: Space,
    history: History,
    plan: Division,
    chambers: Chambers,
    known: Iterable[tuple[Pour, Flow]] = (),
) -> tuple[tuple[Pour, Flow], ...]:
    """Pours with the way of their foam; one that fills the same from the same places as a known one has its way."""
    free = history.foam.free_rise_density_kg_m3.nominal
    before = {_way_key(pour): flow for pour, flow in known}
    out = []
    for pour in pours_of(plan):
        density = packing_of(pour, history.foam) * free
        flow = before.get(_way_key(pour))
        if flow is not None:
            found: Flow | None = replace(at_density(flow, density), pour=pour.name)
        else:
            thick = float(chambers.thickness_m[chambers.of_node[pour.nodes[0]]])
            found = flow_of(space.cavity, space.graph, pour, thick, history.rising, density)
        if found is not None:
            out.append((pour, found))
    return tuple(out)


def _way_key(pour: Pour) -> tuple[bytes, tuple[tuple[str, bytes], ...]]:
    landed = tuple((one.port.name, np.asarray(one.point_m, float).tobytes()) for one in pour.landings)
    return np.asarray(pour.nodes, np.int64).tobytes(), landed


def _fixture(job: Job, space: Space, history: History, chambers: Chambers, pours: list[Pour]) -> Fixture:
    foam = history.foam
    held = closing_pressure(foam)
    shut = [pour.peak_pressure_pa for pour in pours]
    nominal = max([held.nominal, *(one.nominal for one in shut)])
    pressure = Range(min(held.low, nominal), nominal, max([held.high, nominal, *(one.high for one in shut)]))
    releases = []
    for chamber in range(chambers.count):
        mine = [pour for pour in pours if chambers.of_node[pour.nodes[0]] == chamber]
        releases.append(_release(job, history, mine, float(chambers.widest_m[chamber])))
    material = space.skin.material
    skin_k = job.fixture.skin_k if job.fixture.skin_k is not None else material.heat_limit_k
    return fixture_of(
        faces_of(space.cavity, space.graph, chambers.of_node, chambers.count),
        sides_of(space.cavity, space.graph, chambers.of_node),
        pressure,
        job.fixture,
        releases,
        WarmSkin(space.panels, material, space.frame, skin_k, job.limits.bulge_share),
    )


def _release(job: Job, history: History, pours: list[Pour], widest_m: float) -> Release:
    """Of one chamber: that of its slowest pour; nothing is known of one that is not filled."""
    each = [
        release_of(
            history.foam,
            history.heat,
            max(packing_of(pour, history.foam), 1.0),
            widest_m,
            job.fixture,
        )
        for pour in pours
    ]
    if not each or any(math.isnan(one.seconds) for one in each):
        return Release(math.nan, math.nan, math.nan, math.nan, "growth", math.nan)
    return max(each, key=lambda one: one.seconds)


def _part(job: Job, space: Space, foam: FoamAtShop, outcome: Outcome, shot: OneShot) -> PartFacts:
    skin = outcome.skin_kg.nominal
    return PartFacts(
        skin_kg=skin,
        skin_m3=skin / space.skin.material.density_kg_m3,
        cavity_m3=space.cavity.volume_m3,
        foam_kg=outcome.foam_kg.nominal,
        free_density_kg_m3=foam.free_rise_density_kg_m3.nominal,
        density_per_k=job.grade.density_per_k,
        fill_s=shot.fill_s,
        release_s=float(np.max(shot.fixture.release_s)),
        lowest=shot.window.lowest,
        highest=shot.window.highest,
        repeat_share=shot.machine.repeat_share,
        ratio_tolerance=shot.machine.ratio_tolerance,
    )
