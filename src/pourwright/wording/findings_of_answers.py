"""Sentences of findings about a piece that hangs, is slung, stands, floats or is moved."""

from __future__ import annotations

import math
from collections.abc import Callable

from pourwright import units
from pourwright.findings import Code
from pourwright.wording.checks import force
from pourwright.wording.phrases import Names, listing


def _be(names: Names) -> str:
    return "is" if len(names) == 1 else "are"


def _mm(length_m: float) -> str:
    return f"{1e3 * length_m:.0f} mm"


def _deg(angle_rad: float) -> str:
    return f"{math.degrees(angle_rad):.0f}"


# On the wall


def _overhangs(s: Names, tilt_rad: float) -> str:
    return (
        f"The wall overhangs by {math.degrees(tilt_rad):.1f} degrees: {math.sin(tilt_rad):.0%} of the weight pulls "
        "straight at the anchors, whatever their pattern."
    )


def _leans_back(s: Names, tilt_rad: float) -> str:
    return (
        f"The wall leans back by {math.degrees(tilt_rad):.1f} degrees: part of the weight lies on it and is counted "
        "against the pull. If the piece may slide or be lifted, have the anchors designed for a vertical wall as well."
    )


def _only(s: Names) -> str:
    return f"{s[0]} is the only anchor: there is nothing left when it fails."


def _above_only(s: Names) -> str:
    return "The centre of mass is above that one anchor: the piece turns over about it."


def _beside_only(s: Names, aside_m: float, turn_rad: float) -> str:
    return (
        f"The centre of mass is {_mm(aside_m)} beside that one anchor: the piece turns by "
        f"{math.degrees(turn_rad):.1f} degrees until it hangs below it."
    )


def _level_line(s: Names, bears: float) -> str:
    held = (
        "only the lower edge bearing on the wall keeps the piece from swinging out. Secure the lower edge, or add an "
        "anchor below the line."
        if bears
        else "and the piece stands off the wall, so nothing keeps it from swinging out. Add an anchor below."
    )
    return f"All anchors are in one level line: {held}"


def _outside_span(s: Names, beside_m: float) -> str:
    words = f"The centre of mass is {_mm(beside_m)} outside the anchors' span, sideways."
    if s:
        words += f" {listing(s)} {_be(s)} pushed upwards, so others carry more than the whole weight."
    return words


def _above_anchors(s: Names, over_m: float) -> str:
    return (
        f"The centre of mass is {_mm(over_m)} above the highest anchor: the piece is held from turning over by the "
        "anchors' pull alone. Anchor it higher if you can."
    )


def _below_bearing(s: Names) -> str:
    return f"{listing(s)} {_be(s)} below all that bears on the wall: no pull is counted there then."


def _off_line(s: Names, by_m: float) -> str:
    return (
        f"{listing(s)} {_be(s)} more than {_mm(by_m)} off the line between wall and skin: taken where the line square "
        "to the wall meets them."
    )


def _lifting_factor(s: Names) -> str:
    return (
        f"hang.factor = {s[0]!r} is a factor for lifting and was not used: give hang.factor_value with the reference "
        "of whoever designs the hang."
    )


def _does_not_stay(s: Names, words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


# On the sling


def _misses_hook(s: Names, miss_m: float) -> str:
    return (
        f"The legs cannot all be tight: they miss one hook by up to {_mm(miss_m)}. Some hang slack; count on the high "
        "tensions only, or change the lengths."
    )


def _slung_tilts(s: Names, tilt_rad: float) -> str:
    return (
        f"{s[0]}: the piece tilts by {_deg(tilt_rad)} degrees when it leaves the ground. Move the hook over the centre "
        "of mass, or change the legs' lengths."
    )


def _flat_leg(s: Names, leg: str, angle_rad: float, least_rad: float) -> str:
    return (
        f"{s[0]}: {leg} stands at {_deg(angle_rad)} degrees, flatter than the {_deg(least_rad)} degrees that rigging "
        "practice allows. Its tension and its inward force grow without bound as it flattens. Take longer legs or a "
        "spreader beam; do not lift so."
    )


# On its base


def _no_base(s: Names, line: float) -> str:
    kind = "a line" if line else "a point"
    return f"{s[0]} touches the ground on {kind}: it does not stand by itself. Cradle or fix its base."


def _run(names: Names) -> str:
    """Names of stages with neighbours of the same kind drawn together.

    >>> _run(("empty skin", "after lift 1", "after lift 2", "finished"))
    'empty skin, after lift 1 to after lift 2, finished'
    """
    lifts = [name for name in names if name.startswith("after lift")]
    if len(lifts) < 2:
        return ", ".join(names)
    out = [name for name in names if name not in lifts]
    out.insert(1 if out[:1] == ["empty skin"] else 0, f"{lifts[0]} to {lifts[-1]}")
    return ", ".join(out)


def _tips_early(s: Names, angle_rad: float, early_rad: float) -> str:
    return (
        f"It tips when it leans by {math.degrees(angle_rad):.1f} degrees, {s[0]}: below {_deg(early_rad)} degrees hold "
        "it while it is worked on, and fix its base where people can reach it (our judgement, no published source)."
    )


# On the water


def _afloat(s: Names, words: str) -> str:
    return words


def _unstable_filling(s: Names, water: str) -> str:
    return (
        f"{s[0].capitalize()}, {water} water, while its hollows fill: upright is NOT STABLE with some depth of water "
        "in them, its free surface takes more than there is."
    )


def _no_reserve(s: Names, water: str, kg: float) -> str:
    return f"{s[0].capitalize()}, {water} water: NO reserve at the low end ({kg:.0f} kg)."


def _no_hollow(s: Names, shut_m3: float) -> str:
    if shut_m3 > 0.0:
        return (
            f"The hollow that stays in it, {units.volume(shut_m3)}, has no opening to the water: dry and swamped are "
            "the same. Through a leak it fills, see leaking; plug its drain and breather on the water."
        )
    return "No hollow that could hold water was found: dry and swamped are the same."


def _crushes(s: Names, fresh_m: float) -> str:
    if math.isnan(fresh_m):
        return (
            f"How deep in water bare {s[0]} foam may go is NOT KNOWN: its compressive strength is not. It creeps under "
            "far less than what crushes it."
        )
    return (
        f"Bare {s[0]} foam crushes under {fresh_m:.1f} m of fresh water and creeps long before: a depth that is quoted "
        "for a coated or skinned float is not one for bare foam. Uniaxial strength is used; under water from all sides "
        "it can be lower."
    )


def _shut_openings(s: Names, count: float) -> str:
    return (
        f"{count:.0f} opening(s) of the shell are counted as closed watertight; water that gets in there is not in "
        "these numbers."
    )


def _long_boat(s: Names, length_m: float) -> str:
    return f"The boat is {length_m:.2f} m long: 33 CFR 183 F to H are for boats under 20 ft (6.10 m)."


# On its way


def _leg_pushes(s: Names, push_n: float, beyond_m: float) -> str:
    return (
        f"The {s[0]} leg of the bar would have to PUSH with up to {force(push_n)}, which a sling cannot: over the "
        f"range of the weights the centre of mass lies up to {_mm(beyond_m)} beyond the other point of the bar. Move "
        "the points to either side of it."
    )


def _rolls_under_bar(s: Names, roll_rad: float, most_rad: float) -> str:
    return (
        f"Under the bar it rolls by {_deg(roll_rad)} degrees (up to {_deg(most_rad)}) about the line of both points, "
        "until its centre of mass is plumb below that line: hold it with tag lines, or move the points over the centre."
    )


def _tips_on_cradle(s: Names, inside_m: float, low_m: float) -> str:
    if inside_m < 0.0:
        when = f"lies {_mm(-inside_m)} beside what the chocks cover, up to {_mm(-low_m)}"
    else:
        when = f"lies {_mm(inside_m)} inside what the chocks cover as expected, but up to {_mm(-low_m)} beside it"
    return (
        f"On its cradle it TIPS: its centre of mass {when} over the range of the weights. Move the chocks outwards, or "
        "add one beside their line."
    )


def _one_hook_pushes(s: Names, beyond_m: float) -> str:
    return (
        f"NOT POSSIBLE so: over the range of the weights the centre of mass lies up to {_mm(beyond_m)} beyond the two "
        "points, along their line, so one hook would have to push. Move the points."
    )


def _tail_slack_at_once(s: Names, start_rad: float, slack_rad: float) -> str:
    return (
        f"NOT POSSIBLE so: the tail rope is slack from the start. The tail point lies {_deg(start_rad)} degrees below "
        f"the main point, and over the range of the weights the main hook has all of it from {_deg(slack_rad)} degrees "
        "on: the piece swings as it leaves the ground. Move the points, or change the pose that it starts from."
    )


def _main_slack(s: Names, taut_rad: float, asked_rad: float) -> str:
    return (
        f"NOT POSSIBLE so: the main rope goes slack where the tail point is {_deg(-taut_rad)} degrees above the main "
        f"point, and {_deg(-asked_rad)} degrees are asked: the tail hook has all of it there. Take the other hook as "
        "the main one, or move the points."
    )


def _rolls_off(s: Names, roll_rad: float) -> str:
    if roll_rad > math.pi / 2:
        return (
            f"As it leaves the ground it TURNS OVER: its centre of mass is above the line of both points, and it rolls "
            f"by {_deg(roll_rad)} degrees about that line. Take the points higher."
        )
    return (
        f"As it leaves the ground it ROLLS by {_deg(roll_rad)} degrees about the line of both points, until its centre "
        "of mass is below that line: hold it with tag lines, or move a point over the centre."
    )


def _tail_goes_slack(s: Names, slack_rad: float, least_rad: float, end_rad: float) -> str:
    if slack_rad >= end_rad:
        return (
            "As expected the tail rope pulls all the way, but over the range of the weights it may go slack from "
            f"{_deg(least_rad)} degrees below level on, and the pose that is wanted has {_deg(end_rad)} degrees: from "
            "there the main hook may have all of it."
        )
    first = (
        f"; over the range of the weights it may from {_deg(least_rad)} degrees on"
        if least_rad < slack_rad - 1e-3
        else ""
    )
    return (
        f"The tail rope goes slack {_deg(slack_rad)} degrees below level{first}, and the pose that is wanted has "
        f"{_deg(end_rad)} degrees: from there the main hook has all of it."
    )


def _off_pose(s: Names, off_rad: float) -> str:
    return (
        f"On the main hook alone it hangs {_deg(off_rad)} degrees off the pose that is wanted: hold it by hand or by "
        "the tail, or move the main point over the centre of mass."
    )


def _legs_wide(s: Names, apart_rad: float, most_rad: float, source: str) -> str:
    return (
        f"{s[0]} and {s[1]} stand {_deg(apart_rad)} degrees apart at the hook, more than {_deg(most_rad)} ({source}): "
        "do not gather them on a hook or in a shackle that is not rated for that; take a master link, longer legs or a "
        "spreader bar."
    )


SENTENCES: dict[Code, Callable[..., str]] = {
    Code.WALL_OVERHANGS: _overhangs,
    Code.WALL_LEANS_BACK: _leans_back,
    Code.ONLY_ANCHOR: _only,
    Code.CENTRE_ABOVE_ONLY_ANCHOR: _above_only,
    Code.CENTRE_BESIDE_ONLY_ANCHOR: _beside_only,
    Code.ANCHORS_IN_ONE_PLACE: lambda s: "All anchors are in one place: they are one anchor.",
    Code.ANCHORS_IN_LEVEL_LINE: _level_line,
    Code.ANCHORS_IN_UPRIGHT_LINE: lambda s: (
        "All anchors are in one upright line: nothing but friction and bearing keeps the piece from turning about it "
        "in wind or when it is pushed. Add an anchor beside the line."
    ),
    Code.NOT_IN_BALANCE: lambda s: (
        "NOT IN BALANCE: these anchors cannot hold the piece as it is meant to hang; the loads below are not a design. "
        "Add an anchor, or let the lower edge bear on the wall."
    ),
    Code.CENTRE_OUTSIDE_SPAN: _outside_span,
    Code.CENTRE_ABOVE_ANCHORS: _above_anchors,
    Code.ANCHORS_BELOW_BEARING: _below_bearing,
    Code.ANCHORS_OFF_LINE: _off_line,
    Code.FACTOR_FOR_LIFTING: _lifting_factor,
    Code.DOES_NOT_STAY: _does_not_stay,
    Code.OPENINGS_IN_WIND: lambda s: (
        "The outline counts openings as closed by their flat caps; wind that can blow in is not in the areas."
    ),
    Code.LEGS_MISS_HOOK: _misses_hook,
    Code.SLUNG_OUT_OF_BALANCE: lambda s, words: f"NOT IN BALANCE, {words}",
    Code.TURNS_OVER_ON_SLING: lambda s: (
        f"{s[0]}: the hook is below the centre of mass, the piece TURNS OVER. Take the sling higher."
    ),
    Code.TILTS_ON_SLING: _slung_tilts,
    Code.LEGS_SLACK: lambda s, legs: (
        f"{s[0]}: {', '.join(legs)} would have to push, at one end of the weights at least: slack then, and the rest "
        "carry all."
    ),
    Code.LEG_TOO_FLAT: _flat_leg,
    Code.ONE_LEG: lambda s: "One leg: there is nothing left when it fails, and the piece turns freely on it.",
    Code.STANDS_ON_NO_BASE: _no_base,
    Code.FALLS: lambda s: (
        f"It FALLS by itself, or may within the range of its weights: {_run(s)}. Hold it all the time."
    ),
    Code.SLOPE_TIPS: lambda s, slope_rad: f"The slope of {math.degrees(slope_rad):.1f} degrees tips it: {_run(s)}.",
    Code.TIPS_EARLY: _tips_early,
    Code.FLOATS_BADLY: _afloat,
    Code.UNSTABLE_WHILE_FILLING: _unstable_filling,
    Code.NO_RESERVE: _no_reserve,
    Code.BARE_FOAM_CRUSHES: _crushes,
    Code.OPENINGS_COUNTED_SHUT: _shut_openings,
    Code.NO_HOLLOW: _no_hollow,
    Code.HOLLOWS_DRAIN: lambda s: (
        "Empty, no hollow reaches under the water: open to it they drain, and swamped is the same as dry. Full is with "
        "the drains shut."
    ),
    Code.NO_PLACE_OF_LOAD: lambda s: (
        "No place of the load is given (boat.load_at): loaded, and swamped with a test load, not computed."
    ),
    Code.BOAT_TOO_LONG: _long_boat,
    Code.NO_PERSONS: lambda s: "No persons capacity is given: the figures carry the boat alone. Give boat.persons.",
    Code.ITEM_WITHOUT_DENSITY: lambda s: (
        f"No density is given for {', '.join(s)}: the whole weight is counted under water too."
    ),
    Code.SKIN_LIGHTER_THAN_WATER: lambda s: (
        "The skin is lighter than water: the part of it below the swamped waterline helps to float the boat. It does "
        "so only while it stays there."
    ),
    Code.AIR_CHAMBERS: lambda s: "Air chambers that are part of the hull do not count (183.112).",
    Code.BAR_LEG_PUSHES: _leg_pushes,
    Code.TURNS_OVER_UNDER_BAR: lambda s, most_rad: (
        f"Its centre of mass lies over the line of the bar's points: it TURNS OVER, by {_deg(most_rad)} degrees. Take "
        "the points higher."
    ),
    Code.ROLLS_UNDER_BAR: _rolls_under_bar,
    Code.TIPS_ON_CRADLE: _tips_on_cradle,
    Code.ONE_HOOK_PUSHES: _one_hook_pushes,
    Code.TAIL_SLACK_AT_ONCE: _tail_slack_at_once,
    Code.MAIN_ROPE_SLACK: _main_slack,
    Code.ROLLS_OFF_THE_GROUND: _rolls_off,
    Code.TAIL_GOES_SLACK: _tail_goes_slack,
    Code.HANGS_OFF_ITS_POSE: _off_pose,
    Code.LIFTED_NOT_TURNED: lambda s: (
        "In the pose that is wanted the line of both points slopes as it does in the pouring pose: on two hooks the "
        "piece is lifted and not turned."
    ),
    Code.LEGS_TOO_WIDE: _legs_wide,
}
