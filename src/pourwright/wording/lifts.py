"""Lines that the terminal and ``plan.md`` share, so that the two cannot tell different things."""

from __future__ import annotations

import numpy as np

from pourwright import units
from pourwright.access import TUBE_ENDS
from pourwright.findings import Finding, Severity
from pourwright.foam import FoamAtShop
from pourwright.lifts import Landing, Lift, Pour
from pourwright.plan import LiftPlan, Plan
from pourwright.ranges import Range
from pourwright.wording.access import ceiling_lines
from pourwright.wording.closing import closed_with, closing_lines, when_closed
from pourwright.wording.computed import grid_words, heat_and_rise_lines
from pourwright.wording.findings import sentences
from pourwright.wording.spoken import BY_HAND, Spoken, spoken
from pourwright.wording.status import (
    batch_words,
    check_words,
    order_words,
    port_words,
    sides_words,
    top_words,
    vent_words,
    wait_words,
)


def summary_lines(plan: Plan) -> list[tuple[str, str]]:
    """Shell, wall, cavity and foam: a word and what there is to say."""
    skin, cavity, foam = plan.skin, plan.cavity, plan.foam
    width, depth, height = (units.length(size) for size in plan.frame.size_m)
    closed = "closed" if skin.watertight else "not closed, capped"
    lines = [
        ("size", f"{height} high, {width} wide, {depth} deep, as it stands to be poured"),
        (
            "shell",
            f"{skin.source} in {skin.unit}, {skin.triangles} triangles, {closed}; "
            f"{skin.kind.value}: {units.in_both(skin.kind_reason)}",
        ),
        ("skin", f"{skin.material.title}, {_wall_words(plan)}, outside {units.area(skin.area_m2)}"),
        (
            "cavity",
            f"{units.volume(cavity.volume_m3)}, {units.volume(cavity.volume_low_m3)} to "
            f"{units.volume(cavity.volume_high_m3)}; cell {units.length(cavity.grid.cell_m)}",
        ),
    ]
    if cavity.stray_voids:
        lines.append(
            (
                "loose pieces",
                f"{cavity.stray_voids} dropped, {units.liquid(cavity.stray_voids_m3)} in all, "
                f"each below {units.liquid(cavity.stray_void_limit_m3)}",
            )
        )
    pools, pockets = len(plan.graph.pools), len(plan.graph.pockets)
    lines += [
        (
            "pools",
            f"{_count(pools, 'pool')} and {_count(pockets, 'pocket')} deeper than {units.length(plan.graph.ripple_m)}",
        ),
        (
            "foam",
            f"{foam.grade.name}: {foam.grade.title}; {units.density(foam.free_rise_density_kg_m3.nominal)} free rise "
            f"at these temperatures, {units.digits(foam.expansion.nominal)} times the liquid",
        ),
        ("sides", sides_words(foam.grade.sides)),
        ("shop", _shop_words(plan)),
        (
            "times",
            f"from {spoken(plan).begin}: cream {units.time(foam.cream_s)}, gel {units.time(foam.gel_s)}, "
            f"tack-free {units.time(foam.tack_free_s)}, end of rise {units.time(foam.rise_end_s)}",
        ),
    ]
    return lines


def liquids_line(plan: Plan) -> str:
    """What to buy, and for how much foam that is: the high end of its weight, with what is lost on top."""
    outcome, sides = plan.outcome, plan.job.grade.sides
    lost = "" if plan.job.machine is not None else " and cups"
    stays_kg = sum(pour.stays.total_kg for lift in plan.lift_plan.lifts for pour in lift.pours if not pour.poured)
    kept_kg = (outcome.liquids_a_kg + outcome.liquids_b_kg - stays_kg) * (1.0 - outcome.loss_share)
    tubes = f" and {units.mass(stays_kg)} left in tubes" if stays_kg > 0 else ""
    return (
        f"{sides.a} {units.liquid(outcome.liquids_a_m3)} = {units.mass(outcome.liquids_a_kg)}, "
        f"{sides.b} {units.liquid(outcome.liquids_b_m3)} = {units.mass(outcome.liquids_b_kg)}, "
        f"enough for {units.mass(kept_kg)} of foam, the high end of what is to be poured, with "
        f"{units.share(outcome.loss_share)} of the liquids lost to trim{lost}{tubes}"
    )


def weight_lines(plan: Plan) -> list[tuple[str, str]]:
    """Weights with their spread, and where the balance is."""
    outcome = plan.outcome
    before, after = (
        standing_place(plan.frame.to_standing(centre)) for centre in (outcome.centre_before_m, outcome.centre_of_mass_m)
    )
    return [
        ("foam", mass_range(outcome.foam_kg)),
        ("skin", mass_range(outcome.skin_kg)),
        ("total", mass_range(outcome.total_kg)),
        ("balance of the empty skin", before),
        ("balance of the filled piece", after),
    ]


def mass_range(value: Range) -> str:
    """Nominal, and low to high."""
    return f"{units.mass(value.nominal)}, from {units.mass(value.low)} to {units.mass(value.high)}"


def standing_place(standing_m: np.ndarray) -> str:
    """A standing point (3,) [m] as measures from base, left and front."""
    from_left, from_front, from_base = (float(value) for value in standing_m)
    return (
        f"{units.length(from_base)} up from the base, {units.length(from_left)} from the left, "
        f"{units.length(from_front)} from the front"
    )


def warnings_of(plan: Plan) -> list[Finding]:
    """What a plan warns of; what comes with every plan of its kind is a note, and goes to the cautions."""
    return [found for found in plan.warnings if found.severity == Severity.WARNING]


def warning_lines(plan: Plan) -> list[str]:
    """The warnings of a plan, in both unit systems."""
    return list(sentences(warnings_of(plan)))


def caution_lines(plan: Plan) -> list[str]:
    """The cautions of a plan, and its notes, in both unit systems."""
    return [*sentences(found for found in plan.warnings if found.severity == Severity.NOTE), *plan.cautions]


def found_lines(plan: Plan) -> list[str]:
    """How the division was found, in both unit systems."""
    return [units.in_both(line) for line in (*plan.computed.words, plan.lift_plan.objective)]


def stiffness_lines(plan: Plan) -> list[tuple[str, str]]:
    """Stiffness gains, each with how it was found where that is not a formula."""
    return [
        (
            gain.name,
            f"{units.digits(gain.counted)} times as stiff"
            f"{'' if gain.method == 'formula' else f', by {gain.method}'}"
            + (f"; {units.in_both(gain.words)}" if gain.words else ""),
        )
        for gain in plan.outcome.stiffness
    ]


def lift_title(lift: Lift) -> str:
    """Heights and volume of a lift."""
    return (
        f"Lift {lift.number}: from {units.length(lift.bottom_m)} to {units.length(lift.top_m)} above the base, "
        f"{units.volume(lift.volume_m3)}"
    )


def hole_lines(plan: Plan, cards: bool = False) -> list[str]:
    """Every port and vent, where it is and how it is closed, once; and what is level overhead.

    Beside ``cards``, which say when a hole is closed and against what force, that is left out.
    """
    lifts, said = plan.lift_plan, spoken(plan)
    closed = closed_with if cards else when_closed
    ports = [f"port {port_words(port)}; {closed(lifts, port.name, said)}" for port in lifts.ports]
    vents = [f"vent {vent_words(vent)}; {closed(lifts, vent.name, said)}" for vent in lifts.vents]
    return [*ports, *vents, *ceiling_lines(lifts)]


def pour_lines(plan: LiftPlan, pour: Pour, foam: FoamAtShop, said: Spoken = BY_HAND) -> list[str]:
    """Everything to do for a pour, in the order of the work."""
    sides = foam.grade.sides
    lift = next(lift for lift in plan.lifts if any(pour.name == other.name for other in lift.pours))
    if pour.poured:
        return [
            f"poured: {sides.a} {units.mass(pour.parts.a_kg)}, {sides.b} {units.mass(pour.parts.b_kg)}; up to "
            f"{units.length(pour.top_m)} above the base"
        ]
    closings = closing_lines(plan, pour, said)
    first = [*order_words(pour, said), *(row for row in closings if row[0] == "close first")]
    lines = [batch_words(pour, sides, said), *(f"{word}: {what}" for word, what in first)]
    verb = "shoot" if said.machine else "pour"
    for landing in pour.landings:
        lines.append(
            f"{verb} in at {landing.port.name} {_way_in(landing)}; {way_down_words(pour, landing, sides.heads)}"
            f"{' and' if landing.tube is None else ', and the rest'} runs up to {units.length(landing.flow_distance_m)}"
        )
    if not pour.landings:
        lines.append("NO port reaches this pour: find a way in before you start")
    lines += [f"{word}: {what}" for word, what in closings if word != "close first"]
    if pour.vents:
        lines.append(f"air leaves at {', '.join(vent.name for vent in pour.vents)}")
    how = top_words(pour, foam)
    lines.append(f"rises to {units.length(pour.top_m)} above the base ({units.length(pour.rise_m)} of foam); {how}")
    core, push = pour.peak_k, pour.peak_pressure_pa
    lines.append(
        f"hottest core {units.temperature(core.nominal)} likely{grid_words(pour, plan)}, "
        f"{units.temperature(core.high)} at the 95 % end; "
        f"pressure {units.pressure(push.nominal)}, at worst {units.pressure(push.high)}"
    )
    lines += heat_and_rise_lines(pour, plan, said)
    lines.append(wait_line(lift, lift is plan.lifts[-1], said))
    for check in pour.checks:
        if check.verdict != "ok":
            lines.append(f"CHECK: {check_words(check)}; {check.remedy}".rstrip("; "))
    return lines


def wait_line(lift: Lift, last: bool, said: Spoken = BY_HAND) -> str:
    """How long to wait after a lift, the same for all its pours."""
    if last and said.machine:
        return f"its core is cool after {wait_words(lift, said)}: not cut or drilled before, and not stacked warm"
    wait = wait_words(lift, said)
    return f"leave it to cool for {wait}" if last else f"before the next lift wait {wait}"


def _way_in(landing: Landing) -> str:
    if landing.port.way == "drilled":
        return "(in the side, by a bent spout)" if landing.port.sideways else "(drilled)"
    way = "through the opening" if landing.port.way == "opening" else "over the open surface"
    at = landing.measures
    return f"({way}), over {units.tape(at.from_left_m)} from the left, {units.tape(at.from_front_m)} from the front"


def way_down_words(pour: Pour, landing: Landing, heads: tuple[str, str], weighed: bool = False) -> str:
    """How much of a pour goes in here, and how it gets down.

    ``weighed``: the weights beside these words have in them already what stays in a tube.
    """
    share = f"{units.mass(landing.kg)} of it, " if len(pour.landings) > 1 else ""
    tube = landing.tube
    if tube is None:
        return f"{share}it falls {units.length(landing.fall_m)}"
    what, how = ("a tube", "hung free") if tube.stiff else ("a hose", "led down inside")
    more = tube.left_kg / pour.parts.total_kg  # of each part, as the pour is mixed
    stays = f"{units.mass(more * pour.parts.a_kg)} of {heads[0]} and {units.mass(more * pour.parts.b_kg)} of {heads[1]}"
    besides = "" if pour.batches == 1 else " in the first batch"
    return (
        f"{share}through {what} of {units.tape(tube.bore_m)} bore, {units.length(tube.length_m)} long, {how} to "
        f"{units.tape(TUBE_ENDS.value)} above where it lands and drawn back as the foam rises; it falls "
        f"{units.length(TUBE_ENDS.value)}. "
        + (f"Of the weights {stays} stay in it" if weighed else f"Weigh {stays} more{besides}, once: that stays in it")
    )


def piece_check_lines(plan: Plan) -> list[str]:
    """Checks of the piece as a whole."""
    return [f"{check_words(check)}; {check.remedy}".rstrip("; ") for check in plan.checks]


def _wall_words(plan: Plan) -> str:
    bands = plan.skin.bands
    if not bands:
        return "wall as drawn in the mesh"
    regions, gauge = plan.skin.regions, plan.skin.gauge
    if gauge is not None:
        low, high = units.length(float(gauge.thickness_m.min())), units.length(float(gauge.thickness_m.max()))
        more = "".join(f", {units.length(one.thickness_m)} ({one.name})" for one in regions)
        return f"wall {low} to {high} by {len(gauge.points_m)} points of {gauge.source}{more}"
    if len(bands) == 1 and not regions:
        return f"wall {units.length(bands[0].thickness_m)} ± {units.share(bands[0].spread)}"
    named = [*((one.name, one.thickness_m) for one in bands), *((one.name, one.thickness_m) for one in regions)]
    return "wall " + ", ".join(f"{units.length(wall)} ({name})" for name, wall in named)


def _shop_words(plan: Plan) -> str:
    shop, limits = plan.foam.conditions, plan.job.limits
    if plan.job.machine is not None:
        people = "a machine shoots"
    else:
        people = "1 person mixes" if limits.hands == 1 else f"{limits.hands} people mix"
    return (
        f"air {units.temperature(shop.air_k)}, liquids {units.temperature(shop.parts_k)}, skin "
        f"{units.temperature(shop.skin_k)}; {people} up to {units.liquid(limits.largest_batch_m3)} at a time"
    )


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
