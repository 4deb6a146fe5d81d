"""Paper for the installer: the back of the piece at true scale, in tiles that print, and the wall as it is taped."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from pourwright import units
from pourwright.hanging import HangResult, hanging_pose
from pourwright.outcome import Piece, Surface, silhouette
from pourwright.pages import page_maker

PAGE_MM = (184.0, 250.0)
"""A page that fits both A4 and US Letter, with the words of its tile."""
LAP_MM = 10.0
"""Tiles lie over one another by this."""
EDGE_MM = 60.0
"""Paper round the outline, for words and datum lines."""
WALL_MM = (180.0, 205.0)
"""The elevation of the wall fits into this."""
LANE_MM = 4.5
"""From one height's line to the next."""
ROOM_MM = 32.0
"""Longest of the measures, as it is written."""
SCALES = (1, 2, 5, 10, 20, 25, 50, 100, 200)

INK = "fill='#1b2a3a' stroke='#ffffff' stroke-width='0.6' paint-order='stroke'"


@dataclass(frozen=True, eq=False)
class OnWall:
    """The piece on its wall, facing it: millimetres to the right of its left-most and up from its lowest point."""

    rings: tuple[np.ndarray, ...]  # (k, 2) of the outline
    names: tuple[str, ...]
    places: np.ndarray  # (n, 2)
    holes: tuple[float, ...]  # diameters of what is drilled for each insert; 0: none is given

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the outline."""
        most = np.max([ring.max(axis=0) for ring in self.rings], axis=0)
        return float(most[0]), float(most[1])


def on_wall(piece: Piece, result: HangResult, surface: Surface) -> OnWall:
    """Outline and anchors along the wall, however it leans."""
    asked = piece.site.hang
    assert asked is not None
    pose = hanging_pose(surface.vertices_m, asked)
    base = float(pose.to_wall[1, 1]) * result.wall_at_m / float(pose.out[1])
    walled = pose.frame.to_standing(surface.vertices_m) @ pose.to_wall.T - np.array([0.0, base, result.wall_at_m])
    shape = silhouette(walled, surface.faces).simplify(2e-4)
    rings = [
        1e3 * np.array(ring.coords) for part in shapely.get_parts(shape) for ring in (part.exterior, *part.interiors)
    ]
    corner = np.min([ring.min(axis=0) for ring in rings], axis=0)
    places = 1e3 * np.array([load.on_wall_m for load in result.anchors]).reshape(-1, 2)
    holes = tuple(0.0 if a.insert is None else 1e3 * a.insert.diameter_m for a in piece.site.anchors)
    return OnWall(
        tuple(ring - corner for ring in rings), tuple(load.name for load in result.anchors), places - corner, holes
    )


def template_files(piece: Piece, result: HangResult, surface: Surface) -> dict[str, str]:
    """``back_template.svg`` at true scale, ``back_tiles.html`` (the same to print), ``wall_tape.svg``."""
    made = on_wall(piece, result, surface)
    return {
        "back_template.svg": _svg(_back(piece, made), _frame(made)),
        "back_tiles.html": tiles_html(piece, made),
        "wall_tape.svg": wall_svg(piece, made),
    }


# --- the back, at true scale ----------------------------------------------------------------------------------------


def _mirrored(made: OnWall, points: np.ndarray) -> np.ndarray:
    """As the back is seen by whoever drills it: right is left; down the page."""
    return np.asarray((made.size - points) * [1, 1])


def _frame(made: OnWall) -> tuple[float, float, float, float]:
    wide, high = made.size
    return -EDGE_MM, -EDGE_MM, wide + 2 * EDGE_MM, high + 2 * EDGE_MM


def _back(piece: Piece, made: OnWall) -> str:
    wide, high = made.size
    out = [
        f"<title>{_safe(piece.name)}: back of the piece, 1:1, seen from behind</title>",
        "<g fill='none' stroke='#1b2a3a' stroke-width='0.4'>",
        *(f"<path d='{_path(_mirrored(made, ring))}Z'/>" for ring in made.rings),
        "</g><g stroke='#b3382c' stroke-width='0.3' stroke-dasharray='8 3'>",
        f"<path d='M{wide:.2f} {-EDGE_MM + 5:.2f}V{high + EDGE_MM - 5:.2f}'/>",
        f"<path d='M{-EDGE_MM + 5:.2f} {high:.2f}H{wide + EDGE_MM - 5:.2f}'/></g>",
    ]
    out.append(_text(wide + 2, -6, "left-most point of the hanging piece (facing it)", 4, turn=90))
    out.append(_text(2, high + 6, "lowest point of the hanging piece", 4))
    for name, place, hole in zip(made.names, made.places, made.holes, strict=True):
        x, y = (float(v) for v in _mirrored(made, place))
        out.append(_cross(x, y, 0.5 * hole))
        words = [name, f"{_tape(place[0])} from the left", f"{_tape(place[1])} up"]
        words += [f"insert {_tape(hole)}"] if hole else []
        down = 0.5 * hole + 6.0
        out += [_text(x + 2, y + down + 5 * k, line, 4) for k, line in enumerate(words)]
    out.append(_ruler(0.0, -35.0))
    out.append(_text(0, -44, f"{piece.name}: back of the piece, 1:1, SEEN FROM BEHIND, so left and right change", 5))
    out.append(_text(0, -24, "both lines of 100 mm (3.94 in): measure them on the print before you drill", 4))
    return "\n".join(out)


def _svg(body: str, frame: tuple[float, float, float, float]) -> str:
    x, y, wide, high = frame
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{wide:.2f}mm' height='{high:.2f}mm' "
        f"viewBox='{x:.2f} {y:.2f} {wide:.2f} {high:.2f}' font-family='sans-serif'>\n{body}\n</svg>\n"
    )


def tiles_html(piece: Piece, made: OnWall) -> str:
    """Every page of the back that has something on it, with lines to join them by."""
    left, top, wide, high = _frame(made)
    step = (PAGE_MM[0] - LAP_MM, PAGE_MM[1] - LAP_MM)
    columns, rows = (max(1, math.ceil((size - LAP_MM) / one)) for size, one in zip((wide, high), step, strict=True))
    drawn = shapely.union_all(
        [
            *(shapely.LineString(_mirrored(made, ring)) for ring in made.rings),
            *(shapely.Point(*_mirrored(made, place)).buffer(40.0 + hole) for place, hole in _drilled(made)),
        ]
    )
    pages = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * step[0], top + row * step[1]
            if drawn.intersects(shapely.box(x, y, x + PAGE_MM[0], y + PAGE_MM[1])):
                pages.append({"name": f"{chr(65 + row % 26)}{column + 1}", "x": x, "y": y})
    made_with = page_maker(trim_blocks=True)
    return made_with.get_template("back_tiles.html").render(
        name=piece.name,
        pages=pages,
        body=_back(piece, made),
        wide=PAGE_MM[0],
        high=PAGE_MM[1],
        lap=LAP_MM,
        frame=(left, top, wide, high),
        anchors=[(name, _tape(place[0]), _tape(place[1])) for name, place in zip(made.names, made.places, strict=True)],
    )


def _drilled(made: OnWall) -> list[tuple[np.ndarray, float]]:
    return list(zip(made.places, made.holes, strict=True))


# --- the wall -------------------------------------------------------------------------------------------------------


def wall_svg(piece: Piece, made: OnWall) -> str:
    """The wall, facing it: every anchor from one datum, and diagonals to check the marks by."""
    wide, high = made.size
    across, up = (sorted({round(float(v), 1) for v in made.places[:, k]}) for k in (0, 1))
    left = max(30.0, 10.0 + LANE_MM * len(up))  # every height has its line beside the piece
    room = WALL_MM[0] + 20 - left - 20.0
    scale = next((s for s in SCALES if wide / s <= room and high / s <= WALL_MM[1] - 60), SCALES[-1])
    shown = np.array([1.0, -1.0]) / scale

    def at(point: np.ndarray) -> tuple[float, float]:
        x, y = point * shown + np.array([left, 20.0 + high / scale])
        return float(x), float(y)

    x0, y0 = at(np.zeros(2))
    out = [
        f"<title>{_safe(piece.name)}: tape this on the wall</title>",
        "<g fill='none' stroke='#8793a0' stroke-width='0.3'>",
        *(f"<path d='{_path(np.array([at(p) for p in ring]))}Z'/>" for ring in made.rings),
        "</g><g stroke='#b3382c' stroke-width='0.3'>",
        f"<path d='M{x0 - 12:.2f} {y0:.2f}H{x0 + wide / scale + 12:.2f}M{x0:.2f} {y0 + 12:.2f}V{20 - 6:.2f}'/></g>",
        _text(x0 + 1, y0 + 4.5, "DATUM: left-most and lowest point of the hanging piece", 3),
        _text(30, 8, f"{piece.name}: tape this on the wall, facing it; drawn 1:{scale}", 5),
    ]
    for k, (name, place) in enumerate(zip(made.names, made.places, strict=True)):
        x, y = at(place)
        out.append(_cross(x, y, 1.2, 3.0))
        out.append(_text(x + 2, y - 2, f"{k + 1} {name}", 3.2))
    for lane, value in enumerate(across):
        x, below = at(np.array([value, 0.0]))[0], y0 + 10 + 5 * lane
        highest = min(at(p)[1] for p in made.places if round(float(p[0]), 1) == value)
        out.append(_dimension((x, highest), (x, below), (x0, below)))
        out.append(_text(x + 1, below + 1, _tape(value), 2.8))
    for lane, value in enumerate(up):
        y, beside = at(np.array([0.0, value]))[1], x0 - 5 - LANE_MM * lane
        farthest = max(at(p)[0] for p in made.places if round(float(p[1]), 1) == value)
        out.append(_dimension((farthest, y), (beside, y), (beside, y0)))
        # Along its line where there is room beside it, else from its top on up.
        start = y + ROOM_MM if y0 - y > ROOM_MM else y - 1
        out.append(_text(beside - 0.8, start, _tape(value), 2.8, turn=-90))
    row = y0 + 18 + 5 * len(across)
    out.append(_text(30, row, "Check by the distances between the marks:", 3.4))
    pairs = _pairs(made)
    for k, words in enumerate(pairs):
        out.append(_text(30 + 75 * (k % 2), row + 5 * (1 + k // 2), words, 3))
    side = max(WALL_MM[0] + 20, x0 + wide / scale + 20.0)
    return _svg("\n".join(out), (0.0, 0.0, side, max(row + 5 * (2 + len(pairs) // 2), 120.0)))


def _pairs(made: OnWall) -> list[str]:
    """Distances of each mark to the two before it: enough to find one that is out of place."""
    out = []
    for k in range(1, len(made.names)):
        for j in range(max(0, k - 2), k):
            apart = float(np.linalg.norm(made.places[k] - made.places[j]))
            out.append(f"{j + 1} to {k + 1}: {_tape(apart)}")
    return out


def _dimension(mark: tuple[float, float], corner: tuple[float, float], datum: tuple[float, float]) -> str:
    """A dashed line from a mark to its dimension, and the dimension from the datum."""
    ends = [f"{x:.2f} {y:.2f}" for x, y in (mark, corner, datum)]
    return (
        f"<g stroke='#1b2a3a' stroke-width='0.2' fill='none'><path d='M{ends[0]}L{ends[1]}' stroke-dasharray='2 1'/>"
        f"<path d='M{ends[2]}L{ends[1]}'/></g>"
    )


def _cross(x: float, y: float, radius: float, arm: float = 15.0) -> str:
    reach = max(arm, radius + 0.4 * arm)
    circle = f"<circle cx='{x:.2f}' cy='{y:.2f}' r='{radius:.2f}'/>" if radius > 0 else ""
    return (
        f"<g fill='none' stroke='#1b2a3a' stroke-width='0.3'>{circle}"
        f"<path d='M{x - reach:.2f} {y:.2f}h{2 * reach:.2f}M{x:.2f} {y - reach:.2f}v{2 * reach:.2f}'/></g>"
    )


def _ruler(x: float, y: float) -> str:
    return (
        f"<path d='M{x:.2f} {y:.2f}h100m0 -2v4m-100 0v-4M{x + 120:.2f} {y - 20:.2f}v100m-2 0h4m0 -100h-4' fill='none' "
        "stroke='#1b2a3a' stroke-width='0.4'/>"
    )


def _text(x: float, y: float, words: str, size: float, turn: float = 0.0) -> str:
    turned = f" transform='rotate({turn:g} {x:.2f} {y:.2f})'" if turn else ""
    return f"<text x='{x:.2f}' y='{y:.2f}' font-size='{size}' {INK}{turned}>{_safe(words)}</text>"


def _path(points: np.ndarray) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)


def _tape(value_mm: float) -> str:
    return units.tape(float(value_mm) / 1e3)


def _safe(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
