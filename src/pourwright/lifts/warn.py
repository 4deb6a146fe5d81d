"""What a person has to be told about a division into lifts."""

from __future__ import annotations

import math

import numpy as np

from pourwright.divide.even import Division
from pourwright.lifts import judged
from pourwright.lifts.assemble import Made
from pourwright.lifts.limits import batch_cap, closing_pressure, surface_under_limit_k
from pourwright.lifts.model import Check, Lift, Pour
from pourwright.lifts.scene import Scene
from pourwright.lifts.words import celsius, listing, litres


def warnings_of(scene: Scene, made: Made, lifts: tuple[Lift, ...], division: Division | None = None) -> tuple[str, ...]:
    """Plain sentences, most serious first, each once."""
    pours = [pour for lift in lifts for pour in lift.pours]
    lines = [
        *pour_warnings(scene, pours),
        *_small(scene, made, pours),
        *_holes(scene, made),
        *(_division(scene, lifts, division) if division is not None else []),
    ]
    return tuple(dict.fromkeys(lines))


def pour_warnings(scene: Scene, pours: list[Pour]) -> list[str]:
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


def _named(pours: list[Pour]) -> str:
    return ("Pour " if len(pours) == 1 else "Pours ") + listing([pour.name for pour in pours])


def _over(pours: list[Pour]) -> list[str]:
    names = dict.fromkeys(check.name for pour in pours for check in pour.checks if check.verdict == "over")
    lines = []
    for name in names:
        mine = [p for p in pours if any(check.name == name and check.verdict == "over" for check in p.checks)]
        remedy = _check(mine[0], name).remedy
        lines.append(f"{_named(mine)}: over the limit of {name}. What would help: {remedy}.")
    return lines


def _pressure(scene: Scene, pours: list[Pour]) -> list[str]:
    lines = []
    close = [
        pour
        for pour in pours
        if (check := _check(pour, judged.PRESSURE)).verdict == "ok"
        and pour.closes
        and pour.peak_pressure_pa.high > check.limit
    ]
    if close:
        lines.append(
            f"{_named(close)}: the gas-law pressure is within what the panel stands, but not if the gas goes on "
            "heating after the foam has set; watch the panel and have a support at hand."
        )
    held = closing_pressure(scene.foam).high
    locked = [pour for pour in pours if not pour.closes and pour.peak_pressure_pa.high >= held]
    if locked:
        lines.append(
            f"{_named(locked)}: meets the cap of a pocket while it is open elsewhere; if the way between them gels "
            "first, the pocket sees the full gas-law pressure."
        )
    unknown = [pour for pour in pours if _check(pour, judged.PRESSURE).verdict == "unknown"]
    if unknown:
        why = _check(unknown[0], judged.PRESSURE).source
        lines.append(f"{_named(unknown)}: what the skin stands is not known ({why}); hold the skin from outside.")
    return lines


def _heat(scene: Scene, pours: list[Pour]) -> list[str]:
    lines = []
    if any(math.isinf(pour.wait_s) for pour in pours):
        lines.append(
            f"The shop's air at {celsius(scene.foam.conditions.air_k)} is no cooler than what a pour may land on "
            f"({celsius(surface_under_limit_k(scene.foam, scene.limits))}): there is no wait that would do."
        )
    return lines


def _reach(scene: Scene, pours: list[Pour]) -> list[str]:
    missed = [pour for pour in pours if not pour.landings]
    if not missed:
        return []
    largest = max(missed, key=lambda pour: pour.volume_m3)
    nodes = scene.graph.node_centroid_m[largest.nodes]
    x, y, z = np.average(nodes, axis=0, weights=scene.graph.node_volume_m3[largest.nodes] * largest.shares)
    return [
        f"{_named(missed)}, {litres(sum(p.volume_m3 for p in missed))} in all, cannot be reached straight from above "
        f"(the largest about {z:.2f} m up, {x:.2f} m from the left, {y:.2f} m from the front): turn the piece, or pour "
        "there through a hole in the side before the foam beside it rises that far."
    ]


def _together(pours: list[Pour]) -> list[str]:
    lines = []
    for pour in pours:
        if pour.together and pour.name < min(pour.together):
            people = round(_check(pour, judged.HANDS).value)
            lines.append(
                f"Pours {listing([pour.name, *pour.together])} run into each other: {people} people mix and pour at "
                "the same time, each pour its own amount."
            )
        if pour.after:
            lines.append(
                f"Pour {pour.name} rises over {listing(list(pour.after))}: {listing(list(pour.after))} first, up to "
                f"where they meet, and {pour.name} is mixed when that has risen."
            )
    return lines


def _shop(scene: Scene, pours: list[Pour]) -> list[str]:
    lines = []
    if batch_cap(scene.foam, scene.limits).in_time_m3 <= 0:
        lines.append(
            f"The liquids cream {scene.foam.cream_s:.0f} s after mixing begins and mixing takes "
            f"{scene.limits.mix_s:.0f} s: there is no time left to pour; cool the liquids or mix faster."
        )
    several = [pour for pour in pours if _check(pour, judged.HANDS).value > 1]
    if several:
        most = max(several, key=lambda pour: _check(pour, judged.HANDS).value)
        lines.append(
            f"{_named(several)}: up to {_check(most, judged.HANDS).value:.0f} mixes have to be poured at the same time."
        )
    return lines


def _small(scene: Scene, made: Made, pours: list[Pour]) -> list[str]:
    lines = []
    if made.unfilled:
        largest = max(made.unfilled, key=lambda space: space.volume_m3)
        at = largest.measures
        lines.append(
            f"{len(made.unfilled)} small {'space stays' if len(made.unfilled) == 1 else 'spaces stay'} empty, "
            f"{litres(sum(space.volume_m3 for space in made.unfilled))} in all: each is less than the least pour of "
            f"{litres(scene.limits.least_pour_m3)}, and no pour beside it can take it (the largest, "
            f"{litres(largest.volume_m3)}, {at.from_base_m:.2f} m up, {at.from_left_m:.2f} m from the left, "
            f"{at.from_front_m:.2f} m from the front)."
        )
    little = [p for p in pours if min(p.batch.a_m3, p.batch.b_m3) < judged.BY_WEIGHT.value]
    if little:
        lines.append(
            f"{_named(little)}: less than {judged.BY_WEIGHT.value * 1e6:.0f} mL of a part in a cup. Measure by weight, "
            "on a scale that shows tenths of a gram."
        )
    return lines


def _holes(scene: Scene, made: Made) -> list[str]:
    lines = []
    if scene.openings.others:
        lines.append(
            f"{listing(list(scene.openings.others)).capitalize()}: looks sideways or down; close with a board that the "
            "foam cannot push off, sealed at the rim."
        )
    for name, upward in made.upward.items():
        if upward < judged.STEEP.value:
            lines.append(f"{name} is on steep skin: drill it upright, not square to the skin, and use a funnel.")
    for vent in made.vents:
        for port in made.ports:
            apart = 0.5 * port.hole_m + judged.BOARD_LAPS.value
            if vent.way == port.way == "drilled" and np.linalg.norm(vent.point_m - port.point_m) < apart:
                lines.append(
                    f"{vent.name} lies where {port.name} is closed: let its air out through a hole of its size in what "
                    f"closes {port.name}."
                )
    return lines


def _division(scene: Scene, lifts: tuple[Lift, ...], division: Division) -> list[str]:
    lines = []
    if division.slivers:
        high = [lift.top_m - lift.bottom_m for lift in lifts]
        share = scene.limits.sliver_share
        thin = [
            str(lift.number)
            for k, lift in enumerate(lifts)
            if any(high[k] < share * high[j] for j in (k - 1, k + 1) if 0 <= j < len(high))
        ]
        # A thin band of which only voids were left is no lift any more: then there is nothing to tell.
        if thin:
            lines.append(f"Lift {listing(thin)}: much thinner than a neighbour, and the limits leave no other way.")
    return lines
