"""Which port or vent is shut before which pour, or in which pour and by when, and what it has to hold then."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.lifts.checks import at_once_of, cup_empty_s, moving_s
from pourwright.lifts.model import Check, Closing, Division, Pour, ShopLimits
from pourwright.lifts.mouths import Mouth, arrival, port_mouth, shut_by, vent_mouth
from pourwright.ranges import Range
from pourwright.shell import Skin

Divided = TypeVar("Divided", bound=Division)
Arrives = Callable[[Pour, float], float]
"""When foam is at a height: a pour and a height above the base [m] to seconds after the start of its mixing."""


def close_holes(
    plan: Divided, skin: Skin, cavity: Cavity, graph: LevelGraph, limits: ShopLimits, arrives: Arrives
) -> Divided:
    """A division that says when its holes are shut, with the check that each port can be shut in time.

    Parameters
    ----------
    plan : Division
        In nodes of ``graph``; pours that are in already press on nothing and pass nothing any more.
    skin, cavity, graph
        As in the plan.
    limits : ShopLimits
    arrives : callable
        See `Arrives`.

    Returns
    -------
    Division
        A hole without a closing stays open above all foam.

    Notes
    -----
    A pour passes a hole if it tops out over the hole's lowest edge and fills the space behind it: foam of another limb
    never gets there, and its card must not ask for a bung where the tube of the pour before may still hang or air
    still leaves. Where no pour fills the space behind a hole, every pour that tops out over it counts.
    """
    pours = [pour for lift in plan.lifts for pour in lift.pours if not pour.poured]
    mouths = [port_mouth(skin, cavity, graph, port) for port in plan.ports]
    vents = [vent_mouth(skin, cavity, graph, vent) for vent in plan.vents]
    found = [(_closing(mouth, pours, mouth in vents), mouth in vents) for mouth in (*mouths, *vents)]
    closings = tuple(_timed(closing, pours, arrives, vent, limits) for closing, vent in found if closing is not None)
    lifts = tuple(replace(lift, pours=_checked(lift.pours, closings, limits)) for lift in plan.lifts)
    return replace(plan, lifts=lifts, closings=closings)


def _closing(mouth: Mouth, pours: Sequence[Pour], vent: bool) -> Closing | None:
    over = [k for k, pour in enumerate(pours) if _passes(mouth, pour)]
    behind = [k for k, pour in enumerate(pours) if np.isin(mouth.nodes, pour.nodes).any()]
    there = [k for k in over if k in behind]
    joining = {name for k in there for name in (pours[k].name, *pours[k].together)}  # foam that runs into theirs
    over = [k for k in over if pours[k].name in joining] if behind else over
    if not over:
        return None
    if vent:  # it is needed until its own pocket is full, or by the last whose air leaves there
        needed = there[:1] or [k for k, p in enumerate(pours) if mouth.hole in {one.name for one in p.vents}]
    else:
        needed = [k for k, p in enumerate(pours) if any(landing.port.name == mouth.hole for landing in p.landings)]
    last = max(needed, default=-1)
    before, inside = over[0], ""
    if before <= last:
        names = {pours[last].name, *pours[last].together}
        met = [k for k in over if k in there or pours[k].name in names]
        later = [k for k in over if k > last]
        if not met and not later:
            return None
        before = met[0] if met else later[0]
        inside = pours[last].name if before <= last else ""
    none = Range.exact(0.0)
    return Closing(mouth.hole, pours[before].name, inside, math.nan, math.nan, mouth.low_m, mouth.area_m2, none)


def _passes(mouth: Mouth, pour: Pour) -> bool:
    """Whether foam of a pour would rise past a hole: over its edge, or against it where it is packed there."""
    over = pour.top_m > mouth.low_m + mouth.slack_m + 1e-9
    return over or (pour.closes and mouth.slack_m == 0 and mouth.low_m <= pour.top_m + 1e-9 and mouth.hole[0] == "P")


def _timed(closing: Closing, pours: Sequence[Pour], arrives: Arrives, vent: bool, limits: ShopLimits) -> Closing:
    """The same with its times and its force, from what is known of the pours now: nothing is there before it is in."""
    by_name = {pour.name: pour for pour in pours}
    by_s = foam_s = math.nan
    if closing.inside:
        rising = (closing.inside, *by_name[closing.inside].together)
        foam_s = min(arrives(by_name[name], closing.low_m) for name in rising)
        foam_s = max(foam_s, limits.mix_s)
        if closing.before not in rising:  # foam is there before the pour begins
            foam_s = 0.0
        by_s = math.nan if vent else shut_by(foam_s)
    high_m = closing.low_m + math.sqrt(4 / math.pi * closing.area_m2)
    beside = [pour for pour in pours if pour.top_m > closing.low_m and pour.bottom_m < high_m]
    pressing = [by_name[closing.before].peak_pressure_pa, *(pour.peak_pressure_pa for pour in beside)]
    worst = Range(*(max(getattr(p, end) for p in pressing) for end in ("low", "nominal", "high")))
    force = Range(*(value * closing.area_m2 for value in (worst.low, worst.nominal, worst.high)))
    return replace(closing, by_s=by_s, foam_s=foam_s, force_n=force)


def arrives_by_times(graph: LevelGraph, foam: FoamAtShop) -> Arrives:
    """When foam is at a height by the foam's times alone; its end of rise where it is not to be found there."""

    def when(pour: Pour, height_m: float) -> float:
        under = graph.level_m[graph.node_level[pour.nodes] + 1] <= height_m + 1e-9
        space = float((graph.node_volume_m3[pour.nodes] * pour.shares)[under].sum())
        return min(arrival(foam, space, pour.foam_kg.nominal), foam.rise_end_s)

    return when


def _checked(pours: Sequence[Pour], closings: Sequence[Closing], limits: ShopLimits) -> tuple[Pour, ...]:
    """Pours with the check that every port they are poured through can be shut in time, where one has to be."""
    return tuple(_shut_check(pour, closings, limits) for pour in pours)


def _shut_check(pour: Pour, closings: Sequence[Closing], limits: ShopLimits) -> Pour:
    names = (pour.name, *pour.together)
    mine = sorted(one.by_s for one in closings if one.inside in names and not math.isnan(one.by_s))
    moving = moving_s(len(pour.landings), at_once_of(pour), limits)
    # One after another, first the one that foam gets to first, as many at a time as there are people.
    ready = [cup_empty_s(pour, limits) + judged.SHUT_TAKES.value * (k // limits.hands + 1) for k in range(len(mine))]
    checks = tuple(check for check in pour.checks if check.name != judged.SHUT)
    if any(one.inside == pour.name and not math.isnan(one.by_s) for one in closings):
        tightest = min(zip(ready, mine, strict=True), key=lambda pair: pair[1] - pair[0])
        check = Check(
            judged.SHUT,
            *tightest,
            "s",
            Verdict.OK if tightest[0] <= tightest[1] else Verdict.OVER,
            f"{'shot in' if limits.fresh else 'cup empty'} and its port shut, against foam there, from the first mix",
            f"{'' if limits.fresh else 'one more person, '}{judged.FEWER if moving > 0 else ''}a hole higher up, "
            "or a shorter lift",
        )
        checks = (*checks, check)
    return replace(pour, checks=checks)
