"""[wall]: how thick the skin is."""

from __future__ import annotations

from typing import Annotated

from pourwright.intake.fields import DueShare, Name, Table, key, lengths, needed, taken

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


class WallTable(Table):
    """The wall: one thickness, or bands of height."""

    thickness: Annotated[float | None, lengths(THINNEST_M, THICKEST_M)] = taken(None, "wall thickness everywhere")
    spread: Annotated[float, key(DueShare(0.0, 0.5))] = taken(
        0.1,
        "plus or minus share of the thickness",
        "wall thickness taken as known within 10 % (our judgement, no published source)",
    )
    band: list[BandTable] = taken([], "bands of height instead of one thickness, written [[wall.band]]", max_length=50)
