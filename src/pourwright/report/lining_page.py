"""``sheet.html`` and ``piece.html`` of a lining: cards with rolls and boxes, and the piece as it lies, in colours."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from pourwright import units
from pourwright.draw.maps.lining import shade
from pourwright.draw.maps.turned import BOARD, looked_at
from pourwright.draw.piece_fields import safe_json
from pourwright.lining import Position
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.plan import LinedPlan
from pourwright.record import BENCH_SCHEMA
from pourwright.report.coat_cards import coat_cards, pin_lines
from pourwright.report.piece_page import licence_words, module_text
from pourwright.report.sheet import Issue, embedded, held, script_of
from pourwright.wording.asks import refused_or_unknown, status_words
from pourwright.wording.coat_words import side_words
from pourwright.wording.lifts import (
    caution_lines,
    liquids_line,
    piece_check_lines,
    summary_lines,
    warning_lines,
    weight_lines,
)
from pourwright.wording.lining import axis_words, bare_lines, hollow_lines, how_far, how_lines, lining_lines

TONES = 24
"""Steps of colour from next to nothing to the whole thickness."""
FACTS = ("size", "skin", "foam", "sides", "shop", "times")
MAP = "lining.png"


def lining_html(
    plan: LinedPlan, pictures: Sequence[Path] = (), issue: Issue | None = None, *, page: bool = False
) -> str:
    """The text of ``sheet.html``, or of ``piece.html``: one page that needs nothing else.

    Parameters
    ----------
    plan : LinedPlan
    pictures : sequence of Path
        Pictures of the plan; they are put into the file.
    issue : Issue, optional
        For a sheet made again from what was poured.
    page : bool
        Whether it is the page, with the piece as it lies at each roll.
    """
    made = page_maker(finalize=held)
    texts = files("pourwright.report") / "templates"
    js = script_of((texts / "sheet.js").read_text(encoding="utf-8"))
    drawn = {file.name: embedded(file) for file in pictures if file.suffix == ".png"}
    text = made.get_template("lining.html").render(
        css="".join((texts / name).read_text(encoding="utf-8") for name in ("sheet.css", "lining.css")),
        js=js,
        js_hash=f"sha256-{base64.b64encode(hashlib.sha256(js.encode()).digest()).decode('ascii')}",
        store=f"pourwright {plan.skin.sha256[:16]}",
        bench=json.dumps({"schema": BENCH_SCHEMA, "shell_sha256": plan.skin.sha256}),
        issue=issue,
        page=_viewer(plan) if page else None,
        map=drawn.get(MAP, ""),
        cards=coat_cards(plan, drawn, issue),
        **_words(plan),
    )
    return "\n".join(line.rstrip() for line in shown(text).splitlines() if line.strip()) + "\n"


def _words(plan: LinedPlan) -> dict[str, Any]:
    return {
        "name": plan.job.name,
        "place": plan.job.place,
        "status": status_words(plan),
        "stop": refused_or_unknown(plan),
        "facts": [row for row in summary_lines(plan) if row[0] in FACTS] + lining_lines(plan),
        "at_hand": _at_hand(plan),
        "cautions": caution_lines(plan),
        "warnings": warning_lines(plan),
        "how": how_lines(plan),
        "pins": pin_lines(plan),
        "bare": bare_lines(plan),
        "hollow": hollow_lines(plan),
        "weight": [*weight_lines(plan), ("parts", liquids_line(plan))],
        "checks": piece_check_lines(plan),
        "made": ", ".join(f"{key} {value[:24]}" for key, value in sorted(plan.provenance.items())),
    }


def _at_hand(plan: LinedPlan) -> list[str]:
    left = [coat for coat in plan.lining.coats if not coat.poured]
    cups = max((coat.cups for coat in left), default=0)
    people = units.mass(plan.outcome.total_kg.high)
    if plan.lining.spread:
        return [
            f"{cups} cup{'' if cups == 1 else 's'} for each coat, scale, clock, brushes or rollers on a handle, rags",
            f"Blocks, wedges and hands for {people}; a board for the mouth when all is set",
            "Lamp, gloves, goggles, respirator and moving air by the data sheet; stiff wire with a cork, thermometer",
            f"Parts: {liquids_line(plan)}",
        ]
    return [
        f"{cups} cup{'' if cups == 1 else 's'} for each mix, scale, clock, hose and funnel",
        "Boards and bungs for every mouth and hole, with what holds them while they are on top and underneath",
        f"Hands, frame or cradle for {people}; blocks or trestles with air under them",
        "Lamp and mirror, a stiff wire with a cork on it, thermometer",
        f"Parts: {liquids_line(plan)}",
    ]


def _viewer(plan: LinedPlan) -> dict[str, Any]:
    texts = files("pourwright.report") / "templates"
    key = ((0.0, "bare"), (0.25, "a quarter"), (0.5, "half"), (0.75, "three quarters"), (1.0, "all or more"))
    words = [(_hex(shade(share)), said) for share, said in key]
    thickness = units.length(plan.lining.region.thickness_m)
    return {
        "three": module_text("three.module.min.js"),
        "orbit": module_text("OrbitControls.js"),
        "licence": licence_words(),
        "viewer": (texts / "lining.js").read_text(encoding="utf-8"),
        "steps": len(plan.lining.sequence),
        "key": [*words, (_hex(tuple(value / 255.0 for value in BOARD)), f"board; all is {thickness}")],
        "data": safe_json(_data(plan)),
    }


def _data(plan: LinedPlan) -> dict[str, Any]:
    lining, frame = plan.lining, plan.frame
    size, inside = np.asarray(frame.size_m), lining.inside
    points = frame.to_standing(inside.triangles_m) - 0.5 * size
    shares = [0.0, *((k + 0.5) / TONES for k in range(TONES))]
    how = "spreading" if lining.spread else "turning"
    left = next((k for k, one in enumerate(lining.sequence) if not lining.coats[one.coat - 1].poured), -1)
    return {
        "size": [round(float(value), 4) for value in size],
        "points": _packed(points.astype("<f4")),
        "boards": _packed((~inside.counts).astype(np.uint8)),
        "board": _hex(tuple(value / 255.0 for value in BOARD)),
        "tones": [_hex(shade(share)) for share in shares],
        "pins": [
            {"name": f"P{k}", "point": _list(frame.to_standing(pin.point_m) - 0.5 * size)}
            for k, pin in enumerate(lining.pins, start=1)
        ],
        "said": f"As it stands, before the first coat. Colours: foam on the inside by the model of the {how}.",
        "first": left + 1,
        "stand": {"up": [0, 0, 1], "right": [1, 0, 0], "axis": None, "turn": 0},
        "steps": [_step(plan, one) for one in lining.sequence],
    }


def _step(plan: LinedPlan, one: Position) -> dict[str, Any]:
    turn, lining = plan.frame.rotation.T, plan.lining
    up = one.up @ turn
    axis = np.zeros(3) if one.roll.still else one.axis @ turn
    right = looked_at(up, axis, np.asarray(plan.frame.size_m)).rows[0]
    poured = " (poured)" if lining.coats[one.coat - 1].poured else ""
    if plan.lining.spread:
        return {
            "said": f"Coat {one.coat}{poured}: {side_words(up)} up, stays so until it is set",
            "up": _list(up), "right": _list(right), "axis": None, "turn": 0.0, "laid": _packed(_tones(one)),
        }  # fmt: skip
    how = f"{side_words(up)} up, stays so" if one.roll.still else f"{side_words(up)} up, about {axis_words(one)}"
    return {
        "said": f"Coat {one.coat}{poured}, roll {one.number}: {how}; {how_far(one)}",
        "up": _list(up),
        "right": _list(right),
        "axis": None if one.roll.still else _list(axis),
        "turn": round(float(one.roll.turn_rad), 4),
        "laid": _packed(_tones(one)),
    }


def _tones(one: Position) -> np.ndarray:
    """Tone (n,) of each face, 0 for bare."""
    tone = 1 + np.minimum(TONES - 1, (one.laid * TONES).astype(int))
    return np.where(one.laid > 0.0, tone, 0).astype(np.uint8)


def _hex(colour: tuple[float, ...]) -> str:
    return "#" + "".join(f"{round(255 * value):02x}" for value in colour)


def _list(values: np.ndarray) -> list[float]:
    return [round(float(value), 5) for value in values]


def _packed(array: np.ndarray) -> str:
    return base64.b64encode(np.ascontiguousarray(array).tobytes()).decode("ascii")
