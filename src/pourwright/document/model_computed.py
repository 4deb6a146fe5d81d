"""The blocks of ``plan.json`` that hold what was computed in the real shape: heat, rise, schedule."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from pourwright.document.model_parts import Block, MeasuresDoc, Number, Point, RangeDoc, Text, about, earlier


class AboveDoc(Block):
    """How long the hottest point of a pour is above a threshold."""

    threshold_c: float = about("the threshold")
    likely_s: Number = about("at the likely rise")
    high_s: Number = about("at the rise's upper 95 % end")

    @model_validator(mode="before")
    @classmethod
    def _earlier(cls, given: Any) -> Any:
        """Plans of an earlier version called them nominal and bounding."""
        names = {"nominal_s": "likely_s", "bounding_s": "high_s"}
        return {names.get(key, key): value for key, value in given.items()} if isinstance(given, dict) else given


class HeatHistoryDoc(Block):
    """Temperatures of a pour from staged heat in three dimensions; low and high ends hold 95 %."""

    start_s: float = about("start of its first mix, from the start of the job")
    peak_c: RangeDoc = about("hottest point")
    peak_s: float = about("when, from the start of the job")
    peak_point_m: Point = about("where, shell axes")
    peak_measures: MeasuresDoc = about("where on the standing piece")
    above: list[AboveDoc] = about("caution, stop and emergency temperature of the grade")
    skin_c: RangeDoc = about("hottest point of the skin along it; null: it touches none")
    skin_point_m: Point | None = about("where, shell axes")
    skin_measures: MeasuresDoc | None = about("where on the standing piece")
    face_c: Number = about("hottest point of what the next lift lands on after the wait")
    core_c: Number = about("hottest core under the next lift then")
    alone_s: Number = earlier("above caution on cold foam with nothing above, likely heat; no wait makes it less")
    wait_s: Number = about(
        "of its lift: start of its first mix to the start of the next lift; of the last: until it is cool"
    )
    wait_governed_by: Text = about("the rule that held out longest; empty for the last lift")
    wait_met: bool = about("false: given up at the longest wait")
    closed_peak_c: Number = about("hottest core by the formula, for comparison")
    closed_wait_s: Number = about("what the formula asks for after the last mix of this pour alone, for comparison")
    later_c: RangeDoc | None = earlier("hottest core an hour after its peak")
    top_c: RangeDoc | None = earlier("hottest its free top gets before it is covered; null ends: it has none")
    across_m: Number = earlier("width of the limb whose own solution gives the peak; null: the heat cells give it")
    grid_error_k: Number = earlier("how far the peak may be off by the heat cells; null: run for the hottest pour only")


class VoidDoc(Block):
    """Space that rising foam leaves empty."""

    volume_m3: float = about("how much")
    point_m: Point = about("middle of its largest section, shell axes")
    measures: MeasuresDoc = about("where that is on the standing piece")
    bottom_m: float = about("its bottom above the base")
    top_m: float = about("its top")
    reason: Text = about("why")
    neck_m: Number = about("hydraulic diameter of the narrowest place on the way; null: none")


class VentFlowDoc(Block):
    """What passes one vent during a pour."""

    name: Text = about("the vent")
    air_m3_s: float = about("air at its peak")
    hole_needed_m: float = about("hole that passes it at the allowed back-pressure")
    back_pressure_pa: float = about("with the hole it has")
    foam_kg: float = about("foam that comes out")
    foam_from_s: Number = about("when it starts, from the start of mixing; null: none comes")


class RiseHistoryDoc(Block):
    """A pour rising along the level graph; times from the start of its mixing, pressures gauge."""

    peak_pa: float = about("highest pressure anywhere in it")
    peak_s: float = about("when")
    peak_point_m: Point = about("where, shell axes")
    peak_measures: MeasuresDoc = about("where on the standing piece")
    at_gel_pa: float = about("highest pressure when it gels")
    gel_s: float = about("when it gels")
    fill_m3_s: float = about("fastest growth of the foam")
    void_m3: float = about("all that is not filled, small spaces included")
    voids: list[VoidDoc] = about("spaces that no later lift fills, larger than counts as filled")
    below_m3: float = about("what is short of its level, for the next lift to fill")
    above_kg: Number | None = earlier("foam that rose over its level elsewhere [kg]")
    vents: list[VentFlowDoc] = about("vents whose pocket it fills")
    packing: float = about("moulded density, foam over the whole space, over free-rise density")
    packing_needed: Number = about("the least packing that leaves no void; null: not asked, or none does")
    surplus_kg: float = about("foam that comes out of vents")
    closed_pressure_pa: Number = about("pressure by the formula, for comparison")


class StepDoc(Block):
    """One step of the schedule, in seconds from the start of the first mix."""

    kind: Text = about("mix, pour, rise or wait; a wait runs from the start of the first mix of its lift")
    lift: int = about("number of the lift")
    pour: Text = about("name of the pour; empty for the wait after a lift")
    batch: int = about("number of the mix; 0: none")
    hand: int = about("who does it, from 1; 0: nobody has to")
    start_s: float = about("start")
    end_s: float = about("end")


class ComputedDoc(Block):
    """What the division into lifts was checked against."""

    words: list[Text] = about("what was computed, what was tried and what came of it")
    measuring: Text | None = earlier("what it would be worth to measure the rise first; empty: nothing to say")
    divisions: int = about("divisions into lifts that were tried")
    heat_cells: int = about("heat cells; 0: formulas only")
    heat_cell_m: Number = about("edge of a heat cell")
    reaction_fitted: bool = about("whether a reaction was fitted to the grade's times")
    cup_test: Text = about("reference of the cup test the grade was fitted to; empty: the data sheet")
    elapsed_s: float = about("from the first mix to the end of the last wait")
    schedule: list[StepDoc] = about("every step in order")
    clock_s: Number = Field(
        default=None, description="time of day at which the first mix begins, after midnight; null: the job says none"
    )


class HeatRulesDoc(Block):
    """What heat and rise are judged by; as given in the job or taken by default."""

    scorch_s: float = about("any point may be above the caution temperature for so long, at the likely heat")
    scorch_high_s: Number = earlier("the same at the 95 % end of the heat")
    centre_c: Number = about("hottest core allowed under a new lift; null: no such rule")
    centre_share: Number = about("share of its rise that core may still hold; null: no such rule")
    release_c: Number = earlier("watched until every core is cooler")
    shortest_wait_s: float = about("shortest wait between lifts")
    longest_wait_s: float = about("longest wait between lifts")
    outside_film_w_m2k: float = about("skin to the air of the shop")
    inside_film_w_m2k: float = about("top of a pour to the air inside")
    void_share: float = about("share of a pour that may stay empty")
    between_s: float = about("from the end of one mix to the start of the next")
