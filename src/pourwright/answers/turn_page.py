"""The ranking of ways up: a table for the terminal, sentences, and JSON."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright.answers.answer_files import write_into
from pourwright.document.rounding import rounded
from pourwright.document.values import point
from pourwright.plaintext import escaped_json
from pourwright.turn import Confirmed, Turn, Way, direction_line, near_signs, stands_words

SCHEMA = "pourwright.turn/1"
HEADS = ("", "Up", "Work", "Last", "Pours", "Holes", "Pools", "Pockets", "Close", "Peak", "Tall", "Cradle")


def print_turn(turn: Turn, console: Console) -> None:
    """Print the ranking, why the best is the best, and the line for the job file."""
    place = f", {turn.place}" if turn.place else ""
    console.print(Text(f"{turn.name}{place}: which way up to pour", style="bold"))
    console.print(
        Text(f"{len(turn.ways)} directions looked at, {len(turn.best)} in full; {turn.symmetry.words}"), soft_wrap=True
    )
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    for k, head in enumerate(HEADS):
        table.add_column(Text(head), justify="left" if k < 2 else "right", overflow="fold", no_wrap=k != 1)
    for number, one in enumerate(turn.best, start=1):
        table.add_row(*(Text(cell) for cell in _row(number, one, turn)))
    console.print(table)
    console.print(
        Text("Last: hours to the last pour. Holes: to drill for foam and for air. Tall: height on the bench.")
    )
    for line in turn.why:
        console.print(Text(line))
    for number, one in enumerate(turn.best, start=1):
        console.print(Text(f"{number}: it {stands_words(one.way)}."))
    console.print()
    console.print(Text("Warnings", style="bold"))
    for line in turn.warnings:
        console.print(Text(f"- {line}"))
    console.print()
    over = ", once what is over is cured" if turn.best[0].over else ""
    console.print(Text(f"For the job file, under [piece]{over}:"))
    console.print(Text(direction_line(turn.best[0].way.up)), soft_wrap=True)


def _row(number: int, one: Confirmed, turn: Turn) -> tuple[str, ...]:
    way = one.way
    name = f"{number}" + (" job" if one is turn.drawn else "") + (" over" if one.over else "")
    return (
        name,
        near_signs(way.up).replace(" degrees from ", "° from ").replace(" towards ", " to "),
        f"{way.work_h:.1f} h",
        f"{way.last_h:.1f} h",
        str(way.pours),
        f"{one.ports} + {one.vents}",
        _depths(way.pool_m[1:], len(way.pool_m)),
        _depths(way.pocket_m[~way.vented], len(way.pocket_m)),
        str(len(way.close)),
        f"{way.peak_pa / 1e3:.0f} kPa",
        f"{way.height_m * 1e3:.0f} mm",
        "blocks" if way.blocks_rad > 0 else "none" if way.cradle_m <= 0 else f"{way.cradle_m * 1e3:.0f} mm",
    )


def _depths(depths: Any, count: int) -> str:
    """How many, and the deepest of those that cost work."""
    return f"{count} ({max(depths) * 1e3:.0f} mm)" if len(depths) else str(count)


def turn_json(turn: Turn) -> str:
    """The whole ranking as JSON: SI, the shell file's axes, ways coarse and best in full, best first."""
    tree = {
        "schema": SCHEMA,
        "piece": turn.name,
        "place": turn.place,
        "shell_sha256": turn.skin.sha256,
        "up": point(turn.best[0].way.up),
        "line": direction_line(turn.best[0].way.up),
        "why": list(turn.why),
        "warnings": list(turn.warnings),
        "symmetry": turn.symmetry.words,
        "folded": turn.folded,
        "coarse_cell_m": turn.cell_m,
        "coarse_ripple_m": turn.ripple_m,
        "rates": {
            name: {"value": rate.value, "unit": rate.unit, "how_known": rate.words(), "note": rate.note}
            for name, rate in turn.rates.items()
        },
        "best": [
            {
                **_way(one.way),
                "in_words": near_signs(one.way.up),
                "held": stands_words(one.way),
                "as_in_the_job": one is turn.drawn,
                "cell_m": one.cell_m,
                "lifts": one.lifts,
                "drilled_ports": one.ports,
                "drilled_vent_holes": one.vents,
                "caution_time_kept_with_margins": one.kept,
                "over": list(one.over),
                "worst_value_over_limit": one.worst,
                "unknown": list(one.unknown),
            }
            for one in turn.best
        ],
        "ways": [_way(way) for way in turn.ways],
    }
    return escaped_json(json.dumps(rounded(tree), indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def _way(way: Way) -> dict[str, Any]:
    return {
        "up": point(way.up),
        "work_h": way.work_h,
        "hours": way.hours,
        "pours": way.pours,
        "hours_to_last_pour": way.last_h,
        "pool_depth_m": [float(d) for d in way.pool_m],
        "pocket_depth_m": [float(d) for d in way.pocket_m],
        "pocket_vented_by_opening": [bool(v) for v in way.vented],
        "drilled_vents": way.drilled,
        "close": list(way.close),
        "peak_pa": way.peak_pa,
        "height_m": way.height_m,
        "tip_rad": way.tip_rad,
        "cradle_m": way.cradle_m,
        "blocks_rad": way.blocks_rad,
    }


def write_turn(turn: Turn, folder: Path, *, pictures: bool = True) -> tuple[Path, ...]:
    """Write ``turn.json`` and ``turn.png`` into a folder, which is made; each appears whole or not at all.

    Raises
    ------
    FileError
        The folder cannot be made or written, or holds a file of that name that is not as this program wrote it.
    """
    files: dict[str, bytes] = {}
    if pictures:
        from pourwright.answers.drawn.turn import turn_sheet  # loads drawing libraries

        kept = io.BytesIO()
        turn_sheet(turn).save(kept, format="PNG", compress_level=6)
        files["turn.png"] = kept.getvalue()
    files["turn.json"] = turn_json(turn).encode()
    return write_into(folder, files)
