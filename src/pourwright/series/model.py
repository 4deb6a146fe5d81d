"""What a series is given: the rules of its shop, and the facts of its part."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SeriesRules:
    """The series as the job describes it. SI; money in whatever currency the job uses; defaults are our judgement."""

    parts: int = 40  # wanted a shift
    shift_s: float = 8 * 3600.0
    shifts: int = 5  # a week
    people: int = 2
    fixtures: int | None = None  # None: as few as give ``parts``
    load_s: float = 180.0
    unload_s: float = 180.0
    foam_price: float | None = None  # of a kilogram; None: no cost is told
    labour_price: float | None = None  # of an hour of one person
    plug_price: float = 0.0  # for one part
    waste_share: float = 0.02
    purge_kg: float = 0.0  # of mix or solvent at a part
    drum_kg: float = 220.0
    wall_share: float = 0.05  # standard deviation of the mean wall of a part
    warmth_k: float = 1.5  # standard deviation of the liquids' temperature
    weight_share: float = 0.05  # a part may be off its weight by so much


@dataclass(frozen=True, slots=True)
class PartFacts:
    """What the series needs to know of one part."""

    skin_kg: float
    skin_m3: float
    cavity_m3: float
    foam_kg: float
    free_density_kg_m3: float
    density_per_k: float  # share by which free rise gets lighter a kelvin, below zero
    fill_s: float  # the machine is busy with it, pauses counted
    release_s: float  # from the end of the shot
    lowest: float  # packing
    highest: float
    repeat_share: float  # of a shot
    ratio_tolerance: float
