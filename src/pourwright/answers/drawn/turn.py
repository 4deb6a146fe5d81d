"""The sheet of ways up: every direction in the colour of its work, and the best few as they would stand."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from scipy.spatial import KDTree

from pourwright.answers.drawn.panel import (
    HOLD,
    SHEET,
    Rect,
    bar,
    blank_sheet,
    caption,
    draw_piece,
    finished,
    panel_view,
    paragraph,
    scale_for,
)
from pourwright.cavity import pour_frame
from pourwright.draw.ink import MARGIN, QUIET, Pen
from pourwright.draw.paint import INK, PAPER, ladder
from pourwright.draw.view import AZIMUTH_DEG, FINE, View
from pourwright.outcome import Surface
from pourwright.turn import Confirmed, Turn, direction_line, facts, near_signs, stands_words

RADIUS = 205
DISCS = ((270, 400), (270, 940))  # middles of the two halves of the sphere
PANELS: tuple[Rect, ...] = (
    (590, 180, 1150, 510),
    (1220, 180, 1760, 510),
    (590, 810, 1150, 1140),
    (1220, 810, 1760, 1140),
)
HIGH = 1900
LETTER = 29  # pixels: 8 points where the sheet is printed as wide as the text of an A4 page
SHADES = 64
LINE, LETTERS, FOOT = 36, 76, 60  # height of a line of the sentences, letters in it, and what is kept free below
LOOKS_DOWN_RAD = 0.35


def turn_sheet(turn: Turn) -> Image.Image:
    """Map of all directions on two discs of equal area, and up to four ways up at one scale."""
    image = blank_sheet(HIGH)
    shown = _shown(turn)
    least, most = _span(turn)
    for half, middle in zip((1.0, -1.0), DISCS, strict=True):
        disc = _disc(turn, half, least, most)
        corner = ((middle[0] - RADIUS) * FINE, (middle[1] - RADIUS) * FINE)
        image.paste(disc[0], corner, disc[1])
    surface = Surface(turn.skin.vertices_m, turn.skin.faces[~turn.skin.void_face], turn.skin.void_face[:0])
    views = _views(turn, shown)
    for view in views:
        image = draw_piece(image, view, surface)
    pen = Pen(image, views[0])
    words = f"Which way up to pour   ·   {len(turn.ways)} directions, {len(turn.best)} in full"
    pen.header(turn.name, words, turn.place)
    _map(pen, turn, shown, least, most)
    for (number, one), view, rect in zip(shown, views, PANELS, strict=False):
        _panel(pen, turn, number, one, view, rect)
    bar(pen, (PANELS[0][0], 1396.0), views[0].scale, letter=LETTER)
    for x, kind, words in ((50, "pool", "pool"), (180, "vent", "pocket, vent drilled")):
        at = (PANELS[1][0] - 100 + x) * FINE, 1414.0 * FINE
        pen.mark(kind, at)
        pen.text((at[0] + 22 * FINE, at[1] + 10 * FINE), words, "plain", LETTER)
    y = 1500.0
    for line in turn.why[:4]:
        if y + LINE * math.ceil(len(line) / LETTERS) > HIGH - FOOT:  # the sentences stand in the table's page too
            break
        y = paragraph(pen, (590, y), SHEET[0] - 590 - MARGIN, line, LETTER) / FINE
    pen.text((590 * FINE, (HIGH - 18) * FINE), f"[piece] {direction_line(turn.best[0].way.up)}", "bold", LETTER, HOLD)
    return finished(pen.image)


def _shown(turn: Turn) -> list[tuple[int, Confirmed]]:
    """The best three and the job's own way, with their places in the ranking."""
    ranked = list(enumerate(turn.best, start=1))
    chosen = ranked[: len(PANELS)]
    drawn = next(pair for pair in ranked if pair[1] is turn.drawn)
    return chosen if any(one is turn.drawn for _, one in chosen) else [*chosen[:-1], drawn]


def _span(turn: Turn) -> tuple[float, float]:
    work = np.array([way.work_h for way in turn.ways])
    return float(work.min()), max(float(np.percentile(work, 98)), float(work.min()) + 1e-6)


def _shade(work_h: np.ndarray, least: float, most: float) -> np.ndarray:
    """Little work is light, much is dark."""
    share = np.clip((np.asarray(work_h) - least) / (most - least), 0.0, 1.0)
    return np.asarray(np.round((1.0 - share) * (SHADES - 1)), int)


def _disc(turn: Turn, half: float, least: float, most: float) -> tuple[Image.Image, Image.Image]:
    """Half of the sphere in equal areas, each pixel in the colour of the nearest direction, and where it is."""
    side = (np.arange(2 * RADIUS) + 0.5) / RADIUS - 1.0
    x, y = np.meshgrid(side, -side)
    r2 = x**2 + y**2
    stretch = np.sqrt(np.maximum(0.0, 2.0 - r2))
    ups = np.stack([x * stretch, half * y * stretch, half * (1.0 - r2)], axis=-1)[r2 <= 1.0]
    nearest = KDTree(np.array([way.up for way in turn.ways])).query(turn.symmetry.fold(ups))[1]
    work = np.array([way.work_h for way in turn.ways])[nearest]
    pixels = np.zeros((*r2.shape, 3), np.uint8)
    pixels[r2 <= 1.0] = ladder(SHADES)[_shade(work, least, most)].astype(np.uint8)
    size = (2 * RADIUS * FINE, 2 * RADIUS * FINE)
    mask = Image.fromarray(np.where(r2 <= 1.0, 255, 0).astype(np.uint8))
    return Image.fromarray(pixels).resize(size, Image.Resampling.NEAREST), mask.resize(size)


def _spot(up: np.ndarray, half: float) -> tuple[float, float]:
    """Where a direction of one half lies on its disc, in large pixels."""
    middle = DISCS[0 if half > 0 else 1]
    reach = RADIUS / np.sqrt(1.0 + abs(float(up[2])))
    return (middle[0] + float(up[0]) * reach) * FINE, (middle[1] - half * float(up[1]) * reach) * FINE


def _map(pen: Pen, turn: Turn, shown: list[tuple[int, Confirmed]], least: float, most: float) -> None:
    for half, middle in zip((1.0, -1.0), DISCS, strict=True):
        sign = "+" if half > 0 else "-"
        words = f"{sign}z upwards in the middle"
        caption(pen, (MARGIN, middle[1] - RADIUS - 22, 0, 0), words, LETTER)
        pen.disc((middle[0] * FINE, middle[1] * FINE), RADIUS, None, QUIET, 1.5)
        up_name = "+y" if half > 0 else "-y"
        down_name = "-y" if half > 0 else "+y"
        for name, (dx, dy), anchor in (
            ("+x", (1, 0), "lm"), ("-x", (-1, 0), "rm"), (up_name, (0.14, -1), "ls"), (down_name, (0.14, 1), "lt"),
        ):  # fmt: skip
            out = RADIUS + 8
            pen.text(
                ((middle[0] + dx * out) * FINE, (middle[1] + dy * out) * FINE), name, "plain", LETTER, QUIET, anchor
            )
    for number, one in reversed(shown):
        up = one.way.up
        at = _spot(up, 1.0 if up[2] >= 0 else -1.0)
        pen.disc(at, 20, PAPER, HOLD if one is turn.drawn else INK, 2.5)
        pen.text(at, str(number), "bold", LETTER, INK, "mm")
    top, left, wide = 1230, MARGIN + 4, 2 * RADIUS + 60
    for k, colour in enumerate(ladder(SHADES)):
        x = left + wide * k / SHADES
        shade = (int(colour[0]), int(colour[1]), int(colour[2]))
        pen.line([(x * FINE, top * FINE), (x * FINE, (top + 22) * FINE)], wide / SHADES + 1, shade)
    pen.text((left * FINE, (top + 54) * FINE), f"{most:.1f} h or more", "plain", LETTER)
    pen.text(((left + wide) * FINE, (top + 54) * FINE), f"{least:.1f} h", "plain", LETTER, INK, "rs")
    text = "Work of each way up by our own rates, on the coarse grid. Numbers are those of the table; "
    text += "the one with a blue rim is the job's own."
    paragraph(pen, (left, top + 100), wide, text, LETTER, QUIET)


def _views(turn: Turn, shown: list[tuple[int, Confirmed]]) -> list[View]:
    a, e = np.radians(AZIMUTH_DEG), LOOKS_DOWN_RAD
    toward = np.array([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)])
    right = np.array([np.cos(a), np.sin(a), 0.0])
    axes = (tuple(right), tuple(np.cross(toward, right)), tuple(toward))
    frames, spans = [], []
    for _, one in shown:
        frame = pour_frame(turn.skin.vertices_m, one.way.up, np.array([0.0, -1.0, 0.0]))
        seen = frame.to_standing(turn.skin.vertices_m) @ np.array(axes).T
        frames.append(frame)
        spans.append((seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)))
    scale = 0.94 * scale_for([(high - low, rect) for (low, high), rect in zip(spans, PANELS, strict=False)])
    return [
        panel_view(frame, axes, low, high, rect, scale)
        for frame, (low, high), rect in zip(frames, spans, PANELS, strict=False)
    ]


def _panel(pen: Pen, turn: Turn, number: int, one: Confirmed, view: View, rect: Rect) -> None:
    way = one.way
    own = ", as in the job" if one is turn.drawn else ""
    caption(pen, rect, f"{number}   {near_signs(way.up)}{own}: {way.work_h:.1f} h", LETTER)
    for points, kind in ((way.pool_at_m, "pool"), (way.pocket_at_m[~way.vented], "vent")):
        for x, y, _ in view.shell(points).reshape(-1, 3).tolist()[:40]:
            pen.mark(kind, (x, y), radius=9)
    width = rect[2] - rect[0]
    line = facts(way) + ("; OVER A LIMIT" if one.over else "")
    y = paragraph(pen, (rect[0], rect[3] + 36), width, f"{line}.", LETTER) / FINE
    paragraph(pen, (rect[0], y), width, f"It {stands_words(way)}.", LETTER, QUIET)
