"""The sheet of a standing piece: which way it tips, the ground it covers, and how steady it is stage by stage."""

from __future__ import annotations

import math

import numpy as np
import shapely
from PIL import Image, ImageDraw

from pourwright import units
from pourwright.answers.drawn.panel import (
    FROM_ABOVE,
    HOLD,
    LOAD,
    SHEET,
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
    panel_view,
    paragraph,
    scale_for,
    table,
)
from pourwright.draw.ink import MARGIN, QUIET, Pen
from pourwright.draw.paint import INK
from pourwright.draw.view import FINE, View
from pourwright.outcome import Piece, StandResult, Surface, way_words
from pourwright.wording.checks import angle, force
from pourwright.wording.findings import sentences

SIDE: Rect = (180.0, 185.0, 900.0, 800.0)
PLAN: Rect = (1060.0, 185.0, 1700.0, 800.0)
PALE = (228, 222, 211)
MOST_ROWS = 8


def stand_sheet(piece: Piece, result: StandResult, surface: Surface, made: str) -> Image.Image:
    """The finished piece seen so that it tips to the right, and its base from above."""
    frame, last = result.frame, result.stages[-1]
    way = np.array([last.way[0], last.way[1], 0.0])
    axes = (tuple(way), (0.0, 0.0, 1.0), (float(way[1]), -float(way[0]), 0.0))
    corners = frame.to_standing(surface.vertices_m)
    base = shapely.get_coordinates(result.support)
    along = np.concatenate([corners @ way, base @ way[:2]])
    side = np.array([along.min(), min(result.ground_m, 0.0)]), np.array([along.max(), corners[:, 2].max()])
    flat = np.vstack([corners[:, :2], base])
    plan = flat.min(axis=0), flat.max(axis=0)
    scales = [0.95 * scale_for([(b - a, rect)]) for (a, b), rect in ((side, SIDE), (plan, PLAN))]
    from_side = panel_view(frame, axes, *side, SIDE, scales[0])
    above = panel_view(frame, FROM_ABOVE, *plan, PLAN, scales[1])
    image = draw_piece(draw_piece(blank_sheet(), from_side, surface), above, surface, PALE)
    pen = Pen(image, from_side)
    words = f"Standing, finished   ·   weight {units.mass(last.kg.nominal)}   ·   "
    words += f"tips at {angle(last.angle_rad.low)} at least" if last.angle_rad.low > 0 else "FALLS by itself"
    pen.header(piece.name, words, piece.place)
    caption(pen, (MARGIN, 165, 0, 0), f"seen so that it tips to the right ({way_words(last.way)})")
    caption(pen, (PLAN[0], 165, 0, 0), "from above, its front below")
    _side(pen, from_side, result)
    _plan(pen, above, result)
    bar(pen, (MARGIN, 826.0), scales[0])
    bar(pen, (PLAN[0], 826.0), scales[1])
    _words(pen, result, made)
    return finished(pen.image)


def _at(view: View, point_m: np.ndarray) -> tuple[float, float]:
    x, y, _ = (float(v) for v in view.standing(point_m))
    return x, y


def _side(pen: Pen, view: View, result: StandResult) -> None:
    last = result.stages[-1]
    centre, way = last.centre_m, np.array([last.way[0], last.way[1], 0.0])
    left, right = SIDE[0] - 60, SIDE[2] + 60
    ground_y = _at(view, np.array([0.0, 0.0, result.ground_m]))[1]
    pen.line([(left * FINE, ground_y), (right * FINE, ground_y)], 2.4)
    below = centre.copy()
    below[2] = result.ground_m
    edge = _at(view, below + way * last.edge_m.nominal)
    g, plumb = _at(view, centre), _at(view, below)
    pen.dots(g, plumb, 1.6, 11.0)
    pen.line([edge, g], 1.6, HOLD, halo=1.0)
    radius = 0.45 * math.hypot(g[0] - edge[0], g[1] - edge[1])
    start = math.degrees(math.atan2(g[1] - edge[1], g[0] - edge[0]))
    box = (edge[0] - radius, edge[1] - radius, edge[0] + radius, edge[1] + radius)
    if last.angle_rad.nominal > 0:
        ImageDraw.Draw(pen.image).arc(box, start, -90.0, fill=HOLD, width=3 * FINE)
    pen.line([edge, (edge[0], edge[1] - 1.15 * radius)], 1.0, QUIET)
    pen.triangle((edge[0], edge[1] + 12 * FINE), 11.0, -1.0, INK)
    note(pen, (edge[0] + 16 * FINE, edge[1] - 0.75 * radius), [angle(last.angle_rad.nominal), "to tip"], "right", HOLD)
    arrow(pen, g, (g[0], g[1] + 95 * FINE), LOAD, 5.0)
    if last.push_n is not None:
        arrow(pen, (g[0] - 120 * FINE, g[1]), (g[0] - 16 * FINE, g[1]), HOLD)
        note(pen, (g[0] - 128 * FINE, g[1]), [force(last.push_n.low), "tips it"], "left", HOLD)
    centre_mark(pen, g)
    note(pen, (g[0] + 22 * FINE, g[1] - 30 * FINE), [units.mass(last.kg.nominal)], "right", LOAD)


def _plan(pen: Pen, view: View, result: StandResult) -> None:
    if isinstance(result.support, shapely.Polygon):
        ring = [_at(view, np.array([x, y, 0.0])) for x, y in shapely.get_coordinates(result.support)]
        pen.line(ring, 3.0, HOLD, halo=1.5)
    if isinstance(result.bare_support, shapely.Polygon) and not result.bare_support.equals(result.support):
        ring = [_at(view, np.array([x, y, 0.0])) for x, y in shapely.get_coordinates(result.bare_support)]
        pen.line(ring, 2.0, QUIET, halo=1.5)
        x, y = max(ring)
        note(pen, (x + 12 * FINE, y), ["the shell's own feet"], "right", QUIET, 19)
    for stage in result.stages[:-1]:
        pen.disc(_at(view, stage.centre_m), 4.0, LOAD)
    last = result.stages[-1]
    g = _at(view, last.centre_m)
    tip = (g[0] + last.way[0] * 90 * FINE, g[1] - last.way[1] * 90 * FINE)
    arrow(pen, g, tip, HOLD, 3.5)
    centre_mark(pen, g, 11.0)


def _words(pen: Pen, result: StandResult, made: str) -> None:
    heads = ("stage", "weight", "centre to edge", "tips at, at least", "push at the centre", "push at the top")
    chosen = list(result.stages)
    if len(chosen) > MOST_ROWS:  # the least steady ones, and always the first and the last
        order = sorted(range(1, len(chosen) - 1), key=lambda k: chosen[k].angle_rad.low)[: MOST_ROWS - 2]
        chosen = [chosen[k] for k in sorted([0, *order, len(chosen) - 1])]
    rows = [heads]
    for stage in chosen:
        rows.append(
            (
                stage.name,
                units.mass(stage.kg.nominal),
                units.length(stage.edge_m.low),
                angle(stage.angle_rad.low),
                "does not stand" if stage.push_n is None else force(stage.push_n.low),
                "does not stand" if stage.top_push_n is None else force(stage.top_push_n.low),
            )
        )
    y = table(pen, (MARGIN, 935.0), (250, 280, 290, 290, 300, 300), rows, 29.0) / FINE
    text = f"Low ends: the worst place of the centre of mass. Ground sloping {angle(result.slope_rad)}, nothing held."
    if len(rows) - 1 < len(result.stages):
        text += " The least steady stages are shown; stand.md has all."
    y = paragraph(pen, (MARGIN, y + 4), SHEET[0] - 2 * MARGIN, text) / FINE
    for line in sentences(result.warnings)[:2]:
        if y < SHEET[1] - 100:
            y = paragraph(pen, (MARGIN, y), SHEET[0] - 2 * MARGIN, f"Warning: {line}", 19, LOAD) / FINE
    foot(pen, made)
