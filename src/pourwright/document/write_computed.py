"""From what was computed in the real shape to its blocks of ``plan.json``."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pourwright.document.model_computed import (
    AboveDoc,
    ComputedDoc,
    HeatHistoryDoc,
    HeatRulesDoc,
    RiseHistoryDoc,
    StepDoc,
)
from pourwright.document.model_parts import MeasuresDoc
from pourwright.document.reflect import block_of, blocks_of
from pourwright.document.values import celsius, known, point
from pourwright.evaluation import ByFormulas

if TYPE_CHECKING:
    from pourwright.evaluation import HeatHistory, RiseHistory
    from pourwright.plan import HeatRules, Plan


def heat_block(heat: HeatHistory, wait_s: float) -> HeatHistoryDoc:
    """Temperatures of a pour, with the wait of its lift."""
    touches = not math.isnan(heat.skin_k.nominal)
    return block_of(
        HeatHistoryDoc,
        heat,
        above=[
            AboveDoc(threshold_c=celsius(threshold), likely_s=known(likely), high_s=known(high))
            for threshold, likely, high in heat.hot_s
        ],
        skin_point_m=point(heat.skin_point_m) if touches else None,
        skin_measures=block_of(MeasuresDoc, heat.skin_measures) if touches else None,
        wait_s=known(wait_s),
        grid_error_k=known(heat.off_k),
    )


def rise_block(rise: RiseHistory) -> RiseHistoryDoc:
    """The rise of a pour."""
    return block_of(RiseHistoryDoc, rise)


def computed_block(plan: Plan) -> ComputedDoc:
    """What the division was checked against, with the schedule."""
    computed = plan.computed
    cells, cell_m = 0, None
    if not isinstance(computed.heating, ByFormulas):
        cells, cell_m = computed.heating.nominal.cells, computed.heating.nominal.cell_m
    return ComputedDoc(
        words=list(computed.words),
        measuring=computed.measuring,
        divisions=computed.divisions,
        heat_cells=cells,
        heat_cell_m=cell_m,
        reaction_fitted=computed.history.cup is not None,
        cup_test=plan.job.cup.reference if plan.job.cup else "",
        elapsed_s=max((step.end_s for step in computed.steps), default=0.0),
        schedule=blocks_of(StepDoc, computed.steps),
        clock_s=plan.job.day.start_s,
    )


def rules_block(rules: HeatRules) -> HeatRulesDoc:
    """The judgements heat and rise are checked against."""
    return block_of(HeatRulesDoc, rules)
