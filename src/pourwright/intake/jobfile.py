"""The job file as a whole: every table it may hold. A new feature adds a table here and a file beside this one."""

from __future__ import annotations

from pourwright.intake.day_table import DayTable
from pourwright.intake.fields import Table, needed, taken
from pourwright.intake.fill_table import FillTable
from pourwright.intake.foam_table import FoamTable
from pourwright.intake.hang_tables import AnchorTable, CombinationTable, LoadTable, PlacesTable
from pourwright.intake.heat_table import CupTable, HeatTable
from pourwright.intake.holes_table import HolesTable, KeepOutTable, PortTable
from pourwright.intake.machine_table import FixtureTable, SeriesTable
from pourwright.intake.moving_table import MovingTable
from pourwright.intake.piece import PieceTable
from pourwright.intake.shop import GridTable, LimitsTable, LossTable, ShopTable
from pourwright.intake.site_tables import (
    BoatTable,
    HangTable,
    HookTable,
    ItemTable,
    SlingTable,
    StandTable,
)
from pourwright.intake.structure_table import StructureTable
from pourwright.intake.wall import WallTable


class JobFile(Table):
    """A job file."""

    piece: PieceTable = needed("a table [piece] with shell, the name of the shell file beside the job file")
    wall: WallTable | None = taken(None, "how thick the skin is; not needed where the mesh shows both faces")
    foam: FoamTable = needed(
        'a table [foam] with grade = "rigid-3", say, or a density; with a shell file --foam rigid-3 (pourwright grades '
        "lists them)"
    )
    shop: ShopTable = taken(ShopTable(), "the shop on the day")
    limits: LimitsTable = taken(LimitsTable(), "what must not be exceeded")
    holes: HolesTable = taken(HolesTable(), "which side holes are drilled on")
    port: list[PortTable] = taken([], "ports that are to be where the job says", max_length=30)
    keep_out: list[KeepOutTable] = taken([], "where no port may be", max_length=30)
    heat: HeatTable = taken(HeatTable(), "how heat and rise are computed and judged")
    day: DayTable = taken(DayTable(), "what the day is chosen by")
    fill: FillTable = taken(FillTable(), "solid, or a lining")
    structure: StructureTable = taken(StructureTable(), "how the skin under pressure and stiffness are computed")
    fixture: FixtureTable | None = taken(None, "what holds the part while a machine fills it; needs [shop.machine]")
    series: SeriesTable | None = taken(None, "parts in series: line, cost, spread; needs [shop.machine]")
    cup: CupTable | None = taken(None, "a cup test of the day, in place of the data sheet's times and density")
    grid: GridTable = taken(GridTable(), "how finely the cavity is worked out")
    loss: LossTable = taken(LossTable(), "what is bought and does not end in the piece")
    item: list[ItemTable] = taken([], "hardware and coatings", max_length=100)
    hang: HangTable | None = taken(None, "how it hangs on a wall")
    anchor: list[AnchorTable] = taken([], "what it hangs from", max_length=60)
    load: list[LoadTable] = taken([], "what acts on it as it hangs, beside its weight", max_length=30)
    combination: list[CombinationTable] = taken([], "which loads act together, with factors", max_length=60)
    places: PlacesTable | None = taken(None, "where anchors may be, for hang --suggest")
    hook: HookTable | None = taken(None, "the hook it is lifted by")
    sling: list[SlingTable] = taken([], "the legs of the sling", max_length=12)
    stand: StandTable | None = taken(None, "how it stands at its place")
    moving: MovingTable | None = taken(None, "how it is turned, slung, laid down and packed")
    boat: BoatTable | None = taken(None, "what it carries afloat")
