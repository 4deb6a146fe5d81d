"""A lining that is spread by hand, in words: ways up, what each coat is laid on, how it is done."""

from __future__ import annotations

import math

import numpy as np

from pourwright import units
from pourwright.lining import REACH, Bare, Coat, Position
from pourwright.plan import LinedPlan
from pourwright.sources import Standing
from pourwright.wording.coat_words import coat_name, side_words, up_words
from pourwright.wording.lifts import standing_place

SPREAD_HEAD = (
    "coat", "this side up", "laid on", "as it lies", "farthest in", "cups", "each cup within", "covers first",
    "never laid so, bare",
)  # fmt: skip


def spread_rows(plan: LinedPlan) -> list[tuple[str, ...]]:
    """A row for each coat."""
    turn, out = plan.frame.rotation.T, list[tuple[str, ...]]()
    for coat, one in zip(plan.lining.coats, plan.lining.sequence, strict=True):
        out.append(
            (
                coat_name(plan, coat), f"{side_words(one.up @ turn)} {up_words(one.up)}", units.area(coat.area_m2),
                heights_words(plan, one), units.length(coat.reach_m), str(coat.cups), units.time(one.seconds),
                f"{one.share:.1%}", _bare(plan, one.alone),
            )
        )  # fmt: skip
    return out


def _bare(plan: LinedPlan, place: Bare) -> str:
    if place.share <= 0.0005:
        return "next to nothing"
    return f"{place.share:.1%}, {standing_place(plan.frame.to_standing(place.point_m))}"


def heights_words(plan: LinedPlan, one: Position) -> str:
    """From where to where it is laid, above the lowest place of the inside as the piece lies."""
    inside = plan.lining.inside
    height = inside.middle_m @ one.up
    mine = height[one.spread_on] if one.spread_on is not None and one.spread_on.any() else height[:1]
    low, high = (max(0.0, float(end - height.min())) for end in (mine.min(), mine.max()))
    return f"{units.length(low)} to {units.length(high)} above its lowest inside"


def reach_words(plan: LinedPlan) -> str:
    """What hands reach and what not."""
    found = plan.lining.spread
    if found is None:
        return ""
    who = "an arm with a brush or roller, our judgement" if found.by == REACH.standing else f"{Standing.JOB.value}"
    said = f"through {' and '.join(found.mouths)}, {units.length(found.reach_m)} in ({who}), by the shortest way inside"
    said += "; how an arm bends on that way is not computed"
    for share, why in ((found.far_share, "out of reach"), (found.over_share, "hangs over in every way up given")):
        if share > 0.0005:
            said += f"; {share:.1%} of the inside is {why}" if why[0] == "o" else f"; {share:.1%} of it {why}"
    return said


def spread_lines(plan: LinedPlan) -> list[tuple[str, str]]:
    """What goes in place of the lines of a turning."""
    lining = plan.lining
    ways = len({tuple(np.round(one.up, 6)) for one in lining.sequence})
    return [
        (
            "coats",
            f"an upright wall keeps {units.length(lining.most_coat_m)} of foam 300 mm (11.8 in) under the upper edge "
            "of what is laid, less above, more below and where it is flatter: more in one coat runs off",
        ),
        (
            "spread",
            f"{lining.turning.words}; in {ways} way{'' if ways == 1 else 's'} up. Together the coats cover "
            f"{lining.coverage:.1%} of the inside; about {units.time(lining.hours * 3600)} in all",
        ),
        ("reach", reach_words(plan)),
    ]


def spread_how(plan: LinedPlan) -> list[str]:
    """What is done in each coat, in the order of the work."""
    foam, mix = plan.foam, plan.job.limits.mix_s
    window = units.time(foam.cream_s - mix)
    return [
        "Lay the piece as the row of its coat says, wedged so that it cannot roll, the mouth open and lit. Work with "
        "the ventilation, gloves, goggles and respirator that the data sheet asks for: no head goes into the piece.",
        f"Mix for {units.time(mix)}. From then on there are {window} until it creams: pour it along the wall from the "
        "upper edge down, and brush or roll it out at once over the part that this cup is for.",
        f"It creams {units.time(foam.cream_s)} from the start of mixing: brush back up what has run, then leave it "
        "alone. Brushed later it collapses.",
        "Where a coat has several cups, each is for its own part of the wall, side by side: mix the next when the one "
        "before has creamed. Mark the parts on the inside first, and go from the far end to the mouth.",
        f"Do not move the piece before it is tack-free, {units.time(foam.tack_free_s)}. The next coat, or another way "
        "up, only when the foam is set and cool. What ran off stands at the lowest places.",
        "Close the mouth when the last coat is set and cool and the inside has been looked at all round.",
    ]


def spread_card_rows(plan: LinedPlan, coat: Coat, one: Position) -> list[tuple[str, str]]:
    """What the card of a coat says."""
    foam = plan.foam
    each = "" if coat.cups == 1 else f", {units.area(coat.area_m2 / coat.cups)} a cup"
    return [
        ("Lays", f"{units.length(coat.thickness_m)} of foam, {units.volume(coat.foam_m3)}"),
        ("On", f"{units.area(coat.area_m2)}{each}: {heights_words(plan, one)}, the parts in colour in the picture"),
        ("Reach", f"up to {units.length(coat.reach_m)} in"),
        (
            "Spread",
            f"{math.floor(plan.job.limits.mix_s)} to {math.floor(foam.cream_s)} s from the start of mixing",
        ),
    ]
