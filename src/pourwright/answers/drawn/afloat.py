"""The sheet of a piece afloat: at its waterline with a load and swamped, and the flotation statement."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image

from pourwright import units
from pourwright.answers.drawn.panel import (
    HOLD,
    LOAD,
    SHEET,
    WATER,
    Rect,
    bar,
    blank_sheet,
    caption,
    centre_mark,
    draw_piece,
    finished,
    foot,
    note,
    panel_view,
    paragraph,
    scale_for,
    table,
)
from pourwright.cavity import PourFrame, pour_frame
from pourwright.draw.ink import MARGIN, QUIET, Pen
from pourwright.draw.view import FINE, View
from pourwright.findings import Verdict
from pourwright.outcome import Piece, Surface
from pourwright.water import FloatResult, FloatState, Flotation
from pourwright.wording.checks import angle

ROWS = ((195.0, 450.0), (545.0, 800.0))
LONG, ACROSS = (90.0, 1150.0), (1300.0, 1714.0)
MOST_ROWS = 9


def float_sheet(piece: Piece, result: FloatResult, surface: Surface, made: str) -> Image.Image:
    """Two states in fresh water: loaded or empty with its hollow dry, and swamped, leaking, under test load."""
    states = [s for s in result.states if s.water == "fresh"]
    dry = next((s for s in states if s.name == "loaded, dry"), states[0])
    swamped = [s for s in states if "swamped and leaking" in s.name]
    shown = [dry, next((s for s in swamped if s.name.startswith("level")), swamped[0])]
    image = blank_sheet()
    drawn = []
    for state, (top, bottom) in zip(shown, ROWS, strict=True):
        drawn += _panels(result, state, surface, top, bottom)
    scale = 0.96 * scale_for([(high - low, rect) for _, _, _, low, high, rect in drawn])
    pen: Pen | None = None
    for state, frame, axes, low, high, rect in drawn:
        view = panel_view(frame, axes, low, high, rect, scale)
        image = draw_piece(image, view, surface)
        if state.floats:
            image = _under_water(image, view, frame, result, state, rect)
        pen = Pen(image, view)
        _marks(pen, view, frame, result, state, rect)
    assert pen is not None
    foam = result.foam_m3
    words = f"On calm fresh water   ·   foam {units.volume(foam.nominal)}, at lowest yield {units.volume(foam.low)}"
    pen.header(piece.name, words, piece.place)
    for state, (top, _) in zip(shown, ROWS, strict=True):
        caption(pen, (MARGIN, top - 20, 0, 0), _title(state))
    bar(pen, (MARGIN, 848.0), scale)
    _words(pen, result, made)
    return finished(pen.image)


def _title(state: FloatState) -> str:
    if not state.floats:
        return f"{state.name}: it SINKS"
    tail = f"trim {angle(abs(state.trim_rad))} {'bow up' if state.trim_rad > 0 else 'bow down'}"
    if state.capsizes:
        tail = "it CAPSIZES; drawn as it comes to rest"
    elif may := _at_ends(state):
        tail = f"it {may} at an end of its weights"
    return f"{state.name}, {units.mass(state.kg.nominal)}: draft {units.length(state.draft_m.nominal)}, {tail}"


Drawn = tuple[FloatState, PourFrame, tuple[tuple[float, ...], ...], np.ndarray, np.ndarray, Rect]


def _panels(result: FloatResult, state: FloatState, surface: Surface, top: float, bottom: float) -> list[Drawn]:
    """The piece in its attitude from the side (bow to the right) and from ahead."""
    normal = np.array(state.plane[:3]) if state.floats else np.array([0.0, 0.0, 1.0])
    bow = np.array([result.bow[0], result.bow[1], 0.0])
    turn = result.frame.rotation
    frame = pour_frame(surface.vertices_m, turn.T @ normal, turn.T @ bow)  # its front is the bow
    size = frame.size_m
    side = ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0))
    ahead = ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    return [
        (state, frame, side, np.array([-size[1], 0.0]), np.array([0.0, size[2]]), (LONG[0], top, LONG[1], bottom)),
        (state, frame, ahead, np.zeros(2), size[[0, 2]], (ACROSS[0], top, ACROSS[1], bottom)),
    ]


def _water_height(frame: PourFrame, result: FloatResult, state: FloatState) -> float:
    normal = np.array(state.plane[:3])
    return float(frame.to_standing(result.frame.to_shell(normal * state.plane[3]))[2])


def _under_water(
    image: Image.Image, view: View, frame: PourFrame, result: FloatResult, state: FloatState, rect: Rect
) -> Image.Image:
    """Water over everything below its level, in the width of the panel."""
    level = float(view.standing(np.array([0.0, 0.0, _water_height(frame, result, state)]))[1])
    x0, x1 = round((rect[0] - 50) * FINE), round((rect[2] + 50) * FINE)
    x1 = min(x1, image.width - MARGIN * FINE)
    y0, y1 = round(level), round((rect[3] + 28) * FINE)
    if y1 <= y0:
        return image
    patch = np.asarray(image.crop((x0, y0, x1, y1)), float)
    fade = np.linspace(0.42, 0.66, y1 - y0)[:, None, None]
    mixed = patch * (1 - fade) + np.array(WATER, float) * fade
    out = image.copy()
    out.paste(Image.fromarray(np.asarray(np.round(mixed), np.uint8)), (x0, y0))
    return out


def _marks(pen: Pen, view: View, frame: PourFrame, result: FloatResult, state: FloatState, rect: Rect) -> None:
    if not state.floats:
        return
    water = _water_height(frame, result, state)
    level = float(view.standing(np.array([0.0, 0.0, water]))[1])
    pen.line([((rect[0] - 50) * FINE, level), (min(rect[2] + 50, SHEET[0] - MARGIN) * FINE, level)], 2.6, HOLD)
    pen.triangle(((rect[0] - 34) * FINE, level - 11 * FINE), 9.0, 1.0, HOLD)
    centre, buoyancy = (
        view.standing(frame.to_standing(result.frame.to_shell(p)))
        for p in (_weight_at(result, state), state.buoyancy_m)
    )
    pen.disc((float(buoyancy[0]), float(buoyancy[1])), 8.0, (250, 248, 243), HOLD, 3.0)
    centre_mark(pen, (float(centre[0]), float(centre[1])), 11.0)
    if rect[0] == LONG[0]:
        base = float(view.standing(np.zeros(3))[1])
        x = (rect[2] + 26) * FINE
        pen.line([(x, level), (x, base)], 1.8)
        for y in (level, base):
            pen.line([(x - 7 * FINE, y), (x + 7 * FINE, y)], 1.8)
        note(pen, (x - 14 * FINE, 0.5 * (level + base)), [units.length(state.draft_m.nominal)], "left", size=19)


def _weight_at(result: FloatResult, state: FloatState) -> np.ndarray:
    """Centre of all weight: at rest it is plumb over or under the centre of buoyancy; drawn at the piece's own height.

    The state's own load may have moved it; what the picture needs is the plumb line, and that is exact.
    """
    normal = np.array(state.plane[:3])
    height = float((result.centre_m - state.buoyancy_m) @ normal)
    return np.asarray(state.buoyancy_m + normal * height)


def _at_ends(state: FloatState) -> str:
    """What it may do at an end of its weights."""
    return "may SINK" if state.end_sinks else "may CAPSIZE" if state.end_capsizes else ""


def enough(asked: Flotation) -> str:
    """Whether the foam is enough for every method that is checked."""
    verdicts = {check.verdict for check in asked.checks}
    if Verdict.OVER in verdicts:
        return "is NOT ENOUGH"
    if Verdict.UNKNOWN in verdicts:
        return "may NOT BE ENOUGH: it is not known"
    if math.isnan(asked.allowance.share):
        return "is enough while it is dry; what it loses to water is not known"
    return "is enough"


def _words(pen: Pen, result: FloatResult, made: str) -> None:
    heads = ("load", "weight", "in hollows", "draft", "GM", "freeboard", "rest")
    rows = [heads]
    for state in [s for s in result.states if s.water == "fresh"][:MOST_ROWS]:
        calm = "lolls" if state.lolls else "upright"
        rest = "SINKS" if not state.floats else "CAPSIZES" if state.capsizes else _at_ends(state) or calm
        rows.append(
            (
                state.name,
                units.mass(state.kg.nominal),
                units.volume(state.held_m3) if state.held_m3 > 0 else "-",
                units.length(state.draft_m.nominal) if state.floats else "-",
                units.length(state.gm_m) if state.floats else "-",
                "-" if math.isnan(state.freeboard_m) else units.length(state.freeboard_m),
                rest,
            )
        )
    y = table(pen, (MARGIN, 935.0), (395, 235, 220, 250, 250, 250, 120), rows, 22.0) / FINE
    low = min((r for r in result.reserves if "swamped" in r.name), key=lambda r: r.kg.low)
    text = (
        f"Reserve swamped and leaking: {units.mass(low.kg.low)} at the low end, {units.mass(low.kg.nominal)} expected. "
        f"Bare foam crushes at {units.length(result.crush[0].fresh_m)} of fresh water, creeps below "
        f"{units.length(result.crush[2].fresh_m)}."
    )
    colour = None
    for fill in (f for f in result.filling if f.gm_m <= 0):
        colour = LOAD
        text += (
            f" With {units.volume(fill.held_m3)} of water in its hollows, {fill.name.removesuffix(', dry')}, GM is "
            f"{units.length(fill.gm_m)}: NOT STABLE upright."
        )
    if result.flotation is not None:
        f = result.flotation
        colour = colour if all(check.verdict == Verdict.OK for check in f.checks) else LOAD
        text += (
            f" Flotation after 33 CFR 183 by the Boatbuilder's Handbook: basic asks for {units.volume(f.basic_m3)}, "
            f"level for {units.volume(f.level_m3)}; the foam at its lowest yield, {units.volume(f.foam_m3.low)}, "
            f"{enough(f)}. See float.md for the edition and what is not checked."
        )
    ink = colour or (30, 44, 58)
    y = paragraph(pen, (MARGIN, y + 4), SHEET[0] - 2 * MARGIN, text, 19, ink) / FINE
    pen.text(
        ((SHEET[0] - MARGIN) * FINE, 868 * FINE),
        "quartered: centre of mass   ·   ring: centre of buoyancy",
        "plain",
        19,
        QUIET,
        "rs",
    )
    foot(pen, made)
