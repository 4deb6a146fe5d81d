"""The report for the engineer who signs a hang: one page that prints, its tables as CSV, its anchors as a drawing."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Sequence

import ezdxf
import numpy as np
import shapely
from ezdxf.filemanagement import new

from pourwright import units
from pourwright.answers.hang_page import case_section, hang_page
from pourwright.answers.hang_template import template_files
from pourwright.answers.page import Page, Rows, Section
from pourwright.hanging import CaseForce, HangResult, LoadCase
from pourwright.outcome import Load, Piece, Spot, Surface, silhouette
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.wording.checks import ESTIMATE, factor_line, force, mass_range

DATUM = "datum: the left-most and the lowest point of the hanging piece, facing the wall"


def hang_files(piece: Piece, result: HangResult, surface: Surface, made: str) -> dict[str, bytes]:
    """The report, its tables, the drawing of the wall and the paper to drill and tape by, by name."""
    return {
        "report.html": shown(report_html(piece, result, made)).encode(),
        "hang_anchors.csv": shown(anchors_csv(result)).encode(),
        "hang_cases.csv": shown(cases_csv(result)).encode(),
        "hang_anchors.dxf": shown(anchors_dxf(piece, result, surface)).encode(),
        **{name: shown(text).encode() for name, text in template_files(piece, result, surface).items()},
    }


def report_html(piece: Piece, result: HangResult, made: str) -> str:
    """The report: scope, piece, sources, combinations, every case as a free body, checks, what is not covered."""
    page = hang_page(piece, result, made)
    sections = [_lines_in_both(section) for section in _sections(piece, result, page)]
    digest = hashlib.sha256(repr(sections).encode()).hexdigest()
    made_with = page_maker(trim_blocks=True)
    return made_with.get_template("hang_report.html").render(
        name=piece.name, place=piece.place, estimate=ESTIMATE, sections=sections, made=made, digest=digest
    )


def _sections(piece: Piece, result: HangResult, page: Page) -> list[Section]:
    kept = [section for section in page.sections if not section.title.startswith("Load case")]
    before = [section for section in kept if section.title in ("Verdict", "Load")]
    after = [section for section in kept if section not in before]
    cases = [case_section(k, case) for k, case in enumerate(result.cases, 1)]
    scope = (
        "Statics of the piece on its anchors: weight and the loads of the job, rigid piece, elastic anchors; the foam "
        "round each insert, and the rods where the job gives them.",
        "Not covered: the wall and the anchors in it, the joint between insert and skin, loads that the job does not "
        "give, fatigue, fire, corrosion, and creep beyond what the limit of the foam allows for.",
    )
    warnings = Section("Warnings", page.warnings or ("none",))
    return [Section("Scope", scope), _parts(piece), _given(piece, result), warnings, *before, *after, *cases]


def _parts(piece: Piece) -> Section:
    rows = tuple((part.name, mass_range(part.kg), part.why) for part in piece.parts)
    return Section(
        "Piece", (f"foam {piece.foam.grade}; skin {piece.skin_title}",), Rows(("part", "weight", "range by"), rows)
    )


def _given(piece: Piece, result: HangResult) -> Section:
    """Loads that the job gives, with where each stands."""
    asked = piece.site.hang
    rows = (
        ()
        if asked is None
        else tuple(
            (load.name, load.kind, load.way, load_size(load), load.reference or "no reference given")
            for load in asked.loads
        )
    )
    lines = (factor_line(result.factor), "no load beside the weight is given" if not rows else "")
    table = Rows(("load", "kind", "pushes", "size", "reference"), rows) if rows else None
    return Section("Loads and factors given", tuple(line for line in lines if line), table)


def load_size(load: Load) -> str:
    """How large a load is as the job gives it, and where it acts.

    >>> load_size(Load("gale", "wind", "out", pressure_pa=700.0))
    '700 Pa (0.102 psi) on its outline'
    """
    if load.pressure_pa is not None:
        return f"{units.pressure(load.pressure_pa)} on its outline"
    if load.acceleration is not None:
        return f"{units.share(load.acceleration)} of gravity on every mass"
    if load.areal_kg_m2 is not None:
        return f"{areal(load.areal_kg_m2)} on all the outside"
    spot = "" if load.spot is None else f" at {spot_words(load.spot)}"
    return f"{force(load.force_n) if load.force_n is not None else units.mass(load.kg or 0.0)}{spot}"


def areal(value_kg_m2: float) -> str:
    """Mass by area, in both systems.

    >>> areal(2.0)
    '2.00 kg/m² (0.41 lb/ft²)'
    """
    feet = units.converted(value_kg_m2, "kilogram/meter**2", "pound/foot**2")
    return f"{units.digits(value_kg_m2)} kg/m² ({units.digits(feet)} lb/ft²)"


def spot_words(spot: Spot) -> str:
    """Where something is, as the job measures it."""
    if spot.at_m is not None:
        x, y, z = (units.tape(value) for value in spot.at_m)
        return f"{x}, {y}, {z} on the file's axes"
    sides = {
        "the left": spot.from_left_m,
        "the right": spot.from_right_m,
        "the front": spot.from_front_m,
        "the back": spot.from_back_m,
        "the base": spot.from_base_m,
        "the top": spot.from_top_m,
    }
    return ", ".join(f"{units.tape(value)} from {side}" for side, value in sides.items() if value is not None)


def _lines_in_both(section: Section) -> Section:
    return Section(section.title, tuple(units.in_both(line) for line in section.lines), section.table)


def anchors_csv(result: HangResult) -> str:
    """A row for each anchor: place, rod, greatest loads [SI]."""
    heads = (
        "anchor", "from_left_m", "up_m", "gap_m", "free_m", "foam_depth_m", "edge_m", "shear_n", "pull_n", "push_n",
        "one_gone_shear_n", "one_gone_pull_n",
    )  # fmt: skip
    rows = [
        (
            load.name, load.place_m[0], load.place_m[2], load.gap_m, load.arm_m, load.foam_depth_m, load.edge_m,
            load.most_shear_n, load.most_pull_n, load.most_push_n, load.one_gone_shear_n, load.one_gone_pull_n,
        )
        for load in result.anchors
    ]  # fmt: skip
    return _csv(heads, rows)


def cases_csv(result: HangResult) -> str:
    """A row for each force of each case that can be, in the axes of the wall [SI]."""
    heads = ("case", "utilisation", "by", "force", "kind", "x_m", "y_m", "z_m", "right_n", "up_n", "out_n")
    rows = [
        (case.name, case.utilisation, case.worst, one.name, kind, *one.at_m, *one.force_n)
        for case in result.cases
        if not case.impossible
        for kind, one in _forces(case)
    ]
    return _csv(heads, rows)


def _forces(case: LoadCase) -> list[tuple[str, CaseForce]]:
    return [*(("load", one) for one in case.forces), *(("reaction", one) for one in case.reactions)]


def _csv(heads: tuple[str, ...], rows: Sequence[tuple[object, ...]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heads)
    for row in rows:
        writer.writerow([_plain(cell) for cell in row])
    return out.getvalue()


def _plain(cell: object) -> object:
    """Text that a spreadsheet would take for a formula is kept as text.

    >>> _plain("=1+1"), _plain(0.123456789), _plain(float("inf"))
    ("'=1+1", '0.123457', '')
    """
    if isinstance(cell, (float, np.floating)):
        return f"{float(cell):.6g}" if np.isfinite(cell) else ""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in "=+-@\t" else cell


def anchors_dxf(piece: Piece, result: HangResult, surface: Surface) -> str:
    """The wall as it is taped: outline of the piece, anchors with their measures from one datum; millimetres."""
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]  # no clock, no chance in it
    drawing = new("R2010", units=ezdxf.units.MM)
    space = drawing.modelspace()
    for layer in ("OUTLINE", "ANCHORS", "INSERTS", "MEASURES", "DATUM"):
        drawing.layers.add(layer)
    standing = result.frame.to_standing(surface.vertices_m)
    shape = silhouette(standing[:, [0, 2, 1]] * np.array([1, 1, -1]), surface.faces).simplify(5e-4)
    for part in shapely.get_parts(shape):
        for ring in (part.exterior, *part.interiors):
            space.add_lwpolyline(
                (1e3 * np.array(ring.coords[:-1])).tolist(), close=True, dxfattribs={"layer": "OUTLINE"}
            )
    for line in (((-50, 0), (50, 0)), ((0, -50), (0, 50))):
        space.add_line(*line, dxfattribs={"layer": "DATUM"})
    space.add_text(DATUM, height=8, dxfattribs={"layer": "DATUM", "insert": (8, -20)})
    for load, anchor in zip(result.anchors, piece.site.anchors, strict=True):
        x, y = 1e3 * float(load.place_m[0]), 1e3 * float(load.place_m[2])
        space.add_circle((x, y), 4.0, dxfattribs={"layer": "ANCHORS"})
        if anchor.insert is not None:
            space.add_circle((x, y), 500 * anchor.insert.diameter_m, dxfattribs={"layer": "INSERTS"})
        for measure in (((0.0, y), (x, y)), ((x, 0.0), (x, y))):
            space.add_line(*measure, dxfattribs={"layer": "MEASURES"})
        words = (
            f"{load.name}: {units.tape(x / 1e3)} from the left, {units.tape(y / 1e3)} up",
            f"gap {units.tape(load.gap_m)}; shear {force(load.most_shear_n)}, pull {force(load.most_pull_n)}",
        )
        for row, said in enumerate(words):
            space.add_text(said, height=7, dxfattribs={"layer": "MEASURES", "insert": (x + 10, y + 8 - 11 * row)})
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().replace("\r\n", "\n")
