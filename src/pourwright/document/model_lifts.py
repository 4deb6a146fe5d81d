"""The blocks of ``plan.json`` that tell what to pour."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from pourwright.document.model_computed import HeatHistoryDoc, RiseHistoryDoc
from pourwright.document.model_parts import Block, MeasuresDoc, Number, Point, RangeDoc, Text, about, earlier


class CheckDoc(Block):
    """A value checked against a limit."""

    name: Text = about("what is checked")
    value: Number = about("its value; null: not known")
    limit: Number = about("the limit; null: not known, or none where the verdict is ok")
    unit: Text = about("SI unit of both")
    verdict: Text = about(
        "ok, ok with shores (those that the lift names), over, or unknown (never to be taken as safe)"
    )
    source: Text = about("where the limit comes from")
    remedy: Text = about("what would lift it")


class PortDoc(Block):
    """A hole foam goes in through."""

    name: Text = about("P1, P2, …; pours that use the same hole share it")
    way: Text = about("open surface, opening or drilled")
    opening: Text = about("name of the opening; empty for a drilled port")
    point_m: Point = about("on the skin or in the opening, shell axes")
    measures: MeasuresDoc = about("where that is on the standing piece")
    hole_m: float = about("diameter to drill; 0 for an opening")
    face: Text = Field(default="other", description="the side it shows on: front, hidden (back, underside) or other")
    flange_m: float = Field(default=0.0, description="diameter of its bung's flange; 0 for an opening")
    room_m: Number = earlier(
        "from its rim to the nearest edge, wall or other hole; null: an opening, or not looked for"
    )
    sideways: bool = Field(
        default=False,
        description="cut in the side of a limb, to be closed over in the skin's own kind when all is cured",
    )
    made: bool = Field(
        default=False, description="whether it was drilled before this plan, and keeps its place and its size"
    )
    lowest_edge_m: Number = about("its lowest edge on the inside above the base; null: no foam gets to it")
    closed_before: Text | None = about(
        "pour before which it is closed, the first whose foam would rise past it; null: it is closed in a pour, see "
        "closed_in, or stays open where that is null too"
    )
    closed_in: Text | None = about(
        "pour in which it is closed, because that pour goes in through it; null: closed before a pour, or stays open"
    )
    closed_by_s: Number = about(
        "by then, after the start of mixing closed_in, with a margin; null: not closed in a pour"
    )
    foam_there_s: Number = about(
        "when foam of closed_in gets to it, after the start of mixing; null: not closed in one"
    )
    closing_force_n: Number = about("what closes it has to hold: the high pressure beside it on its area; null: open")


class TubeDoc(Block):
    """What liquid is poured down; withdrawn as the foam rises."""

    length_m: float = about("with what stands out of the hole for the funnel")
    bore_m: float = about("inside diameter")
    stiff: bool = about("whether it is a tube that hangs free; else a hose, led down by its own bend")
    flow_m3_s: float = about("what it passes by the weight of the liquid, no more than is poured")
    left_kg: float = about("liquid that stays on its wall, to be mixed besides")


class LandingDoc(Block):
    """Where liquid lands inside a pour."""

    port: Text = about("name of the port it comes through")
    point_m: Point = about("on the floor of the pour, shell axes")
    fall_m: float = about("height of fall")
    flow_distance_m: float = about("farthest way the liquid must run from here")
    measures: MeasuresDoc = about("where to pour: straight above it, at the hole or in the plane of the opening")
    kg: float = Field(default=0.0, description="of the pour's liquids that go in here, both parts, nominal")
    seconds: Number = earlier("how long that takes out of the cup, or out of a head of the machine")
    clearance_m: Number = earlier(
        "least distance from wall and things inside, from under the hole to above its landing"
    )
    tube: TubeDoc | None = Field(default=None, description="what it is poured through; null: it falls")


class VentDoc(Block):
    """A hole air leaves through."""

    name: Text = about("V1, V2, …")
    way: Text = about("opening or drilled")
    opening: Text = about("name of the opening; empty for a drilled vent")
    point_m: Point = about("on the skin, shell axes")
    measures: MeasuresDoc = about("where that is on the standing piece")
    hole_m: float = about("diameter to drill")
    holes: int = about("how many")
    air_m3_s: Number = about("air it must pass at the peak of the rise")
    persistence_m: float = about("depth of the pocket it serves")
    closed_air_m3_s: Number = about("air by the formula, for comparison; null: not computed otherwise")
    made: int = Field(default=0, description="holes of it that were drilled before this plan, and stay as they are")
    node: int = Field(
        default=-1,
        description="node of the level graph under it, for the rise of what is left; -1: not known",
    )
    closed_before: Text | None = about(
        "pour before which it is closed, the first whose foam would rise past it; null: it is closed in a pour, see "
        "closed_in, or stays open where that is null too"
    )
    closed_in: Text | None = about(
        "pour in which it is closed, when foam shows at it; null: closed before a pour, or stays open"
    )
    foam_there_s: Number = about(
        "when foam of closed_in shows at it, after the start of mixing; null: not closed in one"
    )
    closing_force_n: Number = about("what closes each of its holes has to hold; null: open")


class UnfilledDoc(Block):
    """A space too small for a pour of its own that no pour beside it can take."""

    volume_m3: float = about("what stays empty")
    point_m: Point = about("middle of its largest section, shell axes")
    measures: MeasuresDoc = about("where that is on the standing piece")


class BatchDoc(Block):
    """One cup."""

    part_a_l: float = about("part A in litres")
    part_b_l: float = about("part B in litres")
    part_a_kg: float = about("part A by weight")
    part_b_kg: float = about("part B by weight")


class PourDoc(Block):
    """One mass of foam in one pool."""

    name: Text = about("lift number and a letter, like 2a")
    poured: bool = about("whether it is in already; its amounts and top are then what was recorded")
    bottom_m: float = about("its bottom above the base of the standing piece")
    top_m: float = about("its top")
    volume_m3: float = about("cavity it fills")
    closes: bool = about("whether it meets a cap and is packed")
    packing: Number = earlier("moulded density, foam_kg over volume_m3, over free-rise density")
    foam_kg: float = about("foam in place, nominal")
    foam_kg_range: RangeDoc = about("foam in place with its spread")
    part_a_l: float = about("part A in litres, all batches")
    part_b_l: float = about("part B in litres, all batches")
    part_a_kg: float = about("part A by weight, all batches")
    part_b_kg: float = about("part B by weight, all batches")
    together: list[Text] = about("pours of its lift that are mixed at the same time: they run into each other")
    after: list[Text] = about("pours of its lift that have to be risen before it is mixed: its foam rises over them")
    batches: int = about("cups to mix")
    batch: BatchDoc = about("each of them")
    one_cup: list[Text] = Field(
        default=[], description="pours that are mixed in one cup with it, itself among them; empty: it has its own"
    )
    pour_point_m: Point | None = about("port of the first landing, shell axes; null: no port reaches it")
    landings: list[LandingDoc] = about("where the liquid lands")
    vents: list[VentDoc] = about("vents that carry its air")
    rise_m: float = about("thickness of risen foam")
    peak_temperature_c: Number = about("hottest core, nominal")
    peak_temperature_c_range: RangeDoc = about("hottest core with its spread; low and high hold 95 %")
    hot_h: Number = about("time to shed the heat to one tenth, slowest mode, in hours")
    peak_pressure_pa: Number = about("gauge pressure on the skin, nominal")
    peak_pressure_pa_range: RangeDoc = about("gauge pressure on the skin with its spread; high is the upper bound")
    wait_s: Number = about("that of its lift, the same for all its pours; null: not known, or poured")
    checks: list[CheckDoc] = about("what was checked against a limit")
    limb: Text = Field(default="", description="limb it lies in; empty in even bands")
    reach_m: list[float] = Field(
        default_factory=list,
        description="left, right, front and back end of the space it fills, as the piece stands, in the plan's axes: "
        "the skin round it is what it presses; empty: not known",
    )
    start_s: Number = Field(default=None, description="start of its first mix in the job; null: not computed")
    dose_h: Number = Field(
        default=None, description="hours of its hottest point above the caution temperature, likely; null: not computed"
    )
    heat: HeatHistoryDoc | None = about("computed temperatures; null: formulas only")
    rise: RiseHistoryDoc | None = about("computed rise; null: formulas only, or it could not be followed")
    nodes: list[int] = Field(
        default_factory=list, description="nodes of the level graph that it fills, for planning the rest from a record"
    )
    shares: list[float] = Field(default_factory=list, description="its share of each of them")


class ShoreDoc(Block):
    """A shore to stand against the outside of the skin before a lift is poured."""

    name: Text = about("S3.1: the first of lift 3")
    point_m: Point = about("middle of its pad, shell axes")
    normal: Point = about("unit vector out of the piece: the shore pushes against it")
    measures: MeasuresDoc = about("where that is on the standing piece")
    force_n: float = about("what it holds")
    pad_m: float = about("radius of its pad, or of the board under it")
    board_m: list[float] | None = about("level and other edge of a board over a whole flat side; null: a pad")


class BulgeDoc(Block):
    """The skin under the pressure of one lift, by finite elements."""

    verdict: Text = about("ok, ok with shores, over, or unknown")
    pressure_pa: Number = about("of its hardest pour")
    outward_m: Number = about("greatest bulge without shores; null: not computable")
    allowed_m: Number = about("bulge that is allowed where it is nearest to it")
    point_m: Point | None = about("that place, shell axes")
    measures: MeasuresDoc | None = about("the same on the standing piece")
    stress_pa: Number = about("greatest stress without shores")
    stress_limit_pa: Number = about("stress of the skin that is allowed: a design limit")
    used: Number = about("the larger share of both, without shores; where they are not computable, of stands_pa")
    bulge_used: Number = about("the share of the allowed bulge alone; null: not computable")
    stands_pa: Number = about("pressure at which the first of both limits is reached, without shores")
    beyond: Text = about("why bulge and stress are not computable; empty: they are")
    stretch_counted: bool = about("whether the stretch of the bulged skin was counted")
    shores: list[ShoreDoc] = about("to set up before this lift")
    propped_m: Number = about("greatest bulge with them")
    propped_pa: Number = about("greatest stress with them")
    thinner_m: Number = about("a lift this thin would do without shores; null: none found or none looked for")
    hold_down_n: float = about("force that keeps the side on the ground flat, own weight counted in; 0: not needed")
    words: Text = about("what else there is to say")
    triangles: int = about("of the skin")
    closed_limit_pa: Number = about("cross-check: what the formula says its weakest panel stands; null: not known")
    closed_words: Text = about("cross-check: of which panel")


class OneMoreDoc(Block):
    """What a lift would need that is one level of the grid taller than it may be."""

    top_m: float = about("top of that lift above the base")
    value: float = about("what it would need: thickness of risen foam, liquid of one mix, or pressure, by its unit")
    limit: float = about("what is allowed")
    unit: Text = about("SI unit of both")


class LiftDoc(Block):
    """A band of height poured in one round."""

    number: int = about("1 is the lowest")
    bottom_m: float = about("its bottom above the base of the standing piece")
    top_m: float = about("its top")
    volume_m3: float = about("cavity it fills")
    limit: Text = about('name of the check that kept it from being taller, or "full" at the top')
    limit_words: Text = about("the same in a sentence")
    wait_s: Number = earlier(
        "start of its first mix (that of wait_from) to the start of the next lift; of the last: until it is cool; in "
        "whole minutes, from a day on in whole hours; null: not known"
    )
    wait_from: Text | None = earlier("pour whose first mix the wait is counted from; empty: all is poured")
    one_more: OneMoreDoc | None = earlier("what one level more than it may have would need; null: nothing bound it")
    pours: list[PourDoc] = about("one for each pool it fills")
    bulge: BulgeDoc | None = Field(
        default=None, description="the skin under its pressure; null: formulas only, or held"
    )

    @model_validator(mode="before")
    @classmethod
    def _earlier(cls, given: Any) -> Any:
        """Plans of an earlier version held a share that was left of the limit."""
        return {k: v for k, v in given.items() if k != "limit_margin"} if isinstance(given, dict) else given
