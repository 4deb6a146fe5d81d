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
    VentFlowDoc,
    VoidDoc,
)
from pourwright.document.model_parts import MeasuresDoc
from pourwright.document.values import ZERO_CELSIUS_K, celsius, known, point, range_block

if TYPE_CHECKING:
    from pourwright.lifts import HeatHistory, Measures, RiseHistory
    from pourwright.plan import Computed, HeatRules, Plan


def heat_block(heat: HeatHistory, wait_s: float) -> HeatHistoryDoc:
    """Temperatures of a pour, with the wait of its lift."""
    touches = not math.isnan(heat.skin_k.nominal)
    return HeatHistoryDoc(
        start_s=heat.start_s,
        peak_c=range_block(heat.peak_k, offset=-ZERO_CELSIUS_K),
        peak_s=heat.peak_s,
        peak_point_m=point(heat.peak_point_m),
        peak_measures=measures_block(heat.peak_measures),
        above=[
            AboveDoc(threshold_c=celsius(threshold), likely_s=known(likely), high_s=known(high))
            for threshold, likely, high in heat.hot_s
        ],
        skin_c=range_block(heat.skin_k, offset=-ZERO_CELSIUS_K),
        skin_point_m=point(heat.skin_point_m) if touches else None,
        skin_measures=measures_block(heat.skin_measures) if touches else None,
        face_c=known(celsius(heat.face_k)),
        core_c=known(celsius(heat.core_k)),
        wait_s=known(wait_s),
        alone_s=known(heat.alone_s),
        wait_governed_by=heat.wait_governed_by,
        wait_met=heat.wait_met,
        closed_peak_c=known(celsius(heat.closed_peak_k)),
        closed_wait_s=known(heat.closed_wait_s),
        later_c=range_block(heat.later_k, offset=-ZERO_CELSIUS_K),
        top_c=range_block(heat.top_k, offset=-ZERO_CELSIUS_K),
        across_m=known(heat.across_m),
        grid_error_k=known(heat.off_k),
    )


def rise_block(rise: RiseHistory) -> RiseHistoryDoc:
    """The rise of a pour."""
    return RiseHistoryDoc(
        peak_pa=rise.peak_pa,
        peak_s=rise.peak_s,
        peak_point_m=point(rise.peak_point_m),
        peak_measures=measures_block(rise.peak_measures),
        at_gel_pa=rise.at_gel_pa,
        gel_s=rise.gel_s,
        fill_m3_s=rise.fill_m3_s,
        void_m3=rise.void_m3,
        voids=[
            VoidDoc(
                volume_m3=void.volume_m3,
                point_m=point(void.point_m),
                measures=measures_block(void.measures),
                bottom_m=void.bottom_m,
                top_m=void.top_m,
                reason=void.reason,
                neck_m=known(void.neck_m),
            )
            for void in rise.voids
        ],
        below_m3=rise.below_m3,
        vents=[
            VentFlowDoc(
                name=flow.name,
                air_m3_s=flow.air_m3_s,
                hole_needed_m=flow.hole_needed_m,
                back_pressure_pa=flow.back_pressure_pa,
                foam_kg=flow.foam_kg,
                foam_from_s=known(flow.foam_from_s),
            )
            for flow in rise.vents
        ],
        packing=rise.packing,
        packing_needed=known(rise.packing_needed),
        surplus_kg=rise.surplus_kg,
        closed_pressure_pa=known(rise.closed_pressure_pa),
    )


def computed_block(plan: Plan, computed: Computed) -> ComputedDoc:
    """What the division was checked against, with the schedule."""
    heating = computed.heating
    return ComputedDoc(
        words=list(computed.words),
        measuring=computed.measuring,
        divisions=computed.divisions,
        heat_cells=heating.nominal.cells if heating else 0,
        heat_cell_m=heating.nominal.cell_m if heating else None,
        reaction_fitted=computed.history.cup is not None,
        cup_test=plan.job.cup.reference if plan.job.cup else "",
        elapsed_s=max((step.end_s for step in computed.steps), default=0.0),
        schedule=[
            StepDoc(
                kind=step.kind,
                lift=step.lift,
                pour=step.pour,
                batch=step.batch,
                hand=step.hand,
                start_s=step.start_s,
                end_s=step.end_s,
            )
            for step in computed.steps
        ],
    )


def rules_block(rules: HeatRules) -> HeatRulesDoc:
    """The judgements heat and rise are checked against."""
    return HeatRulesDoc(
        scorch_s=rules.scorch_s,
        scorch_high_s=rules.scorch_high_s,
        centre_c=None if rules.centre_k is None else celsius(rules.centre_k),
        centre_share=rules.centre_share,
        release_c=celsius(rules.release_k),
        shortest_wait_s=rules.shortest_wait_s,
        longest_wait_s=rules.longest_wait_s,
        outside_film_w_m2k=rules.outside_film_w_m2k,
        inside_film_w_m2k=rules.inside_film_w_m2k,
        void_share=rules.void_share,
        between_s=rules.between_s,
    )


def measures_block(measures: Measures) -> MeasuresDoc:
    """A place to tape."""
    return MeasuresDoc(
        from_base_m=measures.from_base_m, from_left_m=measures.from_left_m, from_front_m=measures.from_front_m
    )
