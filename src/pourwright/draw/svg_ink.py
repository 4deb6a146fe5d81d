"""Letters, signs and lines of a picture that is printed at a size of its own: SVG whose unit is a millimetre."""

from __future__ import annotations

import math
from html import escape

from pourwright.draw.ink import font_for
from pourwright.draw.paint import INK, PAPER, Colour
from pourwright.draw.view import FINE
from pourwright.plaintext import shown

POINT_MM = 25.4 / 72.0
LETTER_PT, NAME_PT = 8.2, 9.2
"""Letters on paper: no picture of a card has smaller ones (issue: at least 8 points, read at arm's length)."""
LINE_MM, NAME_MM = 1.16 * LETTER_PT * POINT_MM, 1.16 * NAME_PT * POINT_MM
SIGN_MM = 1.55
"""Radius of a sign."""
WIDER = 1.12
"""A browser's sans serif may be so much wider than the letters measured with."""
PALE: Colour = (96, 110, 122)
Point = tuple[float, float]


def width_mm(text: str, points: float, face: str = "plain") -> float:
    """Width of a line of text on paper, on the wide side.

    >>> 3.0 < width_mm("P1", 9.0, "bold") < 6.0
    True
    """
    text = shown(text)
    measured = float(font_for(text, face, 100).getlength(text)) / (100 * FINE)
    return WIDER * measured * points * POINT_MM


def rgb(colour: Colour) -> str:
    """A colour as SVG writes it.

    >>> rgb((1, 2, 255))
    '#0102ff'
    """
    return "#{:02x}{:02x}{:02x}".format(*colour)


def num(value: float) -> str:
    """A length to a hundredth of a millimetre."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def text(at: Point, words: str, points: float = LETTER_PT, bold: bool = False, pale: bool = False) -> str:
    """Words with their left end on a baseline."""
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{num(at[0])}" y="{num(at[1])}" font-size="{num(points * POINT_MM)}"{weight} '
        f'fill="{rgb(PALE if pale else INK)}">{escape(shown(words))}</text>'
    )


def line(points: list[Point], wide: float = 0.25, colour: Colour = INK, halo: float = 0.0, dots: str = "") -> str:
    """A line; with a rim of white where ``halo`` is given."""
    path = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)
    dashes = f' stroke-dasharray="{dots}" stroke-linecap="round"' if dots else ""
    rim = f'<path d="{path}" stroke="#fff" stroke-width="{num(wide + 2 * halo)}"{dashes} fill="none"/>' if halo else ""
    return f'{rim}<path d="{path}" stroke="{rgb(colour)}" stroke-width="{num(wide)}"{dashes} fill="none"/>'


def box(at: Point, side: float, colour: Colour) -> str:
    """A square about a point."""
    x, y = at[0] - 0.5 * side, at[1] - 0.5 * side
    return (
        f'<rect x="{num(x)}" y="{num(y)}" width="{num(side)}" height="{num(side)}" fill="{rgb(colour)}" '
        f'stroke="{rgb(INK)}" stroke-width="0.2"/>'
    )


def arrow(tip: Point, way: float, size: float = 1.2) -> str:
    """The head of a dimension line; ``way`` 1 points down, -1 up."""
    x, y = tip
    back = y - way * size
    left, right = num(x - 0.4 * size), num(x + 0.4 * size)
    return f'<path d="M{num(x)} {num(y)}L{left} {num(back)}L{right} {num(back)}Z" fill="{rgb(INK)}"/>'


def sign(kind: str, at: Point, hidden: bool = False, radius: float = SIGN_MM) -> str:
    """Sign of a port, vent, closed hole, shore or anchor: those of the large pictures; paler, broken where hidden."""
    dark, (x, y), r = PALE if hidden else INK, at, radius
    filled = kind == "pour" and not hidden
    broken = f' stroke-dasharray="{num(0.5 * r)} {num(0.35 * r)}"' if hidden else ""
    out = f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r + 0.3)}" fill="{rgb(PAPER)}"/>'
    out += (
        f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}" fill="{rgb(dark if filled else PAPER)}" '
        f'stroke="{rgb(dark)}" stroke-width="0.3"{broken}/>'
    )
    if kind in ("anchor", "closed"):
        reach = (0.6 if kind == "anchor" else 0.66) * r
        turns = (0.0, 0.5 * math.pi) if kind == "anchor" else (0.25 * math.pi, 0.75 * math.pi)
        for turn in turns:
            dx, dy = reach * math.cos(turn), reach * math.sin(turn)
            out += line([(x - dx, y - dy), (x + dx, y + dy)], 0.35, dark)
    elif kind == "shore":
        out += box(at, 0.9 * r, dark)
    else:
        way, s = (1.0 if kind == "pour" else -1.0), 0.55 * r
        corners = [(x - s, y - 0.55 * s * way), (x + s, y - 0.55 * s * way), (x, y + 0.95 * s * way)]
        path = "M" + "L".join(f"{num(a)} {num(b)}" for a, b in corners) + "Z"
        out += f'<path d="{path}" fill="{rgb(PAPER if filled else dark)}"/>'
    return out
