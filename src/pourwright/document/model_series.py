"""Fixture and series, as ``plan.json`` holds them."""

from __future__ import annotations

from pydantic import Field

from pourwright.document.model_parts import Block, Number, Point, Text, about, earlier


class ForceDoc(Block):
    """A force."""

    likely: float = about("at the chosen packing by the gas law")
    high: float = about("with the gas heating on in set foam")


class FaceDoc(Block):
    """One side of one chamber."""

    name: Text = about(
        "top, bottom, left, right, front, back; with core: it looks into a gap of the part; with inner: at another "
        "chamber"
    )
    kind: Text = Field(default="outer", description="outer, core or inner, as its name tells")
    chamber: int = about("chamber, 1 the largest")
    area_m2: float = about("projected area")
    width_m: float = about("shorter side of what the plate covers")
    length_m: float = about("longer side")
    pressure_pa: float = about("likely pressure on it")
    force_n: ForceDoc = about("force that opens it: pressure times projected area")
    point_m: Point = about("where the force acts, shell axes")
    skin_stands_pa: Number = about("what the weakest warm panel of the skin there stands alone; null: not known")
    plate: bool = about("whether it needs a plate, or it is not known that it needs none")
    bend_m: float = about("bending of the plate without ribs, held round its edge, at the high pressure")
    rib_m: float = about("widest distance between ribs that keeps to what a plate may bend")
    clamps: int = about("clamps that would hold it alone; 0: a core, an inner face, or no plate; see plates")
    clamp_n: float = about("high force on each")
    release_s: Number = about("time from the end of its last shot until it may be opened; null: not within a day")


class PlateDoc(Block):
    """One side of the whole part, as one plate covers it, all chambers together."""

    side: Text = about("top, bottom, left, right, front, back")
    against: Text = about("opposite side: clamps tie the two plates together")
    chambers: list[int] = about("chambers that press on it")
    area_m2: float = about("projected area, each line through the part once")
    width_m: float = about("shorter side")
    length_m: float = about("longer side")
    force_n: ForceDoc = about("force that opens it")
    point_m: Point = about("where it acts, shell axes")
    needed: bool = about("whether a face of it needs a plate, or it is not known that none does")
    bend_m: float = about("bending without ribs, held round its edge, at the high pressure")
    rib_m: float = about("widest distance between ribs that keeps to what a plate may bend")
    clamps: int = about("clamps of the pair, the same at both: they count once")
    clamp_n: float = about("high force on each")


class ReleaseDoc(Block):
    """When a chamber may be released."""

    seconds: Number = about("from the end of its shot; null: not within a day")
    core_c: Number = about("its core then")
    pressure_pa: Number = about("of its gas then")
    growth_share: Number = about("by which it grows then")
    by: Text = about("what it waits for: growth or strength")
    softer_s: Number = earlier("seconds were its foam a fifth softer and weaker than judged; null: not within a day")


class FixtureDoc(Block):
    """What holds the part."""

    faces: list[FaceDoc] = about("chamber by chamber, the largest first, inner faces and cores last")
    plates: list[PlateDoc] = Field(
        default=[], description="side by side, in pairs of opposite sides, the hardest pushed pair first"
    )
    pressure_pa: float = about("likely pressure")
    pressure_high_pa: float = about("with the gas heating on in set foam")
    bears_pa: float = about("what the fixture bears")
    clamps: int = about("clamps of all pairs of plates, each pair once")
    release_s: Number = about("when the last chamber may be released, from the end of the last shot; null: not known")
    releases: list[ReleaseDoc] = about("chamber by chamber")
    plastic_share: Number = about("stiffness left to the warm skin; null: known for polyethylene only")


class SpreadDoc(Block):
    """How much parts differ."""

    mean_kg: float = about("mean weight of a part")
    sd_kg: float = about("standard deviation, drawn with a fixed seed")
    linear_sd_kg: float = about("the same by propagation of uncertainty")
    packing_sd: float = about("standard deviation of the packing")
    too_light: float = about("share of parts below the tolerance on weight")
    too_heavy: float = about("share above it")
    short: Number = about("share packed less than the lowest; null: that is not known")
    over: float = about("share packed more than the highest")
    reject_share: float = about("share with any of these")
    draws: int = about("parts drawn")


class CostDoc(Block):
    """What a good part costs, in the money of the job."""

    foam: float = about("foam in it")
    labour: float = about("people of a shift over its parts")
    waste: float = about("liquids wasted and purged")
    plugs: float = about("plugs")
    rejects: float = about("what good parts carry for those that are not")


class SeriesDoc(Block):
    """Parts in series."""

    cycle_s: float = about("time between two parts once the line runs, followed event by event")
    closed_cycle_s: float = about("the same by formula: a bound that no order of work beats")
    round_s: float = about("round of one fixture that waits for nobody")
    first_s: float = about("until the first part is out")
    parts_per_shift: int = about("parts out by the end of a shift")
    parts: int = about("parts wanted a shift")
    enough: bool = about("whether they come out")
    fixtures: int = about("fixtures")
    bottleneck: Text = about("what sets the bound: fixtures, people or machine")
    machine_busy: float = about("share of the shift")
    people_busy: float = about("share of the shift")
    cost_per_part: Number = about("of a good part, in the money of the job; null: no prices given")
    cost: CostDoc | None = about("what it is made of")
    spread: SpreadDoc = about("spread of weight and packing")
    drums_per_week: float = about("drums of both parts together")
