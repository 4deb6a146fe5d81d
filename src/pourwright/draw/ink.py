"""Pen and letters: text, leaders, signs, dimensions and the scale bar on a drawn canvas."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path

import matplotlib
import numpy as np
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont

from pourwright import units
from pourwright.draw.labels import Label, apart, sides, spread, thinned
from pourwright.draw.paint import INK, PAPER, Colour
from pourwright.draw.view import FINE, LEFT, RIGHT, View
from pourwright.plaintext import shown

QUIET = (96, 110, 122)
MARGIN = 36
HEAD, BODY, SMALL, TITLE, UNDER = 27, 23, 21, 46, 29
BARS = (
    ((10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0), 1e-3, "mm"),
    ((0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 24.0, 48.0, 96.0, 240.0, 480.0), 0.0254, "in"),
)
Point = tuple[float, float]

_OWN = Path(__file__).with_name("fonts")  # unchanged, with their licence
_WIDE = Path(matplotlib.get_data_path()) / "fonts" / "ttf"  # for letters that the first choice lacks
_FACES = {
    "plain": (_OWN / "SourceSansPro-Regular.ttf", _WIDE / "DejaVuSans.ttf"),
    "bold": (_OWN / "SourceSansPro-Semibold.ttf", _WIDE / "DejaVuSans-Bold.ttf"),
}


def font_file(face: str) -> str:
    """Path of the font file of a face, ``plain`` or ``bold``."""
    return str(_FACES[face][0])


@functools.cache
def _has(face: str) -> frozenset[int]:
    return frozenset(TTFont(_FACES[face][0]).getBestCmap())


@functools.cache
def _font(path: Path, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(path), size, layout_engine=ImageFont.Layout.BASIC)


def font_for(text: str, face: str, size: int) -> ImageFont.FreeTypeFont:
    """Font that has all letters of ``text``; ``size`` in pixels of the finished picture."""
    own, wide = _FACES[face]
    return _font(own if all(ord(letter) in _has(face) for letter in text) else wide, size * FINE)


class Pen:
    """Draws on the large canvas; positions are its pixels, sizes are pixels of the finished picture."""

    def __init__(self, image: Image.Image, view: View):
        self.image, self.view = image, view
        self._draw = ImageDraw.Draw(image)

    def width(self, text: str, face: str, size: int) -> float:
        """Width of ``text`` in canvas pixels."""
        text = shown(text)
        return float(font_for(text, face, size).getlength(text))

    def text(
        self, at: Point, text: str, face: str = "plain", size: int = BODY, colour: Colour = INK, anchor: str = "ls"
    ) -> None:
        """Write; ``anchor`` as Pillow names it (``ls`` is left on the baseline)."""
        text = shown(text)
        self._draw.text(at, text, fill=colour, font=font_for(text, face, size), anchor=anchor)

    def fit(self, text: str, face: str, size: int, room: float) -> str:
        """``text``, or as much of it as fits into ``room`` canvas pixels with an ellipsis."""
        if self.width(text, face, size) <= room:
            return text
        low, high = 0, len(text)
        while low < high:
            half = (low + high + 1) // 2
            low, high = (half, high) if self.width(text[:half].rstrip() + "…", face, size) <= room else (low, half - 1)
        return text[:low].rstrip() + "…"

    def line(self, points: list[Point], width: float = 1.5, colour: Colour = INK, halo: float = 0.0) -> None:
        """A line, with a rim of paper where ``halo`` is given."""
        if halo:
            self._draw.line(points, fill=PAPER, width=round((width + 2 * halo) * FINE), joint="curve")
        self._draw.line(points, fill=colour, width=max(1, round(width * FINE)), joint="curve")

    def dots(self, start: Point, end: Point, radius: float = 2.0, pitch: float = 9.0) -> None:
        """A dotted line."""
        a, b = np.asarray(start), np.asarray(end)
        count = max(1, int(np.linalg.norm(b - a) / (pitch * FINE)))
        for x, y in a + (b - a) * np.linspace(0, 1, count + 1)[:, None]:
            self.disc((x, y), radius + 1.2, PAPER)
            self.disc((x, y), radius, INK)

    def disc(
        self, at: Point, radius: float, fill: Colour | None = None, rim: Colour | None = None, width: float = 0.0
    ) -> None:
        """A filled or open circle."""
        r = radius * FINE
        self._draw.ellipse(
            (at[0] - r, at[1] - r, at[0] + r, at[1] + r), fill=fill, outline=rim, width=round(width * FINE)
        )

    def box(self, at: Point, size: Point, fill: Colour) -> None:
        """A filled rectangle with its top left at ``at``; ``size`` in pixels of the finished picture."""
        corners = (at[0], at[1], at[0] + size[0] * FINE, at[1] + size[1] * FINE)
        self._draw.rectangle(corners, fill=fill, outline=INK, width=FINE)

    def triangle(self, at: Point, size: float, way: float, fill: Colour) -> None:
        """A small triangle about ``at`` that points down (``way`` 1) or up (-1)."""
        r, (x, y) = size * FINE, at
        self._draw.polygon([(x - r, y - 0.55 * r * way), (x + r, y - 0.55 * r * way), (x, y + 0.95 * r * way)], fill)

    def mark(self, kind: str, at: Point, hidden: bool = False, radius: float = 12.0) -> None:
        """Sign of a pour, vent, closed hole, shore, anchor, pool or pocket; paler and broken where it is hidden."""
        dark = QUIET if hidden else INK
        self.disc(at, radius + 2.5, PAPER)
        if kind in ("pool", "pocket"):
            r = (radius - 1.0) * FINE
            box = (at[0] - r, at[1] - r, at[0] + r, at[1] + r)
            self._draw.pieslice(box, *((0, 180) if kind == "pool" else (180, 360)), fill=dark)
            self.disc(at, radius, None, dark, 2.4)
            return
        filled = kind == "pour" and not hidden
        self.disc(at, radius, dark if filled else PAPER, dark, 2.4)
        if kind == "anchor":
            for way in ((0.55, 0.0), (0.0, 0.55)):
                dx, dy = (part * radius * FINE for part in way)
                self.line([(at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)], 2.6, dark)
        elif kind == "closed":
            for way in ((0.66, 0.66), (0.66, -0.66)):
                dx, dy = (part * radius * FINE for part in way)
                self.line([(at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)], 2.6, dark)
        elif kind == "shore":
            side = 0.84 * radius
            self.box((at[0] - side * FINE / 2, at[1] - side * FINE / 2), (side, side), dark)
        else:
            self.triangle(at, 0.52 * radius, 1.0 if kind == "pour" else -1.0, PAPER if filled else dark)
        for k in range(10 if hidden else 0):
            angle, reach = (k + 0.5) * np.pi / 5, (radius - 0.4) * FINE
            self.disc((at[0] + reach * np.cos(angle), at[1] + reach * np.sin(angle)), 1.7, PAPER)

    def header(self, name: str, words: str, aside: str = "") -> None:
        """Name of the piece and what the picture shows."""
        left, right = MARGIN * FINE, self.view.width - MARGIN * FINE
        if aside:
            aside = self.fit(aside, "plain", UNDER, 0.5 * (right - left))
            self.text((right, 62 * FINE), aside, "plain", UNDER, QUIET, "rs")
        taken = self.width(aside, "plain", UNDER) + 40 * FINE if aside else 0.0
        self.text((left, 62 * FINE), self.fit(name, "bold", TITLE, right - left - taken), "bold", TITLE)
        self.text((left, 104 * FINE), self.fit(words, "plain", UNDER, right - left), "plain", UNDER, QUIET)

    def scale_bar(self) -> None:
        """Two bars to scale: millimetres above, inches below."""
        x, room_m = MARGIN * FINE, 0.8 * LEFT * FINE / self.view.scale
        for k, (sizes, unit_m, unit) in enumerate(BARS):
            size = max((s for s in sizes if s * unit_m <= room_m), default=sizes[0])
            long = size * unit_m * self.view.scale
            top = self.view.height - (84 - 26 * k) * FINE
            for part in range(4):
                self.box((x + long * part / 4, top), (long / 4 / FINE, 8), INK if part % 2 == 0 else PAPER)
            self.text((x + long + 10 * FINE, top + 11 * FINE), f"{size:g} {unit}", "plain", SMALL)

    def legend(self, entries: list[tuple[str | Colour, str]]) -> None:
        """Signs (by name, ``far`` before a hidden one) and colours with their words along the foot, from the right."""
        x: float = self.view.width - MARGIN * FINE
        y = self.view.height - 54 * FINE
        for sign, words in reversed(entries):
            x -= self.width(words, "plain", SMALL)
            self.text((x, y + 7 * FINE), words, "plain", SMALL)
            x -= 22 * FINE
            if isinstance(sign, str):
                self.mark(sign.removeprefix("far "), (x, y), sign.startswith("far "), radius=11)
            else:
                self.box((x - 11 * FINE, y - 11 * FINE), (22, 22), sign)
            x -= 40 * FINE

    def rule(self, x: float, top_m: float, to_x: float, words: str) -> Label:
        """A vertical dimension from the base to ``top_m`` at canvas ``x``, with lines to the piece; returns a label."""
        low, high = self.level(0.0), self.level(top_m)
        for y in (low, high):
            self.line([(x - 8 * FINE, y), (to_x, y)], 1.0, QUIET)
        self.line([(x, low), (x, high)], 2.0)
        tip = min(6.0, 0.2 * abs(low - high) / FINE)
        self.triangle((x, low - 0.95 * tip * FINE), tip, 1.0, INK)
        self.triangle((x, high + 0.95 * tip * FINE), tip, -1.0, INK)
        return Label((x, 0.5 * (low + high)), units.tape(top_m), (words,), side="left", fixed=True)

    def level(self, height_m: float) -> float:
        """Canvas y of a height above the base, measured at the middle of the piece."""
        size = self.view.frame.size_m
        return float(self.view.standing(np.array([0.5 * size[0], 0.5 * size[1], height_m]))[1])

    def labels(self, labels: list[Label]) -> list[Label]:
        """Write all labels in their columns, with leaders, and set their signs into the picture; those written.

        Where a column is too short, lines go first, then size, then labels, evenly; what went is counted.
        """
        written = list[Label]()
        labels = list(labels)
        signed = [k for k, label in enumerate(labels) if label.mark]
        anchors = np.array([labels[k].anchor for k in signed]).reshape(-1, 2)
        for k, (x, y) in zip(signed, apart(anchors, 27.0 * FINE), strict=True):
            if np.hypot(x - labels[k].anchor[0], y - labels[k].anchor[1]) > 2 * FINE:
                self.line([labels[k].anchor, (x, y)], 1.4, halo=1.2)
                self.disc(labels[k].anchor, 3.0, INK)
                labels[k] = replace(labels[k], anchor=(float(x), float(y)))
        left, _, right, _ = self.view.plot
        for side, column in zip(("left", "right"), sides(labels, 0.5 * (left + right)), strict=True):
            written += self._column(side, column)
        for label in labels:
            if label.mark:
                self.mark(label.mark, label.anchor, label.hidden)
        return written

    def _column(self, side: str, column: list[Label]) -> list[Label]:
        if not column:
            return []
        _, top, _, bottom = self.view.plot
        room = bottom - top
        longest = max(len(label.lines) for label in column)
        for most, size in [(rows, 1.0) for rows in range(longest, -1, -1)] + [(0, 0.8), (0, 0.68)]:
            heights = np.array([_tall(label, most, size) for label in column])
            gap = (12.0 if most else 4.0) * FINE
            if heights.sum() + gap * len(column) <= room:
                break
        else:
            kept = thinned(column, int(room / (heights[0] + gap)) - 1)
            note = Label((0.0, bottom), f"and {len(column) - len(kept)} more, see the table", leader=False)
            column = [*kept, note]
            heights = heights[: len(column)]
        wanted = np.array([label.anchor[1] for label in column]) - 0.5 * heights
        x = MARGIN * FINE if side == "left" else self.view.width - (RIGHT - 30) * FINE
        rows = [self._rows(side, label, most, size) for label in column]
        # Leaders leave the column level, beyond its longest line, so that none runs through another label.
        reach = max(self.width(row, face, fine) for written in rows for row, face, fine in written)
        reach += 34 * FINE if any(label.mark or label.swatch for label in column) else 0
        edge = x + reach + 12 * FINE if side == "left" else x - 12 * FINE
        for label, written, y in zip(column, rows, spread(wanted, heights, top, bottom, gap), strict=True):
            self._write(label, written, (x, float(y)), edge, size)
        return column

    def _rows(self, side: str, label: Label, most: int, size: float) -> list[tuple[str, str, int]]:
        """Lines of a label that are written: text cut to the column, face, size."""
        sign = 34 * FINE if label.mark or label.swatch else 0
        room = (LEFT if side == "left" else RIGHT) * FINE - (MARGIN + 30) * FINE - sign
        head = round(HEAD * size)
        return [
            (self.fit(label.head, "bold", head, room), "bold", head),
            *self._narrow(label.lines[:most], room),
        ]

    def _narrow(self, rows: tuple[str, ...], room: float) -> list[tuple[str, str, int]]:
        """Plain rows in a size in which all fit, or in the smallest, cut."""
        for size in (BODY, BODY - 2, BODY - 4):
            if all(self.width(row, "plain", size) <= room for row in rows):
                return [(row, "plain", size) for row in rows]
        return [(self.fit(row, "plain", BODY - 4, room), "plain", BODY - 4) for row in rows]

    def _write(self, label: Label, rows: list[tuple[str, str, int]], at: Point, edge: float, size: float) -> None:
        x, y = at
        sign, middle = 34 * FINE if label.mark or label.swatch else 0, y + 15 * size * FINE
        if label.leader:
            near = x + sign + self.width(*rows[0]) + 8 * FINE if edge > x else x - 8 * FINE
            colour = QUIET if label.hidden else INK
            self.line([(near, middle), (edge, middle), label.anchor], 1.4, colour, halo=1.4)
        if label.mark:
            self.mark(label.mark, (x + 13 * FINE, middle), label.hidden, radius=11 * size)
        elif label.swatch:
            self.box((x, middle - 12 * size * FINE), (24 * size, 24 * size), label.swatch)
        for k, (row, face, fine) in enumerate(rows):
            down = (51 + 26 * (k - 1)) if k else 24 * size
            self.text((x + sign, y + down * FINE), row, face, fine, QUIET if k else INK)


def _tall(label: Label, most: int, size: float) -> float:
    """Height of a label in canvas pixels."""
    return (30.0 + 26.0 * min(most, len(label.lines))) * size * FINE


def parts(pair: str) -> tuple[str, str]:
    """``200 mm (7.9 in)`` as its two halves.

    >>> parts("200 mm (7.9 in)")
    ('200 mm', '7.9 in')
    """
    metric, _, other = pair.partition(" (")
    return metric, other.removesuffix(")")
