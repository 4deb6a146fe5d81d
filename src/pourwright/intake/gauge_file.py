"""A thickness map: one row a point, as an ultrasonic gauge's list is kept."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

import numpy as np

from pourwright.errors import JobError
from pourwright.plainfile import read_file, real
from pourwright.shell import WallGauge

COLUMNS = ("x", "y", "z", "thickness")
TO_M = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}
MOST_ROWS, MOST_BYTES = 5000, 2_000_000
HEAD = "its first line must name x, y, z and thickness, each with its unit, like x_mm,y_mm,z_mm,thickness_mm"


def gauge_of(folder: Path, said: str, spread: float, thinnest_m: float, thickest_m: float) -> WallGauge:
    """The map of a file in a job's folder.

    Raises
    ------
    JobError
        It is not there, or a row is not four numbers within what a wall may be.
    """
    rows = _rows(_text(folder, said), said)
    units = _units(rows[0][1], said)
    values = []
    for number, row in rows[1:]:
        try:
            cells = [float(row[column].strip()) * scale for column, scale in units]
        except (ValueError, IndexError):
            raise JobError("wall.map", said, f"line {number} is not four numbers: {','.join(row)[:60]}") from None
        if not all(math.isfinite(cell) and abs(cell) < 1e3 for cell in cells):
            raise JobError("wall.map", said, f"line {number} holds a number that is no place or no thickness")
        if not thinnest_m <= cells[3] <= thickest_m:
            raise JobError(
                "wall.map", said, f"line {number}: a wall is {thinnest_m * 1e3:g} mm to {thickest_m * 1e3:g} mm thick"
            )
        values.append(cells)
    if not values:
        raise JobError("wall.map", said, "it holds no point: give one row a point")
    table = np.array(values)
    table.setflags(write=False)
    return WallGauge(Path(said).name, table[:, :3], table[:, 3], spread)


def _text(folder: Path, said: str) -> str:
    inside = "it must lie in the job file's folder or below it: put it there and give its name"
    if Path(said).is_absolute() or ".." in Path(said).parts or "\\" in said or ":" in said or "\0" in said:
        raise JobError("wall.map", said, inside)
    try:
        path = real(folder / said)
        if not path.is_relative_to(real(folder)):
            raise JobError("wall.map", said, f"it leads out of the folder; {inside}")
        if not path.is_file():
            raise JobError("wall.map", said, "there is no such file beside the job file")
        if path.stat().st_size > MOST_BYTES:
            raise JobError("wall.map", said, f"it is larger than {MOST_BYTES // 10**6} MB: give fewer points")
        return read_file(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise JobError("wall.map", said, "it is not plain text: save the list as CSV") from None
    except (OSError, RuntimeError):
        raise JobError("wall.map", said, "it cannot be read: give a plain CSV file") from None


def _rows(text: str, said: str) -> list[tuple[int, list[str]]]:
    """Rows with something in them, each with its line in the file; commas, semicolons or tabs between cells."""
    first = text.lstrip().split("\n", 1)[0]
    mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=mark)
    try:
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error:
        raise JobError("wall.map", said, "it is no table: one row a point, commas between cells") from None
    if not rows:
        raise JobError("wall.map", said, HEAD)
    if len(rows) > MOST_ROWS + 1:
        raise JobError("wall.map", said, f"it has {len(rows) - 1} points, {MOST_ROWS} are the most: leave some out")
    return rows


def _units(head: list[str], said: str) -> list[tuple[int, float]]:
    """Column and metres a unit of x, y, z and thickness."""
    found: dict[str, tuple[int, float]] = {}
    for column, cell in enumerate(head):
        name, _, unit = cell.strip().lower().rpartition("_")
        if name in COLUMNS and unit in TO_M:
            found[name] = column, TO_M[unit]
    if len(found) < len(COLUMNS):
        raise JobError("wall.map", said, HEAD)
    return [found[name] for name in COLUMNS]
