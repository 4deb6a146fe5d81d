"""[wall]: how thick the skin is."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated

from pydantic import Field

from pourwright import units
from pourwright.errors import JobError, Said
from pourwright.intake.fields import Due, DueNumber, DueShare, Name, Table, key, lengths, needed, taken
from pourwright.intake.gauge_file import gauge_of
from pourwright.shell import WallGauge, WallRegion, check_regions
from pourwright.units import show

THINNEST_M, THICKEST_M = 0.0002, 0.5


class BandTable(Table):
    """One band of height with its own thickness; heights are above the lowest point of the file's own z axis."""

    name: Name = needed("what this band is called, like neck or plinth")
    start: Annotated[float | None, lengths(0.0, 200.0)] = taken(
        None, "height where the band begins; the lowest point if left out", alias="from"
    )
    end: Annotated[float | None, lengths(0.0, 200.0)] = taken(
        None, "height where the band ends; the top if left out", alias="to"
    )
    thickness: Annotated[float, lengths(THINNEST_M, THICKEST_M)] = needed("wall thickness in this band")
    spread: Annotated[float | None, key(DueShare(0.0, 0.5))] = taken(
        None, "plus or minus share of the thickness; the wall's own if left out"
    )


Place = Annotated[float, key(Due(units.LENGTH, show.length, -200.0, 200.0))]
Way = Annotated[float, key(DueNumber(-1e6, 1e6))]


class RegionTable(Table):
    """A part of the skin with a wall of its own, in the shell file's axes: a box, or a band across any direction."""

    name: Name = needed("what this part is called, like keel or corner")
    thickness: Annotated[float, lengths(THINNEST_M, THICKEST_M)] = needed("wall thickness in it")
    spread: Annotated[float | None, key(DueShare(0.0, 0.5))] = taken(
        None, "plus or minus share of the thickness; the wall's own if left out"
    )
    low: list[Place] | None = taken(
        None, "low corner of a box in the shell file's axes; needs high", min_length=3, max_length=3
    )
    high: list[Place] | None = taken(None, "its high corner", min_length=3, max_length=3)
    along: list[Way] | None = taken(
        None, "direction of a band in place of a box, like [1, 0, 0]", min_length=3, max_length=3
    )
    start: Annotated[float | None, lengths(0.0, 200.0)] = taken(
        None, "where the band begins along it, from the farthest point against it; that point if left out", alias="from"
    )
    end: Annotated[float | None, lengths(0.0, 200.0)] = taken(
        None, "where it ends; the other end if left out", alias="to"
    )


class WallTable(Table):
    """The wall: one thickness, or bands of height; and regions with their own."""

    thickness: Annotated[float | None, lengths(THINNEST_M, THICKEST_M)] = taken(None, "wall thickness everywhere")
    spread: Annotated[float, key(DueShare(0.0, 0.5))] = taken(
        0.1,
        "plus or minus share of the thickness",
        "wall thickness taken as known within 10 % (our judgement, no published source)",
    )
    band: list[BandTable] = taken([], "bands of height instead of one thickness, written [[wall.band]]", max_length=50)
    map: Annotated[str | None, Field(max_length=200)] = taken(
        None,
        "a CSV of measured walls beside the job file, in place of thickness or bands: x_mm, y_mm, z_mm, thickness_mm "
        "(or cm, m, in, ft), one row a point in the shell file's axes",
    )
    region: list[RegionTable] = taken(
        [],
        "boxes and bands across any direction with a wall of their own, over the rest, written [[wall.region]]; of "
        "those that overlap the later one holds",
        max_length=50,
    )


def measured_in(wall: WallTable | None, folder: Path) -> WallGauge | None:
    """The map of a wall, in the job's folder; None without one.

    Raises
    ------
    JobError
        There are bands or a thickness too, or the file is none.
    """
    if wall is None or wall.map is None:
        return None
    if wall.thickness is not None or wall.band:
        raise JobError("wall.map", wall.map, "give a thickness, bands or a map, not two of them")
    return gauge_of(folder, wall.map, wall.spread, THINNEST_M, THICKEST_M)


def regions_of(wall: WallTable | None) -> tuple[WallRegion, ...]:
    """The regions of a wall in SI.

    Raises
    ------
    JobError
        A region that is no box and no band, or both.
    """
    return check_regions(
        [_region(number, one, wall.spread) for number, one in enumerate(wall.region, 1)] if wall else []
    )


def _region(number: int, one: RegionTable, spread: float) -> WallRegion:
    at = f"wall.region[{number}]"
    if (one.low is None) != (one.high is None):
        raise JobError(f"{at}.{'low' if one.low is None else 'high'}", None, "a box needs both corners")
    if (one.low is None) == (one.along is None):
        raise JobError(at, Said(one.name), "give a box (low and high), or a band (along, with from or to)")
    if one.along is None and (one.start is not None or one.end is not None):
        raise JobError(f"{at}.from", None, "it is about a band: give along, or take it out")
    way = None
    if one.along is not None:
        size = math.hypot(*one.along)
        if size == 0:
            raise JobError(f"{at}.along", Said("[0, 0, 0]"), "must point somewhere")
        way = (one.along[0] / size, one.along[1] / size, one.along[2] / size)
    return WallRegion(
        name=one.name,
        thickness_m=one.thickness,
        spread=spread if one.spread is None else one.spread,
        low_m=None if one.low is None else (one.low[0], one.low[1], one.low[2]),
        high_m=None if one.high is None else (one.high[0], one.high[1], one.high[2]),
        along=way,
        from_m=-math.inf if not one.start else one.start,
        to_m=math.inf if one.end is None else one.end,
    )
