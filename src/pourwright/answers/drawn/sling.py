"""The sheet of a slung piece: at rest under its hook, from before and from the side, and the legs in a table."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image

from pourwright import units
from pourwright.answers.drawn.panel import (
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
from pourwright.cavity import pour_frame
from pourwright.draw.ink import MARGIN, Pen
from pourwright.draw.view import FINE, View
from pourwright.outcome import Piece, SlingResult, Surface
from pourwright.physics.constants import STANDARD_GRAVITY
from pourwright.wording.checks import angle, force, leg_angle
from pourwright.wording.findings import sentences

FRONT: Rect = (230.0, 175.0, 860.0, 850.0)
SIDE: Rect = (1080.0, 175.0, 1640.0, 850.0)
MOST_ROWS = 8


def sling_sheet(piece: Piece, result: SlingResult, surface: Surface, made: str) -> Image.Image:
    """The finished piece at rest on the hook."""
    stage = result.stages[-1]
    standing = piece.frame
    up = standing.rotation.T @ stage.up
    frame = pour_frame(surface.vertices_m, up, -standing.rotation[1])
    points, hook, centre = (
        frame.to_standing(standing.to_shell(p)) for p in (result.points_m, stage.hook_m, result.centre_m)
    )
    every = np.vstack([frame.size_m, np.zeros(3), points, hook[None]])
    low, high = every.min(axis=0), every.max(axis=0)
    ends = [(low[[0, 2]], high[[0, 2]]), (np.array([-high[1], low[2]]), np.array([-low[1], high[2]]))]
    scale = 0.95 * scale_for([(b - a, rect) for (a, b), rect in zip(ends, (FRONT, SIDE), strict=True)])
    views = [
        panel_view(frame, axes, *span, rect, scale)
        for axes, span, rect in zip((FACING, FROM_LEFT), ends, (FRONT, SIDE), strict=True)
    ]
    image = blank_sheet()
    for view in views:
        image = draw_piece(image, view, surface)
    pen = Pen(image, views[0])
    weight = force(stage.kg.high * STANDARD_GRAVITY)
    words = f"Finished, at rest on the hook   ·   weight {weight} at most   ·   tilted {angle(stage.tilt_rad)}"
    pen.header(piece.name, words, piece.place)
    caption(pen, (MARGIN, 160, 0, 0), "from the front")
    caption(pen, (SIDE[0] - 110, 160, 0, 0), "from its left")
    for k, view in enumerate(views):
        _forces(pen, view, result, points, hook, centre, named=k == 0)
    bar(pen, (MARGIN, 826.0), scale)
    _words(pen, result, made)
    return finished(pen.image)


def _forces(
    pen: Pen, view: View, result: SlingResult, points: np.ndarray, hook: np.ndarray, centre: np.ndarray, *, named: bool
) -> None:
    stage = result.stages[-1]
    top = _at(view, hook)
    weight = stage.kg.high * STANDARD_GRAVITY
    written: list[Note] = []
    for leg, point in zip(stage.legs, points, strict=True):
        at = _at(view, point)
        pen.line([at, top], 1.6, halo=1.0)
        tension = 0.0 if leg.tension_n is None else leg.tension_n.high
        reach = np.asarray(top) - np.asarray(at)
        size = float(np.linalg.norm(reach))
        if tension > 0 and size > 1:
            long = min(110 * FINE * tension / weight + 20 * FINE, 0.8 * size)
            arrow(pen, at, tuple(np.asarray(at) + reach / size * long), HOLD, 3.5)
        pen.disc(at, 7.0, (250, 248, 243), HOLD, 3.0)
        if named:
            left = at[0] <= top[0]
            said = "not in balance" if leg.tension_n is None else force(tension) if tension > 0 else "slack"
            written.append(Note(at, (leg.name, said), "left" if left else "right", HOLD))
    notes(pen, written)
    pen.disc(top, 9.0, (250, 248, 243), (30, 44, 58), 3.0)
    if named:
        note(pen, (top[0] + 18 * FINE, top[1]), ["hook"], "right")
    g = _at(view, centre)
    pen.dots(top, g, 1.2, 12.0)
    arrow(pen, g, (g[0], g[1] + 105 * FINE), LOAD, 5.0)
    centre_mark(pen, g)
    note(pen, (g[0] + 22 * FINE, g[1] + 70 * FINE), [force(weight)], "right", LOAD)


def _at(view: View, point_m: np.ndarray) -> tuple[float, float]:
    x, y, _ = (float(v) for v in view.standing(point_m))
    return x, y


def _words(pen: Pen, result: SlingResult, made: str) -> None:
    rows = [
        (
            "leg",
            "length",
            "angle over level",
            "tension, finished",
            "worst stage",
            "times hoisting factor",
            "inward force",
        )
    ]
    for k, length in list(enumerate(result.lengths_m))[:MOST_ROWS]:
        last = result.stages[-1].legs[k]
        worst = max(
            (stage for stage in result.stages if stage.legs[k].tension_n is not None),
            key=lambda stage, k=k: stage.legs[k].tension_n.high,  # type: ignore[misc]
            default=None,
        )
        tension = math.nan
        if worst is not None and worst.legs[k].tension_n is not None:
            tension = worst.legs[k].tension_n.high  # type: ignore[union-attr]
        rows.append(
            (
                last.name,
                units.length(float(length)),
                leg_angle(last.angle_rad, last.slack),
                "not in balance" if last.tension_n is None else force(last.tension_n.high),
                "-" if worst is None else worst.name,
                force(tension * result.dynamic),
                force(last.inward_force_n),
            )
        )
    y = table(pen, (MARGIN, 935.0), (260, 210, 210, 240, 230, 280, 220), rows, 30.0) / FINE
    tilts = [stage for stage in result.stages if stage.hangs]
    text = "High ends of every load, at rest."
    if tilts:
        most = max(tilts, key=lambda stage: stage.greatest_tilt_rad)
        text += f" Greatest tilt {angle(most.greatest_tilt_rad)}, {most.name}."
    text += f" Hook {result.hook_words}. Hoisting factor {result.dynamic:g}."
    y = paragraph(pen, (MARGIN, y + 6), SHEET[0] - 2 * MARGIN, text) / FINE
    for line in sentences(result.warnings)[:3]:
        if y < SHEET[1] - 130:
            y = paragraph(pen, (MARGIN, y), SHEET[0] - 2 * MARGIN, f"Warning: {line}", 20, LOAD) / FINE
    foot(pen, made)
