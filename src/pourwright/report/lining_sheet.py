"""``plan.md`` of a lined piece: coats and rolls in place of lifts."""

from __future__ import annotations

from collections.abc import Sequence

from pourwright.plaintext import shown
from pourwright.plan import LinedPlan
from pourwright.report.coat_cards import pin_lines
from pourwright.report.markdown import bullets as marked
from pourwright.report.markdown import columns, pairs
from pourwright.report.marked import escaped, wrapped
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
    PART_HEAD,
    bare_lines,
    coat_head,
    coat_rows,
    hollow_lines,
    how_lines,
    lining_lines,
    part_rows,
    position_head,
    position_rows,
    rolls_title,
)

LEFT_OUT = ("pools",)
"""What is only of use for lifts."""


def lining_markdown(plan: LinedPlan, pictures: Sequence[str] = ()) -> str:
    """The text of ``plan.md`` for a lined piece."""
    place = f", {escaped(plan.job.place)}" if plan.job.place else ""
    lines = [f"# {escaped(plan.job.name)}{place}", "", *wrapped(f"**{status_words(plan)}**"), ""]
    lines += pairs([row for row in summary_lines(plan) if row[0] not in LEFT_OUT] + lining_lines(plan))
    if pictures:
        lines += ["", "Pictures: " + ", ".join(pictures)]
    if part_rows(plan):
        lines += ["", "## Thickness by part", "", *columns(PART_HEAD, part_rows(plan))]
    lines += ["", "## Coats", "", *columns(coat_head(plan), coat_rows(plan)), ""]
    lines += ["## How each coat is laid", "", *marked(how_lines(plan)), ""]
    lines += [f"## {rolls_title(plan)}", "", *columns(position_head(plan), position_rows(plan)), ""]
    lines += ["## Where a pin is pushed in after a coat", "", *marked(pin_lines(plan)), ""]
    lines += ["## What stays bare with all coats", "", *marked(bare_lines(plan)), ""]
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
