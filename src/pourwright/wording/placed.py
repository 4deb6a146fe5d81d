"""What is placed in a piece before the first pour, in words: cores, or the dams of ribs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pourwright.plan import CoredPlan, RibbedPlan

if TYPE_CHECKING:
    from pourwright.plan import Plan


@dataclass(frozen=True, slots=True)
class Placed:
    """One part of the sheet: lines, and a table with a box to tick off each row."""

    title: str
    lines: list[str]
    head: tuple[str, ...]
    rows: list[tuple[str, ...]]


def placed_in(plan: Plan) -> tuple[Placed, ...]:
    """What to tell of cores or ribs; empty for a piece that has neither."""
    if isinstance(plan, CoredPlan):
        from pourwright.wording.cores import CORE_HEAD, core_lines, core_rows

        return (Placed("Cores, to be laid before the first pour", core_lines(plan), CORE_HEAD, core_rows(plan)),)
    if isinstance(plan, RibbedPlan):
        from pourwright.wording.ribs import DAM_HEAD, dam_rows, rib_lines

        return (Placed("Ribs: dams to be set before the first pour", rib_lines(plan), DAM_HEAD, dam_rows(plan)),)
    return ()
