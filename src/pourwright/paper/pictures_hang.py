"""The sheet of a hanging piece: forces on it from before and from the side, and the loads in a table."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image, ImageDraw

from pourwright import units
from pourwright.outcome import HangResult, Piece, Surface
from pourwright.paper.installer_words import force
from pourwright.paper.pictures_ink import MARGIN, QUIET, Pen
from pourwright.paper.pictures_paint import INK
from pourwright.paper.pictures_panel import (
    FACING,
    FROM_LEFT,
    HOLD,
    LOAD,
    SHEET,
    Note,
    Rect,
    arrow,
    bar,
    blank_sheet,
    caption,
    centre_mark,
    draw_piece,
    finished,
    foot,
    note,
    notes,
    panel_view,
    paragraph,
    scale_for,
    table,
)
from pourwright.paper.pictures_view import FINE, View

FRONT: Rect = (270.0, 195.0, 800.0, 800.0)
SIDE: Rect = (1200.0, 195.0, 1720.0, 800.0)
LONGEST = 105.0  # of an arrow, pixels
MOST_ROWS = 8


def hang_sheet(piece: Piece, result: HangResult, surface: Surface, made: str) -> Image.Image:
    """Free-body picture and loads of a piece on its wall, on one sheet."""
    frame = result.frame
    size = frame.size_m
    image = blank_sheet()
    wall = _wall_y(result, np.array([0.0, size[2]]))
    side_low, side_high = min(-size[1], float(-wall.max())), max(0.0, float(-wall.min()))
    spans = [(np.array([size[0], size[2]]), FRONT), (np.array([side_high - side_low, size[2]]), SIDE)]
    scale = 0.94 * scale_for(spans)
    front = panel_view(frame, FACING, np.zeros(2), size[[0, 2]], FRONT, scale)
    side = panel_view(frame, FROM_LEFT, np.array([side_low, 0.0]), np.array([side_high, size[2]]), SIDE, scale)
    image = draw_piece(draw_piece(image, front, surface), side, surface)
    pen = Pen(image, front)
    tilt = math.degrees(result.tilt_rad)
    words = f"Forces on the hanging piece   ·   weight {force(result.weight_n.high)} at most"
    if abs(tilt) > 0.5:
        words += f"   ·   wall {'leans back' if tilt > 0 else 'OVERHANGS'} {abs(tilt):.0f}°"
    pen.header(piece.name, words, piece.place)
    caption(pen, (MARGIN, FRONT[1] - 22, 0, 0), "facing the wall")
    caption(pen, (SIDE[0] + 40, SIDE[1] - 22, 0, 0), "from its left")
    unit = LONGEST * FINE / max(result.weight_n.high, 1e-9)
    _front(pen, front, result, unit)
    _side(pen, side, result, unit)
    bar(pen, (MARGIN, 826.0), scale)
    _words(pen, result, made)
    return finished(pen.image)


def _wall_y(result: HangResult, height_m: np.ndarray) -> np.ndarray:
    """Depth of the wall at heights, in the axes of the frame."""
    sin, cos = math.sin(result.tilt_rad), math.cos(result.tilt_rad)
    return np.asarray((sin * height_m - result.wall_at_m) / cos)


def _at(view: View, point_m: np.ndarray) -> tuple[float, float]:
    x, y, _ = (float(v) for v in view.standing(point_m))
    return x, y


def _front(pen: Pen, view: View, result: HangResult, unit: float) -> None:
    centre = _at(view, result.centre_m)
    places = [_at(view, load.place_m) for load in result.anchors]
    few, said = len(places) <= 8, []
    for load, at in zip(result.anchors, places, strict=True):
        # What the anchor does to the piece is against what the piece does to the anchor.
        reach = np.array([-load.shear_way[0], load.shear_way[1]]) * max(load.shear_n.high * unit, 16 * FINE)
        arrow(pen, at, (at[0] + reach[0], at[1] + reach[1]), HOLD)
        pen.disc(at, 9.0, (250, 248, 243), HOLD, 3.0)
        left = at[0] <= centre[0]
        lines = [load.name, f"{force(load.shear_n.high)} along"] if few else [load.name]
        if few and load.pull_n is not None:
            lines.append(f"{force(load.pull_n.high)} out")
        said.append(Note(at, tuple(lines), "left" if left else "right", HOLD))
    notes(pen, said)
    arrow(pen, centre, (centre[0], centre[1] + LONGEST * FINE), LOAD, 5.0)
    centre_mark(pen, centre)
    note(pen, (centre[0] + 22 * FINE, centre[1] + 60 * FINE), [force(result.weight_n.high)], "right", LOAD)


def _side(pen: Pen, view: View, result: HangResult, unit: float) -> None:
    size = result.frame.size_m
    heights = np.array([-0.03, 1.03]) * size[2]
    depth = _wall_y(result, heights)
    ends = [_at(view, np.array([0.0, d, h])) for d, h in zip(depth, heights, strict=True)]
    _hatched(pen, ends[0], ends[1])
    centre = _at(view, result.centre_m)
    seen: dict[int, float] = {}
    for load in result.anchors:
        at = _at(view, load.place_m)
        row = round(at[1] / (24 * FINE))
        pull = 0.0 if load.pull_n is None else load.pull_n.high
        seen[row] = max(seen.get(row, 0.0), pull)
    for row, pull in sorted(seen.items()):
        names = [lo for lo in result.anchors if round(_at(view, lo.place_m)[1] / (24 * FINE)) == row]
        at = _at(view, names[0].place_m)
        arrow(pen, at, (at[0] - max(pull * unit, 16 * FINE), at[1]), HOLD)
        pen.disc(at, 7.0, (250, 248, 243), HOLD, 3.0)
        each = " each, at most" if len(names) > 1 else ""
        note(pen, (at[0] - max(pull * unit, 16 * FINE) - 14 * FINE, at[1]), [force(pull) + each], "left", HOLD, 19)
    if result.pivot_m is not None and result.bearing_n is not None:
        height = result.pivot_m * math.cos(result.tilt_rad)
        at = _at(view, np.array([0.0, float(_wall_y(result, np.array([height]))[0]), height]))
        arrow(pen, (at[0] - max(result.bearing_n.high * unit, 16 * FINE), at[1]), at, HOLD)
        note(
            pen,
            (at[0] - max(result.bearing_n.high * unit, 16 * FINE) - 14 * FINE, at[1]),
            [force(result.bearing_n.high), "where it bears"],
            "left",
            HOLD,
            19,
        )
    arrow(pen, centre, (centre[0], centre[1] + LONGEST * FINE), LOAD, 5.0)
    centre_mark(pen, centre)
    note(pen, (centre[0] + 22 * FINE, centre[1] + 60 * FINE), [force(result.weight_n.high)], "right", LOAD)
    # How far the weight stands off the wall.
    foot_y = max(ends[0][1], centre[1]) + 18 * FINE
    wall_x = ends[0][0] + (ends[1][0] - ends[0][0]) * (centre[1] - ends[0][1]) / (ends[1][1] - ends[0][1])
    for x in (wall_x, centre[0]):
        pen.line([(x, centre[1] if x == centre[0] else ends[0][1]), (x, foot_y + 8 * FINE)], 1.0, QUIET)
    pen.line([(wall_x, foot_y), (centre[0], foot_y)], 1.6)
    off = units.tape(result.standoff_m)
    pen.text((0.5 * (wall_x + centre[0]), foot_y + 26 * FINE), off, "plain", 20, INK, "ms")


def _hatched(pen: Pen, a: tuple[float, float], b: tuple[float, float]) -> None:
    draw = ImageDraw.Draw(pen.image)
    p, q = np.asarray(a), np.asarray(b)
    along = (q - p) / np.linalg.norm(q - p)
    into = np.array([along[1], -along[0]])
    into = into if into[0] < 0 else -into
    for t in np.arange(0.0, float(np.linalg.norm(q - p)), 16 * FINE):
        start = p + along * t
        end = start + (into + along * 0.6) * 16 * FINE
        draw.line([tuple(start), tuple(end)], fill=QUIET, width=FINE)
    pen.line([a, b], 3.0)


def _words(pen: Pen, result: HangResult, made: str) -> None:
    heads = ("anchor", "from left", "up", "shear", "pull", "one gone: shear", "one gone: pull", "checks")
    rows = [heads]
    for load in result.anchors[:MOST_ROWS]:
        rows.append(
            (
                load.name,
                units.tape(float(load.place_m[0])),
                units.tape(float(load.place_m[2])),
                force(load.shear_n.high),
                "not known" if load.pull_n is None else force(load.pull_n.high),
                force(load.one_gone_shear_n) if math.isfinite(load.one_gone_shear_n) else "falls or swings",
                force(load.one_gone_pull_n) if math.isfinite(load.one_gone_pull_n) else "falls or swings",
                _verdict(load.checks),
            )
        )
    y = table(pen, (MARGIN, 935.0), (220, 215, 215, 180, 180, 200, 200, 320), rows, 30.0) / FINE
    if len(result.anchors) > MOST_ROWS:
        pen.text((MARGIN * FINE, y * FINE), f"and {len(result.anchors) - MOST_ROWS} more, see hang.md", "plain", 20)
        y += 28
    factor = "no design factor named" if result.factor is None else f"design factor {result.factor.value:g}"
    kg, centre = result.kg, result.centre_m
    text = (
        f"High ends of every load. Weight {units.mass(kg.nominal)}, from {units.mass(kg.low)} to "
        f"{units.mass(kg.high)}; centre of mass {units.tape(float(centre[0]))} from the left, "
        f"{units.tape(float(centre[2]))} up. {factor.capitalize()}. Outline: "
        f"{units.area(result.views[0].area_m2)} from the front, "
        f"{units.area(result.views[1].area_m2)} from the side, {units.area(result.views[2].area_m2)} from above; wind "
        "is not in the loads."
    )
    y = paragraph(pen, (MARGIN, y + 6), SHEET[0] - 2 * MARGIN, text) / FINE
    for line in result.warnings[:2]:
        if y < SHEET[1] - 110:
            y = paragraph(pen, (MARGIN, y), SHEET[0] - 2 * MARGIN, f"Warning: {line}", 20, LOAD) / FINE
    foot(pen, made)


def _verdict(checks: tuple) -> str:  # type: ignore[type-arg]
    over = [check for check in checks if check.verdict == "over"]
    unknown = [check for check in checks if check.verdict == "unknown"]
    if over:
        return f"OVER: {over[0].name.split(': ', 1)[-1]}"
    return f"holds; {len(unknown)} not checked" if unknown else "holds" if checks else "not checked"
