"""The blocks of ``plan.json`` that tell the day: when it ends, what it was chosen from, and its limbs."""

from __future__ import annotations

from pourwright.document.model_parts import Block, Number, Text, about


class DoseDoc(Block):
    """Hours that the hottest point spends above the caution temperature, whole job."""

    likely: Number = about("at the likely rise")
    high: Number = about("at the rise's upper 95 % end; null: not computed")


class FrontDoc(Block):
    """The best day found for a number of pours."""

    hours: float = about("from the first mix to the start of the last pour")
    pours: int = about("pours")
    dose_h: Number = about("hours above the caution temperature, likely, on the cells of the search")
    dose_high_h: Number = about("the same with the rise at its upper 95 % end and the same starts")
    weight_kg: float = about(
        "foam of all its pours, with a dense layer at each free surface; judged, to compare days by"
    )
    keeps: bool = about("whether that keeps the limit with its margins")
    judged: bool = about(
        "whether rise, pressure on the skin and heat were computed for it in full; others keep what these asked of the "
        "plan's own day, and are computed in full when they are taken"
    )
    chosen: bool = about("whether it is the plan's day")


class OfferDoc(Block):
    """The day with one change of shop or foam, on the cells of the search."""

    change: Text = about("what would be other")
    hours: float = about("from the first mix to the start of the last pour")
    pours: int = about("pours")
    keeps: bool = about("whether that keeps the limit with its margins")
    hours_now: float = about(
        "hours of the plan's own day; where that keeps no limits, of what is found on the cells of the search"
    )


class DayDoc(Block):
    """The day of the plan and the days it was chosen from."""

    hours_to_last_pour: Number = about("from the first mix to the start of the last pour")
    hours_until_cool: Number = about("from the first mix to the end of the last wait; null: not known")
    pours: int = about("pours")
    lifts: int = about("lifts: rounds of pours before a wait")
    dose_h: DoseDoc = about("hours of the hottest point above the caution temperature")
    dose_limit_h: float = about("what is allowed; the day is planned with a share of it")
    aim: Text = about("what was made small: hours, fewest pours or lightest")
    pour_price_s: float = about("what one pour more counted, as time")
    front: list[FrontDoc] = about(
        "the days found that no other beats in hours, pours, foam and time at temperature together, and the plan's; "
        "empty for even bands"
    )
    offers: list[OfferDoc] = about("what changes of shop or foam would make of it; empty: none asked or of worth")
    words: list[Text] = about("how it was found")


class LimbDoc(Block):
    """A stretch of the cavity that is filled without regard to the others."""

    name: Text = about("L1, L2, … from the lowest up")
    parent: Text | None = about("the limb above that it leads into; null: none")
    bottom_m: float = about("its bottom above the base")
    top_m: float = about("its top")
    pours: list[Text] = about("the pours that fill it, from its bottom up")
