"""Words in the picture of a card: signs at their places, names in columns beside the piece, heights to be measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.draw import svg_ink as svg
from pourwright.draw.labels import Label, apart, sides, spread, thinned
from pourwright.draw.lift_labels import Stage
from pourwright.draw.paint import INK
from pourwright.draw.rising import Rising

CARD_MM, COVER_MM = (60.0, 76.0), (178.0, 86.0)
"""Size on paper of a card's picture, and of the one on the first page."""
FLAT_MM = (178.0, 88.0)
"""Of a card's picture of a flat piece, which goes across the page under the words."""
RIM_MM = 2.0
CLEAR_MM = svg.SIGN_MM + 0.8
"""A line keeps so far off the middle of a sign that it is not of."""


@dataclass(frozen=True, eq=False)
class Sight:
    """What one camera sees of the piece, and what it calls that."""

    words: str
    stage: Stage
    foam: Rising
    level: bool = True  # its camera does not look down: what lies at one height is one line


@dataclass(frozen=True, eq=False)
class Placed:
    """A sight in a picture: its top left corner and its size on paper."""

    sight: Sight
    at_mm: svg.Point
    mm: float  # a pixel of the large canvas

    def mm_of(self, at: tuple[float, float]) -> svg.Point:
        """Place on paper of a place on the canvas."""
        return self.at_mm[0] + at[0] * self.mm, self.at_mm[1] + at[1] * self.mm

    @property
    def size_mm(self) -> svg.Point:
        """Width and height on paper."""
        return self.sight.stage.view.width * self.mm, self.sight.stage.view.height * self.mm


@dataclass(frozen=True, eq=False)
class Dip:
    """A height to be read with a stick: from a rim down to where foam ends, or up from the base."""

    high: tuple[float, float]  # canvas
    low: tuple[float, float]
    words: tuple[str, ...]


def wide_mm(label: Label) -> float:
    """Width of a name with its sign."""
    sign = 2 * svg.SIGN_MM + 1.0 if label.mark or label.swatch else 0.0
    return sign + svg.width_mm(label.head, svg.NAME_PT, "bold")


def written(
    one: Placed,
    labels: list[Label],
    dips: list[Dip],
    columns: tuple[float, float],
    side: str,
    reach: tuple[svg.Point, tuple[float, float]],
) -> list[str]:
    """Signs at their places, and names in the columns beside the piece, each with its line.

    ``reach`` is the size of the picture, and the top and the foot of the columns that the sight has.
    """
    size, (low, high) = reach
    out = list[str]()
    labels = [replace(label, anchor=one.mm_of(label.anchor), side=side or label.side) for label in labels]
    signed = [k for k, label in enumerate(labels) if label.mark]
    points = np.array([labels[k].anchor for k in signed]).reshape(-1, 2)
    for k, (x, y) in zip(signed, apart(points, 2.2 * svg.SIGN_MM), strict=True):
        if np.hypot(x - labels[k].anchor[0], y - labels[k].anchor[1]) > 0.4:
            out.append(svg.line([labels[k].anchor, (float(x), float(y))], 0.2, INK, 0.2))
        labels[k] = replace(labels[k], anchor=(float(x), float(y)))
    for k, dip in enumerate(dips):
        on = side or ("left", "right")[k]
        made, label = _ruled(one, dip, k if side else 0, on)
        out.append(made)
        labels.append(label)
    signs = [label.anchor for label in labels if label.mark]
    for name, column in zip(("left", "right"), sides(labels, one.at_mm[0] + 0.5 * one.size_mm[0]), strict=True):
        out += column_of(name, column, columns, (low, high), size, signs)
    return [*out, *(svg.sign(label.mark, label.anchor, label.hidden) for label in labels if label.mark)]


def _ruled(one: Placed, dip: Dip, step: int, side: str) -> tuple[str, Label]:
    """A dimension line beside the piece between two heights, with lines to where they are."""
    (left, _), (wide, _) = one.at_mm, one.size_mm
    x = left - 0.8 - 1.6 * step if side == "left" else left + wide + 0.8
    high, low = one.mm_of(dip.high), one.mm_of(dip.low)
    out = svg.line([(x, high[1]), (high[0], high[1])], 0.15, svg.PALE, 0.15)
    out += svg.line([(x, low[1]), (low[0], low[1])], 0.15, svg.PALE, 0.15)
    out += svg.line([(x, high[1]), (x, low[1])], 0.3)
    if low[1] - high[1] > 3.0:
        out += svg.arrow((x, high[1]), -1.0) + svg.arrow((x, low[1]), 1.0)
    return out, Label((x, 0.5 * (high[1] + low[1])), dip.words[0], dip.words[1:], side=side, fixed=True)


def column_of(
    side: str,
    column: list[Label],
    columns: tuple[float, float],
    reach: tuple[float, float],
    size: svg.Point,
    signs: Sequence[svg.Point] = (),
) -> list[str]:
    """Names of one side, none over another, in the height that is theirs; how many more there are where not all fit.

    Lines go round the ``signs`` of others.
    """
    if not column:
        return []
    low, high = max(reach[0] - 4.0, RIM_MM), min(reach[1] + 4.0, size[1] - RIM_MM)
    kept, foot = column, high
    for most in range(len(column), 1, -1):
        kept, foot = thinned(column, most), high if most == len(column) else high - svg.LINE_MM
        if sum(_tall(label) for label in kept) <= foot - low:
            break
    tall = np.array([_tall(label) for label in kept])
    wanted = np.array([label.anchor[1] for label in kept]) - 0.5 * tall
    x = RIM_MM if side == "left" else size[0] - columns[1]
    edge = columns[0] - 1.0 if side == "left" else x - 0.5
    out = list[str]()
    for label, top in zip(kept, spread(wanted, tall, low, foot, 0.3).tolist(), strict=True):
        out += _label(label, (x, float(top)), edge, columns[0 if side == "left" else 1], signs)
    if len(kept) < len(column):
        out.append(svg.text((x, high - 0.4), f"+ {len(column) - len(kept)} more", pale=True))
    return out


def _tall(label: Label) -> float:
    return svg.NAME_MM + svg.LINE_MM * len(label.lines)


def led_round(start: svg.Point, end: svg.Point, signs: Sequence[svg.Point]) -> list[svg.Point]:
    """A line between two points that goes round signs which it would run behind, over or under each.

    >>> led_round((0.0, 0.0), (20.0, 0.0), [(20.0, 0.0), (10.0, 0.5)])
    [(0.0, 0.0), (10.0, -1.85), (20.0, 0.0)]
    """
    (ax, ay), (bx, by) = start, end
    span = (bx - ax) ** 2 + (by - ay) ** 2
    way = [(0.0, start), (1.0, end)]
    for x, y in signs:
        if span == 0 or np.hypot(x - bx, y - by) < svg.SIGN_MM:
            continue
        along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / span
        at = ay + along * (by - ay)
        if 0.0 < along < 1.0 and np.hypot(x - ax - along * (bx - ax), y - at) < CLEAR_MM:
            way.append((along, (x, y + (CLEAR_MM if at > y else -CLEAR_MM))))
    return [point for _, point in sorted(way)]


def _label(label: Label, at: svg.Point, edge: float, room: float, signs: Sequence[svg.Point]) -> list[str]:
    x, top = at
    middle = top + 0.5 * svg.NAME_MM
    head = label.head
    while len(head) > 2 and wide_mm(replace(label, head=head)) > room - 1.2:
        head = head.rstrip("…")[:-1].rstrip() + "…"
    sign = 2 * svg.SIGN_MM + 0.8 if label.mark or label.swatch else 0.0
    near = x + sign + svg.width_mm(head, svg.NAME_PT, "bold") if edge > x else x
    out = []
    if label.leader:
        start = near + (0.3 if edge > x else -0.3), middle
        out.append(svg.line([start, *led_round((edge, middle), label.anchor, signs)], 0.2, INK, 0.2))
    if label.mark:
        out.append(svg.sign(label.mark, (x + svg.SIGN_MM, middle), label.hidden))
    elif label.swatch:
        out.append(svg.box((x + svg.SIGN_MM, middle), 2 * svg.SIGN_MM, label.swatch))
    base = middle + 0.35 * svg.NAME_PT * svg.POINT_MM
    out.append(svg.text((x + sign, base), head, svg.NAME_PT, bold=True))
    for k, words in enumerate(label.lines, 1):
        out.append(svg.text((x + sign, base + k * svg.LINE_MM), words))
    return out
