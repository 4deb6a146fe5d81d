"""The sheet of a piece's structure: bent before and after, where the foam helps, where to prop the skin."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from PIL import Image, ImageDraw
from scipy.spatial import cKDTree

from pourwright import units
from pourwright.answers.drawn.panel import (
    HOLD,
    LOAD,
    SHEET,
    Rect,
    arrow,
    bar,
    blank_sheet,
    caption,
    draw_piece,
    finished,
    foot,
    note,
    panel_view,
    paragraph,
    scale_for,
    table,
)
from pourwright.cavity import PourFrame
from pourwright.draw.bodies import body
from pourwright.draw.ink import MARGIN, QUIET, Pen
from pourwright.draw.paint import INK, Drawing, blend, ladder
from pourwright.draw.view import AZIMUTH_DEG, FINE, View, elevation_deg
from pourwright.outcome import Surface
from pourwright.structure import StiffnessResult
from pourwright.wording.checks import force
from pourwright.wording.stiffness import bond_words

PANELS: tuple[Rect, ...] = tuple((60.0 + 430 * k, 215.0, 450.0 + 430 * k, 770.0) for k in range(4))
STEPS = 8
GAINS = (1.05, 1.2, 1.5, 2.0, 3.0, 5.0, 10.0)  # borders of the gain map's colours
BEND = 0.06  # of the piece's size: how far the empty skin is drawn to move
MOST_ROWS = 6


def draw_stiffness(name: str, place: str, frame: PourFrame, result: StiffnessResult, made: str) -> Image.Image:
    """Four views on one sheet: the side pressure before and after on one scale, the gain map, the shores."""
    shape, push = result.shape, result.push
    assert shape is not None
    assert push is not None
    a, e = np.radians(AZIMUTH_DEG), np.radians(elevation_deg(frame.size_m))
    toward = np.array([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)])
    right = np.array([np.cos(a), np.sin(a), 0.0])
    axes = np.array([right, np.cross(toward, right), toward])
    rows = [[float(v) for v in row] for row in axes]
    seen = shape.vertices_m @ axes.T
    low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
    scale = 0.93 * scale_for([(high - low, rect) for rect in PANELS])
    views = [panel_view(frame, rows, low - 0.04 * np.ptp(seen), high + 0.04 * np.ptp(seen), r, scale) for r in PANELS]
    image = blank_sheet()
    most = float(np.linalg.norm(shape.before_m, axis=1).max())
    swell = BEND * float(frame.size_m.max()) / max(most, 1e-12)
    for view, moved in zip(views, (shape.before_m, shape.after_m), strict=False):
        size = np.linalg.norm(moved, axis=1)[shape.faces].mean(axis=1)
        steps = np.minimum((STEPS * size / max(most, 1e-12)).astype(int), STEPS - 1)
        image = _coloured(image, view, frame, shape.vertices_m + swell * moved, shape.faces, steps, STEPS)
    gain = _over_skin(push.point_m, push.normal, push.gain, shape.vertices_m)
    steps = np.searchsorted(GAINS, gain[shape.faces].mean(axis=1))
    image = _coloured(image, views[2], frame, shape.vertices_m, shape.faces, steps, len(GAINS) + 1)
    surface = Surface(frame.to_shell(shape.vertices_m), shape.faces, np.zeros(len(shape.faces), bool))
    image = draw_piece(image, views[3], surface)
    pen = Pen(image, views[0])
    pen.header(name, "Skin and foam under load", place)
    after = "filled, bonded" if result.bond > 0 else "filled, no bond, gap closed"
    for rect, words in zip(
        PANELS, ("empty, pushed on its front", after, "stiffer to a hand push", "shores"), strict=True
    ):
        caption(pen, (rect[0], rect[1] - 26, 0, 0), words)
    _scale(
        pen,
        PANELS[0],
        [units.digits(1e3 * most * k / STEPS, 2) for k in range(1, STEPS)],
        "mm, both on one scale" + (f", under {units.pressure(shape.load_pa)}" if shape.load_pa > 0 else ""),
        STEPS,
    )
    _scale(pen, PANELS[2], [f"{g:g}" for g in GAINS], "times as stiff", len(GAINS) + 1)
    worst = push.worst
    _spot(pen, views[2], push.point_m[worst], "softest")
    _props(pen, views[3], result)
    bar(pen, (PANELS[1][0], 790.0), scale)
    _words(pen, result, swell, made)
    return finished(pen.image)


def _coloured(
    image: Image.Image,
    view: View,
    frame: PourFrame,
    standing: np.ndarray,
    faces: np.ndarray,
    step: np.ndarray,
    count: int,
) -> Image.Image:
    made = replace(body(view, frame.to_shell(standing), faces), part=(step + 1).astype(np.int32))
    solid, empty = Drawing(view, window=False), Drawing(view, window=False)
    solid.add(made)
    reach = 0.03 * float(frame.size_m.max())
    palette = np.vstack([[[206, 196, 180]], ladder(count)])
    return blend(view, image, solid.layer(reach), empty.layer(reach), palette)


def _over_skin(point_m: np.ndarray, normal: np.ndarray, value: np.ndarray, vertices_m: np.ndarray) -> np.ndarray:
    """Values at points, carried over the skin by the nearest four, in logarithms."""
    far, near = cKDTree(point_m).query(vertices_m, k=min(4, len(point_m)))
    weight = 1 / np.maximum(far, 1e-6) ** 2
    return np.asarray(np.exp((weight * np.log(value[near])).sum(axis=1) / weight.sum(axis=1)))


def _scale(pen: Pen, rect: Rect, borders: list[str], words: str, count: int) -> None:
    draw = ImageDraw.Draw(pen.image)
    colours = ladder(count)
    wide = (rect[2] - rect[0]) / count
    top = 785.0
    for k in range(count):
        x = rect[0] + k * wide
        box = (x * FINE, top * FINE, (x + wide) * FINE, (top + 14) * FINE)
        draw.rectangle(box, fill=tuple(int(v) for v in colours[k]), outline=QUIET)
        if k:
            pen.text((x * FINE, (top + 34) * FINE), borders[k - 1], "plain", 17, INK, "ms")
    pen.text((rect[0] * FINE, (top + 58) * FINE), words, "plain", 18, QUIET)


def _spot(pen: Pen, view: View, point_m: np.ndarray, words: str) -> None:
    x, y, _ = (float(v) for v in view.standing(point_m))
    pen.disc((x, y), 8.0, (250, 248, 243), LOAD, 3.0)
    note(pen, (x + 14 * FINE, y), [words], "right", LOAD, 18)


def _props(pen: Pen, view: View, result: StiffnessResult) -> None:
    number = 0
    toward = view.axes[2]
    for bulge in result.bulges:
        for k, prop in enumerate(bulge.props, 1):
            number += 1
            tip = view.standing(prop.point_m)
            tail = view.standing(prop.point_m + prop.normal * 60 * FINE / view.scale)
            away = float(prop.normal @ toward) < -0.1
            arrow(pen, (float(tail[0]), float(tail[1])), (float(tip[0]), float(tip[1])), QUIET if away else HOLD, 3.0)
            if number <= 10:
                at = (float(tail[0]), float(tail[1]))
                note(pen, at, [f"{bulge.number}.{k}"], "right", QUIET if away else HOLD, 17)
    if not number:
        rect = PANELS[3]
        held = result.bulges and all(bulge.verdict == "held" for bulge in result.bulges)
        over = any(bulge.verdict in ("over", "unknown") for bulge in result.bulges)
        words = "held from outside" if held else "see the warnings" if over else "none needed"
        pen.text((rect[0] * FINE, 803 * FINE), words if result.bulges else "not computed", "plain", 19, QUIET)
    else:
        pen.text((PANELS[3][0] * FINE, 803 * FINE), "grey: behind the piece", "plain", 18, QUIET)


def _words(pen: Pen, result: StiffnessResult, swell: float, made: str) -> None:
    rows: list[tuple[str, ...]] = [("what", "no bond", "bonded", "counted")]
    for gain in result.gains[:MOST_ROWS]:
        rows.append((gain.name, *(f"{v:.2f} x" if v < 10 else f"{v:.0f} x" for v in gain.times)))
    push = result.push
    assert push is not None
    k = push.worst
    values = [v[k] / push.before_n_m[k] for v in (push.touching_n_m, push.bonded_n_m, push.counted_n_m)]
    rows.append(("hand push, softest place", *(f"{v:.2f} x" if v < 10 else f"{v:.0f} x" for v in values)))
    y = table(pen, (MARGIN, 905.0), (760, 200, 200, 200), rows, 29.0) / FINE
    text = (
        f"Movements are drawn {units.digits(swell)} times as large as they are. {units.in_both(result.support)} "
        f"{bond_words(result)}"
    )
    if any(gain.beyond for gain in result.gains) or push.beyond:
        text += " Times and movements are told up to the load that straight-line theory holds for: see stiffness.md."
    y = paragraph(pen, (MARGIN, y + 8), SHEET[0] - 2 * MARGIN, text) / FINE
    over = [bulge for bulge in result.bulges if bulge.verdict == "over"]
    if over:
        total = max((prop.force_n for bulge in over for prop in bulge.props), default=0.0)
        line = (
            f"Warning: {len(over)} of {len(result.bulges)} lifts bulge the skin too far; hardest shore {force(total)}; "
            "see stiffness.md."
        )
        paragraph(pen, (MARGIN, y), SHEET[0] - 2 * MARGIN, line, 20, LOAD)
    foot(pen, made)
