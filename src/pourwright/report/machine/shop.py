"""What a machine, a fixture and a series make of a plan, as parts of sheet, plan and terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourwright.plan import MachinePlan, Plan
from pourwright.wording.one_shot import (
    PLATE_HEAD,
    REACH_HEAD,
    SHOT_HEAD,
    fixture_lines,
    packing_lines,
    plate_rows,
    reach_rows,
    series_lines,
    shot_rows,
    weight_rows,
)


@dataclass(frozen=True)
class ShopTable:
    """A table with its heads."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]


@dataclass(frozen=True)
class ShopPart:
    """One heading: tables, then pairs, then lines."""

    title: str
    tables: Sequence[ShopTable]
    pairs: Sequence[tuple[str, str]]
    lines: Sequence[str]


def shop_parts(plan: Plan) -> list[ShopPart]:
    """Packing and shots, fixture, series; none without a machine."""
    if not isinstance(plan, MachinePlan):
        return []
    shots = [ShopTable(SHOT_HEAD, shot_rows(plan)), ShopTable(REACH_HEAD, reach_rows(plan))]
    parts = [
        ShopPart("Packing and shots", shots, weight_rows(plan), packing_lines(plan)),
        ShopPart("Fixture", [ShopTable(PLATE_HEAD, plate_rows(plan))], (), fixture_lines(plan)),
    ]
    if series := series_lines(plan):
        parts.append(ShopPart("Series", (), (), series))
    return parts
