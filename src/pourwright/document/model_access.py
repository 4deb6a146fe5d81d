"""Blocks of ``plan.json`` about how the work gets at the cavity: level ceilings and the tilt that would empty them."""

from __future__ import annotations

from pourwright.document.model_parts import Block, Number, Point, RangeDoc, about


class CeilingDoc(Block):
    """A level or nearly level piece of ceiling: air stays under it wherever no vent is near."""

    name: str = about("its name")
    area_m2: float = about("its area")
    from_base_m: float = about("height of its highest point above the base")
    slope: float = about("its steepest rise, a metre a metre")
    corners_m: list[Point] = about("where it juts out, so that air ends there; shell axes")
    vents: list[str] = about("vents that lie over it")
    bare_corners_m: list[Point] = about("corners that air does not get out of: no vent near, no way on; shell axes")
    air_left_m3: float = about("air that stays under it, at a depth that is our judgement")


class TiltDoc(Block):
    """The smallest tilt of the piece that leads the air of all its level ceilings to one vent each."""

    angle_rad: float = about("from how it stands")
    up: Point = about("what then points up, shell axes: `piece.up` of a job that is planned so")
    right_m: float = about("block under its right edge; negative: under its left edge")
    back_m: float = about("block under its back edge; negative: under its front edge")
    to_m: list[Point] = about("where the air gathers then, shell axes")


class BoardDoc(Block):
    """What shuts an opening that looks sideways or down, set before the pour that first lies against it is mixed."""

    opening: str = about("name of the opening")
    before: str = about("first pour whose foam lies against it")
    force_n: RangeDoc = about("push of the pour that presses hardest on it, on all that it touches")
    size_m: tuple[float, float] = about("longer and shorter side of what it has to cover")
    out_after: str = about("last pour that lies against it")
    out_lift: int = about("lift of that pour")
    out_s: Number = about("it may come off then, after the first mix of out_lift; null: not known, leave it on")


class PlugDoc(Block):
    """What shuts a hole that foam would rise past; when it is set stands with the hole."""

    hole: str = about("name of the port or vent")
    kind: str = about("peg, bung, or board (with tape under it; clamped, strapped or weighed down)")
    hole_m: float = about("diameter of the hole; 0 for an opening")
    count: int = about("holes that it takes")
    force_n: RangeDoc = about("push of the foam on one of them")
    out_after: str = about("last pour that presses against it")
    out_lift: int = about("lift of that pour")
    out_s: Number = about("it may come out then, after the first mix of out_lift; null: not known, leave it in")
