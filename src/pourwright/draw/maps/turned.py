"""Small pictures of the rolls of a lining: how the piece lies as each begins, and about what it is rolled."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from pourwright.draw.ink import font_file
from pourwright.draw.paint import INK, LIT, NEUTRAL, PAPER
from pourwright.errors import FileError
from pourwright.wording.cups_of_a_coat import MOST_TOLD, cups_of

if TYPE_CHECKING:
    from pourwright.lining import Position
    from pourwright.plan import LinedPlan

SIDE, FINER = 460, 2
"""Pixels of a picture, and how many times finer it is drawn."""
BOARD = (122, 90, 62)
PALE = tuple(int(0.45 * a + 0.55 * b) for a, b in zip(LIT, PAPER, strict=True))
"""Of every second cup of a coat that is spread."""
DOWN_RAD = np.radians(14.0)
"""It is looked down on by so much."""
ASIDE_RAD = np.radians(25.0)
"""And past the axis by so much, its named end nearer: what goes round it is seen as a ring."""
NAMES = ("left", "right", "front", "back", "bottom", "top")


@dataclass(frozen=True, eq=False)
class Looked:
    """How a piece that lies with a way up is looked at: rows right, up and away, standing axes."""

    rows: np.ndarray
    middle_m: np.ndarray
    scale: float

    def at(self, points_m: np.ndarray) -> np.ndarray:
        """Pixels (..., 2) and depth of standing points (..., 3)."""
        seen = (points_m - self.middle_m) @ self.rows.T
        half = 0.5 * SIDE * FINER
        return np.stack([half + self.scale * seen[..., 0], half - self.scale * seen[..., 1], seen[..., 2]], axis=-1)


def looked_at(up: np.ndarray, axis: np.ndarray, size_m: np.ndarray) -> Looked:
    """Across the axis and a little along it; without one (it is set down) the piece's own right stays right.

    Parameters
    ----------
    up, axis : ndarray (3,)
        Standing axes; an axis of zeros or along ``up`` counts for none.
    size_m : ndarray (3,)
        Of the standing piece.
    """
    for lead in (axis, np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])):
        right = lead - (lead @ up) * up
        if np.linalg.norm(right) > 0.2:
            break
    right = right / np.linalg.norm(right)
    right = np.cos(ASIDE_RAD) * right + np.sin(ASIDE_RAD) * np.cross(up, right)
    away = np.cross(up, right)
    over = np.cos(DOWN_RAD) * up + np.sin(DOWN_RAD) * away
    into = np.cos(DOWN_RAD) * away - np.sin(DOWN_RAD) * up
    rows = np.array([right, over, into])
    reach = float((np.abs(rows[:2]) @ size_m).max())
    return Looked(rows, 0.5 * size_m, 0.66 * SIDE * FINER / reach)


def draw_rolls(plan: LinedPlan, folder: Path) -> list[Path]:
    """Draw ``roll_1_1.png`` and so on (coat, roll) into a folder.

    Raises
    ------
    FileError
        One cannot be written.
    """
    out = []
    for one in plan.lining.sequence:
        path = folder / f"roll_{one.coat}_{one.number}.png"
        try:
            roll_picture(plan, one).save(path, optimize=True)
        except OSError as error:
            raise FileError(f"{path} cannot be written ({error.strerror or error}): name another folder.") from None
        out.append(path)
    return out


def roll_picture(plan: LinedPlan, one: Position) -> Image.Image:
    """The piece as a roll begins: its lined inside, boards brown, names on its sides, the axis with its way round."""
    turn = plan.frame.rotation.T
    up, axis = one.up @ turn, np.zeros(3) if one.roll.still else one.axis @ turn
    size = np.asarray(plan.frame.size_m)
    look = looked_at(up, axis, size)
    image = Image.new("RGB", (SIDE * FINER, SIDE * FINER), PAPER)
    ink = ImageDraw.Draw(image)
    _body(plan, one, look, ink)
    _floor(look, ink, size, up)
    if not one.roll.still:
        _axis(look, ink, size, axis, one.roll.turn_rad)
    _names(look, ink, size)
    return image.resize((SIDE, SIDE), Image.Resampling.LANCZOS).quantize(64)


def _body(plan: LinedPlan, one: Position, look: Looked, ink: ImageDraw.ImageDraw) -> None:
    inside, frame = plan.lining.inside, plan.frame
    seen = look.at(frame.to_standing(inside.triangles_m))
    normal = inside.normal @ frame.rotation.T @ look.rows.T
    light = 0.66 + 0.34 * np.clip((normal[:, 1] - normal[:, 2]) / np.sqrt(2.0), 0.0, 1.0)
    base = np.where(inside.counts[:, None], np.array(NEUTRAL), np.array(BOARD))
    if one.spread_on is not None:
        cup, _ = cups_of(plan, plan.lining.coats[one.coat - 1], one)
        shade = np.where((cup % 2 == 1)[:, None], np.array(LIT), np.array(PALE))
        base = np.where(one.spread_on[:, None], shade, base)
    base = base * light[:, None]
    order = np.argsort(-seen[..., 2].mean(axis=1), kind="stable")
    for k in order[normal[order, 2] < 0.0]:
        ink.polygon([tuple(xy) for xy in seen[k, :, :2]], fill=tuple(int(v) for v in base[k]))
    if one.spread_on is not None and 1 < cup.max() <= MOST_TOLD:
        _numbers(seen.mean(axis=1), (normal[:, 2] < 0.0) & inside.counts, cup, ink)


def _numbers(at: np.ndarray, seen: np.ndarray, cup: np.ndarray, ink: ImageDraw.ImageDraw) -> None:
    """The number of each cup, on the face that is nearest the middle of what is seen of its part."""
    font = ImageFont.truetype(font_file("bold"), 22 * FINER)
    for k in range(1, int(cup.max()) + 1):
        mine = at[seen & (cup == k)]
        if len(mine):
            x, y, _ = mine[np.argmin(np.linalg.norm(mine - mine.mean(axis=0), axis=1))]
            ink.text((x, y), str(k), font=font, fill=INK, anchor="mm", stroke_width=2 * FINER, stroke_fill=PAPER)


def _floor(look: Looked, ink: ImageDraw.ImageDraw, size: np.ndarray, up: np.ndarray) -> None:
    """A line under the piece."""
    half = 0.5 * float(np.abs(up) @ size)
    low = look.at(look.middle_m - half * up)[1] + 10 * FINER
    ink.line([(0.06 * SIDE * FINER, low), (0.94 * SIDE * FINER, low)], fill=INK, width=2 * FINER)


def _axis(look: Looked, ink: ImageDraw.ImageDraw, size: np.ndarray, axis: np.ndarray, turn_rad: float) -> None:
    """The axis through the middle, and an arrow round its nearer end: clockwise from its end where it turns so."""
    far = 0.5 * float(np.abs(axis) @ size) + 0.07 * float(np.linalg.norm(size))
    ends = look.at(look.middle_m + np.outer([-far, far], axis))
    ink.line([tuple(end[:2]) for end in ends], fill=LIT, width=3 * FINER)
    near = 1.0 if ends[1, 2] <= ends[0, 2] + 1e-6 else -1.0
    side = look.rows[1] - (look.rows[1] @ axis) * axis
    if np.linalg.norm(side) < 1e-6:
        side = look.rows[0] - (look.rows[0] @ axis) * axis
    side = side / np.linalg.norm(side)
    other = np.cross(axis, side)
    at = np.radians(np.linspace(-130.0, 130.0, 40)) * (-1.0 if turn_rad > 0.0 else 1.0)
    round_m = 0.13 * float(np.linalg.norm(size))
    ring = np.outer(np.cos(at), side) + np.outer(np.sin(at), other)
    path = look.at(look.middle_m + near * 0.93 * far * axis + round_m * ring)[:, :2]
    ink.line([tuple(xy) for xy in path], fill=LIT, width=5 * FINER, joint="curve")
    way = path[-1] - path[-4]
    way = way / max(float(np.linalg.norm(way)), 1e-9)
    across, long = np.array([-way[1], way[0]]), 15 * FINER
    tip = [path[-1] + long * way, path[-1] + 0.6 * long * across, path[-1] - 0.6 * long * across]
    ink.polygon([tuple(xy) for xy in tip], fill=LIT)


def _names(look: Looked, ink: ImageDraw.ImageDraw, size: np.ndarray) -> None:
    """The names of the sides that are seen."""
    font = ImageFont.truetype(font_file("bold"), 25 * FINER)
    for k, name in enumerate(NAMES):
        way = np.zeros(3)
        way[k // 2] = 1.0 if k % 2 else -1.0
        if look.rows[2] @ way > -0.2:
            continue  # it looks away
        x, y, _ = look.at(look.middle_m + 0.5 * size * way)
        left, top, right, bottom = ink.textbbox((x, y), name, font=font, anchor="mm")
        room, edge = 4 * FINER, SIDE * FINER - 4 * FINER
        x += max(0.0, room - left) - max(0.0, right - edge)
        y += max(0.0, room - top) - max(0.0, bottom - edge)
        box = ink.textbbox((x, y), name, font=font, anchor="mm")
        ink.rectangle([box[0] - room, box[1] - room, box[2] + room, box[3] + room], fill=PAPER, outline=INK)
        ink.text((x, y), name, font=font, fill=INK, anchor="mm")
