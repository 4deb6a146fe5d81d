"""What speaks against an entry: figures that are unlikely, which a person can insist on, and some that cannot be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pourwright.cavity import Space
from pourwright.foam import Sides, at_conditions
from pourwright.plan import Job
from pourwright.record.fill import Filled, Mass, conditions_of, filled_of
from pourwright.record.ground import SheetPour
from pourwright.record.model import CoatEntry, Entry, Planned, Record
from pourwright.record.names import order_of
from pourwright.record.probes import readings_doubt
from pourwright.record.replan import keeps_cuts, pending_of, unrecorded
from pourwright.record.yields import HEIGHT_SIGMA_M, estimate_yield
from pourwright.sources import Cited, Standing

OFF_YIELD = Cited(
    0.30, "-", Standing.JUDGEMENT, note="share by which foam in place may weigh more or less than is expected by then"
)
OFF_RATIO = Cited(
    0.05,
    "-",
    Standing.PRACTICE,
    note="share by which part A over part B may be off; the data sheet of a foam may ask for less",
)
TOO_LIGHT = Cited(
    0.5,
    "-",
    Standing.JUDGEMENT,
    note="of the expected density: no more gas than that of free rise comes out of the liquids, hot or not",
)
HEIGHT_SIGMAS = Cited(2.0, "-", Standing.JUDGEMENT, note="standard deviations of a height that its reading may be off")


@dataclass(frozen=True)
class Doubt:
    """One sentence in SI with the numbers. ``firm``: it cannot be so, and nobody can insist on it."""

    words: str
    firm: bool = False
    off_ratio: bool = False


def doubts_of(job: Job, ground: Space, record: Record, sheet: Sequence[SheetPour], entry: Entry) -> tuple[Doubt, ...]:
    """Everything that speaks against an entry, given what is recorded already.

    Parameters
    ----------
    job, ground
        Of the piece.
    record : Record
        Without the entry.
    sheet : sequence of SheetPour
        The pours of the sheet that holds now.
    entry : Entry

    Returns
    -------
    tuple of Doubt
        Empty where nothing does.
    """
    open_pours = unrecorded(record, sheet)
    out = [
        *_order(entry, open_pours),
        *ratio_doubts(job.grade.sides, entry),
        *_height(job, entry),
        *reading_doubts(job, entry),
    ]
    before = _filled(job, ground, record.counted, open_pours)
    left = {name: planned for name, planned in open_pours.items() if name != entry.pour}
    after = _filled(job, ground, (*record.counted, entry), left)
    return (*out, *_masses(job, before, after, entry))


def reading_doubts(job: Job, entry: Entry) -> list[Doubt]:
    """What speaks against the readings of its heat."""
    words = readings_doubt(entry, job.grade)
    return [Doubt(words)] if words else []


def _filled(job: Job, ground: Space, entries: Sequence[Entry], open_pours: Mapping[str, Planned]) -> Filled:
    pending = pending_of(entries, open_pours, whole=keeps_cuts(job))
    return filled_of(ground.cavity, ground.graph, job.grade, job.conditions, entries, pending)


def _order(entry: Entry, open_pours: Mapping[str, Planned]) -> list[Doubt]:
    under = sorted((n for n, p in open_pours.items() if p.lift < entry.planned.lift), key=order_of)
    if entry.kind != "pour" or not under:
        return []
    many = len(under) > 1
    return [
        Doubt(
            f"pour {entry.pour} is of lift {entry.planned.lift}, and below it pour{'s' if many else ''} "
            f"{', '.join(under)} {'are' if many else 'is'} not recorded: record from the lowest lift up"
        )
    ]


def ratio_doubts(sides: Sides, entry: Entry | CoatEntry) -> list[Doubt]:
    """Parts that are not in the ratio of the sheet."""
    planned = entry.planned
    due = planned.part_a_kg / planned.part_b_kg
    found = entry.part_a_kg / entry.part_b_kg if entry.part_b_kg > 0 else math.inf
    off = abs(found / due - 1.0)
    if off <= OFF_RATIO.value * (1.0 + 1e-9):
        return []
    said = f"{found:.3g} to 1" if math.isfinite(found) else f"{sides.a} alone"
    return [
        Doubt(
            f"{sides.a} over {sides.b} is {said} by weight, and {due:.3g} to 1 is due, give or take "
            f"{OFF_RATIO.value:.0%}",
            off_ratio=True,
        )
    ]


def _height(job: Job, entry: Entry) -> list[Doubt]:
    """A height over the top of the pour by more than the foam's spread and a stick explain."""
    if entry.reached_m is None:
        return []
    planned = entry.planned
    rise = planned.top_m - planned.bottom_m
    foam = at_conditions(job.grade, conditions_of(job.conditions, entry))
    share = foam.open_density_kg_m3.nominal / foam.open_density_kg_m3.low - 1.0
    allowed = share * rise + HEIGHT_SIGMAS.value * HEIGHT_SIGMA_M
    over = entry.reached_m - planned.top_m
    if over <= allowed + 1e-9:
        return []
    return [
        Doubt(
            f"{entry.reached_m * 1e3:.0f} mm is {over * 1e3:.0f} mm over the {planned.top_m * 1e3:.0f} mm to which "
            f"pour {entry.pour} was to rise, and {allowed * 1e3:.0f} mm is the most that foam of this spread explains"
        )
    ]


def _masses(job: Job, before: Filled, after: Filled, entry: Entry) -> list[Doubt]:
    """Densities that are unlikely or impossible, of the pour itself and of any other that the entry changes."""
    factor = estimate_yield(before.readings, job.grade.density_spread).factor.nominal
    old = {mass.pours: mass.kg / mass.volume_m3 if mass.volume_m3 > 0 else math.inf for mass in before.masses}
    out = []
    for mass in after.masses:
        own = entry.pour in mass.pours
        density = mass.kg / mass.volume_m3 if mass.volume_m3 > 0 else math.inf
        if not own and math.isclose(density, old.get(mass.pours, -1.0), rel_tol=1e-9):
            continue
        out += _density(job, mass, density, factor)
    return out


def _three(value: float) -> str:
    """Three digits and no power of ten.

    >>> _three(0.11241), _three(1968.4)
    ('0.112', '1970')
    """
    return f"{float(f'{value:.3g}'):g}"


def _weight(kg: float) -> str:
    """A weight in the unit that suits it.

    >>> _weight(0.1124), _weight(1.113)
    ('112 g', '1.11 kg')
    """
    return f"{_three(kg)} kg" if kg >= 0.9995 else f"{_three(1e3 * kg)} g"


def _density(job: Job, mass: Mass, density: float, factor: float) -> list[Doubt]:
    named = f"pour{'' if len(mass.pours) == 1 else 's'} {', '.join(mass.pours)}"
    liquid = min(job.grade.part_a_density_kg_m3, job.grade.part_b_density_kg_m3)
    if not math.isfinite(density) or mass.expected_kg <= 0:
        return [
            Doubt(
                f"{named}: there is no room for {_weight(mass.kg)} up to {mass.top_m * 1e3:.0f} mm: that cannot be",
                True,
            )
        ]
    expected = factor * mass.expected_kg / mass.volume_m3
    said = (
        f"{named}: {_weight(mass.kg)} in {_three(mass.volume_m3 * 1e3)} L up to {mass.top_m * 1e3:.0f} mm would be "
        f"foam of {_three(density)} kg/m³"
    )
    if density >= liquid:
        return [Doubt(f"{said}, heavier than its liquids at {_three(liquid)} kg/m³: that cannot be", True)]
    lightest = TOO_LIGHT.value * min(expected, mass.expected_kg / mass.volume_m3)
    if density < lightest:
        return [
            Doubt(
                f"{said}, and less than {_three(lightest)} kg/m³ cannot be with {_three(expected)} kg/m³ expected: a "
                "figure is wrong, or there is a hollow under the foam",
                True,
            )
        ]
    if abs(density / expected - 1.0) <= OFF_YIELD.value * (1.0 + 1e-9):
        return []
    return [Doubt(f"{said}, and {_three(expected)} kg/m³ is expected, give or take {OFF_YIELD.value:.0%}")]
