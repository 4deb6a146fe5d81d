"""Ways of filling side by side: a table for the terminal, JSON and the chart."""

from __future__ import annotations

import io
import json
import math
from pathlib import Path
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.answers.answer_files import write_into
from pourwright.answers.fill_words import as_setting, fill_table
from pourwright.document.rounding import rounded
from pourwright.document.values import known
from pourwright.plaintext import escaped_json
from pourwright.ways import LEAST_SKIN_M, Answer, Sandwich, Way, Ways

SCHEMA = "pourwright.ways/1"
HEADS = ("Way", "Total", "Foam", "To buy", "Panel", "Body", "Hours", "Hot", "Inside", "Cost")


def print_ways(found: Ways, console: Console) -> None:
    """Print the table and what its columns are."""
    place = f", {found.place}" if found.place else ""
    console.print(Text(f"{found.name}{place}: ways of filling it", style="bold"))
    priced = any(math.isfinite(way.cost) for way in found.ways)
    heads = HEADS if priced else HEADS[:-1]
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    for k, head in enumerate(heads):
        table.add_column(Text(head), justify="left" if k == 0 else "right")
    for number, way in enumerate(found.ways, start=1):
        table.add_row(*(Text(cell) for cell in _row(number, way)[: len(heads)]))
    console.print(table)
    for line in (
        "* no other way beats it in total weight, stiffness of the panel and hours.",
        "Panel: the flattest panel pushed in, times as stiff as bare, as counted for this skin's bond. Body: the whole "
        "piece in bending. Hours: from the first mix to the last foam set. Hot: hours above the caution temperature, "
        "of a lining by the formula of a slab. Inside: share that gets foam.",
        "On coarse cells, by a quick plan's formulas: plan the way you choose. With --out DIR here that is "
        "pourwright plan JOB --way DIR:NUMBER.",
        *found.skipped,
    ):
        console.print(Text(line))


def _row(number: int, way: Way) -> tuple[str, ...]:
    mark = (
        f"{number:>2} "
        + ("* " if not way.beaten else "  ")
        + way.name
        + (" OVER: " + ", ".join(way.over) if way.over else "")
    )
    mark += " NOT KNOWN: " + ", ".join(way.unknown) if way.unknown else ""
    return (
        mark, units.mass(way.total_kg), units.mass(way.foam_kg), units.mass(way.liquids_kg), _times(way.gain),
        _times(way.body), _hours(way.hours), _hours(way.dose_h), f"{way.coverage:.0%}",
        f"{way.cost:.0f}" if math.isfinite(way.cost) else "-",
    )  # fmt: skip


def _times(gain: float) -> str:
    return f"{gain:.2f}x" if math.isfinite(gain) else "not known"


def _hours(hours: float) -> str:
    return f"{hours:.1f} h" if math.isfinite(hours) else "not known"


def print_answer(answer: Answer, console: Console) -> None:
    """Print what was found, from its plan."""
    if answer.plan is None:
        return
    outcome = answer.plan.outcome
    console.print(Text(f"{answer.plan.job.name}: {answer.question}", style="bold"))
    console.print(
        Text(
            f"{answer.words}: {units.mass(outcome.total_kg.nominal)}, from {units.mass(outcome.total_kg.low)} to "
            f"{units.mass(outcome.total_kg.high)}; the flattest panel {_times(answer.gain)} as stiff as bare."
        ),
        soft_wrap=True,
    )
    if answer.panel is not None:
        console.print(Text(_free_wall(*answer.panel)), soft_wrap=True)
    console.print(Text(f"To plan it: {as_setting(fill_table(answer.plan.job.fill))}"), soft_wrap=True)


def _free_wall(now: Sandwich, best: Sandwich) -> str:
    """What the flattest panel would weigh with its wall free too."""
    has = f"{units.length(now.skin_m)} of skin and {units.length(now.foam_m)} of foam where the lining is thinnest"
    if best == now:
        return f"Flattest panel: {has}, {_areal(now)}; no other wall with its foam weighs less at that stiffness."
    least = ", the thinnest that is offered," if best.skin_m <= LEAST_SKIN_M * (1 + 1e-6) else ""
    return (
        f"Flattest panel: {has}, {_areal(now)}. With the wall free as well {units.length(best.skin_m)} of skin{least} "
        f"and {units.length(best.foam_m)} of foam are as stiff, at {_areal(best)}: bending of a bonded flat panel by "
        "formula, no word on dents, strength or the pressure of the pours."
    )


def _areal(panel: Sandwich) -> str:
    return f"{units.mass(panel.kg_m2)} on every m² (10.8 ft²)"


def ways_json(found: Ways) -> str:
    """The text of ``ways.json``; null: not known."""
    tree: dict[str, Any] = {
        "schema": SCHEMA,
        "piece": found.name,
        "place": found.place,
        "shell_sha256": found.shell_sha256,
        "ways": [
            {
                "number": number,
                "name": way.name,
                "fill": fill_table(way.rules),
                "style": way.rules.style,
                "thickness_m": way.rules.thickness_m,
                "parts": [
                    {"name": one.name, "thickness_m": one.thickness_m, "solid": one.solid} for one in way.rules.parts
                ],
                "by": way.rules.by if way.rules.style == "lining" else None,
                "turning": way.rules.turning if (way.rules.style, way.rules.by) == ("lining", "turning") else None,
                "foam_kg": way.foam_kg,
                "total_kg": way.total_kg,
                "liquids_kg": way.liquids_kg,
                "panel_gain": known(way.gain),
                "body_gain": known(way.body),
                "hours": known(way.hours),
                "dose_h": known(way.dose_h),
                "cost": known(way.cost),
                "coverage": way.coverage,
                "solid_share": way.solid_share,
                "over": list(way.over),
                "unknown": list(way.unknown),
                "bands_m": [list(band) for band in way.rules.ribs.bands_m] if way.rules.ribs is not None else None,
                "beaten": way.beaten,
            }
            for number, way in enumerate(found.ways, start=1)
        ],
        "skipped": list(found.skipped),
    }
    return escaped_json(json.dumps(rounded(tree), indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def write_ways(found: Ways, folder: Path, *, pictures: bool = True) -> tuple[Path, ...]:
    """Write ``ways.json`` and ``ways.png`` into a folder, which is made; each appears whole or not at all.

    Raises
    ------
    FileError
        The folder cannot be made or written, or holds a file of that name that is not as this program wrote it.
    """
    files: dict[str, bytes] = {}
    if pictures:
        from pourwright.draw.ways import ways_chart  # loads drawing libraries

        kept = io.BytesIO()
        figure = ways_chart(found)
        figure.savefig(kept, format="png", metadata={"Software": None}, facecolor=figure.get_facecolor())
        files["ways.png"] = kept.getvalue()
    files["ways.json"] = ways_json(found).encode()
    return write_into(folder, files)
