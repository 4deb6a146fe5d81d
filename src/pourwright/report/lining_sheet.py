"""``plan.md`` and ``sheet.html`` of a lined piece: coats and rolls in place of lifts."""

from __future__ import annotations

import html
from collections.abc import Sequence
from pathlib import Path

from pourwright.plaintext import shown
from pourwright.plan import LinedPlan
from pourwright.report.markdown import bullets as marked
from pourwright.report.markdown import columns, escaped, pairs, wrapped
from pourwright.report.sheet import Issue, embedded
from pourwright.wording.asks import status_words
from pourwright.wording.lifts import (
    caution_lines,
    liquids_line,
    piece_check_lines,
    stiffness_lines,
    summary_lines,
    warning_lines,
    weight_lines,
)
from pourwright.wording.lining import (
    COAT_HEAD,
    POSITION_HEAD,
    bare_place,
    coat_rows,
    hollow_lines,
    how_lines,
    lining_lines,
    position_rows,
)
from pourwright.wording.status import PLANNED

LEFT_OUT = ("pools",)
"""What is only of use for lifts."""


def _bare_lines(plan: LinedPlan) -> list[str]:
    lining = plan.lining
    if not lining.bare:
        return ["nothing that counts"]
    return [f"{place.share:.1%} of the inside, {bare_place(plan, place)}" for place in lining.bare]


def lining_markdown(plan: LinedPlan, pictures: Sequence[str] = ()) -> str:
    """The text of ``plan.md`` for a lined piece."""
    place = f", {escaped(plan.job.place)}" if plan.job.place else ""
    lines = [f"# {escaped(plan.job.name)}{place}", "", *wrapped(f"**{status_words(plan)}**"), ""]
    lines += pairs([row for row in summary_lines(plan) if row[0] not in LEFT_OUT] + lining_lines(plan))
    if pictures:
        lines += ["", "Pictures: " + ", ".join(pictures)]
    lines += ["", "## Coats", "", *columns(COAT_HEAD, coat_rows(plan)), ""]
    lines += ["## How each coat is laid", "", *marked(how_lines(plan)), ""]
    lines += ["## Rolls, coat by coat", "", *columns(POSITION_HEAD, position_rows(plan)), ""]
    lines += ["## What stays bare with all rolls", "", *marked(_bare_lines(plan)), ""]
    lines += ["## What stays hollow", "", *marked(hollow_lines(plan)), ""]
    lines += ["## To buy", "", *wrapped(liquids_line(plan)), ""]
    lines += ["## Weight and balance", "", *pairs(weight_lines(plan)), ""]
    lines += ["## Stiffness", "", *pairs(stiffness_lines(plan)), ""]
    lines += ["## Checks of the whole piece", "", *marked(piece_check_lines(plan)), ""]
    lines += ["## Warnings", "", *(marked(warning_lines(plan)) or ["none"]), ""]
    lines += ["## Cautions", "", *marked(caution_lines(plan)), ""]
    if plan.job.assumed:
        lines += ["## Assumed, because the job does not say", "", *marked(plan.job.assumed), ""]
    lines += ["## Made with", "", *pairs(sorted(plan.provenance.items()))]
    return shown("\n".join(lines)) + "\n"


def lining_sheet(plan: LinedPlan, pictures: Sequence[Path] = (), issue: Issue | None = None) -> str:
    """The text of ``sheet.html`` for a lined piece: one page that needs nothing else."""
    status, name = status_words(plan), html.escape(plan.job.name)
    stop = "" if status == PLANNED else ' class="stop"'
    parts = [
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{name}</title><style>{CSS}</style></head>',
        f"<body><h1>{name}</h1><p{stop}><b>{html.escape(status)}</b></p>",
        "<h2>Before anything is mixed</h2>", _list(caution_lines(plan)), "<h2>Warnings</h2>",
        _list(warning_lines(plan) or ["none"]), "<h2>The lining</h2>",
        _list([f"{a}: {b}" for a, b in lining_lines(plan)]), f"<p>{html.escape(liquids_line(plan))}</p>",
        "<h2>Coats</h2>", _table(COAT_HEAD, coat_rows(plan), tick=True), "<h2>How each coat is laid</h2>",
        _list(how_lines(plan)), "<h2>Rolls, coat by coat</h2>",
        _table(POSITION_HEAD, position_rows(plan), tick=True), "<h2>What stays bare</h2>", _list(_bare_lines(plan)),
        "<h2>What stays hollow</h2>", _list(hollow_lines(plan)), "<h2>Weight</h2>",
        _list([f"{a}: {b}" for a, b in weight_lines(plan)]),
    ]  # fmt: skip
    parts += [f'<img src="{embedded(path)}" alt="{path.stem}">' for path in pictures]
    return shown("\n".join([*parts, "</body></html>"])) + "\n"


CSS = (
    "body{font:15px/1.4 sans-serif;max-width:60em;margin:1.5em auto;padding:0 1em}"
    "table{border-collapse:collapse;width:100%}"
    "td,th{border:1px solid #777;padding:.3em .5em;text-align:left;vertical-align:top}th{background:#eee}"
    "img{max-width:100%}.stop{border:3px solid #000;padding:.5em}tr{break-inside:avoid}h2{break-after:avoid}"
)


def _list(lines: Sequence[str]) -> str:
    return "<ul>" + "".join(f"<li>{html.escape(line)}</li>" for line in lines) + "</ul>"


def _table(head: Sequence[str], rows: Sequence[Sequence[str]], tick: bool = False) -> str:
    extra = ["done"] if tick else []
    top = "".join(f"<th>{html.escape(cell)}</th>" for cell in [*head, *extra])
    box = "<td>&#9744;</td>" if tick else ""
    body = "".join("<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + box + "</tr>" for row in rows)
    return f"<table><tr>{top}</tr>{body}</table>"
