"""Blocks of ``plan.json`` for the piece's later life: its masses, and what the job says holds, lifts and floats it."""

from __future__ import annotations

from pydantic import Field

from pourwright.document.model_parts import Block, Number, Point, RangeDoc, Text, about, earlier


class PartDoc(Block):
    """One mass of the piece."""

    name: Text = about("what it is")
    kind: Text = about("skin, foam, holes or plugs")
    after_lift: int = about("0: there before the first pour; k: comes with lift k; -1: put on the finished piece")
    kg: RangeDoc = about("its weight by itself")
    thin_kg: RangeDoc = about("with the wall at its thinnest: low and high by density alone")
    thick_kg: RangeDoc = about("with the wall at its thickest")
    why: Text = about("reason of the range")
    centre_m: Point = about("its centre, shell axes")
    spread_m2: list[Point] = about("three rows: mean of d d' over its mass, d from its centre; shell axes")


class SpotDoc(Block):
    """Where something is: a point, or measures from the edges; null where not given."""

    at_m: Point | None = about("a point, shell axes")
    from_left_m: Number = about("from the left-most extent")
    from_right_m: Number = about("from the right-most extent")
    from_front_m: Number = about("from the front-most extent")
    from_back_m: Number = about("from the rear-most extent")
    from_base_m: Number = about("up from the lowest extent")
    from_top_m: Number = about("down from the highest extent")


class ShapeDoc(Block):
    """The form of a thing inside."""

    kind: Text = about("rod, bar or box")
    start: SpotDoc = about("one end of a rod or bar, one corner of a box")
    end: SpotDoc = about("the other end, or the opposite corner")
    wide_m: float = about("diameter of a rod, level side of a bar; 0 of a box")
    deep_m: float = about("other side of a bar; 0 of a box")


class ItemDoc(Block):
    """Hardware or a coating."""

    name: Text = about("what it is")
    kg: RangeDoc = about("its weight; of a coating: by square metre of the outside")
    coating: bool = about("spread over the outside")
    spot: SpotDoc = about("where it is, of the piece as it stands to be poured")
    finished: bool = about("put on the finished piece; false: there before the first pour")
    density_kg_m3: Number = about("of its material; null: its displacement is not counted")
    shape: ShapeDoc | None = earlier("what it takes of the inside; null: no room is taken out for it")


class InsertDoc(Block):
    """A round insert in the foam behind an anchor."""

    diameter_m: float = about("its diameter")
    depth_m: float = about("depth of foam along it")
    head_m: Number = about("diameter of its head; null: none")
    plate_m: Number = earlier("diameter of a plate bonded to the skin where it goes in; null: none")
    bond_pa: Number = earlier("what that bond may bear for good; null: not given")


class RodDoc(Block):
    """The rod between an anchor's insert and the wall."""

    diameter_m: float = about("its diameter")
    stress_pa: float = about("stress that it may be given for good")
    modulus_pa: float = about("its Young's modulus")
    plate_m: Number = about("side of its plate on the wall; null: not given")


class LoadDoc(Block):
    """A load on the hanging piece beside its weight; of the five sizes one is given, the others are null."""

    name: Text = about("its name")
    kind: Text = about("wind, snow, ice, earthquake, water, person, handling or other")
    way: Text = about("where it pushes, facing the wall: left, right, in, out, up or down")
    pressure_pa: Number = about("on the outline of the piece seen that way")
    acceleration: Number = about("share of gravity on every mass")
    areal_kg_m2: Number = about("on all the outside")
    kg: Number = about("at the spot")
    force_n: Number = about("at the spot")
    spot: SpotDoc | None = about("where it acts, of the hanging piece; null: spread")
    reference: Text = about("where it stands; empty: not said")


class CombinationDoc(Block):
    """Loads that act together."""

    name: Text = about("its name")
    weight: float = about("factor on the weight")
    loads: list[tuple[str, float]] = about("names of loads and their factors")
    reference: Text = about("where the factors stand; empty: not said")


class AnchorDoc(Block):
    """A wall anchor."""

    name: Text = about("its name")
    spot: SpotDoc = about("where it is, facing the wall as the piece hangs")
    stiffness: float = about("relative to the other anchors")
    shear_n: Number = about("what it holds along the wall; null: not given")
    pull_n: Number = about("what it holds out of the wall")
    breaking: bool = about("whether these are breaking loads")
    insert: InsertDoc | None = about("what holds it inside the piece")
    rod: RodDoc | None = earlier("its rod across the gap; null: not given")


class BoxDoc(Block):
    """A part of the wall, from the left and the base of the hanging piece."""

    left_m: float = about("its left edge")
    right_m: float = about("its right edge")
    base_m: float = about("its lower edge")
    top_m: float = about("its upper edge")


class PlacesDoc(Block):
    """Where anchors may be, for suggested places."""

    studs_m: list[float] = Field(default=[], description="upright lines, from the left; empty: anywhere")
    joints_m: list[float] = Field(default=[], description="level lines, up from the base; empty: anywhere")
    spacing_m: Number = Field(default=None, description="of the grid of candidates; null: by the size of the piece")
    keep_out: list[BoxDoc] = Field(default=[], description="parts of the wall without anchors")


class HangDoc(Block):
    """How the piece hangs."""

    out: Point = about("from the wall into the room, shell axes")
    up: Point = about("upwards, shell axes")
    standoff_m: float = about("gap between wall and piece")
    factor: Text = about("empty; of older plans: a named factor for lifting, which is not used")
    factor_value: Number = about("design factor of the job's own")
    factor_reference: Text = about("where it stands")
    loads: list[LoadDoc] = Field(default=[], description="loads beside the weight")
    combinations: list[CombinationDoc] = Field(default=[], description="what acts together")
    load_set: Text = Field(default="", description="named set of combinations; empty: none")
    places: PlacesDoc = Field(default=PlacesDoc(), description="where anchors may be, for suggested places")


class LegDoc(Block):
    """One leg of the sling."""

    name: Text = about("its name")
    spot: SpotDoc = about("where it holds, of the piece as it stands to be poured")
    length_m: Number = about("its length")
    rating_n: Number = about("what it holds")
    breaking: bool = about("whether that is a breaking load")


class HookDoc(Block):
    """The hook."""

    at_m: Point | None = about("its place while the piece still stands")
    above_m: Number = about("or its height over the highest sling point")
    dynamic: float = about("factor for jerks of the hoist")
    factor: Text = about("named design factor; empty: none")
    factor_value: Number = about("design factor of the job's own")
    factor_reference: Text = about("where it stands")


class StandDoc(Block):
    """How the finished piece stands."""

    up: Point | None = about("upwards; null: as it is poured")
    contact_m: float = about("what is no higher above the lowest point touches the ground")
    slope_rad: float = about("slope of the ground")
    pads_m: list[Point] = about("corners of a base plate or feet of the finished piece, shell axes")


class MovingDoc(Block):
    """How the finished piece is moved."""

    main: SpotDoc | None = about("where the main hook holds it; null: it is not turned")
    tail: SpotDoc | None = about("where the second hook holds it")
    up: Point | None = about("upwards at the end, shell axes; null: as it hangs or stands")
    hook_n: Number = about("what the main hoist may carry")
    tail_hook_n: Number = about("what the second one may carry")
    rigging_kg: float = about("weight of the rigging")
    bar_at: list[SpotDoc] = about("points under the ends of a spreader bar")
    bar_above_m: float = about("from the bar to the hook")
    bar_n: Number = about("what may push the bar along")
    lug: Point | None = about("in line with the shackles, shell axes")
    shackle_n: Number = about("what a shackle may carry in line")
    cradle: list[SpotDoc] = about("what it lies on")
    pad_m: float = about("side of each pad")
    floor_pa: Number = about("what the floor bears")
    clearance_m: float = about("room in the crate")
    board_m: float = about("boards of the crate")


class BoatDoc(Block):
    """A boat as it is described."""

    up: Point | None = about("upwards afloat; null: as it is poured")
    bow: Point | None = about("towards the bow; null: along the longer side")
    persons_kg: float = about("persons capacity")
    capacity_kg: Number = about("maximum weight capacity")
    level_capacity_kg: Number = about("the C of the level method")
    propulsion_kg: float = about("motor and battery under water")
    air_chambers_m3: float = about("two largest air chambers that carry")
    uptake: Number = about("share of the foam's buoyancy lost to water over the years; null: not known")
    uptake_reference: Text = Field(default="", description="where that stands")
    flotation: Text = Field(default="", description="basic, level or modified; empty: basic and level are told")
    load_at: SpotDoc | None = about("where persons and gear act")


class SiteDoc(Block):
    """What the job says beside the pour, in SI."""

    items: list[ItemDoc] = about("hardware and coatings")
    anchors: list[AnchorDoc] = about("wall anchors")
    hang: HangDoc | None = about("how it hangs; null: not said")
    legs: list[LegDoc] = about("legs of the sling")
    hook: HookDoc = about("the hook")
    stand: StandDoc = about("how it stands")
    boat: BoatDoc | None = about("the boat; null: not said")
    moving: MovingDoc | None = earlier("how it is moved; null: not said")
