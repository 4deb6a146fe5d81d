"""One way up evaluated in full."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.lifts import EvenBands, judged
from pourwright.panels import Panel
from pourwright.plan import Case, hot_share, quick_day
from pourwright.turn.judged import STEADY_RAD
from pourwright.turn.model import Confirmed, Way
from pourwright.turn.scene import Scene, irons_in, look, with_hours


def confirm_way(scene: Scene, way: Way, flattest: tuple[Panel, ...]) -> Confirmed:
    """A way up in full: on the cells of a plan, divided and timed as a quick plan does it."""
    job, skin = scene.job, scene.skin
    frame = pour_frame(skin.vertices_m, way.up, np.asarray(job.front))
    cavity = build_cavity(
        skin,
        frame,
        cell_m=job.cell_m,
        memory_bytes=job.memory_bytes,
        stray_void_m3=job.stray_void_m3,
        irons=irons_in(job, skin, frame),
        apart=True,
    )
    return confirmed(scene, way, Space(skin, cavity, build_levels(cavity, ripple_m=job.limits.ripple_m), flattest))


def confirmed(scene: Scene, way: Way, space: Space) -> Confirmed:
    """The same with its cells at hand."""
    job, cavity, graph = scene.job, space.cavity, space.graph
    day = quick_day(Case(job, space, scene.history))
    plan = day.plan
    pours = [pour for lift in plan.lifts for pour in lift.pours]
    open_at = [k for k, pocket in enumerate(graph.pockets) if _open(pocket.node, plan.vents)]
    vented = np.zeros(len(graph.pockets), bool)
    vented[open_at] = True
    checks = [check for pour in pours for check in pour.checks]
    vents = sum(vent.way == "drilled" for vent in plan.vents)
    full = replace(
        way,
        pours=len(pours),
        last_h=day.hours_to_last_pour,
        pool_m=np.array([pool.persistence_m for pool in graph.pools]),
        pool_at_m=np.array([pool.point_m for pool in graph.pools]).reshape(-1, 3),
        pocket_m=np.array([pocket.persistence_m for pocket in graph.pockets]),
        pocket_at_m=np.array([pocket.point_m for pocket in graph.pockets]).reshape(-1, 3),
        vented=vented,
        more_vents=max(0, vents - int((~vented).sum())),
        peak_pa=max((pour.peak_pressure_pa.nominal for pour in pours), default=way.peak_pa),
    )
    over: dict[str, float] = {}
    for check in checks:
        if check.verdict == "over":
            over[check.name] = max(over.get(check.name, 0.0), check.value / max(check.limit, 1e-12))
    hot = hot_share(plan, job)
    if hot > 1.0:
        over[judged.SCORCH] = max(hot, over.get(judged.SCORCH, 0.0))
    return Confirmed(
        way=with_hours(scene, full),
        coarse=way,
        cell_m=cavity.grid.cell_m,
        volume_m3=cavity.volume_m3,
        lifts=len(plan.lifts),
        ports=sum(port.way == "drilled" for port in plan.ports),
        vents=vents,
        tilted=None if plan.tilt is None else plan.tilt.up @ space.frame.rotation,
        kept=isinstance(plan.day, EvenBands) or plan.day.day.keeps,
        over=tuple(sorted(over)),
        worst=max(over.values(), default=0.0),
        unknown=tuple(sorted({check.name for check in checks if check.verdict == "unknown"})),
    )


def tilted_way(scene: Scene, one: Confirmed, flattest: tuple[Panel, ...]) -> Confirmed | None:
    """A way up on which a piece stands, tilted on blocks by the least that its level ceilings ask for; None: by none.

    On its blocks it tips sooner by the tilt; where that is before `STEADY_RAD`, blocks do not hold it.
    """
    if one.tilted is None or one.way.cradle_m > 0:
        return None
    lean = float(np.arccos(np.clip(one.tilted @ one.way.up, -1.0, 1.0)))
    firm = one.way.tip_rad - lean
    if firm < STEADY_RAD.value:
        return None
    way = look(scene, one.tilted[None])[0]
    return confirm_way(scene, replace(way, blocks_rad=lean, cradle_m=0.0, tip_rad=firm), flattest)


def _open(node: int, vents: tuple[object, ...]) -> bool:
    """Whether a pocket leaves by an opening: its vent says so."""
    return any(getattr(vent, "node", -1) == node and getattr(vent, "way", "") == "opening" for vent in vents)
