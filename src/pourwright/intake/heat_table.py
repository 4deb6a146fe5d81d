"""[heat] and [cup]: how heat and rise are computed and judged, and a cup test of the day."""

from __future__ import annotations

from typing import Annotated, Literal

from pourwright import units
from pourwright.intake.fields import (
    Due,
    DueNumber,
    DueShare,
    Flag,
    Reference,
    Table,
    key,
    lengths,
    needed,
    setting,
    taken,
)
from pourwright.intake.shop import JUDGED
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.units import show

_HOT = Due(units.TEMPERATURE, show.temperature, 353.15, 533.15)


class HeatTable(Table):
    """Staged heat and rise in the real shape: how finely, and what counts as too hot, too soon or not filled."""

    computed: Flag = taken(True, "false: formulas only, as with --quick")
    cells: Annotated[int, key(DueNumber(2000, 2_000_000, whole=True))] = setting(
        100_000, "heat cells at most; more are slower and a little nearer", "100000"
    )
    rounds: Annotated[int, key(DueNumber(1, 10, whole=True))] = setting(
        3, "divisions into lifts that are tried at most to keep the computed limits", "3"
    )
    rise: Annotated[float | None, key(Due(units.DIFFERENCE, show.difference, 20.0, 300.0))] = taken(
        None, "adiabatic rise to plan with, fixed and without a spread: for checking; the grade's if left out"
    )
    caution: Annotated[float | None, key(_HOT)] = taken(
        None, "temperature above which minutes are counted; the grade's (150 °C) if left out"
    )
    stop: Annotated[float | None, key(_HOT)] = taken(
        None, "no core may be hotter at the likely heat; the grade's (170 °C) if left out"
    )
    emergency: Annotated[float | None, key(_HOT)] = taken(
        None, "no core may be hotter at the 95 % end of the heat; the grade's (200 °C) if left out"
    )
    scorch: Annotated[float, key(Due(units.TIME, show.time, 0.0, 86400.0))] = taken(
        3600.0,
        "how long any point may be above the caution temperature over the whole job, at the likely heat",
        f"foam may be above the caution temperature for 1 h at the likely heat: {JUDGED}",
    )
    scorch_high: Annotated[float, key(Due(units.TIME, show.time, 0.0, 86400.0))] = taken(
        5400.0,
        "the same at the 95 % end of the heat; a plan that cannot keep it needs a probe",
        f"foam may be above the caution temperature for 1 h 30 min at the 95 % end of its heat: {JUDGED}",
    )
    centre: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 293.15, 423.15))] = taken(
        None, "the hottest core under a new lift must be cooler than this; no such rule if left out"
    )
    centre_share: Annotated[float | None, key(DueShare(0.01, 1.0))] = taken(
        None, "share of its rise that a core under a new lift may still hold; no such rule if left out"
    )
    release: Annotated[float, key(Due(units.TEMPERATURE, show.temperature, 303.15, 373.15))] = taken(
        333.15,
        "watched until every core is cooler than this: until then nobody cuts, drills or boxes it in",
        f"watched until every core is below 60 °C (140 °F): {JUDGED}",
    )
    shortest_wait: Annotated[float, key(Due(units.TIME, show.time, 300.0, 86400.0))] = taken(
        600.0, "shortest wait between lifts", f"at least 10 min between lifts: {JUDGED}"
    )
    longest_wait: Annotated[float, key(Due(units.TIME, show.time, 3600.0, 1_209_600.0))] = taken(
        172_800.0, "a wait that is not over by then is given up and marked", f"no wait longer than 48 h: {JUDGED}"
    )
    outside_film: Annotated[float, key(DueNumber(1.0, 200.0))] = taken(
        8.0,
        "skin to the air of the shop, W/(m2 K), convection and radiation together",
        "air outside takes 8 W/(m² K): still indoor air on a vertical wall (EN ISO 6946, from memory)",
    )
    inside_film: Annotated[float, key(DueNumber(0.5, 200.0))] = taken(
        2.0,
        "top of a pour to the air above it in the cavity, W/(m2 K)",
        f"air over a pour inside the shell, boxed in and warming, takes 2 W/(m² K): {JUDGED}",
    )
    void: Annotated[float, key(DueShare(0.0005, 0.2))] = taken(
        0.005, "share of a pour that may stay empty", f"0.5 % of a pour may stay empty: {JUDGED}"
    )


class CupTable(Table):
    """A cup test of the day, which replaces the data sheet's times and density for this job."""

    parts: Annotated[float, key(Due(units.TEMPERATURE, show.temperature, ZERO_CELSIUS_K, 333.15))] = needed(
        "temperature of both liquids before mixing"
    )
    air: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 253.15, 333.15))] = taken(
        None, "air temperature; that of the liquids if left out"
    )
    pressure: Annotated[float | None, key(Due(units.PRESSURE, show.pressure, 50e3, 110e3))] = taken(
        None, "air pressure; that of the shop if left out"
    )
    cream: Annotated[float | None, key(Due(units.TIME, show.time, 2.0, 1800.0))] = taken(None, "from mixing to cream")
    gel: Annotated[float | None, key(Due(units.TIME, show.time, 5.0, 7200.0))] = taken(
        None, "from mixing to string gel"
    )
    tack_free: Annotated[float | None, key(Due(units.TIME, show.time, 6.0, 14400.0))] = taken(
        None, "from mixing to a dry surface"
    )
    rise_end: Annotated[float | None, key(Due(units.TIME, show.time, 6.0, 14400.0))] = taken(
        None, "from mixing to the end of rise"
    )
    weight: Annotated[float | None, key(Due(units.MASS, show.mass, 0.01, 50.0))] = taken(
        None, "of the liquids in the cup"
    )
    height: Annotated[float | None, lengths(0.01, 3.0)] = taken(None, "of the cold foam above the cup's floor")
    section: Annotated[float | None, key(Due(units.AREA, show.area, 1e-4, 1.0))] = taken(
        None, "area of the cup's section; straight walls"
    )
    density: Annotated[float | None, key(Due(units.DENSITY, show.density, 10.0, 400.0))] = taken(
        None, "of a block cut from the core; wins over weight and height"
    )
    peak: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 290.0, 600.0))] = taken(
        None, "hottest reading in the middle of one cup; peaks for several"
    )
    peaks: list[Annotated[float, key(Due(units.TEMPERATURE, show.temperature, 290.0, 600.0))]] = taken(
        [], "hottest readings, one a cup: three narrow the rise to about 10 K", max_length=30
    )
    across: Annotated[float | None, lengths(0.02, 1.0)] = taken(
        None, "the smaller of diameter and height of the foam in those cups; at least 90 mm for a thermocouple"
    )
    instrument: Literal["thermocouple", "infrared"] = taken(
        "thermocouple", "a junction in the middle at mid-height, or infrared of the surface, which counts for less"
    )
    reference: Reference = taken("cup test of the day", "date and batch")
