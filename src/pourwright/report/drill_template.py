"""Drilling templates: sheets at true scale to lay on the skin, one for each hole where the skin lets paper lie."""

from __future__ import annotations

import io
import math
import textwrap
from dataclasses import dataclass

import ezdxf
import numpy as np
import shapely
from ezdxf.filemanagement import new

from pourwright import units
from pourwright.lifts import Measures, Port, Vent
from pourwright.pages import page_maker
from pourwright.panels import FlatPatch, unroll
from pourwright.plan import Plan
from pourwright.wording.status import place_words

RADII_M = (0.05, 0.04, 0.03)
"""Sheets tried, largest first."""
STRETCH = 0.015
"""Most that a sheet may be wrong in length; our judgement: under a millimetre from its middle to its edge."""
ROUND_HOLE = 1.4
"""A sheet reaches at least this many radii of its hole."""
PAGE_MM = (186.0, 250.0)
"""A page that fits both A4 and US Letter with their margins."""
CELL_MM, PER_PAGE, TEXT_MM, LETTERS = 112.0, 2, 108.0, 42
CRACK_M, LETTER_MM = 0.002, 1.45
APART = 2.5
"""Holes of one vent, middle to middle, in diameters."""
TICKS_M = (-0.03, 0.0, 0.03)
AXES = ("from left", "from front", "up")


@dataclass(frozen=True, eq=False)
class Template:
    """One hole. ``patch`` is None where the skin is bent too much; ``words`` are for the sheet.

    ``lines`` are ``(name, main, segments)``: places of equal tape measure, segments (k, 2, 2) on the sheet in metres.
    ``rim_m`` is the way to the nearest rim on the sheet, nan if none is on it.
    """

    name: str
    hole_m: float
    centres_m: np.ndarray
    words: tuple[str, ...]
    patch: FlatPatch | None
    lines: tuple[tuple[str, bool, np.ndarray], ...]
    rim_m: float


def templates(plan: Plan) -> list[Template]:
    """A template for every hole that is drilled, ports first."""
    holes: list[Port | Vent] = [port for port in plan.lift_plan.ports if port.way == "drilled"]
    holes += [vent for vent in plan.lift_plan.vents if vent.way == "drilled"]
    return [_template(plan, hole) for hole in holes]


def _template(plan: Plan, hole: Port | Vent) -> Template:
    count = hole.holes if isinstance(hole, Vent) else 1
    span = 0.5 * hole.hole_m * (1 + APART * (count - 1))
    steps = hole.hole_m * APART * (np.arange(count) - (count - 1) / 2)
    centres = np.column_stack([steps, np.zeros(count)])
    many = f"{count} holes of {units.length(hole.hole_m)}, side by side" if count > 1 else units.length(hole.hole_m)
    head = (f"{hole.name}: drill {many}", *place_words(hole.measures).split(", "))
    stretch = math.nan
    for radius in RADII_M:
        if radius < ROUND_HOLE * span:
            break
        patch = unroll(plan.skin, hole.point_m, radius, plan.frame.up)
        level = abs(float(patch.normal @ plan.frame.up)) > 0.98
        if level:
            patch = unroll(plan.skin, hole.point_m, radius, plan.frame.rotation[1])
        stretch = patch.stretch
        if not stretch <= STRETCH or not _covers(patch, span):
            continue
        rim = _rim(patch)
        words = [
            *head,
            f"The arrow points {'to the back of the piece' if level else 'up the piece'}. Mark the two thick lines on "
            "the skin by tape, then lay the sheet on them.",
            f"Paper laid here is wrong by up to about {100 * stretch:.1f} % of a length.",
        ]
        if rim == rim:
            words.append(f"The thick broken line is the rim of an opening, {units.tape(rim)} from the middle.")
        return Template(
            hole.name, hole.hole_m, centres, tuple(words), patch, _tape_lines(plan, patch, hole.measures), rim
        )
    why = (
        f"paper would be wrong by {100 * stretch:.0f} % of a length"
        if stretch > STRETCH
        else "it does not lie flat round a hole of this size"
    )
    return Template(
        hole.name,
        hole.hole_m,
        centres,
        (*head, f"No sheet: the skin is bent too much here ({why})."),
        None,
        (),
        math.nan,
    )


def _covers(patch: FlatPatch, span: float) -> bool:
    """Whether the sheet reaches round the hole."""
    return bool(_outline(patch).contains(shapely.Point(0, 0).buffer(span)))


def _outline(patch: FlatPatch) -> shapely.Geometry:
    """Edge of the sheet; cracks that needle-thin triangles of the mesh leave are closed."""
    whole = shapely.union_all(shapely.polygons(patch.flat_m[patch.faces]), grid_size=1e-7)
    return whole.buffer(CRACK_M).buffer(-2 * CRACK_M).buffer(CRACK_M).simplify(1e-4)


def _rim(patch: FlatPatch) -> float:
    if not len(patch.rim):
        return math.nan
    return float(shapely.distance(shapely.Point(0, 0), shapely.multilinestrings(list(patch.flat_m[patch.rim]))))


def _tape_lines(plan: Plan, patch: FlatPatch, measures: Measures) -> tuple[tuple[str, bool, np.ndarray], ...]:
    """Lines of equal measure through the hole and beside it, for the two measures that change most along the skin."""
    normal = np.abs(plan.frame.rotation @ patch.normal)
    standing = plan.frame.to_standing(patch.points_m)
    here = (measures.from_left_m, measures.from_front_m, measures.from_base_m)
    out = []
    for axis in sorted(np.argsort(normal)[:2].tolist(), reverse=True):
        for step in TICKS_M:
            cut = crossing(patch.flat_m, patch.faces, standing[:, axis] - here[axis] - step)
            if len(cut):
                out.append((f"{1e3 * (here[axis] + step):.0f} mm {AXES[axis]}", step == 0.0, cut))
    return tuple(out)


def crossing(flat_m: np.ndarray, faces: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Segments (k, 2, 2) where a value at corners passes zero, straight within each triangle.

    >>> import numpy as np
    >>> square = np.array([[0.0, 0], [2, 0], [2, 2], [0, 2]])
    >>> crossing(square, np.array([[0, 1, 2]]), square[:, 0] - 1).tolist()
    [[[1.0, 0.0], [1.0, 1.0]]]
    """
    above = value > 0
    mixed = faces[above[faces].any(axis=1) & ~above[faces].all(axis=1)]
    if not len(mixed):
        return np.zeros((0, 2, 2))
    a, b = mixed, mixed[:, [1, 2, 0]]
    cuts = above[a] != above[b]
    share = np.where(cuts, value[a] / np.where(cuts, value[a] - value[b], 1.0), 0.0)
    points = flat_m[a] + share[..., None] * (flat_m[b] - flat_m[a])
    return np.asarray(points[cuts].reshape(-1, 2, 2))


def template_pages(plan: Plan, made: list[Template]) -> list[str]:
    """SVG pages at true scale: two sheets a page, then the holes that have none; empty where nothing is drilled."""
    laid = [template for template in made if template.patch is not None]
    bare = [template for template in made if template.patch is None]
    pages = [
        [_cell(t, CELL_MM * k) for k, t in enumerate(laid[n : n + PER_PAGE])] for n in range(0, len(laid), PER_PAGE)
    ]
    lists: list[list[tuple[float, str, bool]]] = []
    for template in bare:
        block = _wrapped(template.words, 96)
        if not lists or lists[-1][-1][0] + 5.5 * len(block) + 6 > 2 * CELL_MM:
            lists.append([])
        y = lists[-1][-1][0] + 10 if lists[-1] else 8.0
        lists[-1] += [(y + 5.5 * k, words, bold) for k, (words, bold) in enumerate(block)]
    count = len(pages) + len(lists)
    title = f"{plan.job.name}, drilling templates; 1:1"
    return [
        _render(cells=cells, rows=rows, title=f"{title}, sheet {k} of {count}")
        for k, (cells, rows) in enumerate([*((page, []) for page in pages), *(([], rows) for rows in lists)], 1)
    ]


def _wrapped(words: tuple[str, ...], letters: int) -> list[tuple[str, bool]]:
    return [(line, k == 0) for k, text in enumerate(words) for line in textwrap.wrap(text, letters)]


def _cell(template: Template, top_mm: float) -> dict[str, object]:
    patch = template.patch
    assert patch is not None
    outline = _outline(patch)
    rings = [ring for part in shapely.get_parts(outline) for ring in (part.exterior, *part.interiors)]
    return {
        "x": 1e3 * RADII_M[0] + 2,
        "y": top_mm + 1e3 * RADII_M[0] + 4,
        "outline": " ".join(_path(np.array(ring.coords)) + "Z" for ring in rings),
        "lines": [
            (name, main, " ".join(_path(line) for line in _merged(cut)), *spot)
            for (name, main, cut), spot in zip(template.lines, _spots(template.lines), strict=True)
        ],
        "rim": " ".join(_path(edge) for edge in patch.flat_m[patch.rim]),
        "holes": [(1e3 * x, -1e3 * y) for x, y in template.centres_m],
        "radius": 500 * template.hole_m,
        "words": [(5.2 * k, words, bold) for k, (words, bold) in enumerate(_wrapped(template.words, LETTERS))],
        "text": TEXT_MM - (1e3 * RADII_M[0] + 2),
        "reach": 1e3 * float(np.abs(patch.flat_m[:, 1]).max()),
    }


def _merged(cut: np.ndarray) -> list[np.ndarray]:
    whole = shapely.line_merge(shapely.set_precision(shapely.multilinestrings(list(cut)), 1e-8))
    return [shapely.get_coordinates(part) for part in shapely.get_parts(whole)]


def _spots(lines: tuple[tuple[str, bool, np.ndarray], ...]) -> list[tuple[float, float, bool]]:
    """Where the words of each line begin [mm] and whether they stand upright; none over another while there is room."""
    taken: list[shapely.Geometry] = []
    out: dict[int, tuple[float, float, bool]] = {}
    for k in sorted(range(len(lines)), key=lambda k: not lines[k][1]):
        name, _, cut = lines[k]
        points = cut.reshape(-1, 2) * 1e3
        upright = bool(np.ptp(points[:, 1]) > np.ptp(points[:, 0]))
        along = points[np.argsort(points[:, 1 if upright else 0])]
        long = LETTER_MM * len(name) + 3
        boxes = [
            shapely.box(x - 4, y, x, y + long) if upright else shapely.box(x, y, x + long, y + 4) for x, y in along
        ]
        free = [i for i, box in enumerate(boxes) if not any(box.intersects(other) for other in taken)]
        at = free[0] if free else 0
        taken.append(boxes[at])
        out[k] = (float(along[at][0]), -float(along[at][1]), upright)
    return [out[k] for k in range(len(lines))]


def _path(points_m: np.ndarray) -> str:
    return "M" + "L".join(f"{1e3 * x:.2f} {-1e3 * y:.2f}" for x, y in points_m)


def _render(**values: object) -> str:
    made = page_maker(trim_blocks=True)
    return made.get_template("drilling.svg").render(page=PAGE_MM, foot=2 * CELL_MM + 4, **values)


def templates_dxf(made: list[Template]) -> str:
    """All sheets in one drawing, millimetres, in a row; each about its own middle."""
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]  # no clock, no chance in it
    drawing = new("R2010", units=ezdxf.units.MM)
    space = drawing.modelspace()
    for layer in ("SHEET", "TAPE", "RIM", "HOLES", "WORDS"):
        drawing.layers.add(layer)
    apart = 2e3 * RADII_M[0] + 30
    for k, template in enumerate(t for t in made if t.patch is not None):
        patch, move = template.patch, np.array([k * apart, 0.0])
        assert patch is not None
        for part in shapely.get_parts(_outline(patch)):
            for ring in (part.exterior, *part.interiors):
                points = (1e3 * np.array(ring.coords[:-1]) + move).tolist()
                space.add_lwpolyline(points, close=True, dxfattribs={"layer": "SHEET"})
        for _, _, cut in template.lines:
            for line in _merged(cut):
                space.add_lwpolyline((1e3 * line + move).tolist(), dxfattribs={"layer": "TAPE"})
        for edge in patch.flat_m[patch.rim]:
            space.add_lwpolyline((1e3 * edge + move).tolist(), dxfattribs={"layer": "RIM"})
        for x, y in 1e3 * template.centres_m + move:
            space.add_circle((x, y), 500 * template.hole_m, dxfattribs={"layer": "HOLES"})
        for row, words in enumerate(template.words[:4]):
            at = (move[0] - 50, -1e3 * RADII_M[0] - 10 - 5 * row)
            space.add_text(words, height=3, dxfattribs={"layer": "WORDS", "insert": at})
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().replace("\r\n", "\n")
