"""The piece being filled, as a film: foam climbs level by level, lift by lift."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import IO

import numpy as np
from PIL import Image

from pourwright import units
from pourwright.cavity import region_mesh
from pourwright.draw.bodies import EVEN, Body, body
from pourwright.draw.ink import Pen
from pourwright.draw.lift_labels import Stage
from pourwright.draw.lifts import save_whole, stage_of
from pourwright.draw.paint import LIT, SETTLED, Drawing, Layer, blend
from pourwright.draw.view import FINE, View
from pourwright.errors import FileError
from pourwright.plan import Plan
from pourwright.progress import Progress, silent

WIDTH = 800
FRAME_MS, REST_MS, END_MS = 110, 700, 2600
MOST_FRAMES = 60


def draw_fill(plan: Plan, path: Path, *, width: int = WIDTH, progress: Progress = silent) -> Path:
    """Draw the fill as an animated GIF that plays for ever.

    Parameters
    ----------
    plan : Plan
    path : Path
        The file, for example ``fill.gif``; its folder exists. It appears whole or not at all.
    width : int, optional
        Of the film, in pixels.
    progress : Progress, optional

    Raises
    ------
    FileError
        The file cannot be written.

    Each lift climbs in a few steps and rests when it is full. The steps show where foam is, not how fast it rises.
    """
    if not path.parent.is_dir():  # said before the work, not after it
        raise FileError(f"{path} cannot be written (there is no such folder): name another folder.")
    stage = stage_of(plan)
    view = _half(stage.view)
    skin, back = _halved(stage.skin), stage.back.resize((view.width, view.height), Image.Resampling.BOX)
    hollow_m, drawing = stage.hollow_m, Drawing(view, window=False)
    frames: list[Image.Image] = []
    times: list[int] = []
    steps = _steps(plan)
    for k, (number, low, high, full) in enumerate(steps):
        risen = drawing.fork()
        risen.add(_slice(plan, view, number, low, high))
        palette = np.array([SETTLED[i % 2] for i in range(plan.lift_plan.lifts[-1].number + 1)], float)
        palette[number] = LIT
        image = blend(view, back, risen.layer(hollow_m), skin, palette)
        frames.append(_titled(plan, stage, image, number, float(plan.graph.level_m[high]), width))
        times.append(REST_MS if full else FRAME_MS)
        drawing = risen if full else drawing
        progress("film", (k + 1) / len(steps))
    times[-1] = END_MS
    colours = _colours(frames)
    flat = [frame.quantize(palette=colours, dither=Image.Dither.NONE) for frame in frames]

    def write(file: IO[bytes]) -> None:
        flat[0].save(
            file,
            format="GIF",
            save_all=True,
            append_images=flat[1:],
            duration=times,
            loop=0,
            optimize=False,
            disposal=1,
        )

    return save_whole(path, write)


def _colours(frames: list[Image.Image]) -> Image.Image:
    """One set of colours for the whole film, so that nothing flickers."""
    chosen = [frames[k] for k in (0, len(frames) // 3, 2 * len(frames) // 3, -1)]
    sheet = Image.new("RGB", (frames[0].width, sum(frame.height for frame in chosen)))
    for k, frame in enumerate(chosen):
        sheet.paste(frame, (0, k * frame.height))
    return sheet.quantize(254, kmeans=1)


def _steps(plan: Plan) -> list[tuple[int, int, int, bool]]:
    """Lift, its lowest level, the level that foam has reached, and whether the lift is full then, of each frame."""
    lifts = plan.lift_plan.lifts
    levels = max(1, sum(lift.top_level - lift.bottom_level for lift in lifts))
    out = []
    for lift in lifts:
        span = lift.top_level - lift.bottom_level
        count = int(np.clip(round(MOST_FRAMES * span / levels), 1, span))
        cuts = np.unique(np.round(np.linspace(lift.bottom_level, lift.top_level, count + 1)).astype(int))
        out += [(lift.number, lift.bottom_level, int(cut), bool(cut == cuts[-1])) for cut in cuts[1:]]
    return out


def _slice(plan: Plan, view: View, number: int, low: int, high: int) -> Body:
    lift = next(lift for lift in plan.lift_plan.lifts if lift.number == number)
    nodes = np.unique(np.concatenate([pour.nodes for pour in lift.pours])) if lift.pours else np.empty(0, int)
    level = plan.graph.node_level[nodes]
    nodes = nodes[(level >= low) & (level < high)]
    cuts = (float(plan.graph.level_m[low]), float(plan.graph.level_m[high]))
    return body(view, *region_mesh(plan.cavity, plan.graph, nodes), part=number, even=EVEN, cuts_m=cuts)


def _half(view: View) -> View:
    left, top, right, bottom = (v // 2 for v in view.window)
    return replace(
        view,
        scale=view.scale / 2,
        shift=view.shift / 2,
        width=view.width // 2,
        height=view.height // 2,
        window=(left, top, right, bottom),
    )


def _halved(layer: Layer) -> Layer:
    return Layer(*(getattr(layer, name)[::2, ::2] for name in ("depth", "tone", "rim", "line", "part")))


def _titled(plan: Plan, stage: Stage, image: Image.Image, number: int, height_m: float, width: int) -> Image.Image:
    """A frame with its words, at the size of the film."""
    large = image.resize((stage.view.width, stage.view.height), Image.Resampling.BILINEAR)
    pen = Pen(large, stage.view)
    words = f"Lift {number} of {plan.lift_plan.lifts[-1].number}   ·   foam up to {units.tape(height_m)}"
    pen.header(plan.job.name, words, plan.job.place)
    pen.scale_bar()
    return large.resize(
        (width, round(stage.view.height * width / stage.view.width)), Image.Resampling.BOX, reducing_gap=None
    )


assert FINE == 2  # `_half` makes one pixel of two
