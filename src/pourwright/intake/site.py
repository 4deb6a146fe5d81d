"""From the tables about the piece's later life to a ``Site``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pourwright.errors import JobError
from pourwright.intake.hang_tables import AnchorTable, LoadTable, combination_of, insert_of, load_of, places_of, rod_of
from pourwright.intake.moving_table import moving_of
from pourwright.intake.shapes import PAIRS, shape_of, spot_of
from pourwright.intake.site_tables import (
    BoatTable,
    HangTable,
    HookTable,
    ItemTable,
    StandTable,
    radians,
)
from pourwright.outcome import Anchor, Boat, Hang, Hook, Item, Leg, Load, Site, Spot, Stand
from pourwright.ranges import Range

if TYPE_CHECKING:
    from pourwright.intake.jobfile import JobFile


def site_of(asked: JobFile) -> Site:
    """What a job says beside the pour.

    Raises
    ------
    JobError
        A spot without place, two measures that contradict, a factor without its reference, a name given twice.
    """
    for group, tables in (
        ("item", asked.item),
        ("anchor", asked.anchor),
        ("load", asked.load),
        ("combination", asked.combination),
        ("sling", asked.sling),
    ):
        _names_differ(group, [table.name for table in tables])
    if asked.anchor and asked.hang is None:
        raise JobError("hang.out", None, "anchors need [hang] with out and up: which way the wall faces")
    if (asked.load or asked.combination) and asked.hang is None:
        raise JobError("hang.out", None, "loads need [hang] with out and up: which way the wall faces")
    return Site(
        items=tuple(_item(table, f"item[{k}]") for k, table in enumerate(asked.item, 1)),
        anchors=tuple(_anchor(table, f"anchor[{k}]") for k, table in enumerate(asked.anchor, 1)),
        hang=_hang(asked.hang, asked) if asked.hang is not None else None,
        legs=tuple(
            Leg(
                table.name,
                spot_of(table, f"sling[{k}]", PAIRS),
                table.length,
                table.load,
                table.rating == "breaking",
            )
            for k, table in enumerate(asked.sling, 1)
        ),
        hook=_hook(asked.hook) if asked.hook is not None else Hook(),
        stand=_stand(asked.stand) if asked.stand is not None else Stand(),
        boat=_boat(asked.boat) if asked.boat is not None else None,
        moving=moving_of(asked.moving),
    )


def _names_differ(group: str, names: list[str]) -> None:
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise JobError(f"{group}.name", twice, "stands twice: give each its own name")


def _item(table: ItemTable, key: str) -> Item:
    shape = shape_of(table, key)
    if (table.weight is None) == (table.per_area is None):
        raise JobError(f"{key}.weight", table.weight, "give weight for hardware or per_area for a coating")
    coating = table.per_area is not None
    kg = table.per_area if table.per_area is not None else table.weight
    assert kg is not None
    return Item(
        name=table.name,
        kg=Range.about(kg, table.spread),
        coating=coating,
        spot=Spot() if coating or shape is not None else spot_of(table, key, PAIRS),
        finished=table.when == "finished",
        density_kg_m3=table.density,
        shape=shape,
    )


def _anchor(table: AnchorTable, key: str) -> Anchor:
    return Anchor(
        name=table.name,
        spot=spot_of(table, key, (PAIRS[0], PAIRS[2])),
        stiffness=float(table.stiffness),
        shear_n=table.shear,
        pull_n=table.pull,
        breaking=table.rating == "breaking",
        insert=insert_of(table.insert, key),
        rod=rod_of(table.rod),
    )


def _hang(table: HangTable, asked: JobFile) -> Hang:
    if abs(float(np.dot(table.out, table.up))) > 0.999:
        raise JobError(
            "hang.up", list(table.up), "is along hang.out: that is a floor or a ceiling; use [[sling]] for a ceiling"
        )
    if table.factor is not None:
        raise JobError(
            "hang.factor",
            table.factor,
            "is a factor for lifting, and this hangs for good: give factor_value with factor_reference, from whoever "
            "designs the hang",
        )
    if asked.combination and table.combinations is not None:
        raise JobError("hang.combinations", table.combinations, "give either this or [[combination]], not both")
    _, value, reference = _factor(table, "hang")
    loads = tuple(_load(load, f"load[{k}]") for k, load in enumerate(asked.load, 1))
    return Hang(
        table.out,
        table.up,
        table.standoff,
        factor_value=value,
        factor_reference=reference,
        loads=loads,
        combinations=tuple(
            combination_of(one, loads, f"combination[{k}]") for k, one in enumerate(asked.combination, 1)
        ),
        load_set=table.combinations or "",
        places=places_of(asked.places),
    )


def _load(table: LoadTable, key: str) -> Load:
    placed = table.at is not None or any(getattr(table, name) is not None for pair in PAIRS for name in pair)
    return load_of(table, spot_of(table, key, PAIRS) if placed else None, key)


def _hook(table: HookTable) -> Hook:
    if table.at is not None and table.above is not None:
        raise JobError("hook.above", table.above, "give either at or above, not both")
    return Hook(table.at, table.above, float(table.dynamic), *_factor(table, "hook"))


def _stand(table: StandTable) -> Stand:
    return Stand(table.up, table.contact, radians(table.slope), tuple(table.pads))


def _factor(table: HangTable | HookTable, key: str) -> tuple[str, float | None, str]:
    if table.factor is not None and table.factor_value is not None:
        raise JobError(f"{key}.factor_value", table.factor_value, "give either factor or factor_value, not both")
    if (table.factor_value is None) != (table.factor_reference is None):
        raise JobError(
            f"{key}.factor_reference",
            table.factor_reference,
            "give factor_value and factor_reference together: a factor of one's own is taken only with its source",
        )
    value = None if table.factor_value is None else float(table.factor_value)
    return table.factor or "", value, table.factor_reference or ""


def _boat(table: BoatTable) -> Boat:
    if table.capacity is not None and table.capacity < table.persons:
        raise JobError("boat.capacity", table.capacity, "cannot be below boat.persons: it holds them too")
    return Boat(
        up=table.up,
        bow=table.bow,
        persons_kg=table.persons,
        capacity_kg=table.capacity,
        level_capacity_kg=table.level_capacity,
        propulsion_kg=table.propulsion,
        air_chambers_m3=table.air_chambers,
        uptake=table.uptake,
        uptake_reference=table.uptake_reference or "",
        flotation=table.flotation or "",
        load_at=None if table.load_at is None else Spot(at_m=table.load_at),
    )
