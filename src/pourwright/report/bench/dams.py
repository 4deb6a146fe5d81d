"""Dams at full size: one SVG a board, all of them in one DXF, with measures to check the print by."""

from __future__ import annotations

import io
import math
from pathlib import Path

import ezdxf
import numpy as np
import shapely
from ezdxf.filemanagement import new
from shapely import affinity

from pourwright import units
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.plan import RibbedPlan
from pourwright.ribs import Dam

EDGE_MM = 20.0
"""Round the drawing; the check bar stands under it."""


def draw_dams(plan: RibbedPlan, folder: Path) -> tuple[Path, ...]:
    """Write ``dam_1.svg`` … and ``dams.dxf`` into a folder that exists; nothing where no rib needs a dam."""
    files = []
    for number, dam in enumerate(plan.ribbed.dams, start=1):
        files.append(folder / f"dam_{number}.svg")
        files[-1].write_text(shown(dam_svg(plan, dam)), encoding="utf-8", newline="\n")
    if files:
        files.append(folder / "dams.dxf")
        files[-1].write_text(shown(dams_dxf(plan)), encoding="utf-8", newline="\n")
    return tuple(files)


def saw_lines(dam: Dam) -> list[tuple[np.ndarray, np.ndarray]]:
    """Where a board is sawn into its strips: ends (2,) of each line, along the longer side of the box round it."""
    if dam.strips < 2:
        return []
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(dam.shape))[:4]
    sides = np.roll(corners, -1, axis=0) - corners
    if np.linalg.norm(sides[0]) < np.linalg.norm(sides[1]):
        corners, sides = np.roll(corners, -1, axis=0), np.roll(sides, -1, axis=0)
    out = []
    for k in range(1, dam.strips):
        start = corners[0] - k / dam.strips * sides[3]
        line = shapely.intersection(shapely.LineString([start, start + sides[0]]), dam.shape)
        ends = shapely.get_coordinates(line)
        if len(ends) >= 2:
            out.append((ends[0], ends[-1]))
    return out


def dam_svg(plan: RibbedPlan, dam: Dam) -> str:
    """One board at true scale, seen from above, the front of the piece at the foot of the sheet."""
    left, front, right, back = dam.shape.bounds
    wide, deep = 1e3 * (right - left), 1e3 * (back - front)

    def on_paper(points: np.ndarray) -> np.ndarray:
        return np.column_stack([1e3 * (points[:, 0] - left), 1e3 * (back - points[:, 1])])

    rings = [ring for part in dam.shape.geoms for ring in (part.exterior, *part.interiors)]
    saws = [on_paper(np.array(line)) for line in saw_lines(dam)]
    return page_maker().get_template("dam.svg").render(
        wide=wide, deep=deep, edge=EDGE_MM,
        path=" ".join(_path(on_paper(np.array(ring.coords)[:, :2])) + "Z" for ring in rings),
        saws=[_path(line) for line in saws],
        across=units.tape(right - left), along=units.tape(back - front),
        title=f"{plan.job.name}, {dam.name}; 1:1, seen from above, front of the piece below",
        place=f"upper face {units.tape(dam.height_m)} above the base; left edge {units.tape(left)} from the left, "
        f"front edge {units.tape(front)} from the front of the piece",
    )  # fmt: skip


def dams_dxf(plan: RibbedPlan) -> str:
    """All boards in one drawing, millimetres, side by side: a layer each, saw lines and measures on their own."""
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]  # no clock, no chance in it
    drawing = new("R2010", units=ezdxf.units.MM)
    space = drawing.modelspace()
    for name in ("SAW", "CHECK"):
        drawing.layers.add(name)
    at = 0.0
    for number, dam in enumerate(plan.ribbed.dams, start=1):
        layer = drawing.layers.add(f"DAM_{number}").dxf.name
        left, front, right, back = dam.shape.bounds
        moved = affinity.translate(dam.shape, -left, -front)
        for part in moved.geoms:
            for ring in (part.exterior, *part.interiors):
                points = [(1e3 * x + at, 1e3 * y) for x, y, *_ in ring.coords[:-1]]
                space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
        for line in saw_lines(dam):
            a, b = ((1e3 * (x - left) + at, 1e3 * (y - front)) for x, y in line)
            space.add_line(a, b, dxfattribs={"layer": "SAW"})
        wide, deep = 1e3 * (right - left), 1e3 * (back - front)
        space.add_line((at, -15.0), (at + 100.0, -15.0), dxfattribs={"layer": "CHECK"})
        words = (
            f"{dam.name}: front below, seen from above; {wide:.0f} mm wide, {deep:.0f} mm deep; the line under it is "
            "100 mm"
        )
        space.add_text(words, height=6, dxfattribs={"layer": "CHECK", "insert": (at, -28.0)})
        at += math.ceil(max(wide, 100.0) / 50.0) * 50.0 + 50.0
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().replace("\r\n", "\n")


def _path(points: np.ndarray) -> str:
    return "M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in points)
