"""A lining in words: coats, positions, what stays bare, what stays hollow."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.lining import RESTS, THIN, Bare, Hole, Lining, Position, SolidPlace, rolls_of
from pourwright.plan import LinedPlan
from pourwright.wording.coat_words import coat_name, side_words, up_words
from pourwright.wording.lifts import standing_place
from pourwright.wording.spreading import SPREAD_HEAD, spread_how, spread_lines, spread_rows

COAT_HEAD = ("coat", "thickness", "foam", "of it last", "on boards", "part A", "part B", "cups", "then wait")
POSITION_HEAD = (
    "coat", "roll", "begin with up", "roll about", "how far", "time", "coats", "left out, this coat misses", "bare then"
)  # fmt: skip
NOT_COMPUTED = (
    "of the pours of solid parts: pressure on the skin, how far the mix flows, where air stays, ports and vents, "
    "closings, heat in their real shape. None of it is to be taken as safe; a plan of the piece filled solid has them "
    "for the same places"
)
LOOK = (
    "After each coat look in with a lamp and mirror, or push a wire through a drilled hole, and write down where foam "
    "is missing."
)


PART_HEAD = ("where", "asked", "inside", "foam", "98 % of it holds", "half of it holds", "coated")


def part_rows(plan: LinedPlan) -> list[tuple[str, ...]]:
    """A row for each part of a lining that is not the same all round."""
    return [
        (
            part.name, units.length(part.thickness_m), units.area(part.area_m2), units.volume(part.foam_m3),
            units.length(part.thinnest_m), units.length(part.middling_m), f"{part.coverage:.1%}",
        )
        for part in plan.lining.parts
        if len(plan.lining.parts) > 1
    ]  # fmt: skip


def coat_head(plan: LinedPlan) -> tuple[str, ...]:
    """The heads of `coat_rows`."""
    return (*COAT_HEAD[:3], "of it runs off" if plan.lining.spread else COAT_HEAD[3], *COAT_HEAD[4:])


def coat_rows(plan: LinedPlan) -> list[tuple[str, ...]]:
    """A row for each coat."""
    lining = plan.lining
    return [
        (
            coat_name(plan, coat), units.length(coat.thickness_m), units.volume(coat.foam_m3),
            units.volume(coat.surplus_m3), units.volume(coat.board_m3),
            f"{units.liquid(coat.parts.a_m3)} = {units.mass(coat.parts.a_kg)}",
            f"{units.liquid(coat.parts.b_m3)} = {units.mass(coat.parts.b_kg)}", str(coat.cups), units.time(coat.wait_s),
        )
        for coat in lining.coats
    ]  # fmt: skip


def rolls_title(plan: LinedPlan) -> str:
    """What the table of positions is called."""
    return "How the piece lies, coat by coat" if plan.lining.spread else "Rolls, coat by coat"


def position_head(plan: LinedPlan) -> tuple[str, ...]:
    """The heads of `position_rows`."""
    return SPREAD_HEAD if plan.lining.spread else POSITION_HEAD


def position_rows(plan: LinedPlan) -> list[tuple[str, ...]]:
    """A row for each position."""
    lining = plan.lining
    if lining.spread:
        return spread_rows(plan)
    turn = plan.frame.rotation.T
    alike = len({tuple(id(roll) for roll in rolls) for rolls in rolls_of(lining)}) == 1
    return [
        (
            "each" if alike else str(one.coat), str(one.number), f"{side_words(one.up @ turn)} {up_words(one.up)}",
            axis_words(one), how_far(one), units.time(one.seconds), f"{one.share:.1%}", _left_out(plan, one.missed),
            _left_out(plan, one.alone),
        )
        for one in lining.sequence
        if one.coat == 1 or not alike
    ]  # fmt: skip


def axis_words(one: Position) -> str:
    """What a piece is rolled about."""
    if one.roll.still:
        return "set it down"
    axis, tilt = one.roll.axis, math.degrees(one.roll.tilt_rad)
    ends = side_words(-axis), side_words(axis)
    if abs(tilt - 90.0) < 1.0:
        return f"{ends[0]} to {ends[1]}, level"
    return f"{ends[0]} to {ends[1]}, its {ends[int(tilt < 90.0)]} end raised by {abs(90.0 - tilt):.0f}°"


def how_far(one: Position) -> str:
    """How far it is rolled and which way round, seen from the end of its axis that is named last."""
    if one.roll.still:
        return "stays so until it is set"
    turn = math.degrees(one.roll.turn_rad)
    way = "clockwise" if turn > 0.0 else "anticlockwise"
    rounds = round(abs(turn) / 360.0)
    whole = rounds > 0 and abs(abs(turn) - 360.0 * rounds) < 1.0
    far = ("once round" if rounds == 1 else f"{rounds} times round") if whole else f"{abs(turn):.0f}°"
    return f"{far}, {way} seen from the {side_words(one.roll.axis)}"


def _left_out(plan: LinedPlan, place: Bare) -> str:
    return "next to nothing" if place.share <= 0.0005 else f"{place.share:.1%}, {bare_place(plan, place)}"


def bare_place(plan: LinedPlan, place: Bare) -> str:
    """Where a bare place is."""
    return standing_place(plan.frame.to_standing(place.point_m))


def bare_lines(plan: LinedPlan) -> list[str]:
    """What stays bare with all rolls, and where."""
    if not plan.lining.bare:
        return ["nothing that counts"]
    return [f"{place.share:.1%} of the inside, {bare_place(plan, place)}" for place in plan.lining.bare]


def lining_lines(plan: LinedPlan) -> list[tuple[str, str]]:
    """What the lining is: a word and what there is to say."""
    lining = plan.lining
    region = lining.region
    share = region.foam_m3 / plan.cavity.volume_m3
    out = [
        (
            "lining",
            f"{units.length(region.thickness_m)} of foam behind the skin in {len(lining.coats)} "
            f"coat{'' if len(lining.coats) == 1 else 's'}: {units.volume(region.foam_m3)}, {share:.0%} of the cavity; "
            f"{units.volume(region.hollow_m3)} stays hollow",
        ),
        *(spread_lines(plan) if lining.spread else _turned_lines(lining)),
        (
            "thinnest",
            f"{units.length(lining.thinnest_m)} on {1.0 - THIN:.0%} of what is coated, half of it holds "
            f"{units.length(lining.middling_m)} or more. "
            f"{units.volume(lining.surplus_m3)} of the foam {_thicker(lining)}, a single coat up to "
            f"{units.length(lining.thickest_coat_m)}",
        ),
        *(
            (
                part.name,
                f"{units.length(part.thickness_m)} asked for on {units.area(part.area_m2)} of the inside; "
                f"{1.0 - THIN:.0%} of what is coated there holds {units.length(part.thinnest_m)} or more, half of it "
                f"{units.length(part.middling_m)}",
            )
            for part in lining.parts
            if len(lining.parts) > 1
        ),
        (
            "held by",
            f"the whole piece is {'laid over' if lining.spread else 'turned'}, up to "
            f"{units.mass(plan.outcome.total_kg.high)}: {'blocks' if lining.spread else 'the cradle, frame'} or hands "
            "bear that in every position, clear of ports and of the skin's thin edges",
        ),
        ("least thickness", _least(plan)),
    ]
    asked = [place for place in lining.places if place.asked]
    shut = [place for place in lining.places if not place.asked]
    for places, why in ((asked, "as the job asks"), (shut, "where coats would meet")):
        if places:
            volume = units.volume(math.fsum(place.volume_m3 for place in places))
            out.append(
                (
                    "solid first",
                    f"{volume} in {len(places)} place{'' if len(places) == 1 else 's'} {why}, in steps no taller than "
                    "the grade's lift, each through its own hole"
                    + "".join(f"; {_where(one)}{standing_words(one)}" for one in places if standing_words(one)),
                )
            )
    if asked:
        out.append(("not computed", NOT_COMPUTED))
    return out


def _where(place: SolidPlace) -> str:
    return f"from {units.length(place.bottom_m)} to {units.length(place.top_m)} above the base"


def standing_words(place: SolidPlace) -> str:
    """How the piece stands while a solid place is poured, behind its heights; nothing where that is as always."""
    if not place.asked or place.rests == RESTS[0]:
        return ""
    if place.rests == RESTS[1]:
        return ", poured with the piece upside down: a hollow lies under it as it stands"
    return ", not to be poured: a hollow lies under it as the piece stands and upside down, and nothing holds its foam"


def _thicker(lining: Lining) -> str:
    if lining.spread:
        return "runs off the wall it was laid on"
    return "lies thicker where the last roll of each coat takes it"


def _turned_lines(lining: Lining) -> list[tuple[str, str]]:
    return [
        (
            "coats",
            f"a wall that is turned until the mix gels carries up to {units.length(lining.most_coat_m)} of foam: "
            "more in one coat would run back",
        ),
        (
            "turning",
            f"{lining.turning.words}; {lining.rolls} roll{'' if lining.rolls == 1 else 's'} of each coat until its mix "
            f"gels. Together the coats cover {lining.coverage:.1%} of the inside, by a model of the turning: look in "
            f"after every coat; about {units.time(lining.hours * 3600)} and {lining.rolls * len(lining.coats)} rolls "
            "of the piece in all",
        ),
    ]


def _least(plan: LinedPlan) -> str:
    lining = plan.lining
    if lining.least_m != lining.least_m:
        return "not known: no panel was found, or no lining holds it; do not take the lining as strong enough"
    push, share = units.pressure(lining.push_pa), plan.job.limits.bulge_share
    if lining.least_m == 0.0:
        return (
            f"under an even push of {push} the flattest panel needs no lining to move less than {share:.0%} of "
            "its width"
        )
    return (
        f"under an even push of {push} the flattest panel moves less than {share:.0%} of its width from "
        f"{units.length(lining.least_m)} of lining on; a flat strip, formula"
    )


def how_lines(plan: LinedPlan) -> list[str]:
    """What is done in each coat, in the order of the work."""
    lining, foam = plan.lining, plan.foam
    if lining.spread:
        return [*spread_how(plan), LOOK]
    return [
        "Close mouths with boards and bungs that hold liquid. Leave one hole of 10 mm (3/8 in) open for air, plugged "
        "with a rag while it is under liquid.",
        f"Mix for {units.time(plan.job.limits.mix_s)}. Let the mix go through a hose in the middle of the hollow, take "
        "the hose out and close its hole.",
        *_laid_down(plan),
        f"Roll the piece steadily, as the table says for this coat, about {units.time(lining.turning.seconds)} a roll, "
        "without a stop between rolls; where it has fewer rolls than there is time for, over again from the first.",
        f"The mix rises while it is turned and is on the move until it gels, {units.time(foam.gel_s)} from the start "
        "of mixing: do not stop before. Then the piece stands still, as the last row of its coat says, on "
        f"blocks or trestles with air under it (its last pool lies there, and a pad would keep it hot), until "
        f"{units.time(foam.tack_free_s)}. Let go the next mix only onto foam that is set and cool.",
        f"{LOOK} Where the turning was uneven foam stands thick along the last low edges.",
    ]


def _laid_down(plan: LinedPlan) -> list[str]:
    """How the piece lies while the mix of a coat for some parts alone is let go."""
    out = []
    turn = plan.frame.rotation.T
    for coat in plan.lining.coats:
        if not coat.aims or coat.poured:
            continue
        lies = (
            f"Coat {coat_name(plan, coat)}: lay the piece with its {side_words(coat.up @ turn)} up {up_words(coat.up)}"
        )
        if next(one for one in plan.lining.sequence if one.coat == coat.number).roll.still:
            out.append(
                f"{lies}, that part level underneath, let its mix go through a hose that is led to the middle of it, "
                "and leave the piece so: it is not rolled."
            )
        else:
            out.append(
                f"{lies} before its mix is let go, and keep the pool on that part; what runs elsewhere is missing "
                "there."
            )
    return out


USES = {
    "hose": "Hose, at the top as it is filled",
    "drain": "Drain, at the lowest point as it will stand or hang",
    "breather": "Breather, at the top as it will stand or hang",
}


def _hole_words(plan: LinedPlan, hole: Hole) -> str:
    where = standing_place(plan.frame.to_standing(hole.point_m))
    how = "through the board of the mouth" if hole.board else "drilled through skin and foam"
    return f"{USES[hole.use]}: {how}, {where}, {units.length(hole.deep_m)} deep."


def hollow_lines(plan: LinedPlan) -> list[str]:
    """What has to be known of the hollow that stays."""
    lining = plan.lining
    out = []
    for n, chamber in enumerate(lining.chambers, start=1):
        where = standing_place(plan.frame.to_standing(chamber.middle_m))
        out.append(
            f"Hollow {n}: {units.volume(chamber.volume_m3)}, {units.length(chamber.clear_m)} clear at its widest, "
            f"{where}."
        )
        out += [_hole_words(plan, hole) for hole in lining.holes if hole.hollow == n]
    out += [
        "Drain and breather are for water that gets in as vapour and runs down inside: keep both open (common "
        "practice, no source).",
        "Mark the outside: foam is only as thick as the lining. Do not drill or screw deeper, and set no anchor that "
        "relies on foam behind it, without opening and filling the place solid.",
    ]
    return out
