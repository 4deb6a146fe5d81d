"""The block of ``plan.json`` that tells how the piece is filled: solid, or in coats by turning."""

from __future__ import annotations

from pydantic import Field

from pourwright.document.model_parts import Block, Number, Point, RangeDoc, Text, about
from pourwright.document.model_ribs import RibsDoc
from pourwright.document.model_shot import FlowDoc, PackingDoc, ScaleDoc, ShotDoc, TiltStageDoc


class BareDoc(Block):
    """A part of the inside that stays bare."""

    share: float = about("of the inside")
    point_m: Point = about("on it, shell axes")


class PositionDoc(Block):
    """One roll of the piece, in the order of the work."""

    coat: int = Field(default=0, description="which coat it belongs to, from 1; 0: every coat")
    number: int = about("from 1 in each coat")
    up: Point = about("which way is up as it begins, shell axes")
    seconds: float = about("getting there and rolling")
    axis: Point = Field(
        default=(0.0, 0.0, 0.0), description="it is rolled about, shell axes; zeros: it is set down and stays so"
    )
    turn_rad: float = Field(default=0.0, description="how far round it is rolled")
    covers: float = about("share of the inside that this coat covers after it and did not before")
    missed_without: BareDoc | None = Field(
        default=None, description="what this coat misses if this position is left out; null: an older plan"
    )
    bare_without: BareDoc = about("what no coat covers if this position is left out")


class CoatDoc(Block):
    """One coat."""

    number: int = about("from 1, at the skin")
    thickness_m: float = about("its own")
    foam_m3: float = about("its foam, all that stays in the piece")
    surplus_m3: float = Field(default=0.0, description="of its foam, what the last rolls leave unevenly")
    board_m3: float = Field(default=0.0, description="foam on boards that close mouths, which comes off with them")
    foam_kg: RangeDoc = about("foam of it that stays in the piece")
    part_a_m3: float = about("part A of its mix")
    part_b_m3: float = about("part B of its mix")
    part_a_kg: float = about("part A of its mix by weight")
    part_b_kg: float = about("part B of its mix by weight")
    cups: int = about("cups of its mix")
    wait_s: float = about("from its mix to the next coat")
    film_m: float = Field(default=0.0, description="foam that its film is on the wall; 0: an older plan")
    followed_m3: float = Field(
        default=0.0, description="its foam, that on boards too, that its turning was followed with; 0: an older plan"
    )
    poured: bool = Field(default=False, description="it is in the piece: its parts are what was weighed")
    up: Point | None = Field(
        default=None, description="which way is up as its mix is let go, shell axes; null: an older plan"
    )
    area_m2: float = Field(default=0.0, description="of the inside that it is spread on; 0: it is turned")
    reach_m: float = Field(
        default=0.0, description="farthest of that from the mouth, by the shortest way inside; 0: it is turned"
    )
    aims: list[int] = Field(default=[], description="numbers of the parts that it is for; empty: all of the inside")


class PinDoc(Block):
    """Where a pin is pushed through the foam to the skin, after a coat."""

    name: Text
    point_m: Point = about("on the inside of the skin, shell axes")
    foam_m: float = about("foam there after the last coat, by the model of the turning; 0: bare")


class LinedPartDoc(Block):
    """A part of the inside with a thickness of its own, and what is in none."""

    number: int = about("0: what is in no part of the job; else as the job has them")
    name: Text
    thickness_m: float = about("that was asked for")
    area_m2: float = about("of the inside")
    foam_m3: float = about("that was asked for")
    thinnest_m: float = about("on 98 % of what is coated of it, at least")
    middling_m: float = about("on half of that")
    coverage: float = about("share of it that is coated")


class ChamberDoc(Block):
    """A hollow that stays."""

    volume_m3: float = about("its volume")
    middle_m: Point = about("its point farthest from any foam, shell axes")
    clear_m: float = about("diameter of the ball that fits there")


class HollowHoleDoc(Block):
    """A hole into a hollow that stays."""

    use: Text = about("hose, drain or breather")
    hollow: int = about("which, from 1")
    point_m: Point = about("on the outside of the skin or of the board, shell axes")
    deep_m: float = about("from there to the hollow")
    board: bool = about("through the board that closes a mouth: nothing is drilled")


class SolidPlaceDoc(Block):
    """Where coats would meet: filled solid, before the first coat."""

    volume_m3: float = about("foam beyond the lining's own")
    point_m: Point = about("its middle, shell axes")
    bottom_m: float = about("above the base")
    top_m: float = about("above the base")
    asked: bool = Field(default=False, description="by the job; else because coats would meet there")
    half_m: float | None = Field(default=None, description="radius of the largest ball in it; null: not looked for")
    rests: Text = Field(
        default="as it stands",
        description="of one that the job asks for, how the piece stands while it is poured: as it stands, upside down; "
        "nothing: a hollow lies under it either way",
    )


class CoreDoc(Block):
    """One core, edges along width, depth and height of the standing piece."""

    name: Text
    course: int = about("from 1, at the base")
    low_m: Point = about("its corner nearest left, front and base, standing measures")
    high_m: Point = about("its opposite corner")
    uplift_n: Number = about(
        "the most it is pushed up with while foam is liquid, its weight taken off; null: not known"
    )


class CoresDoc(Block):
    """Light cores, laid before the first pour."""

    kind: Text = about("blocks or bags")
    size_m: Point = about("edges of one, as the job gives them")
    density_kg_m3: float = about("of a block, or of the balls by themselves")
    kg: RangeDoc = about("of one")
    limit_k: float = about("its surface may get so hot")
    cover_m: float = about("least foam to skin, mouths and things inside")
    gap_m: float = about("foam between two")
    volume_m3: float = about("of all")
    saved_kg: float = about("against foam in their place")
    mouth_m: Number = about(
        "across the largest end of their shape that a mouth lets in, walls taken off; 0: they close it; null: none"
    )
    hottest_k: Number = about("foam round them at its hottest, 95 % end; null: not computed")
    laid: list[CoreDoc] = about("each, from the base up")


class FillDoc(Block):
    """How the piece is filled."""

    style: Text = about("solid, lining, core or ribs")
    foam_m3: float = about("foam in place")
    hollow_m3: float = about("what of the cavity stays hollow")
    coverage: float = about("share of the inside that gets foam")
    thickness_m: Number = Field(default=None, description="of the lining; null: solid")
    most_coat_m: Number = Field(default=None, description="a coat stays on a vertical wall up to so much")
    coats: list[CoatDoc] = Field(default=[], description="coats from the skin inwards")
    surplus_m3: float = Field(default=0.0, description="of its foam, what the last rolls leave unevenly")
    thinnest_m: Number = Field(default=None, description="lining on 98 % of what is coated, at least; null: solid")
    thickest_coat_m: Number = Field(
        default=None, description="one coat where its last roll leaves most; null: solid, or an older plan"
    )
    by: Text = Field(default="turning", description="how a lining is laid: turning or spreading")
    reach_m: Number = Field(default=None, description="how far in an arm lays foam; null: it is not spread")
    far_share: float = Field(default=0.0, description="of the inside, out of its reach in every way up")
    over_share: float = Field(
        default=0.0, description="of the inside, within reach, that hangs over in every way up and is not spread"
    )
    turning: Text = Field(default="", description="how the piece is turned")
    parts: list[LinedPartDoc] = Field(
        default=[], description="what lies on each part of a lining, the rest first; empty: an older plan"
    )
    sequence: list[PositionDoc] = Field(default=[], description="rolls, coat by coat, in order")
    bare: list[BareDoc] = Field(default=[], description="places that stay bare with all positions")
    chambers: list[ChamberDoc] = Field(default=[], description="hollows that stay, largest first")
    pins: list[PinDoc] = Field(
        default=[], description="where the thickness of a lining is pinned, named as on its sheet"
    )
    holes: list[HollowHoleDoc] = Field(default=[], description="holes into the hollows that stay")
    solid: list[SolidPlaceDoc] = Field(default=[], description="places that are filled solid, largest first")
    solid_a_kg: float = Field(
        default=0.0, description="part A of the places that are filled solid, as weighed or planned"
    )
    solid_b_kg: float = Field(default=0.0, description="part B of them")
    rolls: int = Field(default=0, description="rolls until a mix gels; those of a coat over again where they are fewer")
    cores: CoresDoc | None = Field(default=None, description="light cores in the foam; null: none")
    ribs: RibsDoc | None = Field(default=None, description="dams and hollows of ribs; null: none")
    hours: Number = Field(default=None, description="from the first mix to the set last coat; null: see the day")
    least_m: Number = Field(
        default=None,
        description="least lining with which the flattest panel moves no more than its share under the stated push; "
        "null: not known",
    )
    packing: PackingDoc | None = Field(default=None, description="window of packing of a shot; null: no machine")
    flow: list[FlowDoc] = Field(default=[], description="way of the foam, pour by pour; with a machine")
    shots: list[ShotDoc] = Field(default=[], description="shots in their order; with a machine")
    scale: ScaleDoc | None = Field(default=None, description="what the scale shows of a filled part; null: no machine")
    tilts: list[TiltStageDoc] = Field(
        default=[],
        description="tilts of the fixture, stage by stage, that lead the air of each chamber to one vent; empty: no "
        "air stays as the part stands",
    )
