"""``piece.html``: the piece in three dimensions, in one file that needs no network."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import fast_simplification
import numpy as np

from pourwright.cavity import PourFrame, region_mesh
from pourwright.draw.piece_fields import safe_json, skin_fields
from pourwright.draw.view import toward
from pourwright.hanging import hanging_pose
from pourwright.lifts import Lift, Pour
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.plan import Plan, first_mix, shores_of
from pourwright.report.card import clock_of, starts
from pourwright.report.sheet import embedded
from pourwright.wording.asks import refused_or_unknown, status_words
from pourwright.wording.closing import closing_lines
from pourwright.wording.lifts import caution_lines, lift_title, pour_lines, wait_line
from pourwright.wording.skin import set_up_words
from pourwright.wording.spoken import spoken
from pourwright.wording.status import order_words, sides_words

SKIN_TRIANGLES, LIFT_TRIANGLES = 40_000, 60_000
"""Most triangles of the skin, and of all lifts together."""
PAGE_DEG = 8.0  # the page looks down by this, from the side of the pictures


def piece_html(plan: Plan, pictures: Sequence[Path] = ()) -> str:
    """The text of ``piece.html``.

    Parameters
    ----------
    plan : Plan
    pictures : sequence of Path
        Pictures of the plan, named as ``draw_plan`` names them. Those of the lifts are put into the page, to be shown
        where the browser has no WebGL or runs no script.

    Returns
    -------
    str
        A page that holds its meshes, its pictures and its viewer (three.js, MIT licence) and fetches nothing.
    """
    made = page_maker()
    texts = files("pourwright.report") / "templates"
    status = status_words(plan)
    text = made.get_template("piece.html").render(
        name=plan.job.name,
        place=plan.job.place,
        status=status,
        stop=refused_or_unknown(plan),
        lifts=len(plan.lift_plan.lifts),
        css="".join((texts / name).read_text(encoding="utf-8") for name in ("piece.css", "piece_pick.css")),
        chooser=(texts / "piece_choose.js").read_text(encoding="utf-8"),
        licence=licence_words(),
        cautions=caution_lines(plan),
        sides=sides_words(plan.job.grade.sides),
        flat=_flat(plan, {file.name: file for file in pictures}),
        viewer="".join((texts / name).read_text(encoding="utf-8") for name in ("piece.js", "piece_pick.js")),
        three=module_text("three.module.min.js"),
        orbit=module_text("OrbitControls.js"),
        data=safe_json(_data(plan)),
    )
    return shown(text)


def module_text(name: str) -> str:
    """A file of the viewer as a ``data:`` address."""
    text = (files("pourwright") / "viewer" / name).read_bytes()
    return f"data:text/javascript;base64,{base64.b64encode(text).decode('ascii')}"


def licence_words() -> str:
    """The viewer's name, who holds it and its licence, from the text that is kept beside it."""
    kind, _, holder = (files("pourwright") / "viewer" / "LICENSE.three").read_text("utf-8").splitlines()[:3]
    return f"three.js, {holder}, {kind.removeprefix('The ')}"


def _flat(plan: Plan, pictures: Mapping[str, Path]) -> list[dict[str, Any]]:
    """What is shown of each lift where the browser has no third dimension."""
    figures = []
    for lift in plan.lift_plan.lifts:
        drawn = pictures.get(f"lift_{lift.number:02d}.png")
        title, *lines = _lift_said(plan, lift)
        figures.append({"title": title, "lines": lines, "picture": embedded(drawn) if drawn is not None else ""})
    return figures


def _lift_said(plan: Plan, lift: Lift) -> list[str]:
    clocks = [f"not before {at} {clock_of(plan)}" for at in [starts(plan, lift.pours[0])] if at] if lift.pours else []
    return [
        lift_title(lift),
        *clocks,
        *([wait_line(lift, lift is plan.lift_plan.lifts[-1], spoken(plan))] if first_mix(lift) else []),
        *(f"set up first: {words}" for words in set_up_words(lift, plan.lift_plan)),
        *(line for pour in lift.pours for line in _said(plan, pour)),
    ]


def _data(plan: Plan) -> dict[str, Any]:
    lifts, graph, skin = plan.lift_plan.lifts, plan.graph, plan.skin
    outside = ~skin.void_face & (skin.cap_opening < 0)
    holes = [("port", port.name, port.point_m) for port in plan.lift_plan.ports]
    holes += [("vent", vent.name, vent.point_m) for vent in plan.lift_plan.vents]
    shores = {shore.name: shore for bulge in plan.lift_plan.bulges.values() for shore in bulge.shores}
    holes += [("shore", shore.name, shore.point_m) for shore in shores.values()]
    ends = [(end.kind, f"{end.kind} {k}", end.point_m) for k, end in enumerate(graph.pools, 1)]
    ends += [(end.kind, f"{end.kind} {k}", end.point_m) for k, end in enumerate(graph.pockets, 1)]
    most = max(LIFT_TRIANGLES // max(len(lifts), 1), 800)
    points, faces = _simpler(plan, skin.vertices_m, skin.faces[outside], SKIN_TRIANGLES)
    return {
        "size": [round(float(v), 4) for v in plan.frame.size_m],
        "toward": [round(float(v), 4) for v in toward(PAGE_DEG)],
        "said": "Nothing is poured yet. Step through the lifts below; drag to turn, pinch or scroll to come nearer.",
        "pick": _pick(plan),
        "skin": {"points": _packed(points), "faces": _packed(faces)},
        "fields": skin_fields(plan, points.astype(float)),
        "shown": "",
        "lifts": [
            {
                "number": lift.number,
                "said": "\n".join(_lift_said(plan, lift)),
                "holes": [x.port.name for pour in lift.pours for x in pour.landings]
                + [vent.name for pour in lift.pours for vent in pour.vents]
                + [shore.name for shore in shores_of(plan.lift_plan, lift)],
                "mesh": _mesh(
                    plan,
                    *region_mesh(plan.cavity, graph, np.unique(np.concatenate([pour.nodes for pour in lift.pours]))),
                    most,
                ),
            }
            for lift in lifts
        ],
        "holes": [{"kind": kind, "name": name, "point": _point(plan, at)} for kind, name, at in holes],
        "ends": [{"kind": kind, "name": name, "point": _point(plan, at)} for kind, name, at in ends],
    }


def _pick(plan: Plan) -> dict[str, Any]:
    """What a picked point is told by: the file's own axes, and the hanging piece where the job says how it hangs."""
    asked = plan.job.site.hang
    hung = None if asked is None else hanging_pose(plan.skin.vertices_m, asked).frame
    return {**_axes(plan.frame), "hang": None if hung is None else {**_axes(hung), "size": hung.size_m.tolist()}}


def _axes(frame: PourFrame) -> dict[str, Any]:
    return {"turn": frame.rotation.tolist(), "offset": frame.offset_m.tolist()}


def _said(plan: Plan, pour: Pour) -> list[str]:
    lines = pour_lines(plan.lift_plan, pour, plan.foam, spoken(plan))
    closings = closing_lines(plan.lift_plan, pour, spoken(plan))
    return [f"Pour {pour.name}: {lines[0]}", *lines[1 : 5 + len(closings) + len(order_words(pour))]]


def _point(plan: Plan, point_m: np.ndarray) -> list[float]:
    return [round(float(value), 4) for value in plan.frame.to_standing(point_m)]


def _mesh(plan: Plan, vertices_m: np.ndarray, faces: np.ndarray, most: int) -> dict[str, str]:
    points, faces = _simpler(plan, vertices_m, faces, most)
    return {"points": _packed(points), "faces": _packed(faces)}


def _simpler(plan: Plan, vertices_m: np.ndarray, faces: np.ndarray, most: int) -> tuple[np.ndarray, np.ndarray]:
    """Standing corners and triangles, no more than ``most``, without corners that no triangle has."""
    used, inverse = np.unique(faces, return_inverse=True)
    points = np.ascontiguousarray(plan.frame.to_standing(vertices_m[used]), np.float32)
    faces = np.ascontiguousarray(inverse.reshape(-1, 3), np.int32)
    if len(faces) > most:
        points, faces = fast_simplification.simplify(points, faces, 1.0 - most / len(faces))
    return np.asarray(points, "<f4"), np.asarray(faces, "<u4")


def _packed(array: np.ndarray) -> str:
    return base64.b64encode(np.ascontiguousarray(array).tobytes()).decode("ascii")
