"""A cup of foam in words: its times, and height, temperature and conversion against time."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from rich import box
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.document.rounding import rounded
from pourwright.document.values import celsius
from pourwright.errors import FileError
from pourwright.plaintext import escaped_json
from pourwright.plan import History, Job, largest_in_time_m3, temperature_that_would_do
from pourwright.wording.findings import sentences

if TYPE_CHECKING:
    from rich.console import Console

    from pourwright.foam import CupCurve

STEPS = (5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 300.0)
"""Steps a table of a cup may have [s]; the first that keeps it within `MOST_ROWS` is taken."""
MOST_ROWS = 24
_TIMES = (("cream", "cream_s"), ("gel", "gel_s"), ("tack-free", "tack_free_s"), ("end of rise", "rise_end_s"))


def cup_rows(cup: CupCurve) -> list[dict[str, float]]:
    """The history at even steps of time, with the four times among them [s, shares, K, kg/m3]."""
    end = float(cup.time_s[-1])
    step = next((s for s in STEPS if end / s <= MOST_ROWS), STEPS[-1])
    marks = [value for _, name in _TIMES if (value := getattr(cup.times, name)) is not None and value <= end]
    rows = []
    for at in np.unique(np.concatenate([np.arange(0.0, end, step), marks])).tolist():
        look = {name: float(np.interp(at, cup.time_s, getattr(cup, name))) for name in _COLUMNS}
        rows.append({"time_s": at, **look})
    return rows


_COLUMNS = ("height_share", "temperature_k", "gelling", "blowing", "density_kg_m3", "heat_share")


def cup_lines(job: Job, history: History, cup: CupCurve) -> list[str]:
    """What the cup says for the day's work."""
    lines = [
        f"core up to {units.temperature(cup.peak_k)}, no heat lost; ends at {units.density(cup.final_density_kg_m3)}, "
        f"{units.digits(cup.expansion)} times the liquid"
    ]
    rise = history.foam.rise_k
    lines.append(
        f"adiabatic rise {units.digits(rise.nominal)} K, {units.digits(rise.low)} to {units.digits(rise.high)} K with "
        f"95 %: {job.grade.cited['heat_j_kg'].words()}"
        + (f" ({job.grade.cited['heat_j_kg'].note})" if job.cup and job.cup.peaks_k else "")
    )
    for words, name in _TIMES:
        value, sheet = getattr(cup.times, name), getattr(job.grade, name)
        shown = "never" if value is None else units.time(value)
        lines.append(
            f"{words} after {shown}; {units.time(sheet)} at the {units.temperature(job.grade.reference_temperature_k)} "
            f"of {'the cup test' if job.cup else 'the data'}"
        )
    fits = largest_in_time_m3(job, history.foam.cream_s)
    asked = job.limits.largest_batch_m3
    if fits >= asked:
        lines.append(
            f"a mix of {units.liquid(asked)}, the largest of the shop, can be mixed and poured before it creams"
        )
    else:
        would = temperature_that_would_do(job, history)
        help_ = units.in_both(f"liquids at {would} °C would do") if would is not None else "no temperature would do"
        most, largest = units.apart(units.liquid, fits, asked)
        lines.append(
            f"no more than {most} can be mixed and poured before it creams; "
            f"for the {largest} of the largest mix {help_}"
        )
    return lines


def print_cup(job: Job, history: History, cup: CupCurve, console: Console) -> None:
    """Print a cup's times and its history."""
    console.print(Text(f"{job.name}: a cup of {job.grade.title}", style="bold"))
    if job.cup is not None:
        console.print(Text(f"fitted to the cup test: {job.cup.reference}"))
    for line in [*cup_lines(job, history, cup), *sentences(history.foam.notes)]:
        console.print(Text(f"- {line}"))
    console.print()
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for head in ("time", "", "height", "core", "gelling", "blowing", "density"):
        table.add_column(head, justify="left" if head == "" else "right")
    marks = {getattr(cup.times, name): words for words, name in _TIMES}
    for row in cup_rows(cup):
        table.add_row(
            units.time(row["time_s"]),
            marks.get(row["time_s"], ""),
            units.share(row["height_share"]),
            units.temperature(row["temperature_k"]),
            units.share(row["gelling"]),
            units.share(row["blowing"]),
            units.density(row["density_kg_m3"]),
        )
    console.print(table, highlight=False, markup=False)


def draw_cup(cup: CupCurve, name: str, path: Path) -> Path:
    """Draw a cup's history into a PNG file. Raises `FileError` where it cannot be written or is to be no PNG."""
    from pourwright.draw.chart_style import save_chart
    from pourwright.draw.charts import cup_chart  # loads the drawing library

    if path.suffix.lower() != ".png":
        raise FileError(f"{path} is no PNG: name a file that ends in .png.")
    return save_chart(cup_chart(cup, name), path)


def cup_json(job: Job, history: History, cup: CupCurve) -> str:
    """The same as JSON, SI, temperatures in degrees Celsius."""
    tree = {
        "schema": "pourwright.cup/1",
        "piece": job.name,
        "grade": job.grade.name,
        "cup_test": job.cup.reference if job.cup else "",
        "parts_c": celsius(job.conditions.parts_k),
        "times": {name: getattr(cup.times, name) for _, name in _TIMES},
        "peak_c": celsius(cup.peak_k),
        "rise_k": {
            "low": history.foam.rise_k.low,
            "likely": history.foam.rise_k.nominal,
            "high": history.foam.rise_k.high,
        },
        "final_density_kg_m3": cup.final_density_kg_m3,
        "largest_in_time_m3": largest_in_time_m3(job, history.foam.cream_s),
        "history": [{"temperature_c": celsius(row.pop("temperature_k")), **row} for row in cup_rows(cup)],
    }
    return escaped_json(json.dumps(rounded(tree), indent=1, ensure_ascii=False, allow_nan=False)) + "\n"
