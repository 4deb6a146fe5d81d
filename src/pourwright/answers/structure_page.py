"""The words of the page on structure: does the skin bulge, where to prop it, and what the foam adds."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from types import MappingProxyType

import numpy as np

from pourwright import units
from pourwright.answers.page import Page, Rows, Section
from pourwright.structure import Gain, LiftBulge, Prop, StiffnessResult
from pourwright.wording.checks import force
from pourwright.wording.stiffness import bond_words, ratio, small_length

NOT_COMPUTABLE = "not computable"
NONE: Mapping[int, float] = MappingProxyType({})
TITLE = "skin under pressure and stiffness"


def stiffness_page(name: str, place: str, result: StiffnessResult, made_from: str) -> Page:
    """Everything that ``pourwright stiffness`` says about a piece."""
    sections = []
    if result.bulges:
        sections.append(_bulges(result.bulges))
        over = [bulge for bulge in result.bulges if bulge.verdict == "over"]
        if over:
            sections.append(_props(over))
    if result.gains:
        sections.append(_gains(result))
    if result.push is not None:
        sections.append(_pushes(result))
    sections.append(Section("How it was computed", _method(result)))
    return Page(name, place, TITLE, tuple(sections), (*warnings_of(result), *result.warnings), made_from)


def stiffness_refusals(
    result: StiffnessResult, shored: Collection[int] = (), closed_pa: Mapping[int, float] = NONE
) -> tuple[str, ...]:
    """Lifts under which the skin bulges too far; ``shored``: lifts planned with shores.

    ``closed_pa`` is what the formula says that the skin stands under a lift: it decides where nothing else did.
    """
    out = []
    for bulge in result.bulges:
        if bulge.verdict == "over" and not (bulge.passes and bulge.number in shored):
            out.append(f"the skin bulges too far under lift {bulge.number}")
        elif bulge.verdict == "unknown" and bulge.pressure_pa > closed_pa.get(bulge.number, math.inf):
            out.append(f"the skin bulges too far under lift {bulge.number} by the formula ({bulge.words})")
    return tuple(out)


def stiffness_unknowns(result: StiffnessResult, closed_pa: Mapping[int, float] = NONE) -> tuple[str, ...]:
    """Lifts of which neither finite elements nor the formula say whether they bulge the skin too far."""
    unknown = [bulge for bulge in result.bulges if bulge.verdict == "unknown"]
    unknown = [bulge for bulge in unknown if not (math.isfinite(bulge.pressure_pa) and bulge.number in closed_pa)]
    return tuple(f"how far the skin bulges under lift {bulge.number}" for bulge in unknown)


def warnings_of(result: StiffnessResult) -> tuple[str, ...]:
    """Lifts that must not be poured as planned."""
    out = []
    for bulge in result.bulges:
        if bulge.verdict == "over":
            how = (
                f"prop it with {_count(len(bulge.props), 'shore')} as listed" if bulge.passes else "hold it in a cradle"
            )
            thin = (
                f", or pour at most {units.tape(bulge.thinner_m)} at a time" if math.isfinite(bulge.thinner_m) else ""
            )
            out.append(f"Lift {bulge.number} bulges the skin beyond its limit: {how}{thin}.")
        elif bulge.verdict == "unknown":
            out.append(
                f"How far lift {bulge.number} bulges the skin is not known ({bulge.words}): hold it from outside, "
                "never take it as safe."
            )
    return tuple(out)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _place(point_m: np.ndarray) -> str:
    left, front, up = (units.tape(float(v)) for v in point_m)
    return f"{up} up, {left} from the left, {front} from the front"


def _bulges(bulges: tuple[LiftBulge, ...]) -> Section:
    rows = []
    for bulge in bulges:
        known = math.isfinite(bulge.outward_m)
        rows.append(
            (
                str(bulge.number),
                units.pressure(bulge.pressure_pa),
                units.length(bulge.outward_m) if known else NOT_COMPUTABLE if bulge.beyond else "-",
                units.length(bulge.allowed_m) if math.isfinite(bulge.allowed_m) else "-",
                units.pressure(bulge.stress_pa) if known else NOT_COMPUTABLE if bulge.beyond else "-",
                units.pressure(bulge.stress_limit_pa),
                bulge.verdict,
            )
        )
    lines = [
        f"Lift {bulge.number}: most {_place(bulge.point_m)}"
        + (", the stretch of the bulged skin counted." if bulge.large else ".")
        for bulge in bulges
        if math.isfinite(bulge.outward_m)
    ]
    lines += [
        f"Lift {bulge.number}: bulge and stress are not computable: {bulge.beyond}. It bulges too far from "
        f"{units.pressure(bulge.stands_pa)} on."
        for bulge in bulges
        if bulge.beyond
    ]
    lines += [f"Lift {bulge.number}: {bulge.words}." for bulge in bulges if bulge.words and bulge.verdict != "over"]
    heads = ("lift", "pressure", "bulges out", "allowed", "stress", "allowed", "verdict")
    return Section("Skin while the foam rises", tuple(lines), Rows(heads, tuple(rows)))


def _props(bulges: list[LiftBulge]) -> Section:
    rows: list[tuple[str, ...]] = []
    lines = []
    for bulge in bulges:
        rows += [_prop_row(bulge.number, k, prop) for k, prop in enumerate(bulge.props, 1)]
        if bulge.props:
            lines.append(
                f"Lift {bulge.number} with its shores: bulges out {units.length(bulge.propped_m)}, stress "
                f"{units.pressure(bulge.propped_pa)}: {'passes' if bulge.passes else 'still over'}."
                if math.isfinite(bulge.propped_m)
                else f"Lift {bulge.number} with its shores: not computable, still over."
            )
        if bulge.words:
            lines.append(f"Lift {bulge.number}: {bulge.words}.")
        if math.isfinite(bulge.thinner_m):
            lines.append(
                f"Lift {bulge.number} passes without shores if it is no thicker than {units.tape(bulge.thinner_m)}."
            )
    lines.append("Set shores snug before pouring, without pressing the skin in; take them away when the foam has set.")
    heads = ("lift", "shore", "up", "from left", "from front", "pad or board", "force")
    return Section("Where to prop it", tuple(lines), Rows(heads, tuple(rows)) if rows else None)


def _prop_row(lift: int, number: int, prop: Prop) -> tuple[str, ...]:
    left, front, up = (units.tape(float(v)) for v in prop.point_m)
    size = units.tape(2 * prop.pad_m) + " across"
    if prop.board_m is not None:
        size = " by ".join(units.tape(side) for side in prop.board_m) + ", the whole side"
    return (str(lift), f"S{lift}.{number}", up, left, front, size, force(prop.force_n))


def _beyond(gain: Gain) -> str:
    """Why some movements of a case are no figures, and what its ratios then stand for."""
    return (
        f"{gain.name[0].upper()}{gain.name[1:]}: not computable under {_load(gain)} where it says so: {gain.beyond}. "
        f"The times are those of up to {_load(gain, gain.share)}, under which the empty skin moves "
        f"{_moved(gain, gain.small)}."
    )


def _moved(gain: Gain, value: float) -> str:
    if not math.isfinite(value):
        return NOT_COMPUTABLE
    return f"{value * 1e6:.3g} µrad" if gain.unit == "rad" else small_length(value)


def _load(gain: Gain, share: float = 1.0) -> str:
    """The load of a case, or a share of it."""
    amount = share * gain.amount
    if gain.amount_unit == "Pa":
        return f"{units.pressure(amount)} {gain.load}"
    if gain.amount_unit == "N":
        return f"{force(amount)} {gain.load}"
    if gain.amount_unit == "N m":
        pounds = units.converted(amount, "newton*meter", "pound_force*foot")
        return f"{amount:.3g} N m ({pounds:.3g} lbf ft) {gain.load}"
    return gain.load if share >= 1 else f"{share:.2g} times {gain.load}"


def _gains(result: StiffnessResult) -> Section:
    rows = []
    for gain in result.gains:
        a, b, c = gain.times
        rows.append(
            (
                gain.name,
                _load(gain),
                _moved(gain, gain.before),
                f"{_moved(gain, gain.touching)}, {ratio(a)} times",
                f"{_moved(gain, gain.bonded)}, {ratio(b)} times",
                f"{_moved(gain, gain.counted)}, {ratio(c)} times",
            )
        )
    lines = [
        units.in_both(result.support),
        bond_words(result),
        "Times: stiffness after over before; below 1 the added weight outweighs it.",
    ]
    if result.bond == 0:
        lines.append(
            "No bond takes skin and foam as touching. Counted: the skin is alone until it has moved through the gap; "
            "so little bending and twist as stands here never close it."
        )
    lines += [_beyond(gain) for gain in result.gains if gain.beyond]
    heads = ("what", "load", "empty", "foam, no bond", "foam, bonded", "counted")
    return Section("Before and after the foam", tuple(lines), Rows(heads, tuple(rows)))


def _pushes(result: StiffnessResult) -> Section:
    push = result.push
    assert push is not None
    rows = []
    order = np.argsort(push.before_n_m, kind="stable")
    empty, filled = push.gives_m
    for title, k in (
        ("softest place", order[0]),
        ("middle of all", order[len(order) // 2]),
        ("stiffest place", order[-1]),
    ):
        rows.append(
            (
                title,
                _place(push.point_m[k]),
                *(_given(float(gives[k])) for gives in (empty, filled)),
                "-" if push.sway_m is None else _given(float(push.sway_m[k])),
                *(
                    ratio(float(v[k] / push.before_n_m[k]))
                    for v in (push.touching_n_m, push.bonded_n_m, push.counted_n_m)
                ),
                force(float(push.at_n[k])),
            )
        )
    gain = push.gain
    lines: tuple[str, ...] = (
        f"A push of {force(push.force_n)} with the palm ({units.length(2 * push.palm_m)} across) at {len(gain)} "
        f"places: the foam that counts makes them {ratio(float(gain.min()))} to {ratio(float(gain.max()))} times as "
        f"stiff, half of them more than {ratio(float(np.median(gain)))} times.",
        "Empty and filled: how far the skin gives under the palm, beyond the slice it is in. Sway: how far "
        "that slice moves, empty. No bond and bonded take skin and foam as touching all along; counted takes the gap "
        "that cooling opens where there is no bond.",
    )
    short = int((push.at_n < push.force_n).sum())
    if short:
        lines += (
            f"Up to: the push that the times stand for. At {short} of {len(gain)} places it is less than "
            f"{force(push.force_n)}, at the worst {force(float(push.at_n.min()))}, as beyond that {push.beyond}; how "
            "far the skin would give there is not computable.",
        )
    heads = ("place", "where", "empty", "filled", "sway", "no bond", "bonded", "counted", "up to")
    return Section("Pushed by hand", lines, Rows(heads, tuple(rows)))


def _given(value_m: float) -> str:
    return small_length(value_m) if math.isfinite(value_m) else NOT_COMPUTABLE


def _method(result: StiffnessResult) -> tuple[str, ...]:
    low, high = result.foam_pa
    return (
        *result.words,
        f"Foam modulus {units.pressure(low)} to {units.pressure(high)}, from the grade's own by density to the power "
        "1.54 (Roberts & Garboczi 2001), the same in all directions.",
        "Skin: thin-shell triangles in the middle of the wall, elastic; caps of openings carry nothing. While foam "
        "rises, set foam below only pushes where it does not stick.",
        "Not counted: fibres' direction, creep, warmth of the foam on the skin, joints and inserts.",
    )
