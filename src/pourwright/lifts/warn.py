"""What a person has to be told about a division into lifts."""

from __future__ import annotations

import math

import numpy as np

from pourwright.divide.even import BestCuts
from pourwright.findings import Code, Finding, Value, Verdict, finding, note
from pourwright.lifts import judged
from pourwright.lifts.assemble import Made
from pourwright.lifts.limits import batch_cap, closing_pressure, surface_under_limit_k
from pourwright.lifts.model import Check, Lift, Pour
from pourwright.lifts.scene import Scene
from pourwright.lifts.vents import barred


def warnings_of(
    scene: Scene, made: Made, lifts: tuple[Lift, ...], division: BestCuts | None = None
) -> tuple[Finding, ...]:
    """What to tell of a division, most serious first, each once."""
    pours = [pour for lift in lifts for pour in lift.pours]
    found = [
        *pour_warnings(scene, pours),
        *_small(scene, made, pours),
        *_holes(scene, made),
        *(_division(scene, lifts, division) if division is not None else []),
    ]
    return tuple(dict.fromkeys(found))


def pour_warnings(scene: Scene, pours: list[Pour]) -> list[Finding]:
    """What has to be told of the pours themselves, whatever division they are of."""
    return [
        *_over(pours),
        *_pressure(scene, pours),
        *_heat(scene, pours),
        *_reach(scene, pours),
        *_together(pours),
        *_shop(scene, pours),
    ]


def _check(pour: Pour, name: str) -> Check:
    return next(check for check in pour.checks if check.name == name)


def _of(code: Code, pours: list[Pour], **values: Value) -> list[Finding]:
    """A finding about pours; none without any."""
    return [finding(code, *(pour.name for pour in pours), **values)] if pours else []


def _over(pours: list[Pour]) -> list[Finding]:
    names = dict.fromkeys(check.name for pour in pours for check in pour.checks if check.verdict == Verdict.OVER)
    found = []
    for name in names:
        mine = [p for p in pours if any(c.name == name and c.verdict == Verdict.OVER for c in p.checks)]
        found += _of(Code.OVER_LIMIT, mine, check=name, remedy=_check(mine[0], name).remedy)
    return found


def _pressure(scene: Scene, pours: list[Pour]) -> list[Finding]:
    held = closing_pressure(scene.foam).high
    push = [(pour, _check(pour, judged.PRESSURE)) for pour in pours]
    close = [
        pour for pour, check in push
        if check.verdict == Verdict.OK and pour.closes and pour.peak_pressure_pa.high > check.limit
    ]  # fmt: skip
    unknown = [pour for pour, check in push if check.verdict == Verdict.UNKNOWN]
    return [
        *_of(Code.HEATS_AFTER_SETTING, close),
        *_of(Code.POCKET_MAY_CLOSE, [p for p in pours if not p.closes and p.peak_pressure_pa.high >= held]),
        *(_of(Code.PANEL_UNKNOWN, unknown, why=_check(unknown[0], judged.PRESSURE).source) if unknown else []),
    ]


def _heat(scene: Scene, pours: list[Pour]) -> list[Finding]:
    if not any(math.isinf(pour.wait_s) for pour in pours):
        return []
    limit = surface_under_limit_k(scene.foam, scene.limits)
    return [finding(Code.NO_WAIT_COOLS, air_k=scene.foam.conditions.air_k, limit_k=limit)]


def _reach(scene: Scene, pours: list[Pour]) -> list[Finding]:
    missed = [pour for pour in pours if not pour.landings]
    if not missed:
        return []
    largest = max(missed, key=lambda pour: pour.volume_m3)
    nodes = scene.graph.node_centroid_m[largest.nodes]
    x, y, z = np.average(nodes, axis=0, weights=scene.graph.node_volume_m3[largest.nodes] * largest.shares).tolist()
    volume = sum(p.volume_m3 for p in missed)
    return _of(Code.NOT_REACHED, missed, volume_m3=volume, up_m=z, left_m=x, front_m=y)


def _together(pours: list[Pour]) -> list[Finding]:
    found = []
    for pour in pours:
        if pour.together and pour.name < min(pour.together):
            people = _people(pour)
            found.append(finding(Code.POUR_TOGETHER, pour.name, *pour.together, people=people))
        if pour.after:
            found.append(finding(Code.POUR_AFTER, pour.name, over=tuple(pour.after)))
    return found


def _shop(scene: Scene, pours: list[Pour]) -> list[Finding]:
    found = []
    if batch_cap(scene.foam, scene.limits).in_time_m3 <= 0:
        found.append(finding(Code.NO_TIME_TO_POUR, cream_s=scene.foam.cream_s, mix_s=scene.limits.mix_s))
    several = [pour for pour in pours if _people(pour) > 1]
    most = max((_people(pour) for pour in several), default=0)
    return [*found, *_of(Code.SEVERAL_MIXES, several, most=float(most))]


def _people(pour: Pour) -> int:
    """People who have to mix for a pour at the same time; 1 where a machine shoots."""
    return max((round(check.value) for check in pour.checks if check.name == judged.HANDS), default=1)


def _small(scene: Scene, made: Made, pours: list[Pour]) -> list[Finding]:
    found = []
    if made.unfilled:
        largest = max(made.unfilled, key=lambda space: space.volume_m3)
        at = largest.measures
        found.append(
            finding(
                Code.STAYS_EMPTY,
                spaces=len(made.unfilled),
                volume_m3=sum(space.volume_m3 for space in made.unfilled),
                least_m3=scene.limits.least_pour_m3,
                largest_m3=largest.volume_m3,
                up_m=at.from_base_m,
                left_m=at.from_left_m,
                front_m=at.from_front_m,
            )
        )
    little = [p for p in pours if min(p.batch.a_m3, p.batch.b_m3) < judged.BY_WEIGHT.value]
    return [*found, *_of(Code.SMALL_BATCH, little, least_m3=judged.BY_WEIGHT.value)]


def _holes(scene: Scene, made: Made) -> list[Finding]:
    found = []
    if scene.openings.others:
        found.append(finding(Code.LOOKS_SIDEWAYS, *scene.openings.others))
    side = {port.name: port for port in made.ports if port.sideways}
    for name, upward in made.upward.items():
        if upward < judged.STEEP.value and name not in side:
            found.append(finding(Code.STEEP_SKIN, name))
    for name, port in side.items():
        found.append(note(Code.SIDE_HOLE, name, hole_m=port.hole_m, up_m=port.measures.from_base_m))
    drilled = [vent for vent in made.vents if vent.way == "drilled"]
    if drilled and scene.limits.holes.keep_out:
        points = np.array([vent.point_m for vent in drilled])
        out = barred(scene.skin, scene.cavity, scene.limits.holes, points, front=False)
        found += [finding(Code.VENT_WHERE_NONE_MAY_BE, drilled[k].name) for k in np.flatnonzero(out).tolist()]
    for vent in made.vents:
        for port in made.ports:
            apart = 0.5 * port.hole_m + judged.BOARD_LAPS.value
            if vent.way == port.way == "drilled" and np.linalg.norm(vent.point_m - port.point_m) < apart:
                found.append(finding(Code.VENT_IN_BOARD, vent.name, port=port.name))
    return found


def _division(scene: Scene, lifts: tuple[Lift, ...], division: BestCuts) -> list[Finding]:
    if not division.slivers:
        return []
    high = [lift.top_m - lift.bottom_m for lift in lifts]
    share = scene.limits.sliver_share
    thin = [
        str(lift.number)
        for k, lift in enumerate(lifts)
        if any(high[k] < share * high[j] for j in (k - 1, k + 1) if 0 <= j < len(high))
    ]
    # A thin band of which only voids were left is no lift any more: then there is nothing to tell.
    return [finding(Code.THIN_LIFT, *thin)] if thin else []
