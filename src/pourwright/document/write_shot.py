"""From a shot, its fixture and its series to their blocks of ``plan.json``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pourwright.document.model_series import CostDoc, FixtureDoc, SeriesDoc, SpreadDoc
from pourwright.document.model_shot import FlowDoc, PackingDoc, ScaleDoc, ShotDoc, TiltStageDoc
from pourwright.document.reflect import block_of, blocks_of
from pourwright.plan import MachinePlan

if TYPE_CHECKING:
    from pourwright.plan import Plan
    from pourwright.shot import TiltStage


def shot_keys(plan: Plan) -> dict[str, Any]:
    """Keys of ``fill`` that tell of a shot; none without a machine."""
    if not isinstance(plan, MachinePlan):
        return {}
    return {
        "packing": block_of(PackingDoc, plan.shot.window),
        "flow": blocks_of(FlowDoc, plan.shot.flows),
        "scale": block_of(ScaleDoc, plan.shot.scale),
        "tilts": [_tilt(plan, stage) for stage in plan.shot.tilts],
        "shots": blocks_of(ShotDoc, plan.shot.shots),
    }


def _tilt(plan: Plan, stage: TiltStage) -> TiltStageDoc:
    tilt = stage.tilt
    if tilt is None:
        return TiltStageDoc(chambers=list(stage.chambers), angle_rad=None, up=None, right_m=0.0, back_m=0.0)
    up = tuple((plan.frame.rotation.T @ tilt.up).tolist())
    return block_of(TiltStageDoc, tilt, chambers=list(stage.chambers), up=up)


def fixture_block(plan: Plan) -> FixtureDoc | None:
    """What holds the part; None without a machine."""
    return block_of(FixtureDoc, plan.shot.fixture) if isinstance(plan, MachinePlan) else None


def series_block(plan: Plan) -> SeriesDoc | None:
    """The series; None where none is asked for."""
    if not isinstance(plan, MachinePlan) or plan.shot.series is None:
        return None
    series = plan.shot.series
    return block_of(
        SeriesDoc,
        series.line,
        parts=series.parts,
        cost_per_part=None if series.cost is None else series.cost.per_part,
        cost=None if series.cost is None else block_of(CostDoc, series.cost),
        spread=block_of(SpreadDoc, series.spread),
        drums_per_week=series.drums_per_week,
    )
