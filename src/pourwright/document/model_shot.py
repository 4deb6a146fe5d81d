"""A shot by machine, as ``plan.json`` holds it."""

from __future__ import annotations

from pydantic import Field

from pourwright.document.model_parts import Block, Number, Point, RangeDoc, Text, about


class PackingDoc(Block):
    """Moulded density over that of free rise of a shot, between what fills and what the fixture bears."""

    lowest: Number = about("least that leaves no void; null: none that was tried fills it")
    chosen: float = about("what is shot")
    highest: float = about("most that the fixture bears, with the gas heating on in set foam")
    given: bool = about("whether the job gives it")
    closed_by: Text = about("why there is no window between lowest and highest; empty: there is one")


class KnitDoc(Block):
    """Where the fronts of two ports meet, or those of one port behind a pillar."""

    ports: list[Text] = about("their names; the same twice: foam of one port that went round something")
    point_m: Point = about("middle of the line, shell axes")
    area_m2: float = about("about; to a third")


class PortReachDoc(Block):
    """What foam of one port fills: that which it is the nearest to."""

    port: Text = about("its name")
    volume_m3: float = about("what it fills")
    length_m: float = about("farthest way from it; up to a tenth too long")
    last_point_m: Point = about("its last place to fill, shell axes")
    near_density_kg_m3: float = about("density at the port")
    far_density_kg_m3: float = about("density at the end of that way")


class FlowDoc(Block):
    """The way of the foam of one pour from its ports."""

    pour: Text = about("name of the pour")
    length_m: float = about("farthest way round walls and pillars from the nearest port; up to a tenth too long")
    thickness_m: float = about("gap it flows in: twice the chamber's volume over the area of its wall")
    over_thickness: float = about("the one over the other")
    last_point_m: Point = about("last place to fill, shell axes")
    ports: list[PortReachDoc] = Field(default=[], description="port by port, the farthest way first")
    knits: list[KnitDoc] = about("where fronts of ports meet, the largest first")
    drop_pa: float = about("largest pressure from port to front along a strip as long and as thick")
    running_drop_pa: float = about("the same while the foam still runs, before it gels, by formula")
    near_density_kg_m3: float = about("density at the port")
    far_density_kg_m3: float = about("density at the end of the way")
    packing: Number = about("what the way alone asks for; null: foam gels on it however much is shot")
    unreached_m3: float = about("of the pour's space, not connected to any of its ports")


class ScaleDoc(Block):
    """What the scale shows of a filled part."""

    gain_kg: float = about("filled less empty: its foam")
    gain_low_kg: Number = about("less leaves a void; null: not known")
    gain_high_kg: float = about("more presses harder than the fixture bears")
    part_kg: RangeDoc = about("skin and foam")


class TiltStageDoc(Block):
    """Chambers that are shot with the fixture tilted alike."""

    chambers: list[int] = about("chambers, 1 the largest")
    angle_rad: Number = about("from how the part stands; null: no tilt up to 10 degrees does; 0: shot as it stands")
    up: Point | None = about("what then points up, shell axes: `piece.up` of a job that is planned so; null: none does")
    right_m: float = about("block under its right edge; negative: under its left edge")
    back_m: float = about("block under its back edge; negative: under its front edge")


class ShotDoc(Block):
    """One shot into one port, in the order they are given."""

    pour: Text = about("pour it belongs to")
    port: Text = about("port it goes into")
    head: int = about("head that gives it")
    kg: float = about("weight, both parts")
    start_s: float = about("from the start of the first shot")
    seconds: float = about("how long it lasts")
