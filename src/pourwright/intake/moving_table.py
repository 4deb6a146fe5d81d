"""[moving]: how the finished piece is turned, slung, laid down and packed."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.errors import JobError
from pourwright.intake.fields import Direction, Due, Table, key, lengths, setting, taken
from pourwright.intake.shapes import PAIRS, spot_of
from pourwright.intake.site_tables import Load, SpotTable, Weight
from pourwright.outcome import Moving, Spot
from pourwright.units import show

Pressure = Annotated[float | None, key(Due(units.PRESSURE, show.pressure, 1.0, 1e9))]


class MovingTable(Table):
    """Moving the finished piece; spots are measured as it stands to be poured."""

    main: SpotTable | None = taken(None, "where the main hook holds it while it is turned: a table of a spot")
    tail: SpotTable | None = taken(None, "where the second hook holds it")
    up: Direction | None = taken(None, "upwards at the end, in the shell file's axes; that of [hang] if left out")
    hook: Load = taken(None, "what the main hoist may carry")
    tail_hook: Load = taken(None, "what the second hoist may carry")
    rigging: Annotated[float, key(Weight)] = taken(
        0.0, "weight of slings, shackles, bar and block", "rigging taken as weightless, since no weight is given"
    )
    bar: list[SpotTable] = taken([], "two spots under the ends of a spreader bar, its legs plumb", max_length=2)
    bar_above: Annotated[float, lengths(0.1, 50.0)] = setting(1.0, "from the bar up to the hook", "1 m")
    bar_load: Load = taken(None, "what may push the bar along")
    lug: Direction | None = taken(None, "in line with the shackles of [[sling]], in the shell file's axes")
    shackle: Load = taken(None, "what one of them may carry in line")
    cradle: list[SpotTable] = taken([], "two spots or more on which it lies as it was poured", max_length=12)
    pad: Annotated[float, lengths(0.01, 5.0)] = setting(0.1, "side of the square pad under each", "0.1 m")
    floor: Pressure = taken(None, "pressure that the floor bears")
    clearance: Annotated[float, lengths(0.0, 2.0)] = setting(0.05, "room round the piece in its crate", "0.05 m")
    board: Annotated[float, lengths(0.003, 0.2)] = setting(0.018, "thickness of the crate's boards", "0.018 m")


def moving_of(table: MovingTable | None) -> Moving | None:
    """How the piece is moved.

    Raises
    ------
    JobError
        One hook without the other, a bar with one end, a cradle of one chock.
    """
    if table is None:
        return None
    if (table.main is None) != (table.tail is None):
        raise JobError(f"moving.{'main' if table.main is None else 'tail'}", None, "two hooks: give main and tail")
    for name in ("bar", "cradle"):
        if len(getattr(table, name)) == 1:
            raise JobError(f"moving.{name}", None, "give two spots or more, or none")

    def spot(one: SpotTable, at: str) -> Spot:
        return spot_of(one, f"moving.{at}", PAIRS)

    return Moving(
        main=None if table.main is None else spot(table.main, "main"),
        tail=None if table.tail is None else spot(table.tail, "tail"),
        up=table.up,
        hook_n=table.hook,
        tail_hook_n=table.tail_hook,
        rigging_kg=table.rigging,
        bar_at=tuple(spot(one, f"bar[{k}]") for k, one in enumerate(table.bar, 1)),
        bar_above_m=table.bar_above,
        bar_n=table.bar_load,
        lug=table.lug,
        shackle_n=table.shackle,
        cradle=tuple(spot(one, f"cradle[{k}]") for k, one in enumerate(table.cradle, 1)),
        pad_m=table.pad,
        floor_pa=table.floor,
        clearance_m=table.clearance,
        board_m=table.board,
    )
