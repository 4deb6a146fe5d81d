"""What a record holds: one entry for each thing that was done at the bench."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA: Final = "pourwright.record/1"
"""Name and version of the schema of ``record.json``."""

BENCH_SCHEMA: Final = "pourwright.bench/1"
"""Name and version of the file made of what is typed into the sheet's boxes on a phone, for ``record --from``."""

Finite = Annotated[float, Field(allow_inf_nan=False)]
Amount = Annotated[float, Field(ge=0.0, lt=1e5, allow_inf_nan=False)]
Wait = Annotated[float, Field(ge=0.0, lt=1e8, allow_inf_nan=False)]
Point = tuple[Finite, Finite, Finite]


class _Block(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Expected(_Block):
    """What instruments should read of a pour by its sheet: linear in the rise. SI."""

    rise_k: Finite  # likely, by the sheet
    parts_k: Finite  # liquids it was computed for
    air_k: Finite
    peak_k: Finite  # of the core at that rise
    peak_per_k: Finite = 1.0  # and what one kelvin of rise more does to it
    later_k: Finite | None = None  # of the core an hour after its peak; None: not followed
    top_k: Finite | None = None  # of the open top before it is covered
    top_per_k: Finite = 1.0


class Planned(_Block):
    """The pour as it stood on the sheet when it was poured. Points in the shell file's axes, SI."""

    lift: int
    bottom_m: Finite
    top_m: Finite
    closes: bool
    part_a_kg: Amount
    part_b_kg: Amount
    seed_m: Point | None  # where its liquid lands; None: no port reached it
    others_m: tuple[Point, ...] = ()  # the same of the other pours of its lift
    ports: tuple[str, ...] = ()
    vents: tuple[str, ...] = ()
    volume_m3: Amount = 0.0  # 0, and no nodes: from a sheet that did not keep them
    nodes: tuple[int, ...] = ()  # of the level graph, that it was to fill
    shares: tuple[Finite, ...] = ()  # of each of them
    wait_s: Wait | None = None  # from its first mix to the next lift; None: the sheet had none
    expected: Expected | None = None  # of its heat; None: from a sheet that did not keep it


class Entry(_Block):
    """One thing that was done. ``kind``: ``pour``, or ``top-up`` of a void that was found in an earlier pour."""

    number: int
    kind: Literal["pour", "top-up"]
    issue: int  # of the sheet it was poured from
    pour: str
    part_a_kg: Amount
    part_b_kg: Amount
    reached_m: Finite | None = None  # above the base; None: not read, or full up to its cap
    full: bool = False
    at: str = ""  # when it was poured, as it was said
    parts_k: Finite | None = None
    air_k: Finite | None = None
    skin_k: Finite | None = None
    probe_k: Finite | None = None  # hottest reading of a probe in the middle of the pour
    probe_later_k: Finite | None = None  # the same probe an hour after that
    infrared_k: Finite | None = None  # hottest reading of its open top
    note: str = ""
    struck: bool = False  # entered by mistake; kept, but counted no more
    insisted: tuple[str, ...] = ()  # what it was refused for before the person insisted
    off_ratio: bool = False  # mixed off its ratio: it tells nothing of the yield
    planned: Planned

    @property
    def kg(self) -> float:
        """Both parts."""
        return self.part_a_kg + self.part_b_kg


class RollMade(_Block):
    """One roll of a coat as its sheet had it, or a way up in which the piece was set down. Shell file's axes."""

    up: Point  # as it began
    axis: Point  # zeros: set down so
    turn_rad: Finite = 0.0


class PlannedCoat(_Block):
    """A coat as it stood on the sheet when it was poured. SI."""

    part_a_kg: Amount
    part_b_kg: Amount
    foam_m3: Amount  # that stays in the piece
    followed_m3: Amount = 0.0  # foam, that on boards too, that its turning was followed with
    film_m: Amount = 0.0  # foam of its film
    rolls: tuple[RollMade, ...] = ()
    aims: tuple[int, ...] = ()  # numbers of the parts that it is for; empty: all of the inside

    @property
    def kg(self) -> float:
        """Both parts."""
        return self.part_a_kg + self.part_b_kg


class CoatPin(_Block):
    """All foam that a pin found at a place; 0: bare. Shell file's axes."""

    name: str = ""  # of the sheet; empty: a place of its own
    point_m: Point
    foam_m: Annotated[float, Field(ge=0.0, lt=10.0, allow_inf_nan=False)]


class CoatEntry(_Block):
    """One coat of a lining, or the solid places before it (``coat`` 0)."""

    number: int
    issue: int  # of the sheet it was poured from
    coat: int
    part_a_kg: Amount
    part_b_kg: Amount
    rolls: Annotated[int, Field(ge=0, le=1000)] = 0  # once round or to a stop, before it gelled
    up: Point | None = None  # it was set down in; None: as the sheet has it
    pins: tuple[CoatPin, ...] = ()
    at: str = ""
    parts_k: Finite | None = None
    air_k: Finite | None = None
    skin_k: Finite | None = None
    note: str = ""
    struck: bool = False
    insisted: tuple[str, ...] = ()
    planned: PlannedCoat

    @property
    def kg(self) -> float:
        """Both parts."""
        return self.part_a_kg + self.part_b_kg


class Cup(_Block):
    """A cup test of the day. ``values`` are keys of the job's [cup] table as they were typed, with units."""

    number: int
    values: dict[str, str] = Field(default_factory=dict)
    failed: bool = False  # then its values are not taken, and nothing is poured until one passes
    at: str = ""
    note: str = ""
    struck: bool = False


class ScaleCell(_Block):
    """What one scale said, and where it stood or hung: from the left and the front of the piece as it is poured."""

    kg: Finite
    at_m: tuple[Finite, Finite] | None = None


class WeighedEntry(_Block):
    """The piece on a scale, or on several at once."""

    number: int
    stage: int  # 0 empty, k after lift k, -1 finished
    cells: tuple[ScaleCell, ...]
    error_kg: Amount  # by which each scale may be out either way
    tare_kg: Amount = 0.0  # slings and pallets that were on it too
    at: str = ""
    note: str = ""
    struck: bool = False
    insisted: tuple[str, ...] = ()


class Hole(_Block):
    """A port or vent that a sheet named. It is there: it keeps its name, its place and its size."""

    name: str
    point_m: Point
    way: str = "drilled"  # as of ports and vents
    opening: str = ""
    hole_m: Amount = 0.0  # 0: an opening, or from a record that did not keep the size
    holes: int = 1
    sideways: bool = False  # cut in the side of a limb


class Record(_Block):
    """Everything recorded of one plan."""

    schema_: Literal["pourwright.record/1"] = Field(SCHEMA, alias="schema")
    shell_sha256: str
    issue: int = 1  # of the sheet that holds now
    holes: tuple[Hole, ...] = ()
    names: tuple[str, ...] = ()  # of pours, on any sheet: none is given to another pour
    entries: tuple[Entry, ...] = ()
    cups: tuple[Cup, ...] = ()
    weighings: tuple[WeighedEntry, ...] = ()
    coats: tuple[CoatEntry, ...] = ()  # of a lining

    @property
    def counted(self) -> tuple[Entry, ...]:
        """Entries that were not struck."""
        return tuple(entry for entry in self.entries if not entry.struck)
