"""Plain views for the installer's sheets: the piece square on, to one scale, with forces drawn on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from pourwright.cavity import PourFrame
from pourwright.draw.bodies import body
from pourwright.draw.ink import BARS, MARGIN, QUIET, Pen, Point
from pourwright.draw.labels import spread
from pourwright.draw.paint import INK, PAPER, Colour, Drawing, blend
from pourwright.draw.view import FINE, View
from pourwright.outcome import Surface
from pourwright.wording.checks import ESTIMATE

SHEET = (1800, 1330)
"""Width and height of a sheet in pixels."""
FACING = ((1.0, 0, 0), (0, 0, 1.0), (0, -1.0, 0))  # the reader before the piece: right, up, towards the reader
FROM_LEFT = ((0, -1.0, 0), (0, 0, 1.0), (-1.0, 0, 0))  # from the piece's left: its front is at the reader's right
FROM_ABOVE = ((1.0, 0, 0), (0, 1.0, 0), (0, 0, 1.0))
CLAY: Colour = (206, 196, 180)
LOAD: Colour = (178, 56, 40)  # weight
HOLD: Colour = (24, 92, 140)  # what holds it
WATER: Colour = (96, 150, 190)
Rect = tuple[float, float, float, float]  # left, top, right, bottom in pixels of the sheet


def blank_sheet(height: int = SHEET[1]) -> Image.Image:
    """Paper, large; ``height`` in pixels of the sheet."""
    return Image.new("RGB", (SHEET[0] * FINE, height * FINE), PAPER)


def finished(image: Image.Image) -> Image.Image:
    """The large sheet brought down to its size."""
    return image.reduce(FINE)


def scale_for(spans: Sequence[tuple[np.ndarray, Rect]]) -> float:
    """Largest scale in large pixels a metre at which every span (2,) [m] fits its rectangle."""
    return FINE * min(min((r[2] - r[0]) / max(span[0], 1e-9), (r[3] - r[1]) / max(span[1], 1e-9)) for span, r in spans)


def panel_view(
    frame: PourFrame,
    axes: Sequence[Sequence[float]],
    low: np.ndarray,
    high: np.ndarray,
    rect: Rect,
    scale: float,
    height: int = SHEET[1],
) -> View:
    """A view square on, with what lies from ``low`` to ``high`` (2,) along its axes in the middle of ``rect``.

    ``height`` of the sheet.
    """
    rows = np.array(axes, float)
    middle = np.array([0.5 * (rect[0] + rect[2]), 0.5 * (rect[1] + rect[3])]) * FINE
    shift = middle - 0.5 * (np.asarray(low) + np.asarray(high)) * scale * [1.0, -1.0]
    half = 0.5 * (np.asarray(high) - np.asarray(low)) * scale + 4 * FINE
    size = SHEET[0] * FINE, height * FINE
    x0, y0 = (int(max(0, v)) // FINE * FINE for v in middle - half)
    x1, y1 = (int(min(v, most)) // FINE * FINE for v, most in zip(middle + half, size, strict=True))
    for array in (rows, shift):
        array.setflags(write=False)
    return View(rows, scale, shift, size[0], size[1], (x0, y0, max(x1, x0 + FINE), max(y1, y0 + FINE)), frame)


def draw_piece(image: Image.Image, view: View, surface: Surface, colour: Colour = CLAY) -> Image.Image:
    """The piece as solid clay on the sheet."""
    made = body(view, surface.vertices_m, surface.faces)
    solid, empty = Drawing(view, window=False), Drawing(view, window=False)
    solid.add(made)
    reach = 0.03 * float(view.frame.size_m.max())
    return blend(view, image, solid.layer(reach), empty.layer(reach), np.array([colour, colour], float))


def arrow(pen: Pen, tail: Point, tip: Point, colour: Colour, width: float = 4.0) -> None:
    """An arrow in large pixels, with a rim of paper."""
    a, b = np.asarray(tail, float), np.asarray(tip, float)
    size = float(np.linalg.norm(b - a))
    if size < 1.0:
        return
    along = (b - a) / size
    across = np.array([-along[1], along[0]])
    head = min(18.0 * FINE, 0.6 * size)
    neck = b - along * head * 0.85
    draw = ImageDraw.Draw(pen.image)
    for grow, ink in ((2.5 * FINE, PAPER), (0.0, colour)):
        w = 0.5 * width * FINE + grow
        wide = 0.42 * head + grow
        end = b + along * grow
        draw.polygon([tuple(p) for p in (a + across * w, neck + across * w, neck - across * w, a - across * w)], ink)
        base = b - along * (head + grow)
        draw.polygon([tuple(p) for p in (end, base + across * wide, base - across * wide)], ink)


def centre_mark(pen: Pen, at: Point, radius: float = 13.0) -> None:
    """The quartered circle of a centre of mass."""
    r = radius * FINE
    pen.disc(at, radius + 3, PAPER)
    pen.disc(at, radius, PAPER, INK, 2.0)
    draw = ImageDraw.Draw(pen.image)
    box = (at[0] - r, at[1] - r, at[0] + r, at[1] + r)
    draw.pieslice(box, 270, 360, fill=INK)
    draw.pieslice(box, 90, 180, fill=INK)


def note(pen: Pen, at: Point, lines: Sequence[str], side: str = "right", colour: Colour = INK, size: int = 21) -> None:
    """A few lines beside a point, the first in bold, on a rim of paper."""
    anchor, x = ("ls", at[0]) if side == "right" else ("rs", at[0])
    y = at[1] - (len(lines) - 2) * 0.5 * (size + 4) * FINE
    for k, line in enumerate(lines):
        face = "bold" if k == 0 else "plain"
        low = y + k * (size + 4) * FINE
        wide = pen.width(line, face, size)
        left = x if side == "right" else x - wide
        pen_box(pen, (left - 4 * FINE, low - size * FINE, left + wide + 4 * FINE, low + 6 * FINE))
        pen.text((x, low), line, face, size, colour, anchor)


@dataclass(frozen=True)
class Note:
    """Lines beside a point, to be moved apart from others on its side."""

    at: Point
    lines: tuple[str, ...]
    side: str
    colour: Colour = INK


def notes(pen: Pen, wanted: Sequence[Note], size: int = 19) -> None:
    """Notes that do not overlap on their side, each with a line to its point where it had to move."""
    for side in ("left", "right"):
        chosen = sorted((n for n in wanted if n.side == side), key=lambda n: (n.at[1], n.lines))
        if not chosen:
            continue
        tall = np.array([len(n.lines) * (size + 4.0) * FINE for n in chosen])
        tops = np.array([n.at[1] for n in chosen]) - 0.5 * tall
        placed = spread(tops, tall, 0.0, float(pen.image.height), 6.0 * FINE)
        gap = (20 if side == "right" else -20) * FINE
        for entry, top, height in zip(chosen, placed, tall, strict=True):
            x, y = entry.at[0] + gap, float(top + 0.5 * height)
            if abs(y - entry.at[1]) > 8 * FINE:
                pen.line([entry.at, (x - gap * 0.15, y)], 1.2, entry.colour, halo=1.0)
            note(pen, (x, y), entry.lines, side, entry.colour, size)


def pen_box(pen: Pen, box: tuple[float, float, float, float]) -> None:
    """A patch of paper behind letters, slightly let through."""
    x0, y0, x1, y1 = (round(v) for v in box)
    x0, y0 = max(x0, 0), max(y0, 0)
    if x1 <= x0 or y1 <= y0:
        return
    patch = pen.image.crop((x0, y0, x1, y1))
    pen.image.paste(Image.blend(patch, Image.new("RGB", patch.size, PAPER), 0.78), (x0, y0))


def caption(pen: Pen, rect: Rect, words: str, size: int = 23) -> None:
    """What a panel shows, over it."""
    pen.text((rect[0] * FINE, rect[1] * FINE - 14 * FINE), words, "bold", size, QUIET)


def table(pen: Pen, at: Point, widths: Sequence[float], rows: Sequence[Sequence[str]], pitch: float = 32.0) -> float:
    """Rows of text in columns (pixels of the sheet); the first is the heads. Returns the foot in large pixels."""
    x0, y = at[0] * FINE, at[1] * FINE
    total = sum(widths) * FINE
    for k, row in enumerate(rows):
        x = x0
        for column, (cell, width) in enumerate(zip(row, widths, strict=True)):
            face = "bold" if k == 0 or column == 0 else "plain"
            text = pen.fit(cell, face, 20, (width - 12) * FINE)
            pen.text((x, y), text, face, 20, QUIET if k == 0 else INK)
            x += width * FINE
        if k == 0:
            pen.line([(x0, y + 10 * FINE), (x0 + total, y + 10 * FINE)], 1.2, QUIET)
        y += max(pitch, 34.0 if k == 0 else 0.0) * FINE
    return y


def paragraph(pen: Pen, at: Point, width: float, text: str, size: int = 20, colour: Colour = INK) -> float:
    """Text in lines no wider than ``width``; returns the foot in large pixels."""
    x, y = at[0] * FINE, at[1] * FINE
    words, line = text.split(), ""
    lines = []
    for word in words:
        trial = f"{line} {word}".strip()
        if line and pen.width(trial, "plain", size) > width * FINE:
            lines.append(line)
            line = word
        else:
            line = trial
    for row in [*lines, line]:
        pen.text((x, y), row, "plain", size, colour)
        y += (size + 7) * FINE
    return y


def foot(pen: Pen, made: str, height: int = SHEET[1]) -> None:
    """The caution and where the sheet comes from, at the foot of every sheet; ``height`` of the sheet."""
    width = SHEET[0] - 2 * MARGIN
    paragraph(pen, (MARGIN, height - 66), width, ESTIMATE, 20)
    pen.text((MARGIN * FINE, (height - 16) * FINE), pen.fit(made, "plain", 17, width * FINE), "plain", 17, QUIET)


def bar(pen: Pen, at: Point, scale: float, longest: float = 260.0, letter: int = 19) -> None:
    """A scale bar in metric and US lengths at a point of the sheet."""
    for k, (sizes, unit_m, unit) in enumerate(BARS):
        size = max((s for s in sizes if s * unit_m * scale <= longest * FINE), default=sizes[0])
        long = size * unit_m * scale
        x, top = at[0] * FINE, (at[1] + 1.37 * letter * k) * FINE
        for part in range(4):
            pen.box((x + long * part / 4, top), (long / 4 / FINE, 8), INK if part % 2 == 0 else PAPER)
        pen.text((x + long + 10 * FINE, top + (4 + 0.37 * letter) * FINE), f"{size:g} {unit}", "plain", letter)
