"""The picture on a card of the sheet: one lift, drawn for its size on paper, with few words and large letters."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from PIL import Image

from pourwright import units
from pourwright.draw import svg_ink as svg
from pourwright.draw.bodies import Surface, skin_body
from pourwright.draw.card_words import (
    CARD_MM,
    COVER_MM,
    FLAT_MM,
    RIM_MM,
    Dip,
    Placed,
    Sight,
    column_of,
    wide_mm,
    written,
)
from pourwright.draw.ink import parts
from pourwright.draw.irons import by_course, iron_label, iron_lines, once
from pourwright.draw.labels import Label, sides
from pourwright.draw.lift_labels import Stage, anchors_of, canvas_xy, mouth, signs_of, tube_end
from pourwright.draw.paint import INK, LIT, PAPER, SETTLED, Drawing, blend, ladder
from pourwright.draw.rising import Rising
from pourwright.draw.view import BEHIND_DEG, FINE, close_view, level_span_m
from pourwright.irons import Iron
from pourwright.lifts import Lift
from pourwright.plan import Plan
from pourwright.wording.rim import LEVEL_M, rim_of
from pourwright.wording.status import tops_of_all

DOTS_MM = 11.8
"""Pixels a millimetre: 300 an inch, what an office printer prints."""
GAP_MM, TWIN_MM = 1.0, 3.0
FLAT = 1.8
"""A piece so many times as wide as high has no room for its holes beside the words of its card; our judgement."""
COVER_LEAST_MM = 90.0
WIDEST_MM = 19.0
"""A name is cut to this."""
QUALITY = 88


def sights_of(plan: Plan, surfaces: Sequence[Surface], room_mm: tuple[float, float], hollow_m: float) -> list[Sight]:
    """The piece from the front and from behind, as large as a picture of ``room_mm`` could show it alone.

    A flat or an open piece is seen from above instead of from behind: what is named lies side by side on its top.
    """
    wide, high = level_span_m(plan.frame, plan.skin.vertices_m)
    pixels_m = DOTS_MM * min(room_mm[0] / wide, room_mm[1] / high)
    is_open = any(port.way == "open surface" for port in plan.lift_plan.ports)
    second = "above" if is_open or is_flat(plan) else "behind"
    return [_sight(plan, surfaces, pixels_m, words, hollow_m) for words in ("front", second)]


def is_flat(plan: Plan) -> bool:
    """Whether the picture of a card goes across the page, for the piece is much wider than it is high."""
    wide, high = level_span_m(plan.frame, plan.skin.vertices_m)
    return wide >= FLAT * high


def _sight(plan: Plan, surfaces: Sequence[Surface], pixels_m: float, words: str, hollow_m: float) -> Sight:
    above, turn_deg = words == "above", BEHIND_DEG if words == "behind" else 0.0
    view = close_view(plan.frame, plan.skin.vertices_m, pixels_m, turn_deg, above)
    skin = Drawing(view, window=False)
    skin.add(skin_body(plan, view))
    white = Image.new("RGB", (view.width, view.height), "white")
    stage = Stage(view, skin.layer(hollow_m), white, hollow_m)
    return Sight(words, stage, Rising(plan, view, surfaces, hollow_m, window=False), not above)


# A card --------------------------------------------------------------------------------------------------------------


def card_svg(plan: Plan, sights: Sequence[Sight], lift: Lift) -> str:
    """The picture of a lift's card.

    One camera where it sees every hole, shore and anchor; else a second one, opposite, shows what lies there.
    """
    size = FLAT_MM if is_flat(plan) else CARD_MM
    labels = _shared(plan, sights, lift)
    dips = _dips(plan, sights, lift, labels)
    used = [sight for sight, mine in zip(sights, labels, strict=True) if mine or sight is sights[0]]
    columns = _columns(labels, dips)
    placed, shape = _laid(used, columns, size)
    row = plan.lift_plan.lifts.index(lift)
    palette = np.array([SETTLED[k % 2] for k in range(plan.lift_plan.lifts[-1].number + 1)], float)
    palette[lift.number] = LIT
    out = [_image(one, row, palette) for one in placed]
    for one in placed:
        out += _inside(plan, one, lift)
        if len(placed) > 1:
            wide = svg.width_mm(one.sight.words, svg.LETTER_PT)
            x, y = one.at_mm[0] + 0.5 * (one.size_mm[0] - wide), one.at_mm[1] + one.size_mm[1] + svg.LINE_MM
            out.append(svg.text((x, y), one.sight.words, pale=True))
    shown = [k for k, mine in enumerate(labels) if mine or k == 0]
    for one, k in zip(placed, shown, strict=True):
        side = "" if shape != "beside" else "left" if one is placed[0] else "right"
        reach = (0.0, size[1]) if shape == "alone" else (one.at_mm[1], one.at_mm[1] + one.size_mm[1])
        out += written(one, labels[k], dips[k], columns, side, (size, reach))
    return _whole(size, out)


def _shared(plan: Plan, sights: Sequence[Sight], lift: Lift) -> list[list[Label]]:
    """Labels for each sight: what the first does not see goes to the second where that does.

    From above all is named that is seen there.
    """
    pairs = list(zip(*(_short(plan, sight.stage, lift) for sight in sights), strict=True))
    there = [(front.hidden or not sights[1].level) and not other.hidden for front, other in pairs]
    mine = [front for (front, _), goes in zip(pairs, there, strict=True) if not goes]
    mine += once(replace(iron_label(iron, sights[0].stage.view), lines=()) for iron in _irons(plan, lift))
    if len(lift.pours) > 1:
        mine += [_pour(plan, sights[0].stage, lift, k) for k in range(len(lift.pours))]
    return [mine, [back for (_, back), goes in zip(pairs, there, strict=True) if goes]]


def _short(plan: Plan, stage: Stage, lift: Lift) -> list[Label]:
    return [replace(label, lines=()) for label in signs_of(plan, stage, lift)]


def _pour(plan: Plan, stage: Stage, lift: Lift, k: int) -> Label:
    """A pour of several, named at its largest level in the middle of its height."""
    pour, graph = lift.pours[k], plan.graph
    heights = graph.node_centroid_m[pour.nodes, 2]
    middle = pour.nodes[int(np.argmin(np.abs(heights - 0.5 * (pour.bottom_m + pour.top_m))))]
    x, y, _ = stage.view.standing(graph.node_centroid_m[middle])
    return Label((float(x), float(y)), pour.name, swatch=LIT)


def _dips(plan: Plan, sights: Sequence[Sight], lift: Lift, labels: Sequence[list[Label]]) -> list[list[Dip]]:
    """What is measured of where each pour ends, for each sight: in the one that names its rim, else in the first.

    None where more than two would have to be drawn; the rows of the card say them all.
    """
    out, said = [list[Dip]() for _ in sights], set[tuple[str, int]]()
    for pour in lift.pours:
        if pour.closes or not pour.landings:
            continue
        rim = rim_of(pour, plan.lift_plan)
        name = rim.name if rim is not None else ""
        high, low = (rim.height_m, pour.top_m) if rim is not None else (pour.top_m, 0.0)
        if (name, round(1e3 * (high - low))) in said or high - low < LEVEL_M:
            continue
        said.add((name, round(1e3 * (high - low))))
        named = (k for k, mine in enumerate(labels) if sights[k].level and any(label.head == name for label in mine))
        at = next(named, 0)
        stage = sights[at].stage
        landing = next((one for one in pour.landings if one.port.name == name), pour.landings[0])
        x, _ = canvas_xy(stage, mouth(stage, landing))
        ends = [(x, _level_y(stage, height)) for height in (high, low)]
        about = f"below {name}" if name else "above base"
        out[at].append(Dip(ends[0], ends[1], (*parts(units.tape(high - low)), about)))
    return out if sum(len(mine) for mine in out) <= 2 else [[] for _ in sights]


def _level_y(stage: Stage, height_m: float) -> float:
    return float(stage.view.standing(np.array([0.0, 0.0, height_m]))[1])


def _columns(labels: list[list[Label]], dips: list[list[Dip]]) -> tuple[float, float]:
    """Width on paper of the words left and right of the piece; the same for both sights."""
    names = [wide_mm(label) for mine in labels for label in mine]
    most = min(max(names, default=0.0), WIDEST_MM) + (GAP_MM + 2.0 if names else 0.0)
    drawn = [words for mine in dips for dip in mine for words in dip.words]
    measured = max((svg.width_mm(words, svg.LETTER_PT, "bold") for words in drawn), default=0.0)
    left = max(most, measured + 3.0 if any(dips) else 0.0)
    right = max(most, measured + 3.0 if len(dips[0]) > 1 or (dips[1:] and any(dips[1:])) else 0.0)
    return left, right


def _laid(used: Sequence[Sight], columns: tuple[float, float], size: svg.Point) -> tuple[list[Placed], str]:
    """Sights alone, side by side or one over the other, all to one scale: as they are largest."""
    wide, high = size[0] - sum(columns) - 2 * RIM_MM, size[1] - 2 * RIM_MM
    w, h = (np.array([getattr(one.stage.view, side) for one in used], float) for side in ("width", "height"))
    if len(used) == 1:
        mm = min(wide / w[0], high / h[0])
        x, y = columns[0] + RIM_MM + 0.5 * (wide - mm * w[0]), RIM_MM + 0.5 * (high - mm * h[0])
        return [Placed(used[0], (x, y), mm)], "alone"
    said = svg.LINE_MM + 1.0
    beside = min((wide - TWIN_MM) / w.sum(), (high - said) / h.max())
    stacked = min(wide / w.max(), (high - TWIN_MM - 2 * said) / h.sum())
    mm = max(beside, stacked)
    w, h = mm * w, mm * h
    if beside >= stacked:
        x = columns[0] + RIM_MM + 0.5 * (wide - TWIN_MM - w.sum())
        y = RIM_MM + 0.5 * (high - said - h.max())
        return [Placed(used[0], (x, y), mm), Placed(used[1], (x + w[0] + TWIN_MM, y), mm)], "beside"
    x = columns[0] + RIM_MM + 0.5 * (wide - w)
    y = RIM_MM + 0.5 * (high - TWIN_MM - h.sum() - 2 * said)
    lower = y + h[0] + said + TWIN_MM
    return [Placed(used[0], (float(x[0]), y), mm), Placed(used[1], (float(x[1]), lower), mm)], "stacked"


def _image(one: Placed, row: int, palette: np.ndarray) -> str:
    stage = one.sight.stage
    made = blend(stage.view, stage.back, one.sight.foam[row], stage.skin, palette).reduce(FINE)
    kept = io.BytesIO()
    made.save(kept, "JPEG", quality=QUALITY, optimize=True)
    held = base64.b64encode(kept.getvalue()).decode("ascii")
    (x, y), (w, h) = one.at_mm, one.size_mm
    at = f'x="{svg.num(x)}" y="{svg.num(y)}" width="{svg.num(w)}" height="{svg.num(h)}"'
    return f'<image {at} preserveAspectRatio="none" href="data:image/jpeg;base64,{held}"/>'


def _irons(plan: Plan, lift: Lift) -> list[Iron]:
    """What a lift begins to bury: named on its card; those after it show it without its name."""
    lifts, irons = plan.lift_plan.lifts, by_course(plan)
    first = [next((one.number for one in lifts if one.top_m > i.corners_m()[:, 2].min()), 0) for i in irons]
    return [iron for iron, number in zip(irons, first, strict=True) if number == lift.number]


def _inside(plan: Plan, one: Placed, lift: Lift) -> list[str]:
    """What is inside, seen through the skin: irons, each fall, its tube, and the inserts of anchors."""
    stage, out = one.sight.stage, list[str]()
    for iron in plan.cavity.irons:
        for outline in iron_lines(iron, stage.view):
            seen = stage.view.standing(outline).tolist()
            out.append(svg.line([one.mm_of((x, y)) for x, y, _ in seen], 0.3, INK, 0.15))
    for landing in (landing for pour in lift.pours for landing in pour.landings):
        start, end = (one.mm_of(canvas_xy(stage, at)) for at in (mouth(stage, landing), landing.point_m))
        tube = tube_end(stage, landing)
        if tube is not None and landing.tube is not None:
            wide = max(1.1, landing.tube.bore_m * stage.view.scale * one.mm)
            way = [start, one.mm_of(canvas_xy(stage, tube))]
            out += [svg.line(way, wide + 0.6), svg.line(way, wide, PAPER)]
            start = way[1]
        out.append(svg.line([start, end], 0.5, INK, 0.25, "0.01 1.2"))
    for anchor in anchors_of(plan, lift):
        ends = [one.mm_of(canvas_xy(stage, at)) for at in (anchor.begin_m, anchor.end_m)]
        out.append(svg.line(ends, 0.5, INK, 0.25, "0.01 1"))
    return out


def _whole(size: svg.Point, inner: Sequence[str]) -> str:
    wide, high = (svg.num(side) for side in size)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}mm" height="{high}mm" '
        "font-family=\"'Source Sans 3', 'Source Sans Pro', 'Segoe UI', Roboto, Helvetica, Arial, sans-serif\">\n"
        + "\n".join(inner)
        + "\n</svg>\n"
    )


def cover_svg(plan: Plan, sights: Sequence[Sight]) -> str:
    """All lifts in their colours: heights of their tops on the left, names on the right."""
    lifts, view = plan.lift_plan.lifts, sights[0].stage.view
    palette = np.zeros((max((lift.number for lift in lifts), default=0) + 1, 3))
    colours = ladder(len(lifts))
    for lift, colour in zip(lifts, colours, strict=False):  # numbers may have gaps after a record
        palette[lift.number] = colour
    tops = tops_of_all(lifts)
    heads = [units.tape(height) for height in tops], [f"Lift {lift.number}" for lift in lifts]
    left, right = (max((svg.width_mm(head, svg.NAME_PT, "bold") for head in side), default=0.0) + 4.0 for side in heads)
    columns = left, right + 2 * svg.SIGN_MM
    free = COVER_MM[0] - sum(columns) - 2 * RIM_MM
    mm = min(free / view.width, (COVER_MM[1] - 2 * RIM_MM) / view.height)
    size = (max(COVER_LEAST_MM, sum(columns) + mm * view.width + 2 * RIM_MM), mm * view.height + 2 * RIM_MM)
    one = Placed(sights[0], (columns[0] + 0.5 * (size[0] - sum(columns) - mm * view.width), RIM_MM), mm)
    out, labels = [_image(one, len(lifts) - 1, palette)] if lifts else [], list[Label]()
    x = one.at_mm[0] - 1.5
    for top, height in zip(tops, heads[0], strict=True):
        y = one.mm_of((0.0, _level_y(one.sight.stage, top)))[1]
        labels.append(Label((x, y), height, side="left"))
        out.append(svg.line([(x, y), (x + 1.5, y)], 0.3))
    for lift, name in zip(lifts, heads[1], strict=True):
        red, green, blue = (int(c) for c in np.round(palette[lift.number]))
        at = one.mm_of(_right_edge(one.sight, lift.number, len(lifts) - 1))
        labels.append(Label(at, name, swatch=(red, green, blue), side="right"))
    for name, column in zip(("left", "right"), sides(labels, 0.5 * size[0]), strict=True):
        out += column_of(name, column, columns, (0.0, size[1]), size)
    return _whole(size, out)


def _right_edge(sight: Sight, part: int, row: int) -> tuple[float, float]:
    """Canvas place of a part near its right edge, halfway up what is seen of it."""
    rows, columns = np.nonzero(sight.foam[row].part == part)
    if not len(rows):
        return float(sight.stage.view.width), 0.0
    middle = int(rows[(len(rows) - 1) // 2])  # not the median: a lift in several pieces may have none there
    return float(columns[rows == middle].max() - 3 * FINE), float(middle)


def draw_cards(plan: Plan, surfaces: Sequence[Surface], hollow_m: float) -> dict[str, str]:
    """Text of ``cover.svg`` and of ``card_01.svg`` … by name."""
    sights = sights_of(plan, surfaces, FLAT_MM if is_flat(plan) else CARD_MM, hollow_m)
    out = {f"card_{lift.number:02d}.svg": card_svg(plan, sights, lift) for lift in plan.lift_plan.lifts}
    out["cover.svg"] = cover_svg(plan, sights)
    return out
