"""[shop.machine], [fixture] and [series]: one shot into a closed cavity, what holds it, and forty a day."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from pourwright import units
from pourwright.errors import JobError, Said
from pourwright.fixture import FixtureRules
from pourwright.intake.fields import Due, DueNumber, DueShare, Table, key, lengths, needed, taken
from pourwright.series import SeriesRules
from pourwright.shot import Machine, MeasuredShot
from pourwright.sources import Standing
from pourwright.units import show
from pourwright.wording.checks import force

JUDGED = Standing.JUDGEMENT.value


LEAST_KG_S, MOST_KG_S = 0.005, 20.0
"""What a dispenser may give: less or more is taken for a slip of the pen; our judgement."""


class ShotTable(Table):
    """One shot as it was weighed."""

    seconds: Annotated[float, key(Due(units.TIME, show.time, 0.05, 600.0))] = needed("how long the head was open")
    weight: Annotated[float, key(Due(units.MASS, show.mass, 0.001, 2000.0))] = needed("what it gave, both parts")


class MachineTable(Table):
    """A dispenser that meters and mixes: a closed cavity is filled in one shot, and nothing is mixed by hand."""

    output: Annotated[float | None, key(Due(units.MASS_FLOW, show.output, LEAST_KG_S, MOST_KG_S))] = taken(
        None, 'what one head gives, both parts, like output = "0.5 kg/s"; or give shots that were weighed'
    )
    shot: list[ShotTable] = taken(
        [],
        "two shots or more that were weighed, in place of output, written [[shop.machine.shot]]: seconds are read off "
        "between them, and on beyond the longest; shortest is theirs where it is left out",
        max_length=50,
    )
    heads: Annotated[int, key(DueNumber(1, 8, whole=True))] = taken(
        1, "heads that shoot into one part at the same time", f"one head: {JUDGED}"
    )
    ratio_tolerance: Annotated[float, key(DueShare(0.0, 0.2))] = taken(
        0.02, "plus or minus share of the ratio of the parts", f"ratio of the machine to ± 2 %: {JUDGED}"
    )
    pause: Annotated[float, key(Due(units.TIME, show.time, 0.0, 600.0))] = taken(
        5.0, "from the end of a shot to the start of the next of the same head", f"5 s from port to port: {JUDGED}"
    )
    shortest: Annotated[float, key(Due(units.TIME, show.time, 0.05, 60.0))] = taken(
        0.5, "a shorter shot is not metered well", f"shortest shot 0.5 s: {JUDGED}"
    )
    longest: Annotated[float, key(Due(units.TIME, show.time, 0.5, 600.0))] = taken(
        300.0, "longest shot", f"longest shot 5 min: {JUDGED}"
    )
    repeat: Annotated[float, key(DueShare(0.0, 0.2))] = taken(
        0.01, "standard deviation of the weight of a shot", f"weight of a shot to 1 %, one standard deviation: {JUDGED}"
    )

    def machine(self) -> Machine:
        """The same for the plan.

        Raises
        ------
        JobError
            There is neither an output nor a table of shots, or both, or shots that no machine gives.
        """
        if (self.output is None) == (not self.shot):
            said = None if self.output is None else self.output
            raise JobError("shop.machine.output", said, "give it, or two [[shop.machine.shot]] or more, not both")
        measured = tuple(sorted((MeasuredShot(one.seconds, one.weight) for one in self.shot), key=lambda s: s.seconds))
        least = measured[0].seconds if measured and "shortest" not in self.model_fields_set else self.shortest
        return Machine(
            output_kg_s=self.output if self.output is not None else _output_of(measured),
            heads=self.heads,
            ratio_tolerance=self.ratio_tolerance,
            pause_s=self.pause,
            shortest_s=least,
            longest_s=self.longest,
            repeat_share=self.repeat,
            measured=measured,
        )


def _output_of(measured: tuple[MeasuredShot, ...]) -> float:
    """What a head gives while it is open [kg/s], by its shortest and its longest shot."""
    at = "shop.machine.shot"
    if len(measured) < 2:
        raise JobError(at, len(measured), "a table of shots needs two or more: weigh a short one and a long one")
    for one, next_one in pairwise(measured):
        if next_one.seconds <= one.seconds or next_one.kg <= one.kg:
            told = f"{show.time(next_one.seconds)}, {show.mass(next_one.kg)}"
            raise JobError(
                at,
                Said(told),
                "a longer shot gives more than the one before it: give the mean of shots of equal length",
            )
    output = (measured[-1].kg - measured[0].kg) / (measured[-1].seconds - measured[0].seconds)
    if not LEAST_KG_S <= output <= MOST_KG_S:
        allowed = units.range_words(units.MASS_FLOW, show.output, LEAST_KG_S, MOST_KG_S)
        raise JobError(at, Said(show.output(output)), f"what its shots say a head gives must be {allowed}")
    return output


class FixtureTable(Table):
    """What holds the part while it is filled by machine."""

    pressure: Annotated[float, key(Due(units.PRESSURE, show.pressure, 1e3, 1e6))] = taken(
        35e3, "pressure that it bears", f"fixture taken to bear 35 kPa (5.08 psi): {JUDGED}"
    )
    plate: Annotated[float, lengths(0.001, 0.2)] = taken(
        0.012, "thickness of its plates", f"plates of 12 mm (0.47 in): {JUDGED}"
    )
    modulus: Annotated[float, key(Due(units.PRESSURE, show.pressure, 1e9, 300e9))] = taken(
        70e9, "stiffness of its plates", f"plates of aluminium, 70 GPa: {JUDGED}"
    )
    bend: Annotated[float, lengths(0.0001, 0.05)] = taken(
        0.002, "a plate may bend by so much", f"a plate may bend by 2 mm (0.08 in): {JUDGED}"
    )
    clamp: Annotated[float, key(Due(units.FORCE, force, 100.0, 1e6))] = taken(
        10e3, "rated force of one clamp", f"clamps rated 10 kN (2250 lbf): {JUDGED}"
    )
    clamp_share: Annotated[float, key(DueShare(0.1, 1.0))] = taken(
        0.67, "share of that rating that is used", f"two thirds of a clamp's rating are used: {JUDGED}"
    )
    growth: Annotated[float, key(DueShare(0.0001, 0.05))] = taken(
        0.005,
        "share of its thickness by which a part may grow when it is released",
        f"a part may grow by 0.5 % after release: {JUDGED}",
    )
    skin: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 253.15, 393.15))] = taken(
        None, "temperature of the plastic while it is held; the heat limit of the material if left out"
    )

    def rules(self) -> FixtureRules:
        """The same for the plan."""
        return FixtureRules(
            pressure_pa=self.pressure,
            plate_m=self.plate,
            youngs_pa=self.modulus,
            bend_m=self.bend,
            clamp_n=self.clamp,
            clamp_share=self.clamp_share,
            growth_share=self.growth,
            skin_k=self.skin,
        )


class SeriesTable(Table):
    """Parts in series: the line, the cost, the spread. Prices are plain numbers, all in the same money."""

    parts: Annotated[int, key(DueNumber(1, 10_000, whole=True))] = taken(
        40, "parts wanted a shift", f"40 parts a shift: {JUDGED}"
    )
    shift: Annotated[float, key(Due(units.TIME, show.time, 600.0, 86_400.0))] = taken(
        28_800.0, "working time of a shift", f"a shift of 8 h: {JUDGED}"
    )
    shifts: Annotated[int, key(DueNumber(1, 21, whole=True))] = taken(5, "shifts a week", f"5 shifts a week: {JUDGED}")
    people: Annotated[int, key(DueNumber(1, 50, whole=True))] = taken(
        2, "people who load, fill and unload", f"two people: {JUDGED}"
    )
    fixtures: Annotated[int | None, key(DueNumber(1, 60, whole=True))] = taken(
        None, "fixtures there are; as few as give the parts wanted if left out"
    )
    load: Annotated[float, key(Due(units.TIME, show.time, 1.0, 7200.0))] = taken(
        180.0, "to load and close a fixture", f"3 min to load a fixture: {JUDGED}"
    )
    unload: Annotated[float, key(Due(units.TIME, show.time, 1.0, 7200.0))] = taken(
        180.0, "to open and unload it", f"3 min to unload it: {JUDGED}"
    )
    foam_price: Annotated[float | None, key(DueNumber(0.0, 1e6))] = taken(
        None, "price of a kilogram of the liquids; without it and labour_price no cost is told"
    )
    labour_price: Annotated[float | None, key(DueNumber(0.0, 1e6))] = taken(None, "price of an hour of one person")
    plug_price: Annotated[float, key(DueNumber(0.0, 1e6))] = taken(0.0, "price of the plugs of a part")
    waste: Annotated[float, key(DueShare(0.0, 0.5))] = taken(
        0.02, "share of the liquids that ends as waste", f"2 % of the liquids wasted: {JUDGED}"
    )
    purge: Annotated[float, key(Due(units.MASS, show.mass, 0.0, 10.0))] = taken(
        0.0, "liquids that are purged at a part"
    )
    drum: Annotated[float, key(Due(units.MASS, show.mass, 1.0, 2000.0))] = taken(
        220.0, "weight of a drum", f"drums of 220 kg (485 lb): {JUDGED}"
    )
    wall_spread: Annotated[float, key(DueShare(0.0, 0.5))] = taken(
        0.05, "standard deviation of the mean wall from part to part", f"mean wall to 5 % from part to part: {JUDGED}"
    )
    warmth: Annotated[float, key(Due(units.DIFFERENCE, show.difference, 0.0, 30.0))] = taken(
        1.5, "standard deviation of the temperature of the liquids", f"liquids to 1.5 K: {JUDGED}"
    )
    weight: Annotated[float, key(DueShare(0.001, 0.5))] = taken(
        0.05, "a part may be off its weight by this share", f"parts to ± 5 % of their weight: {JUDGED}"
    )

    def rules(self) -> SeriesRules:
        """The same for the plan."""
        return SeriesRules(
            parts=self.parts,
            shift_s=self.shift,
            shifts=self.shifts,
            people=self.people,
            fixtures=self.fixtures,
            load_s=self.load,
            unload_s=self.unload,
            foam_price=self.foam_price,
            labour_price=self.labour_price,
            plug_price=self.plug_price,
            waste_share=self.waste,
            purge_kg=self.purge,
            drum_kg=self.drum,
            wall_share=self.wall_spread,
            warmth_k=self.warmth,
            weight_share=self.weight,
        )
