"""The sentences of a plan: limits, checks, places and holes, in both systems."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from pourwright import units
from pourwright.foam import FoamAtShop, Sides
from pourwright.lifts import Check, Lift, Measures, OneMore, Port, Pour, Vent, judged, packing_of
from pourwright.plan import Plan, first_mix
from pourwright.wording.spoken import BY_HAND, Spoken

Status = Literal[
    "planned", "planned; not all is known, and that is not to be taken as safe", "over a limit: do not pour"
]
PLANNED: Status = "planned"
NOT_ALL_KNOWN: Status = "planned; not all is known, and that is not to be taken as safe"
DO_NOT_POUR: Status = "over a limit: do not pour"


def over_words(plan: Plan) -> str:
    """The status where a check is over or not known, with every such check named; empty where none is."""
    over, unknown = plan.over_limit, plan.not_known
    if over:
        names = ", ".join(dict.fromkeys(check.name for check in over))
        return f"{DO_NOT_POUR} ({names})"
    if unknown:
        names = ", ".join(dict.fromkeys(check.name for check in unknown))
        return f"{NOT_ALL_KNOWN} ({names})"
    return ""


def status_of(plan: Plan) -> Status:
    """The same without the names of the checks."""
    return DO_NOT_POUR if plan.over_limit else NOT_ALL_KNOWN if plan.not_known else PLANNED


def check_words(check: Check) -> str:
    """A check in one sentence.

    >>> check_words(Check("lift thickness", 0.18, 0.2, "m", "ok", "data sheet"))
    'lift thickness 180 mm (7.1 in) of 200 mm (7.9 in) allowed, 10 % to spare'
    >>> check_words(Check("lift thickness", 0.2004, 0.2, "m", "over", "data sheet"))
    'lift thickness 200.4 mm (7.89 in) is OVER the 200.0 mm (7.87 in) allowed'
    >>> check_words(Check("skin temperature", 310.15, 328.15, "K", "ok", "published"))
    'skin temperature 37 °C (99 °F) of 55 °C (131 °F) allowed, 18 °C (32 °F) below the limit'
    """
    limit = units.by_unit(check.limit, check.unit)
    if check.verdict == "unknown" and math.isfinite(check.value) and check.value > check.limit:
        value, limit = units.apart(lambda number: units.by_unit(number, check.unit), check.value, check.limit)
        return f"{check.name} could come to {value}, {limit} is allowed: not known until the heat is measured"
    if check.verdict == "unknown" or not math.isfinite(check.value):
        return f"{check.name} is not known (limit {limit}): never take it as safe"
    value, limit = units.apart(lambda number: units.by_unit(number, check.unit), check.value, check.limit)
    if check.verdict == "ok" and math.isinf(check.limit):
        return f"{check.name} {value}, {check.source}"
    if check.verdict == "ok with shores":
        return f"{check.name} {value} is over the {limit} allowed without shores, ok with shores"
    if check.verdict == "over" and not check.unit and check.limit == 0:
        return f"{check.name}: {check.value:g}, and none is allowed"
    if check.verdict == "over":
        return f"{check.name} {value} is OVER the {limit} allowed"
    return f"{check.name} {value} of {limit} allowed{_room_words(check)}"


def _room_words(check: Check) -> str:
    """What is left to the limit, as a share of it; of a temperature in degrees."""
    if check.unit == "K":
        return f", {units.degrees(check.below)} below the limit" if check.below > 0 else ""
    return f", {units.share(check.margin)} to spare" if math.isfinite(check.margin) and 0 <= check.margin <= 1 else ""


def bench_words(check: Check) -> str:
    """A check that is not kept, for a card: a temperature that is over by less than a degree is just over.

    >>> bench_words(Check("emergency temperature", 473.19, 473.15, "K", "unknown", "our judgement"))
    'emergency temperature could come to just over the 200 °C (392 °F) allowed: not known until the heat is measured'
    """
    over_k = check.value - check.limit
    if check.unit != "K" or not 0.0 < over_k < JUST_OVER_K:
        return check_words(check)
    just = f"just {'OVER' if check.verdict == 'over' else 'over'} the {units.by_unit(check.limit, 'K')} allowed"
    if check.verdict == "over":
        return f"{check.name} is {just}"
    return f"{check.name} could come to {just}: not known until the heat is measured"


JUST_OVER_K = 1.0
"""No thermometer at the bench tells less [K]: our judgement."""

ENDS = {
    judged.FULL: "It reaches the top of the cavity before any limit.",
    judged.DAY: "It ends where the shortest day has a cut: heights and waits were chosen together.",
    judged.BEGUN: "It is begun.",
    judged.POURED: "It is poured.",
}
"""Why a lift ends where it does, where no check kept it from being taller."""


def limit_words(lift: Lift) -> str:
    """What kept the lift from being taller: what one slice of height more would need, in both unit systems."""
    if lift.one_more is None:
        return ENDS.get(lift.limit, f"Governed by {lift.limit}, as it was planned.")
    return units.in_both(f"governed by {lift.limit}: {one_more_words(lift.limit, lift.one_more)}")


def one_more_words(name: str, more: OneMore) -> str:
    """What a lift one level taller than it may be would need.

    >>> check = Check("batch", 0.0124, 0.01, "m^3", "over", "given in the job", "a larger cup")
    >>> one_more_words("batch", OneMore(check, 0.349))
    'one slice of height more, to 349 mm (13.7 in) above the base, would need a batch of 12.4 L (3.28 US gal); 10.0 L \
(2.64 US gal) can be mixed in one go (given in the job); what would lift it: a larger cup'
    """
    check = more.check
    value, limit = units.apart(lambda number: units.by_unit(number, check.unit), check.value, check.limit)
    would, may = {
        "m": (f"would be {value} of foam", f"{limit} is the most"),
        "m^3": (f"would need a batch of {value}", f"{limit} can be {_mixed(check)}"),
        "Pa": (f"would press with {value}", f"the skin there stands {limit}"),
    }[check.unit]
    if name == judged.JOIN:
        would = f"would join pools and {would.removeprefix('would ')} together"
    start = "not even one slice of height" if more.forced else "one slice of height more"
    short = "; it ends lower still, so that the lifts are even" if more.short else ""
    remedy = f"; what would lift it: {check.remedy}" if check.remedy else ""
    keeps = " keeps it: that" if more.forced else ""
    said = f"{start}, to {units.length(more.top_m)} above the base,{keeps} {would}; {may} ({check.source})"
    return f"{said}{short}{remedy}"


def _mixed(check: Check) -> str:
    if check.remedy == judged.MORE_OUTPUT:
        return "shot in time"
    return "mixed and poured before it creams" if check.name == judged.POUR_TIME else "mixed in one go"


def place_words(measures: Measures) -> str:
    """Where a point is, as lengths to tape.

    >>> place_words(Measures(1.2, 0.25, 0.4))
    '1200 mm (47 1/4 in) up from the base, 250 mm (9 13/16 in) from the left, 400 mm (15 3/4 in) from the front'
    """
    return (
        f"{units.tape(measures.from_base_m)} up from the base, {units.tape(measures.from_left_m)} from the left, "
        f"{units.tape(measures.from_front_m)} from the front"
    )


def port_words(port: Port) -> str:
    """A port: what it is and where."""
    if port.way == "drilled" and port.made:
        return f"{port.name}: there already, {units.tape(port.hole_m)}, {place_words(port.measures)}"
    if port.way == "drilled":
        how = "cut in the side" if port.sideways else "drill"
        return f"{port.name}: {how} {units.tape(port.hole_m)}, {place_words(port.measures)}"
    where = f"through {port.opening}" if port.opening else "over the open surface"
    return f"{port.name}: {where}, {place_words(port.measures)}"


def vent_words(vent: Vent) -> str:
    """A vent: what it is and where."""
    if vent.way == "drilled" and vent.made:
        count = "" if vent.made == 1 else f"{vent.made} holes of "
        more = f"; drill {vent.holes - vent.made} more of that size beside it" if vent.holes > vent.made else ""
        return f"{vent.name}: there already, {count}{units.tape(vent.hole_m)}, {place_words(vent.measures)}{more}"
    if vent.way == "drilled":
        count = "drill" if vent.holes == 1 else f"drill {vent.holes} holes of"
        return f"{vent.name}: {count} {units.tape(vent.hole_m)}, {place_words(vent.measures)}"
    return f"{vent.name}: nothing to drill, {vent.opening or 'the opening'} lets the air out"


def tops_of(lift: Lift) -> tuple[float, ...]:
    """Heights above the base [m] at which pours of a lift end, lowest first, each millimetre once."""
    tops = {round(1e3 * pour.top_m): pour.top_m for pour in sorted(lift.pours, key=lambda pour: pour.top_m)}
    return tuple(tops.values()) or (lift.top_m,)


def tops_of_all(lifts: Sequence[Lift]) -> tuple[float, ...]:
    """The same of several lifts: one that ends where another does adds none.

    >>> tops_of_all([])
    ()
    """
    tops = {round(1e3 * height): height for height in sorted(top for lift in lifts for top in tops_of(lift))}
    return tuple(tops.values())


def tops_words(lift: Lift) -> str:
    """Where a lift ends: limbs that are filled in one round need not end at one height."""
    tops = [units.tape(height) for height in tops_of(lift)]
    return tops[0] if len(tops) == 1 else f"{tops[0]} {'and' if len(tops) == 2 else 'to'} {tops[-1]}"


def top_words(pour: Pour, foam: FoamAtShop) -> str:
    """How a pour ends at its top; where it meets a cap, with its packing."""
    if not pour.closes:
        return "leaves a free surface"
    packed = f"packed to {packing_of(pour, foam):.2f} times its free-rise density"
    return f"meets its cap, {packed}: full when foam comes out of the vents"


def wait_words(lift: Lift, said: Spoken = BY_HAND) -> str:
    """The wait of a lift with where it is counted from."""
    return f"{units.time(lift.wait_s)}, counted from the start of {said.mix} {first_mix(lift)}"


def order_words(pour: Pour, said: Spoken = BY_HAND) -> list[tuple[str, str]]:
    """With or after which pours of its lift a pour is mixed: a word and what there is to do; none for most."""
    words = []
    if pour.together and said.machine:
        words.append(
            ("with", f"{', '.join(pour.together)}: they run into each other, shot one straight after the other")
        )
    elif pour.together:
        cups = next((round(check.value) for check in pour.checks if check.name == judged.HANDS), 0)
        words.append(
            (
                "at once with",
                f"{', '.join(pour.together)}: they run into each other, so {cups} cups are mixed by {cups} people from "
                "the same moment on",
            )
        )
    if pour.after:
        words.append(
            ("after", f"{', '.join(pour.after)}, not before it has risen: this foam rises over it where they meet")
        )
    return words


def sides_words(sides: Sides) -> str:
    """Which drum is which.

    >>> sides_words(Sides("Iso 20", "Resin 31"))
    "Iso 20 is the isocyanate side, Resin 31 the resin side (polyol): check the drums' labels before you weigh."
    """
    (a, b), own = sides.heads, sides != Sides()
    check = "check the drums' labels before you weigh" + ("" if own else "; some suppliers letter them the other way")
    return f"{a} is the isocyanate side, {b if own else sides.b} the resin side (polyol): {check}."


def batch_words(pour: Pour, sides: Sides, said: Spoken = BY_HAND) -> str:
    """What goes into each cup."""
    cup = "shot" if said.machine else "cup"
    cups = f"1 {cup}" if pour.batches == 1 else f"{pour.batches} {cup}s, each"
    batch = pour.batch
    return (
        f"{cups}: {sides.a} {units.liquid(batch.a_m3)} = {units.mass(batch.a_kg)}, "
        f"{sides.b} {units.liquid(batch.b_m3)} = {units.mass(batch.b_kg)}"
    )
