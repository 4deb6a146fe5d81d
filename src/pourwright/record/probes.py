"""What instruments in the poured foam tell of its heat: the rise by its peak, the diffusivity by how it cools.

Every reading is turned into a rise by what the sheet expected it to be: a computed temperature is linear in the rise. A
probe in a core is nearly the rise itself; a surface read by infrared stands for a part of it only, and poorly. Limits
are not touched: what a supplier allows stands, whatever a reading says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourwright.foam import (
    DIFFUSIVITY_SD,
    OWN_SD,
    SHARED_SD,
    FoamGrade,
    kept_share,
    updated_diffusivity,
    updated_rise,
    with_diffusivity,
    with_rise,
)
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.record.model import Entry, Expected
from pourwright.sources import Cited, Standing

LATER_SD = Cited(
    4.0, "K", Standing.JUDGEMENT, note="of a reading an hour after the peak against one at it: place, and the hour"
)
SHAPE_SD = Cited(
    0.03, "-", Standing.JUDGEMENT, note="of the share of its excess a core keeps: films, and what lies next to it"
)
UNLIKELY = 3.0
"""Standard deviations from what the sheet expects beyond which a reading must be insisted on."""


@dataclass(frozen=True, slots=True)
class Probed:
    """What the readings come to. Rises with their standard deviations [K]."""

    before_k: float
    before_sd_k: float
    after_k: float
    after_sd_k: float
    probes: int  # readings that count
    surfaces: int
    diffusivity: float  # factor on what was taken; 1 where nothing tells
    diffusivity_sd: float  # of its logarithm
    cooled: int  # readings an hour later that count

    @property
    def told(self) -> bool:
        """Whether anything was read."""
        return bool(self.probes or self.surfaces or self.cooled)


@dataclass(frozen=True, slots=True)
class _Reading:
    """One reading as a rise."""

    rise_k: float
    per_k: float  # what the reading moves by for one kelvin of rise
    off_sd: float  # standard deviations from what the sheet expected
    instrument: str
    shown_k: float
    told_k: float

    @property
    def counts(self) -> bool:
        """Not where it is unlikely and low: a probe that missed the core. A high one always does."""
        return self.off_sd >= -UNLIKELY


def _rises(entries: Sequence[Entry], grade: FoamGrade) -> list[_Reading]:
    """What probes and surfaces show."""
    out = []
    for entry in entries:
        due = expected_of(entry, grade)
        warmer = 0.0 if entry.parts_k is None else entry.parts_k - due.parts_k
        core = due.peak_k, due.peak_per_k
        top = core if due.top_k is None else (due.top_k, due.top_per_k)
        for instrument, shown, (told, per_k) in (("probe", entry.probe_k, core), ("infrared", entry.infrared_k, top)):
            if shown is None:
                continue
            rise = due.rise_k + (shown - warmer - told) / per_k
            own = math.hypot(OWN_SD[instrument].value, SHARED_SD.value) / per_k
            off = (rise - grade.heat_j_kg / grade.specific_heat_j_kgk) / math.hypot(grade.rise_sd_k, own)
            out.append(_Reading(rise, per_k, off, instrument, shown, told + warmer))
    return out


def expected_of(entry: Entry, grade: FoamGrade) -> Expected:
    """What the sheet expected; from a sheet that did not keep it, a core that keeps all its heat."""
    if entry.planned.expected is not None:
        return entry.planned.expected
    parts = entry.parts_k if entry.parts_k is not None else grade.reference_temperature_k
    rise = grade.heat_j_kg / grade.specific_heat_j_kgk
    air = entry.air_k if entry.air_k is not None else parts
    return Expected(rise_k=rise, parts_k=parts, air_k=air, peak_k=parts + rise)


@dataclass(frozen=True, slots=True)
class _Cooled:
    """Share of its excess over the air that a core kept for an hour."""

    expected: float
    read: float
    sd: float

    @property
    def counts(self) -> bool:
        """Not where no diffusivity explains it: a probe that missed the core, or another hour."""
        loose = abs(kept_share(self.expected, math.exp(DIFFUSIVITY_SD.value)) - self.expected)
        return abs(self.read - self.expected) <= UNLIKELY * math.hypot(self.sd, loose)


def _cooled(entries: Sequence[Entry], grade: FoamGrade) -> list[_Cooled]:
    out = []
    for entry in entries:
        due = expected_of(entry, grade)
        if entry.probe_k is None or entry.probe_later_k is None or due.later_k is None:
            continue
        air = due.air_k if entry.air_k is None else entry.air_k
        read = (entry.probe_later_k - air) / (entry.probe_k - air)
        spread = LATER_SD.value / (entry.probe_k - air) * math.hypot(1.0, read)
        expected = (due.later_k - due.air_k) / (due.peak_k - due.air_k)
        out.append(_Cooled(expected, read, math.hypot(spread, SHAPE_SD.value)))
    return out


def probed(grade: FoamGrade, entries: Sequence[Entry]) -> Probed:
    """The rise and the diffusivity after all readings of a record.

    Parameters
    ----------
    grade : FoamGrade
        As the job has it, cups of the day included.
    entries : sequence of Entry
        Those that count.

    Returns
    -------
    Probed
        A rise that the job fixes (no deviation) stays.
    """
    before, sd = grade.heat_j_kg / grade.specific_heat_j_kgk, grade.rise_sd_k
    rise, spread = before, sd
    readings, counts = [one for one in _rises(entries, grade) if one.counts], []
    for instrument in ("probe", "infrared"):  # not the same thermometer: each kind has its own shared part
        mine = [one for one in readings if one.instrument == instrument]
        counts.append(len(mine))
        if mine:
            per_k = sum(one.per_k for one in mine) / len(mine)
            own, shared = OWN_SD[instrument].value / per_k, SHARED_SD.value / per_k
            rise, spread = updated_rise(rise, spread, [one.rise_k for one in mine], own, shared)
    cooled = [one for one in _cooled(entries, grade) if one.counts]
    factor, factor_sd = updated_diffusivity([(one.expected, one.read, one.sd) for one in cooled])
    return Probed(before, sd, rise, spread, counts[0], counts[1], factor, factor_sd, len(cooled))


def with_probes(grade: FoamGrade, found: Probed) -> FoamGrade:
    """The grade with what was read; untouched where nothing was. Its limits are not moved."""
    if found.probes or found.surfaces:
        note = (
            f"{found.probes} of a probe, {found.surfaces} of a surface, with {found.before_k:.0f} K, deviation "
            f"{found.before_sd_k:.0f} K, known before"
        )
        cited = Cited(found.after_k, "K", Standing.JOB, "record of readings in the foam", note=note)
        grade = with_rise(grade, found.after_k, found.after_sd_k, cited)
    if found.cooled:
        grade = with_diffusivity(grade, found.diffusivity, "record of a core an hour after its peak")
    return grade


def readings_doubt(entry: Entry, grade: FoamGrade) -> str:
    """One sentence where a reading is far from what the sheet expects; empty where it is not."""
    for kept in _cooled([entry], grade):
        if not kept.counts:
            return (
                f"an hour after its peak the core of pour {entry.pour} would have kept {kept.read:.0%} of its excess "
                f"over the air, and {kept.expected:.0%} is expected: is the probe in the middle of the foam, and "
                "was it an hour? Insisted on, it is kept and counts for nothing"
            )
    for one in _rises([entry], grade):
        if abs(one.off_sd) <= UNLIKELY:
            continue
        off = abs(one.shown_k - one.told_k)
        far = (
            f"{one.shown_k - ZERO_CELSIUS_K:.0f} °C is {off:.0f} K {{}} the {one.told_k - ZERO_CELSIUS_K:.0f} °C "
            f"that pour {entry.pour} was to reach, more than recipes of its kind explain: "
        )
        if one.counts:
            return far.format("over") + "check the thermometer and its scale, and let nobody near until it cools"
        return far.format("under") + (
            "is it in the middle of the foam, and was that its hottest? Insisted on, it is kept and counts for nothing"
        )
    return ""
