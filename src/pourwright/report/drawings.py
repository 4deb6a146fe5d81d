"""Drawings at true scale: the outline of each lift (SVG and DXF), a dipstick for each port, drilling templates."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import ezdxf
import shapely
from ezdxf.filemanagement import new

from pourwright import units
from pourwright.cavity import outline
from pourwright.lifts import judged
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.plan import Plan
from pourwright.report.bench import set_out_svg, wedges_svg
from pourwright.report.drill_template import template_pages, templates, templates_dxf

EDGE_MM, STICK_MM = 15.0, 25.0
SAME_MM, WORDS_MM = 0.5, 5.5
NARROWEST_M = 0.0005
"""Outlines keep to the computed contour within this, which is far less than a cell."""


def draw_drawings(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Write ``outlines.dxf``, ``outline_01.svg`` …, ``dipsticks.svg``, ``drilling_01.svg`` … and ``drilling.dxf``.

    Where there is something for them, ``set_out.svg`` (what is buried) and ``wedges.svg`` (blocks under a tilt) too.

    Parameters
    ----------
    plan : Plan
    folder : Path
        Exists.

    Returns
    -------
    tuple of Path

    Outlines are those of the cavity just below the top of each lift, seen from above, in millimetres from the left and
    front of the standing piece. A lift that is poured already is left out.
    """
    files = [folder / "outlines.dxf"]
    files[0].write_text(shown(outlines_dxf(plan)), encoding="utf-8", newline="\n")
    for lift in plan.lift_plan.lifts:
        if lift.limit != judged.POURED:
            files.append(folder / f"outline_{lift.number:02d}.svg")
            files[-1].write_text(shown(outline_svg(plan, lift.number)), encoding="utf-8", newline="\n")
    text = dipsticks_svg(plan)
    if text:
        files.append(folder / "dipsticks.svg")
        files[-1].write_text(shown(text), encoding="utf-8", newline="\n")
    for name, text in (("set_out.svg", set_out_svg(plan)), ("wedges.svg", wedges_svg(plan))):
        if text:
            files.append(folder / name)
            files[-1].write_text(shown(text), encoding="utf-8", newline="\n")
    holes = templates(plan)
    for number, text in enumerate(template_pages(plan, holes), 1):
        files.append(folder / f"drilling_{number:02d}.svg")
        files[-1].write_text(shown(text), encoding="utf-8", newline="\n")
    if any(hole.patch is not None for hole in holes):
        files.append(folder / "drilling.dxf")
        files[-1].write_text(shown(templates_dxf(holes)), encoding="utf-8", newline="\n")
    return tuple(files)


def lift_outline(plan: Plan, number: int) -> shapely.MultiPolygon:
    """Outline of the cavity just below the top of a lift, standing metres, seen from above."""
    lift = next(lift for lift in plan.lift_plan.lifts if lift.number == number)
    shape = outline(plan.cavity, plan.graph, lift.top_level - 1).simplify(NARROWEST_M)
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon)]
    return shapely.MultiPolygon(parts)


def outline_svg(plan: Plan, number: int) -> str:
    """One lift's outline at true scale with its ports and vents; prints 1:1."""
    lift = next(lift for lift in plan.lift_plan.lifts if lift.number == number)
    wide, deep = (1e3 * float(v) for v in plan.frame.size_m[:2])
    rings = [
        [(1e3 * x, deep - 1e3 * y) for x, y in ring.coords]
        for part in lift_outline(plan, number).geoms
        for ring in (part.exterior, *part.interiors)
    ]
    holes = {(x.port.name, x.measures) for pour in lift.pours for x in pour.landings}
    holes |= {(vent.name, vent.measures) for pour in lift.pours for vent in pour.vents}
    spots = {(name, 1e3 * m.from_left_m, deep - 1e3 * m.from_front_m) for name, m in holes}
    return _rendered(
        kind="outline",
        wide=wide,
        deep=deep,
        edge=EDGE_MM,
        title=f"{plan.job.name}, lift {number}, top at {units.tape(lift.top_m)} above the base; 1:1, seen from above",
        path=" ".join("M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in ring) + " Z" for ring in rings),
        holes=sorted(spots),
    )


def outlines_dxf(plan: Plan) -> str:
    """All outlines in one drawing, millimetres: a layer each, at their heights; one for ports and vents."""
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]  # no clock, no chance in it
    drawing = new("R2010", units=ezdxf.units.MM)
    space = drawing.modelspace()
    for lift in plan.lift_plan.lifts:
        if lift.limit == judged.POURED:
            continue
        layer = drawing.layers.add(f"LIFT_{lift.number:02d}").dxf.name
        for part in lift_outline(plan, lift.number).geoms:
            for ring in (part.exterior, *part.interiors):
                points = [(1e3 * x, 1e3 * y) for x, y in ring.coords[:-1]]
                look = {"layer": layer, "elevation": 1e3 * lift.top_m}
                space.add_lwpolyline(points, close=True, dxfattribs=look)
    drawing.layers.add("HOLES")
    for name, measures, hole_m in [
        *((port.name, port.measures, port.hole_m) for port in plan.lift_plan.ports),
        *((vent.name, vent.measures, vent.hole_m) for vent in plan.lift_plan.vents),
    ]:
        at = (1e3 * measures.from_left_m, 1e3 * measures.from_front_m, 1e3 * measures.from_base_m)
        space.add_circle(at, max(500 * hole_m, 1.0), dxfattribs={"layer": "HOLES"})
        space.add_text(name, height=10, dxfattribs={"layer": "HOLES", "insert": (at[0] + 8, at[1] + 8, at[2])})
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().replace("\r\n", "\n")


def dipsticks_svg(plan: Plan) -> str:
    """A stick for each port, its upper end at the edge of the port; empty where no pour is read through one."""
    sticks: dict[str, list[tuple[float, str]]] = {}
    for lift in plan.lift_plan.lifts:
        for pour in lift.pours:
            for landing in pour.landings[:1]:
                deep = landing.measures.from_base_m - pour.top_m
                if deep > 0 and not pour.closes:
                    sticks.setdefault(landing.port.name, []).append((1e3 * deep, pour.name))
    if not sticks:
        return ""
    deepest = max(mark for marks in sticks.values() for mark, _ in marks)
    return _rendered(
        kind="sticks",
        wide=len(sticks) * 85.0,
        deep=deepest + 20.0,
        edge=EDGE_MM,
        title=f"{plan.job.name}, dipsticks; scale 1:1, each from the edge of its port",
        stick=STICK_MM,
        sticks=[(name, 85.0 * k, _spaced(marks)) for k, (name, marks) in enumerate(sorted(sticks.items()))],
    )


def _spaced(marks: list[tuple[float, str]]) -> list[tuple[float, float, str]]:
    """Depth of each mark, where its words stand, and the words; pours at one depth share a mark.

    >>> _spaced([(100.0, "2a"), (100.2, "2b"), (102.0, "1a")])
    [(100.0, 100.0, '2a, 2b: 100 mm (3 15/16 in) down'), (102.0, 105.5, '1a: 102 mm (4 in) down')]
    """
    shared: list[tuple[float, list[str]]] = []
    for deep, name in sorted(marks):
        if shared and deep - shared[-1][0] < SAME_MM:
            shared[-1][1].append(name)
        else:
            shared.append((deep, [name]))
    out: list[tuple[float, float, str]] = []
    for deep, names in shared:
        at = deep if not out else max(deep, out[-1][1] + WORDS_MM)
        out.append((deep, at, f"{', '.join(names)}: {units.tape(deep / 1e3)} down"))
    return out


def _rendered(**words: Any) -> str:
    return page_maker().get_template("drawing.svg").render(**words)
