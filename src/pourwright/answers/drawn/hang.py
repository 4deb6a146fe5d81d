"""The sheet of a hanging piece: load cases as free bodies from before and from the side, and the loads in a table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from PIL import Image, ImageDraw

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
    notes,
    panel_view,
    paragraph,
    scale_for,
    table,
)
from pourwright.draw.ink import MARGIN, QUIET, Pen, Point
from pourwright.draw.paint import INK
from pourwright.draw.view import FINE, View
from pourwright.hanging import AnchorLoad, CaseForce, HangResult, LoadCase
from pourwright.outcome import Piece, Surface
from pourwright.wording.checks import force
from pourwright.wording.findings import sentences
from pourwright.wording.hang import nothing_n, verdict_lines, worst_gone

TOP, BLOCK = 130, 640
FRONT: Rect = (330.0, 90.0, 760.0, 545.0)  # within a block
SIDE: Rect = (1250.0, 90.0, 1720.0, 545.0)
LONGEST = 105.0  # of the longest arrow in a case, pixels
ROW = 20 * FINE  # forces nearer than this in the view from the side share a label
APART = 9 * FINE  # rows at one height are drawn this far apart
MOST_ROWS, MOST_NAMED = 8, 8
BLANK = (250, 248, 243)


def hang_sheet(piece: Piece, result: HangResult, surface: Surface, made: str) -> Image.Image:
    """Load cases and greatest loads of a piece on its wall, on one sheet as long as it needs."""
    cases = drawn_cases(result)
    rows = min(len(result.anchors), MOST_ROWS)
    height = TOP + BLOCK * max(len(cases), 1) + 36 * rows + 440
    front, side = _views(result, height)
    image = draw_piece(draw_piece(blank_sheet(height), front, surface), side, surface)
    for k in range(1, len(cases)):  # the same piece again, further down
        for view in (front, side):
            left, top = view.window[:2]
            image.paste(image.crop(view.window), (left, top + k * BLOCK * FINE))
    pen = Pen(image, front)
    tilt = math.degrees(result.tilt_rad)
    words = f"Load cases of the hanging piece   ·   weight {force(result.weight_n.high)} at most"
    if abs(tilt) > 0.5:
        words += f"   ·   wall {'leans back' if tilt > 0 else 'OVERHANGS'} {abs(tilt):.0f}°"
    pen.header(piece.name, words, piece.place)
    for k, case in enumerate(cases):
        _block(pen, result, case, (front, side), TOP + k * BLOCK)
    bar(pen, (MARGIN, TOP + 580.0), front.scale)
    _words(pen, result, made, TOP + BLOCK * max(len(cases), 1), height)
    return finished(pen.image)


def drawn_cases(result: HangResult) -> list[LoadCase]:
    """The possible cases under the weight with all anchors, the worst with one gone, and the governing one."""
    alone = replace(result, cases=tuple(case for case in result.cases if not case.combination))
    shown = [case for case in alone.cases if not case.impossible and (not case.gone or case is worst_gone(alone))]
    return shown + [case for case in result.cases if case.name == result.governing and case.combination]


def _views(result: HangResult, height: int) -> tuple[View, View]:
    """From before and from the left, in the first block."""
    size = result.frame.size_m
    wall = _wall_y(result, np.array([0.0, size[2]]))
    low, high = min(-size[1], float(-wall.max())), max(0.0, float(-wall.min()))
    front, side = _lowered(FRONT), _lowered(SIDE)
    scale = 0.94 * scale_for([(size[[0, 2]], front), (np.array([high - low, size[2]]), side)])
    return (
        panel_view(result.frame, FACING, np.zeros(2), size[[0, 2]], front, scale, height),
        panel_view(result.frame, FROM_LEFT, np.array([low, 0.0]), np.array([high, size[2]]), side, scale, height),
    )


def _lowered(rect: Rect) -> Rect:
    left, top, right, bottom = rect
    return left, top + TOP, right, bottom + TOP


def _wall_y(result: HangResult, height_m: np.ndarray) -> np.ndarray:
    """Depth of the wall at heights, in the axes of the frame."""
    sin, cos = math.sin(result.tilt_rad), math.cos(result.tilt_rad)
    return np.asarray((sin * height_m - result.wall_at_m) / cos)


class _Panel:
    """One view of one case: from the axes of the wall to large pixels."""

    def __init__(self, pen: Pen, view: View, result: HangResult, case: LoadCase, down: float):
        self.pen, self.view, self.down = pen, view, down * FINE
        sin, cos = math.sin(result.tilt_rad), math.cos(result.tilt_rad)
        # Rows: right, up in the wall and out of it, in the axes right, back, up of the frame.
        self.turn = np.array([[1.0, 0, 0], [0, sin, cos], [0, -cos, sin]])
        self.foot = np.array([0.0, -result.wall_at_m / cos, 0.0])  # of the wall, where its heights begin
        most = max(float(np.linalg.norm(one.force_n)) for one in (*case.forces, *case.reactions))
        self.unit = LONGEST * FINE / max(most, 1e-9)

    def at(self, wall_m: np.ndarray) -> Point:
        """Place of a point of the axes of the wall."""
        x, y, _ = (float(v) for v in self.view.standing(wall_m @ self.turn + self.foot))
        return x, y + self.down

    def reach(self, force_n: np.ndarray) -> np.ndarray:
        """Pixels (2,) of a force in the axes of the wall, all of a case to one scale."""
        right, up, _ = self.view.axes @ (force_n @ self.turn)
        return np.array([right, -up]) * self.unit

    def push(self, at: Point, force_n: np.ndarray, colour: tuple[int, int, int], width: float = 4.0) -> None:
        """An arrow that begins at a point."""
        x, y = self.reach(force_n)
        arrow(self.pen, at, (at[0] + x, at[1] + y), colour, width)


def _block(pen: Pen, result: HangResult, case: LoadCase, views: tuple[View, View], top: int) -> None:
    used = "" if math.isnan(case.utilisation) else f"most used: {units.share(case.utilisation)}, {case.worst}"
    pen.text((MARGIN * FINE, (top + 34) * FINE), case.name[:1].upper() + case.name[1:], "bold", 25)
    room = (SHEET[0] - MARGIN) * FINE
    pen.text((room, (top + 34) * FINE), pen.fit(used, "plain", 21, 0.5 * room), "plain", 21, INK, "rs")
    caption(pen, (MARGIN, top + 76, 0, 0), "facing the wall")
    caption(pen, (SIDE[0] - 260, top + 76, 0, 0), "from its left")
    front, side = (_Panel(pen, view, result, case, top - TOP) for view in views)
    _front(front, result, case)
    _side(side, result, case)


def _front(panel: _Panel, result: HangResult, case: LoadCase) -> None:
    pen = panel.pen
    said: list[Note] = []
    middle = panel.at(case.forces[0].at_m)[0]
    for load in result.anchors:
        if load.name == case.gone:
            said.append(_gone(panel, load, middle))
    named, least = len(result.anchors) <= MOST_NAMED, nothing_n(case)
    for one in case.reactions:
        at = panel.at(one.at_m)
        panel.push(at, one.force_n * [1.0, 1.0, 0.0], HOLD)
        pen.disc(at, 9.0, BLANK, HOLD, 3.0)
        lines = (one.name, *in_wall_words(one, least), *out_words(one, least))
        lines = lines if named or one.name == "wall" else (one.name,)
        said.append(Note(at, lines, "left" if at[0] <= middle else "right", HOLD))
    said += [_weight(panel, case), *_beside(panel, case, np.array([1.0, 1.0, 0.0]))]
    notes(pen, said)


def _side(panel: _Panel, result: HangResult, case: LoadCase) -> None:
    pen, size = panel.pen, result.frame.size_m
    heights = np.array([-0.03, 1.03]) * size[2] / math.cos(result.tilt_rad)
    ends = [panel.at(np.array([0.0, h, 0.0])) for h in heights]
    _hatched(pen, ends[0], ends[1])
    for load in result.anchors:
        if load.name == case.gone:
            _gone(panel, load, -1e9)
    said: list[Note] = []
    least = nothing_n(case)
    for row in _rows(panel, case.reactions):
        at = panel.at(row[0].at_m)
        at = at[0], max(at[1], (said[-1].at[1] if said else 0.0) + APART)  # two at one height beside each other
        total = np.sum([one.force_n for one in row], axis=0)
        panel.push(at, total * [0.0, 1.0, 0.0], HOLD)
        out = total * [0.0, 0.0, 1.0]
        x, y = panel.reach(out)
        # What pulls the piece in leaves it, what pushes it arrives.
        start = (at[0] - x, at[1] - y) if total[2] > 0 else at
        arrow(pen, start, (start[0] + x, start[1] + y), HOLD)
        pen.disc(at, 7.0, BLANK, HOLD, 3.0)
        lines = [f"{one.name}: {' '.join(out_words(one, least)) or 'nothing out'}" for one in row]
        if len(row) > 4:
            lines = [f"{len(row)} anchors", *out_words(CaseForce("", row[0].at_m, total), least)]
        along = _way_words(float(total[1]), least, "up", "down")
        if along:
            lines.append(f"{'together ' if len(row) > 1 else ''}{along}")
        said.append(Note((min(at[0] - abs(x), at[0]), at[1]), tuple(lines), "left", HOLD))
    said += [_weight(panel, case), *_beside(panel, case, np.array([0.0, 1.0, 1.0]))]
    notes(pen, said, 18)
    _lever(panel, case, ends)


def _rows(panel: _Panel, reactions: Sequence[CaseForce]) -> list[list[CaseForce]]:
    """Reactions that lie at nearly one height, from above; the wall by itself."""
    rows: list[list[CaseForce]] = []
    for one in sorted(reactions, key=lambda one: (panel.at(one.at_m)[1], one.name)):
        near = rows and panel.at(one.at_m)[1] - panel.at(rows[-1][0].at_m)[1] < ROW
        if near and "wall" not in (one.name, rows[-1][0].name) and (one.force_n[2] > 0) == (rows[-1][0].force_n[2] > 0):
            rows[-1].append(one)
        else:
            rows.append([one])
    return rows


def _gone(panel: _Panel, load: AnchorLoad, middle: float) -> Note:
    """A cross where the anchor was."""
    x, y = at = panel.at(np.array([*load.on_wall_m, 0.0]))
    r = 11 * FINE
    for way in (1, -1):
        panel.pen.line([(x - r, y - way * r), (x + r, y + way * r)], 3.5, LOAD, halo=1.5)
    return Note(at, (load.name, "gone"), "left" if x <= middle else "right", LOAD)


def _weight(panel: _Panel, case: LoadCase) -> Note:
    weight = case.forces[0]
    at = panel.at(weight.at_m)
    panel.push(at, weight.force_n, LOAD, 5.0)
    centre_mark(panel.pen, at)
    said = ("weight", force(float(np.linalg.norm(weight.force_n))))
    return Note((at[0], at[1] + 60 * FINE), said, "right", LOAD)


def _beside(panel: _Panel, case: LoadCase, seen: np.ndarray) -> list[Note]:
    """Loads beside the weight, as far as this view shows them."""
    out, least = [], nothing_n(case)
    for one in case.forces[1:]:
        if np.linalg.norm(one.force_n * seen) < least:
            continue
        at = panel.at(one.at_m)
        panel.push(at, one.force_n * seen, LOAD, 5.0)
        said = (one.name, force(float(np.linalg.norm(one.force_n))))
        out.append(Note(at, said, "left" if at[0] > 0.85 * SHEET[0] * FINE else "right", LOAD))
    return out


def _lever(panel: _Panel, case: LoadCase, ends: list[Point]) -> None:
    """How far the weight stands off the wall."""
    pen, off = panel.pen, case.forces[0].at_m * [1.0, 1.0, 0.0]
    centre, wall = panel.at(case.forces[0].at_m), panel.at(off)
    y = max(ends[0][1], centre[1]) + 14 * FINE
    for x, start in ((wall[0], wall[1]), (centre[0], centre[1])):
        pen.line([(x, start), (x, y + 8 * FINE)], 1.0, QUIET)
    pen.line([(wall[0], y), (centre[0], y)], 1.6)
    words = units.tape(float(case.forces[0].at_m[2]))
    pen.text((0.5 * (wall[0] + centre[0]), y + 24 * FINE), words, "plain", 19, INK, "ms")


def in_wall_words(one: CaseForce, least_n: float) -> tuple[str, ...]:
    """What acts on the piece along the wall, one line a direction; nothing for what is below ``least_n``."""
    right, up = (float(v) for v in one.force_n[:2])
    lines = (_way_words(up, least_n, "up", "down"), _way_words(right, least_n, "to the right", "to the left"))
    return tuple(line for line in lines if line)


def out_words(one: CaseForce, least_n: float) -> tuple[str, ...]:
    """What an anchor or the wall does across the wall."""
    said = _way_words(float(one.force_n[2]), least_n, "push", "pull")
    return (said,) if said else ()


def _way_words(value_n: float, least_n: float, above: str, below: str) -> str:
    return "" if abs(value_n) < least_n else f"{force(abs(value_n))} {above if value_n > 0 else below}"


def _hatched(pen: Pen, a: Point, b: Point) -> None:
    """The wall, hatched on its far side."""
    draw, step = ImageDraw.Draw(pen.image), 16 * FINE
    length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    for k in range(int(length / step) + 1):
        t = k * step / length
        x, y = a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t
        draw.line([(x, y), (x - 14 * FINE, y - 10 * FINE)], QUIET, round(1.2 * FINE))
    pen.line([a, b], 3.0)


def _words(pen: Pen, result: HangResult, made: str, top: int, height: int) -> None:
    heads = ("anchor", "from left", "up", "shear", "pull", "push", "one gone: shear", "one gone: pull", "checks")
    rows = [heads]
    for load in result.anchors[:MOST_ROWS]:
        rows.append(
            (
                load.name,
                units.tape(float(load.place_m[0])),
                units.tape(float(load.place_m[2])),
                force(load.most_shear_n),
                "not known" if load.pull_n is None else force(load.most_pull_n),
                force(load.most_push_n),
                force(load.one_gone_shear_n) if math.isfinite(load.one_gone_shear_n) else "falls or swings",
                force(load.one_gone_pull_n) if math.isfinite(load.one_gone_pull_n) else "falls or swings",
                load_verdict(load),
            )
        )
    pen.text(
        (MARGIN * FINE, (top + 20) * FINE), "The largest of every case, not one state in balance", "bold", 23, QUIET
    )
    widths = (150, 195, 190, 158, 158, 158, 165, 165, 380)
    y = table(pen, (MARGIN, top + 62.0), widths, rows, 30.0) / FINE
    if len(result.anchors) > MOST_ROWS:
        pen.text((MARGIN * FINE, y * FINE), f"and {len(result.anchors) - MOST_ROWS} more, see hang.md", "plain", 20)
        y += 28
    last = height - 100
    for k, line in enumerate((*verdict_lines(result), *(f"Warning: {line}" for line in sentences(result.warnings)))):
        colour = LOAD if line.startswith(("REFUSED", "Warning")) else INK
        if y > last - 34:
            pen.text((MARGIN * FINE, y * FINE), "More in hang.md.", "plain", 19)
            break
        y = paragraph(pen, (MARGIN, y + (4 if k else 8)), SHEET[0] - 2 * MARGIN, line, 19, colour) / FINE
    foot(pen, made, height)


def load_verdict(load: AnchorLoad) -> str:
    """The checks of one anchor in a few words; what was not checked is never called held."""
    over = [check for check in load.checks if check.verdict == "over"]
    known = [check for check in load.checks if check.verdict == "ok"]
    unknown = [check for check in load.checks if check.verdict == "unknown"]
    if over:
        worst = min(over, key=lambda check: check.margin)
        rule, _, lost = worst.name.removeprefix(f"{load.name}: ").partition(", without ")
        return f"OVER{' with one gone' if lost else ''}: {rule}"
    if not known:
        return "NOTHING CHECKED"
    most = max(1.0 - check.margin for check in known)
    return f"{units.share(most)} used; {len(unknown)} NOT CHECKED" if unknown else f"{units.share(most)} used"
