"""What ``plan.json`` holds: one model a block, each key with its meaning. The documentation is made from these."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from pourwright.document.model_access import BoardDoc, CeilingDoc, PlugDoc, TiltDoc
from pourwright.document.model_computed import ComputedDoc, HeatRulesDoc
from pourwright.document.model_day import DayDoc, LimbDoc
from pourwright.document.model_fill import FillDoc
from pourwright.document.model_lifts import CheckDoc, LiftDoc, PortDoc, UnfilledDoc, VentDoc
from pourwright.document.model_parts import Block, CitedDoc, LikelyDoc, Number, Point, RangeDoc, Text, about
from pourwright.document.model_series import FixtureDoc, SeriesDoc
from pourwright.document.model_site import PartDoc, SiteDoc

SCHEMA: Final = "pourwright.plan/1"
"""Name and version of the schema. The number goes up when a key is renamed, removed or changes its meaning."""


class PieceDoc(Block):
    """The piece as the job names it."""

    name: Text = about("name of the piece")
    place: Text = about("where it will stand or hang; empty if not given")


class FrameDoc(Block):
    """How the piece stands while it is poured; x to its right, y to its back, z up."""

    rotation: list[Point] = about("three rows; standing = rotation · shell - offset_m")
    offset_m: Point = about("puts the lowest, left-most and front-most extents at zero")
    size_m: Point = about("width, depth and height of the standing piece")
    up: Point = about("pour direction in the shell file's axes")


class MaterialDoc(Block):
    """The skin's material."""

    name: Text = about("name of the material")
    title: Text = about("its title")
    foam_bonds: bool = about("whether the untreated inside face takes a bond")
    values: dict[str, CitedDoc] = about("its values with their sources, by name; SI")


class BandDoc(Block):
    """Wall thickness in a band of height."""

    name: Text = about("name of the band")
    from_m: Number = about("lower end above the lowest point of the file's z axis; null: from the lowest point")
    to_m: Number = about("upper end; null: to the top")
    thickness_m: float = about("wall thickness")
    spread: float = about("plus or minus share of it")


class RegionDoc(Block):
    """A part of the skin with a wall of its own: a box, or a band across a direction."""

    name: Text = about("name of the region")
    thickness_m: float = about("wall thickness")
    spread: float = about("plus or minus share of it")
    low_m: Point | None = about("corner of a box, shell axes; null: a band")
    high_m: Point | None = about("corner opposite")
    along: Point | None = about("direction of a band, shell axes; null: a box")
    from_m: Number = about("its lower end along that, from the farthest point against it; null: from there")
    to_m: Number = about("its upper end; null: to the other end")


class GaugeDoc(Block):
    """Walls measured at points; between them inverse distance weighting of the six nearest."""

    source: Text = about("name of the file")
    points_m: list[Point] = about("where, shell axes")
    thickness_m: list[float] = about("how thick, point by point")
    spread: float = about("plus or minus share of it")


class OpeningDoc(Block):
    """A rim that was capped flat."""

    name: Text = about("opening 1 is the largest")
    centroid_m: Point = about("its middle, shell axes")
    normal: Point = about("unit vector out of the piece")
    area_m2: float = about("its area")


class FindingDoc(Block):
    """Something the mesh check saw."""

    severity: Text = about("note or warning")
    name: Text = about("what it is")
    words: Text = about("one sentence with numbers")


class ShellDoc(Block):
    """The shell."""

    file: Text = about("name of the shell file")
    place: Text = about("its path from the plan's folder when the plan was written; empty if it was not")
    sha256: Text = about("its hash")
    unit: Text = about("unit its numbers were read in")
    kind: Text = about("outside, both-faces or open")
    kind_reason: Text = about("why it was taken for this")
    triangles: int = about("triangles in the file")
    watertight: bool = about("whether the file's mesh was closed before capping")
    area_m2: float = about("outside face without caps")
    enclosed_m3: float = about("volume inside the outside face, caps closed")
    material: MaterialDoc = about("the skin's material")
    bands: list[BandDoc] = about("wall thickness; empty where both faces are in the mesh")
    regions: list[RegionDoc] = Field(
        default=[], description="parts with a wall of their own; of those that overlap the later one holds"
    )
    gauge: GaugeDoc | None = Field(default=None, description="measured walls, in place of the bands'; null: none")
    openings: list[OpeningDoc] = about("rims that were capped flat")
    findings: list[FindingDoc] = about("what the mesh check saw")


class ExtremumDoc(Block):
    """A pool or a pocket."""

    point_m: Point = about("its lowest or highest point, shell axes")
    from_base_m: float = about("height of that spot above the base of the standing piece")
    persistence_m: float = about("depth up to where it joins a lower pool, or down to where it joins a higher pocket")
    essential: bool = about("true for the lowest pool or highest pocket of its connected piece")


class CavityPartDoc(Block):
    """A piece of the cavity that is not connected to the others."""

    volume_m3: float = about("its volume")
    centroid_m: Point = about("its middle, shell axes")


class CavityDoc(Block):
    """The space the foam fills."""

    volume_m3: float = about("its volume")
    volume_low_m3: float = about("low end")
    volume_high_m3: float = about("high end")
    volume_uncertainty_m3: float = about("half the width between low and high")
    cell_m: float = about("edge of a cell")
    stray_voids: int = about("loose pieces that were dropped")
    stray_voids_m3: float = about("what they held")
    stray_void_limit_m3: float = about("pieces below this were dropped")
    method: Text = about("how occupancy and distance were found")
    ripple_m: float = about("pools and pockets shallower than this are left out")
    pools: list[ExtremumDoc] = about("pools, deepest first")
    pockets: list[ExtremumDoc] = about("pockets, deepest first")
    parts: list[CavityPartDoc] = Field(
        default=[], description="its pieces that are not connected, largest first; empty in plans of an earlier version"
    )


class FoamDoc(Block):
    """The foam at the shop's conditions."""

    grade: Text = about("name of the grade")
    title: Text = about("its title")
    part_a: Text = Field("part A", description="what the isocyanate side is called on its drum and on the sheet")
    part_b: Text = Field("part B", description="what the resin side is called")
    values: dict[str, CitedDoc] = about("its values with their sources, by name; SI")
    air_c: float = about("air temperature")
    parts_c: float = about("temperature of the liquids")
    skin_c: float = about("temperature of the skin")
    air_pressure_pa: float = about("air pressure")
    free_rise_density_kg_m3: RangeDoc = about("free-rise density")
    open_density_kg_m3: RangeDoc = about("density in place under a free surface")
    closed_density_kg_m3: RangeDoc = about("density in place under a cap")
    expansion: RangeDoc = about("volume of free-rise foam per volume of liquid")
    cream_s: float = about("cream time from the start of mixing")
    gel_s: float = about("gel time")
    tack_free_s: float = about("tack-free time")
    rise_end_s: float = about("end of rise")
    rise_k: LikelyDoc = about("adiabatic temperature rise")
    notes: list[Text] = about("what the conditions do to it")

    @model_validator(mode="before")
    @classmethod
    def _earlier(cls, given: Any) -> Any:
        """Plans of an earlier version held a nominal and a worst-case rise."""
        if isinstance(given, dict) and isinstance(given.get("rise_k"), int | float):
            likely, rest = given["rise_k"], {k: v for k, v in given.items() if k != "rise_bounding_k"}
            high = given.get("rise_bounding_k", likely)
            return {**rest, "rise_k": {"low": likely, "likely": likely, "high": high}}
        return given


class StructureRulesDoc(Block):
    """How the skin under pressure, and what the foam adds, are computed; `pourwright stiffness` keeps to it."""

    triangles: int = Field(default=8000, description="triangles of the skin for the last word on the bulge under lifts")
    gain_triangles: int = Field(default=10_000, description="triangles of the skin for stiffness gains")
    side_pa: float = Field(default=500.0, description="pressure on its front for stiffness gains")
    rests: Text = Field(default="auto", description="what the job says that holds the finished piece under these loads")


class ShopDoc(Block):
    """What the shop and the supplier allow; as given in the job or taken by default."""

    max_lift_m: Number = about("the supplier's own largest lift; null: the grade's")
    max_lift_reference: Text = about("where that figure stands")
    largest_batch_m3: float = about("most liquid one person mixes in one go")
    hands: int = about("people who mix and pour at the same time")
    mix_s: float = about("time to mix a batch")
    pour_rate_m3_s: float = about("liquid out of the cup")
    flow_distance_m: float = about("how far liquid may have to run")
    surface_under_c: float = about("the surface under a new pour must be cooler")
    held: bool = about("whether the skin is held from outside while the foam rises")
    bulge_share: float = about("a panel may bulge by this share of its width")
    vent_pressure_pa: float = about("back-pressure allowed at a vent")
    drill_m: list[float] = about("drills at hand for vents")
    sliver_share: float = about("no lift is thinner than this share of its neighbours' mean")
    least_pour_m3: float = about("less foam than this is no pour of its own")
    spill_m: float = about("a pool of less than that, no deeper than this, fills from above")
    heat: HeatRulesDoc = about("what heat and rise are judged by")
    bond: Number = about("bond of foam to skin, 0 to 1; null: by the skin material")
    structure: StructureRulesDoc = Field(
        default=StructureRulesDoc(), description="how the skin and what the foam adds are computed by finite elements"
    )


class StiffnessDoc(Block):
    """A stiffness ratio, after over before."""

    name: Text = about("what is bent or pushed")
    unbonded: Number = about("ratio without bond")
    bonded: Number = about("ratio with full bond")
    counted: Number = about("the ratio that counts for this skin and foam")
    words: Text = about("what it means")
    method: Text = Field(default="formula", description="formula, or finite elements on the real shape")


class LiquidsDoc(Block):
    """What to buy: the high end of the weight of the foam to be poured, and the loss to trim and cups on top."""

    part_a_l: float = about("part A in litres")
    part_b_l: float = about("part B in litres")
    part_a_kg: float = about("part A by weight")
    part_b_kg: float = about("part B by weight")
    loss_share: float = about("share of what is bought that is lost to trim and cups")


class AfterLiftDoc(Block):
    """The piece after a lift."""

    number: int = about("number of the lift")
    total_kg: RangeDoc = about("weight after it")
    centre_of_mass_m: Point = about("centre of mass after it, shell axes")


class OutcomeDoc(Block):
    """What the piece becomes."""

    foam_kg: RangeDoc = about("foam")
    skin_kg: RangeDoc = about("skin")
    total_kg: RangeDoc = about("both")
    liquids: LiquidsDoc = about("what to buy")
    centre_before_m: Point = about("centre of mass of the empty skin, shell axes")
    centre_of_mass_m: Point = about("centre of mass of the filled piece, shell axes")
    after_lift: list[AfterLiftDoc] = about("weight and balance after each lift")
    stiffness: list[StiffnessDoc] = about("stiffness gains; by finite elements where the job asks for it")
    gap_m: Number = Field(
        default=None, description="gap that cooling opens at most behind a skin to which the foam does not stick"
    )
    parts: list[PartDoc] = about("every mass, with its range, centre and inertia")


class PlanDocument(BaseModel):
    """The whole plan. Lengths in metres, points in the shell file's axes unless the key says otherwise."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, allow_inf_nan=False, defer_build=True)

    schema_: Annotated[Literal["pourwright.plan/1"], Field(alias="schema")] = about("name and version of this schema")
    status: Literal[
        "planned", "planned; not all is known, and that is not to be taken as safe", "over a limit: do not pour"
    ] = about("whether every limit holds, and whether all of them could be computed")
    asks: list[Text] = Field(
        default_factory=list, description="what has to be measured first, like a probe; empty: the plan holds as it is"
    )
    piece: PieceDoc = about("the piece")
    frame: FrameDoc = about("how it stands while it is poured")
    shell: ShellDoc = about("the shell")
    cavity: CavityDoc = about("the space the foam fills")
    foam: FoamDoc = about("the foam")
    shop: ShopDoc = about("what the shop allows")
    lifts: list[LiftDoc] = about("lifts from the base up")
    ports: list[PortDoc] = about("every hole foam goes in through")
    vents: list[VentDoc] = about("every hole air leaves through")
    objective: Text = about("what was made small in choosing the lifts, with its value")
    day: DayDoc | None = Field(default=None, description="the day and what it was chosen from")
    limbs: list[LimbDoc] = Field(default=[], description="stretches of the cavity between joins; empty for even bands")
    fill: FillDoc | None = Field(
        default=None, description="how the piece is filled; null in plans of an earlier version: solid"
    )
    fixture: FixtureDoc | None = Field(default=None, description="what holds the part; with a machine")
    series: SeriesDoc | None = Field(default=None, description="parts in series; where the job asks for it")
    unreached_m3: float = about("cavity that no port reaches straight from above")
    unfilled: list[UnfilledDoc] = about("what stays empty; pours and these add up to the cavity")
    plugs: list[PlugDoc] = Field(default=[], description="what shuts each hole that does not stay open")
    boards: list[BoardDoc] = Field(default=[], description="what shuts openings that look sideways or down")
    ceilings: list[CeilingDoc] = Field(default=[], description="level ceilings, with the vents over them")
    tilt: TiltDoc | None = Field(
        default=None,
        description="the smallest tilt that leads the air of all level ceilings to one vent each; null: none does",
    )
    outcome: OutcomeDoc = about("what the piece becomes")
    checks: list[CheckDoc] = about("checks of the piece as a whole")
    warnings: list[Text] = about("what to look at before pouring")
    cautions: list[Text] = about("standing cautions")
    assumed: list[Text] = about("defaults that were taken")
    site: SiteDoc = about("what the job says holds, lifts, stands or floats the piece")
    computed: ComputedDoc | None = about("what the division was checked against; null: not recorded")
    provenance: dict[str, Text] = about("program, libraries and hashes of what went in")
    files: list[Text] = about("the other files of this plan, in its folder")

    @property
    def lined(self) -> bool:
        """Whether its foam is laid in coats, not poured in lifts."""
        return self.fill is not None and self.fill.style == "lining"
