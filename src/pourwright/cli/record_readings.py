"""Readings of the heat of a pour, as ``pourwright record`` takes them: of a probe, an hour later, of its open top."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pathlib import Path

    from pourwright.plan import Job
    from pourwright.record import Entry, Record, Replanned

NAMES = {"probe_k": "--probe", "probe_later_k": "--probe-later", "infrared_k": "--infrared"}
LEAST_RISE_K, MOST_K = 20.0, 573.0
"""A core that is warmed less has no reaction in it; at 300 °C foam burns."""


def readings_said(given: Mapping[str, Any], parts_k: float) -> dict[str, float]:
    """Readings [K] by the entry's names, those that were given; refused where they cannot be readings of foam."""
    from pourwright import units

    found = {}
    for name, option in NAMES.items():
        text = given[name.removesuffix("_k")]
        if text is None:
            continue
        try:
            value = units.read(text, units.TEMPERATURE)
        except units.QuantityError as error:
            raise UsageError(f"{option} {text!r}: {error}") from None
        if not parts_k + LEAST_RISE_K <= value <= MOST_K and name != "probe_later_k":
            raise UsageError(
                f"{option} {text!r}: a reading of foam in reaction lies between "
                f"{units.temperature(parts_k + LEAST_RISE_K)} and {units.temperature(MOST_K)}; take the hottest one"
            )
        found[name] = value
    return found


def check_cooling(found: Mapping[str, float | None], air_k: float) -> None:
    """Refuse a later reading that is no cooling core."""
    from pourwright import units

    peak, later = found.get("probe_k"), found.get("probe_later_k")
    if later is None:
        return
    if peak is None:
        raise UsageError("--probe-later goes with --probe: the hottest reading of the same probe, an hour before it")
    if not air_k - 1.0 <= later <= peak:
        raise UsageError(
            f"a probe cannot read {units.temperature(peak)} at its hottest (--probe) and {units.temperature(later)} an "
            f"hour later (--probe-later) in air at {units.temperature(air_k)}: put one of them right"
        )


def add_readings(folder: Path, job: Job, pour: str, values: Mapping[str, float], *, yes: bool) -> None:
    """Put readings into the entry of a pour that is recorded; what is unlikely must be insisted on."""
    from pourwright import units
    from pourwright.record import reading_doubts, update

    def change(record: Record | None) -> Record:
        entries = record.counted if record is not None else ()
        mine = next((entry for entry in entries if entry.pour == pour and entry.kind == "pour"), None)
        if record is None or mine is None:
            raise UsageError(f"pour {pour} is not recorded yet: say with its reading what went in")
        held = {name: values.get(name, getattr(mine, name)) for name in NAMES}
        check_cooling(held, mine.air_k if mine.air_k is not None else job.conditions.air_k)
        changed = mine.model_copy(update=held)
        said = tuple(units.in_both(doubt.words) for doubt in reading_doubts(job, changed))
        if said and not yes:
            raise UsageError("; ".join([*said, "put it right, or give --yes to insist; nothing was recorded"]))
        changed = changed.model_copy(update={"insisted": (*mine.insisted, *said)})
        return record.model_copy(update={"entries": _with(record.entries, changed)})

    update(folder, change)


def _with(entries: tuple[Entry, ...], changed: Entry) -> tuple[Entry, ...]:
    return tuple(changed if entry.number == changed.number else entry for entry in entries)


def heat_lines(job: Job, again: Replanned, record: Record) -> list[str]:
    """What the readings of heat came to, and what is to be done where one was too hot."""
    from pourwright.foam import PROBABLE
    from pourwright.ranges import Range
    from pourwright.report.record_words import reading_words

    if not again.heat.told:
        return []
    hot = {entry.pour: entry.probe_k for entry in record.counted if entry.probe_k is not None}
    over = {pour: value for pour, value in hot.items() if value > job.grade.stop_k}
    heat = again.heat
    ends = [
        Range(middle - PROBABLE * sd, middle, middle + PROBABLE * sd)
        for middle, sd in ((heat.before_k, heat.before_sd_k), (heat.after_k, heat.after_sd_k))
    ]
    cooled = (heat.cooled, heat.diffusivity, heat.diffusivity_sd) if heat.cooled else None
    return reading_words(ends[0], ends[1], (heat.probes, heat.surfaces), cooled, over, job.grade.stop_k)


def heat_tree(again: Replanned) -> dict[str, dict[str, float]]:
    """The same for ``--json``."""
    heat = again.heat
    return {
        "rise_k": {
            "before": heat.before_k,
            "before_sd": heat.before_sd_k,
            "after": heat.after_k,
            "after_sd": heat.after_sd_k,
            "probes": heat.probes,
            "surfaces": heat.surfaces,
        },
        "diffusivity": {"factor": heat.diffusivity, "sd": heat.diffusivity_sd, "readings": heat.cooled},
    }
