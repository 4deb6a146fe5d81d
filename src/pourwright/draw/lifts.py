"""The pictures of a plan: every lift, all of them together, and the cavity with its pools and pockets."""

from __future__ import annotations

import contextlib
import functools
import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO

import numpy as np
from PIL import Image

from pourwright import units
from pourwright.cavity import Extremum
from pourwright.draw.bodies import Surface, lift_body, skin_body, together
from pourwright.draw.cards import draw_cards
from pourwright.draw.ink import QUIET, Pen
from pourwright.draw.irons import by_course, draw_irons
from pourwright.draw.labels import Label
from pourwright.draw.lift_labels import Stage, anchors_of, behind, canvas_xy, mouth, pour_label, signs_of, tube_end
from pourwright.draw.paint import (
    GLASS_LIGHT,
    INK,
    LIT,
    NEUTRAL,
    PAPER,
    POCKETS,
    POOLS,
    SETTLED,
    Colour,
    Drawing,
    Layer,
    backdrop,
    blend,
    ladder,
)
from pourwright.draw.regions import region_nodes
from pourwright.draw.rising import Rising
from pourwright.draw.skin_cuts import lift_skins, part_skins
from pourwright.draw.view import BEHIND_DEG, FINE, view_of
from pourwright.errors import FileError
from pourwright.lifts import Landing, Lift
from pourwright.plan import Plan
from pourwright.progress import Progress, silent
from pourwright.wording.status import tops_of, tops_of_all, tops_words

HOLLOW_SHARE = 0.035
"""Soft shadow reaches over this share of the piece's size."""

Legend = list[tuple[str | Colour, str]]


def draw_plan(plan: Plan, folder: Path, progress: Progress = silent) -> tuple[Path, ...]:
    """Draw ``overview.png``, ``cavity.png``, ``lift_01.png`` … and what the sheet prints into a folder.

    Parameters
    ----------
    plan : Plan
    folder : Path
        Exists. Each file is written beside its name and moved there whole.
    progress : Progress, optional

    Returns
    -------
    tuple of Path
        In the order: overview, cavity, lifts from the base up, those seen from behind, ``card_01.svg`` … and
        ``cover.svg``.

    Raises
    ------
    FileError
        A picture cannot be written.

    No display, graphics driver or system library is needed, and the same plan gives the same bytes.
    """
    surfaces, steps = lift_skins(plan), len(plan.lift_plan.lifts) + 4
    progress("pictures", 0.0)
    files, far = _from_the_front(plan, surfaces, folder, lambda done: progress("pictures", done / steps))
    files |= _from_behind(plan, surfaces, far, folder)
    progress("pictures", (steps - 1) / steps)
    hollow_m = HOLLOW_SHARE * float(plan.frame.size_m.max())
    for name, text in draw_cards(plan, surfaces, hollow_m).items():
        files[name] = save_whole(folder / name, functools.partial(_put, text=text))
    progress("pictures", 1.0)
    return tuple(files.values())


def _from_the_front(
    plan: Plan, surfaces: Sequence[Surface], folder: Path, done: Callable[[int], None]
) -> tuple[dict[str, Path], list[int]]:
    """All pictures of the first camera, and the rows of the lifts that have something on the far side.

    ``done`` is told how many pictures there are.
    """
    lifts, stage, far = plan.lift_plan.lifts, stage_of(plan), list[int]()
    files = {"overview.png": Path(), "cavity.png": Path()}
    foam, layer = Rising(plan, stage.view, surfaces, stage.hollow_m), Drawing(stage.view).layer(stage.hollow_m)
    done(1)
    for k, lift in enumerate(lifts):
        name, layer = f"lift_{lift.number:02d}.png", foam[k]
        files[name] = _save(lift_picture(plan, stage, lift, layer), folder / name)
        far += [k] if any(label.hidden for label in signs_of(plan, stage, lift)) else []
        done(k + 2)
    files["overview.png"] = _save(overview(plan, stage, layer), folder / "overview.png")
    done(len(lifts) + 2)
    del foam, layer
    files["cavity.png"] = _save(cavity_picture(plan, stage), folder / "cavity.png")
    return files, far


def _from_behind(plan: Plan, surfaces: Sequence[Surface], rows: Sequence[int], folder: Path) -> dict[str, Path]:
    """A second picture of each lift that has a hole, a shore or an anchor on the far side; ``rows`` of the lifts."""
    if not rows:
        return {}
    stage, files = stage_of(plan, BEHIND_DEG), dict[str, Path]()
    foam = Rising(plan, stage.view, surfaces, stage.hollow_m, window=False)
    for row in rows:
        lift = plan.lift_plan.lifts[row]
        name = f"lift_{lift.number:02d}_behind.png"
        files[name] = _save(lift_picture(plan, stage, lift, foam[row], "   ·   seen from behind"), folder / name)
    return files


def _put(file: IO[bytes], text: str) -> None:
    file.write(text.encode("utf-8"))


def stage_of(plan: Plan, turn_deg: float = 0.0) -> Stage:
    """Camera, skin and floor of a plan's pictures; ``turn_deg`` is how far the camera has gone round the piece."""
    rows = len(plan.lift_plan.lifts)
    view = view_of(plan.frame, plan.skin.vertices_m, rows, level=True, turn_deg=turn_deg)
    skin = skin_body(plan, view)
    drawing = Drawing(view, window=not turn_deg)
    drawing.add(skin)
    hollow_m = HOLLOW_SHARE * float(plan.frame.size_m.max())
    return Stage(view, drawing.layer(hollow_m), backdrop(view, skin), hollow_m)


def _save(image: Image.Image, path: Path) -> Path:
    """The large canvas brought down and written; the file appears whole or not at all."""
    return save_whole(path, lambda file: image.reduce(FINE).save(file, format="PNG", compress_level=6))


def save_whole(path: Path, write: Callable[[IO[bytes]], None]) -> Path:
    """Write a file beside its name and move it there; `FileError` where that cannot be done."""
    try:
        handle, part = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                write(file)
            os.chmod(part, 0o644)
            os.replace(part, path)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(part)
            raise
    except OSError as error:
        raise FileError(f"{path} cannot be written ({error.strerror or error}): name another folder.") from None
    return path


# One lift ------------------------------------------------------------------------------------------------------------


def lift_picture(plan: Plan, stage: Stage, lift: Lift, foam: Layer, aside: str = "") -> Image.Image:
    """One lift lit, the foam below it settled, its pour points and vents, and the height of its top."""
    view, count = stage.view, plan.lift_plan.lifts[-1].number
    palette = np.array([SETTLED[k % 2] for k in range(count + 1)], float)
    palette[lift.number] = LIT
    pen = Pen(blend(view, stage.back, foam, stage.skin, palette), view)
    tops, held = tops_of(lift), units.volume(lift.volume_m3)
    ends = "top" if len(tops) == 1 else "tops"
    words = f"Lift {lift.number} of {count}   ·   {ends} at {tops_words(lift)}   ·   foam {held}{aside}"
    pen.header(plan.job.name, words, plan.job.place)
    for landing in (landing for pour in lift.pours for landing in pour.landings):
        _fall(pen, stage, landing)
    for anchor in anchors_of(plan, lift):
        pen.dots(canvas_xy(stage, anchor.begin_m), canvas_xy(stage, anchor.end_m), 1.6, 7.0)
    edge = _edge_x(stage, lift.number, foam, pen.level(lift.top_m))
    labels = [
        pen.rule(
            view.window[0] - 24 * FINE,
            lift.top_m,
            edge,
            f"base to {'top' if len(tops) == 1 else 'highest top'} of this lift",
        )
    ]
    labels += [pour_label(plan, stage, pour) for pour in lift.pours]
    labels += signs_of(plan, stage, lift)
    labels += draw_irons(pen, view, by_course(plan), lift.bottom_m, lift.top_m)
    pen.labels(labels)
    pen.scale_bar()
    legend: Legend = [(LIT, "this lift"), (GLASS_LIGHT, "skin")]
    legend[1:1] = [(SETTLED[0], "foam already in")] if lift.number > 1 else []
    legend += [(QUIET, "inside before")] if plan.cavity.irons else []
    signs = (("pour", "pour in"), ("vent", "air out"), ("closed", "closed"), ("shore", "shore"), ("anchor", "anchor"))
    legend += [(kind, said) for kind, said in signs if any(label.mark == kind for label in labels)]
    far = [label.mark for label in labels if label.hidden]
    pen.legend([*legend, (f"far {far[0]}", "on the far side")] if far else legend)
    return pen.image


def _edge_x(stage: Stage, number: int, foam: Layer, level_y: float) -> float:
    """Canvas x where a lift's foam begins at a level, seen from the left."""
    left, top, _, _ = stage.view.window
    row = round(level_y) - top
    columns = np.flatnonzero((foam.part[max(0, row - 3 * FINE) : max(0, row) + 12 * FINE] == number).any(axis=0))
    return float(left + (columns[0] if len(columns) else foam.part.shape[1] // 2))


def _fall(pen: Pen, stage: Stage, landing: Landing) -> None:
    """The way of the liquid from where it goes in to where it lands: free as dots, in a tube as one."""
    start, end = (canvas_xy(stage, point) for point in (mouth(stage, landing), landing.point_m))
    out = tube_end(stage, landing)
    if out is not None and landing.tube is not None:
        wide = max(4.0, landing.tube.bore_m * stage.view.scale / FINE)
        pen.line([start, canvas_xy(stage, out)], wide + 2.4, INK)
        pen.line([start, canvas_xy(stage, out)], wide, PAPER)
        start = canvas_xy(stage, out)
    pen.dots(start, end)
    pen.disc(end, 5.5, None, QUIET, 2.0)


# All lifts -----------------------------------------------------------------------------------------------------------


def overview(plan: Plan, stage: Stage, foam: Layer) -> Image.Image:
    """Every lift in its colour, with the height of its top."""
    lifts = plan.lift_plan.lifts
    colours = ladder(len(lifts))
    palette = np.zeros((max((lift.number for lift in lifts), default=0) + 1, 3))
    for lift, colour in zip(lifts, colours, strict=False):  # numbers may have gaps after a record
        palette[lift.number] = colour
    pen = Pen(blend(stage.view, stage.back, foam, stage.skin, palette), stage.view)
    foam_held = units.volume(sum(lift.volume_m3 for lift in lifts))
    pours = sum(len(lift.pours) for lift in lifts)
    words = f"{_count(len(lifts), 'lift')}, {_count(pours, 'pour')}   ·   foam {foam_held}"
    pen.header(plan.job.name, words, plan.job.place)
    x, reach = stage.view.window[0] - 24 * FINE, 9 * FINE
    heights = [0.0, *tops_of_all(lifts)]
    pen.line([(x, pen.level(heights[0])), (x, pen.level(heights[-1]))], 2.0)
    for height in heights:  # short where a crowd leaves no room for its words
        pen.line([(x, pen.level(height)), (x + reach, pen.level(height))], 1.0)
    labels = [Label((x - reach, pen.level(0.0)), "base", side="left")]
    labels += [Label((x - reach, pen.level(height)), units.tape(height), side="left") for height in heights[1:]]
    for lift in lifts:
        labels.append(
            Label(
                _spot(stage, foam, lift.number, pen),
                f"Lift {lift.number}",
                (units.volume(lift.volume_m3), *([f"in {len(lift.pours)} pours"] if len(lift.pours) > 1 else [])),
                swatch=_rgb(palette[lift.number]),
                side="right",
            )
        )
    for space in getattr(plan.lift_plan, "unfilled", ()):
        (px, py, _), held = stage.view.shell(space.point_m), units.volume(space.volume_m3)
        labels.append(Label((float(px), float(py)), "Left empty", (held,), swatch=PAPER))
    for label in pen.labels(labels):
        if label.anchor[0] == x - reach:
            pen.line([(x - reach, label.anchor[1]), (x + reach, label.anchor[1])], 2.0)
    pen.scale_bar()
    pen.legend([(GLASS_LIGHT, "skin"), (_rgb(colours[0]), "first lift; lighter is later")])
    return pen.image


def _spot(stage: Stage, layer: Layer, part: int, pen: Pen) -> tuple[float, float]:
    """Canvas place of a part near its right edge, halfway up what is seen of it."""
    left, top, right, _ = stage.view.window
    rows, columns = np.nonzero(layer.part == part)
    if not len(rows):
        return float(right), pen.level(0.0)
    row = int(rows[(len(rows) - 1) // 2])  # not the median: a part in several pieces may have none there
    return float(left + columns[rows == row].max() - 6 * FINE), float(top + row)


def _rgb(colour: np.ndarray) -> Colour:
    red, green, blue = (int(c) for c in np.round(colour))
    return red, green, blue


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


# Cavity --------------------------------------------------------------------------------------------------------------


def cavity_picture(plan: Plan, stage: Stage) -> Image.Image:
    """The space inside with its pools (nothing lower beside them) and pockets (nothing higher)."""
    view, graph = stage.view, plan.graph
    part = np.zeros(len(graph.node_level), int)
    palette: list[Colour] = [NEUTRAL, NEUTRAL]  # part k is drawn in the colour after its own
    spots: list[tuple[Extremum, int, int]] = []
    legend: Legend = []
    for kind, found, colours in (("pool", graph.pools, POOLS), ("pocket", graph.pockets, POCKETS)):
        for k, extremum in enumerate(found):
            nodes = region_nodes(graph, extremum)
            nodes = nodes[part[nodes] == 0] if not _at_opening(plan, extremum) else nodes[:0]
            if len(nodes):
                part[nodes] = len(palette) - 1
                palette.append(colours[k % len(colours)])
            spots.append((extremum, k + 1, len(found)))
        if found:
            legend.append((kind, "pool: foam runs no lower" if kind == "pool" else "pocket: air rises no higher"))
    drawing, skins = Drawing(view), part_skins(plan, part, len(palette) - 1)
    if skins:
        drawing.add(together([lift_body(plan, view, surface, k) for k, surface in enumerate(skins, 1)]))
    layer = drawing.layer(stage.hollow_m)
    pen = Pen(blend(view, stage.back, layer, stage.skin, np.asarray(palette, float)), view)
    pools, pockets = _count(len(graph.pools), "pool"), _count(len(graph.pockets), "pocket")
    words = f"Cavity {units.volume(plan.cavity.volume_m3)}   ·   {pools}, {pockets}"
    pen.header(plan.job.name, words, plan.job.place)
    labels = [_extremum_label(plan, stage, layer, *spot) for spot in spots]
    labels += draw_irons(pen, view, by_course(plan), 0.0, float(plan.frame.size_m[2]))
    pen.labels(labels)
    pen.scale_bar()
    far = [label.mark for label in labels if label.hidden]
    legend += [(f"far {far[0]}", "on the far side")] if far else []
    pen.legend([*legend, (GLASS_LIGHT, "skin")])
    return pen.image


def _extremum_label(plan: Plan, stage: Stage, layer: Layer, extremum: Extremum, number: int, of: int) -> Label:
    at, hidden = behind(stage, stage.view.standing(extremum.point_standing_m), layer, 2.5 * stage.hollow_m)
    pool = extremum.kind == "pool"
    lines = [f"at {units.tape(float(extremum.point_standing_m[2]))}"]
    if not extremum.essential:
        lines.append(f"{units.tape(extremum.persistence_m)} deep")
    elif _at_opening(plan, extremum):
        lines.append("open to the air")
    elif of > 1:
        lines.append("the lowest" if pool else "the highest")
    head = ("Pool" if pool else "Pocket") + (f" {number}" if of > 1 else "")
    return Label(at, head, tuple(lines), mark=extremum.kind, hidden=hidden)


def _at_opening(plan: Plan, extremum: Extremum) -> bool:
    """Whether a spot lies in the plane of an opening, nearer to its middle than its rim is."""
    for opening in plan.skin.openings:
        away = extremum.point_m - opening.centroid_m
        rim = float(np.linalg.norm(opening.loop_m - opening.centroid_m, axis=1).max())
        if abs(float(away @ opening.normal)) < 2 * plan.cavity.grid.cell_m and float(np.linalg.norm(away)) < rim:
            return True
    return False
