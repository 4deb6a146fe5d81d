"""[shop], [limits], [grid] and [loss]: the day, the people, what they will not exceed, how the plan is worked out."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.intake.fields import (
    Due,
    DueMemory,
    DueNumber,
    DueShare,
    Reference,
    Table,
    key,
    lengths,
    setting,
    taken,
)
from pourwright.intake.machine_table import MachineTable
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.sanitising import MEMORY_BYTES
from pourwright.sources import Standing
from pourwright.units import show

JUDGED, PRACTISED = Standing.JUDGEMENT.value, Standing.PRACTICE.value


class ShopTable(Table):
    """The shop on the day, and who pours."""

    air: Annotated[float, key(Due(units.TEMPERATURE, show.temperature, 253.15, 333.15))] = taken(
        295.372, "air temperature", f"shop air taken as 22 °C (72 °F), at which data sheets measure: {PRACTISED}"
    )
    parts: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, ZERO_CELSIUS_K, 333.15))] = taken(
        None, "temperature of the liquids; the air's if left out", "liquids taken as warm as the air"
    )
    skin: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 253.15, 353.15))] = taken(
        None, "temperature of the skin; the air's if left out", "skin taken as warm as the air"
    )
    pressure: Annotated[float, key(Due(units.PRESSURE, show.pressure, 50e3, 110e3))] = taken(
        101325.0,
        "air pressure (lower at altitude)",
        "air pressure taken as 101 kPa (14.7 psi), the standard atmosphere at sea level: published, 10th CGPM 1954",
    )
    hands: Annotated[int, key(DueNumber(1, 20, whole=True))] = taken(
        1, "people who mix and pour at the same time", f"one person mixing and pouring: {JUDGED}"
    )
    largest_batch: Annotated[float, key(Due(units.VOLUME, show.liquid, 5e-5, 0.05))] = taken(
        0.004,
        "most liquid one person mixes in one go, both parts",
        f"largest batch taken as 4 L (1.06 US gal): {JUDGED}",
    )
    mix: Annotated[float, key(Due(units.TIME, show.time, 1.0, 600.0))] = taken(
        20.0, "time to mix a batch", f"mixing time taken as 20 s: {JUDGED}"
    )
    pour_rate: Annotated[float, key(Due(units.FLOW, show.flow, 1e-5, 1e-2))] = taken(
        2.5e-4, "liquid out of the cup", f"pouring taken as 0.25 L/s (4 US gal/min): {JUDGED}"
    )
    between: Annotated[float, key(Due(units.TIME, show.time, 0.0, 3600.0))] = taken(
        120.0,
        "from the end of one mix to the start of the next of the same person: weigh out, move on",
        f"2 min from one mix to the next: {JUDGED}",
    )
    machine: MachineTable | None = taken(
        None, "a dispenser: a closed cavity is filled in one shot; hands, mix, largest_batch and pour_rate are not used"
    )


class LimitsTable(Table):
    """What the supplier and the shop will not go beyond."""

    lift: Annotated[float | None, lengths(0.01, 2.0)] = taken(
        None, "the supplier's own largest lift of risen foam; needs lift_reference"
    )
    lift_reference: Reference | None = taken(None, "where that figure stands: data sheet, page, date")
    flow_distance: Annotated[float, lengths(0.02, 10.0)] = taken(
        0.6, "how far liquid may have to run from where it lands", f"flow distance taken as 600 mm (23.6 in): {JUDGED}"
    )
    surface_under: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 293.15, 393.15))] = taken(
        None, "the surface under a new pour must be cooler than this; from quickening if left out"
    )
    quickening: Annotated[float, key(DueShare(0.02, 0.6))] = taken(
        0.25,
        "share of its cream time that liquid may lose where it touches the foam below",
        f"a pour lands on foam that makes it cream up to 25 % sooner: {JUDGED}",
    )
    ripple: Annotated[float | None, lengths(0.0005, 1.0)] = taken(
        None,
        "pools and pockets shallower than this are left out; from the cell if left out",
        "pools and pockets shallower than a few cells are left out",
    )
    vent_drill: list[Annotated[float, lengths(0.002, 0.1)]] = taken(
        [0.006, 0.008, 0.010, 0.012, 0.016, 0.020, 0.025, 0.032],
        "drills at hand for vents",
        f"drills taken as 6, 8, 10, 12, 16, 20, 25 and 32 mm: {PRACTISED}",
        min_length=1,
        max_length=30,
    )
    vent_pressure: Annotated[float, key(Due(units.PRESSURE, show.pressure, 1.0, 5000.0))] = taken(
        100.0, "back-pressure allowed at a vent", f"back-pressure at a vent taken as 100 Pa (0.0145 psi): {JUDGED}"
    )
    bulge: Annotated[float, key(DueShare(0.0005, 0.2))] = taken(
        0.01, "a panel may bulge by this share of its width", f"a panel may bulge by 1 % of its width: {JUDGED}"
    )
    sliver: Annotated[float, key(DueShare(0.0, 0.9))] = taken(
        0.35,
        "no lift is thinner than this share of its neighbours' mean",
        f"no lift thinner than 35 % of its neighbours: {JUDGED}",
    )
    least_pour: Annotated[float, key(Due(units.VOLUME, show.volume, 0.0, 0.01))] = taken(
        1e-4,
        "less foam than this is no pour of its own: a pour beside it fills it, or it stays empty",
        f"no pour below 0.1 L (0.0035 ft³) of foam: {JUDGED}",
    )
    spill: Annotated[float, lengths(0.0, 1.0)] = taken(
        0.1,
        "a pool below least_pour, no deeper than this, is filled from above by the foam beside it",
        f"pools of less than the least pour and up to 100 mm (3.9 in) deep fill from above: {JUDGED}",
    )


class GridTable(Table):
    """How finely the cavity is worked out."""

    cell: Annotated[float | None, lengths(0.0002, 0.2)] = taken(
        None, "edge of a cell; from the wall thickness and the memory if left out"
    )
    memory: Annotated[int, key(DueMemory(50_000_000, 64_000_000_000))] = setting(
        MEMORY_BYTES, "memory that the grid may use, and before it reading and tidying the shell", "1.5 GB"
    )
    stray_void: Annotated[float | None, key(Due(units.VOLUME, show.liquid, 1e-9, 1e-3))] = taken(
        None, "loose pieces of cavity smaller than this are dropped and counted"
    )


class LossTable(Table):
    """What is bought and does not end in the piece."""

    share: Annotated[float, key(DueShare(0.0, 0.5))] = taken(
        0.08, "share of the liquids lost to trim and cups", f"8 % of the liquids lost to trim and cups: {JUDGED}"
    )
