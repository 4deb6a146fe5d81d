"""Whether an answer is a refusal (a limit exceeded, or no balance at all), and what in it is not known."""

from __future__ import annotations

from collections.abc import Iterable

from pourwright.lifts import Check
from pourwright.outcome.hang_model import HangResult
from pourwright.outcome.sling import SlingResult
from pourwright.outcome.stand import StandResult
from pourwright.outcome.wall.suggest import Suggestion
from pourwright.outcome.water.afloat import FloatResult


def refusals(result: object) -> tuple[str, ...]:
    """Names of what is over a limit or out of balance, at any stage; empty where nothing is. See also ``unknowns``."""
    if isinstance(result, Suggestion):
        return refusals(result.result)
    if isinstance(result, HangResult):
        checks = [check for load in result.anchors for check in load.checks]
        lost = [gone.words.removesuffix(".") for gone in result.one_gone if not gone.stays]
        return (*(() if result.in_balance else ("not in balance",)), *_over(checks), *lost, *result.lost)
    if isinstance(result, SlingResult):
        lost = [f"{stage.name}: not in balance" for stage in result.stages if not stage.hangs]
        return (*lost, *_over(result.checks))
    if isinstance(result, StandResult):
        return tuple(f"{stage.name}: does not stand" for stage in result.stages if not stage.stands)
    if isinstance(result, FloatResult):
        lost = [f"{s.name}, {s.water} water: sinks" for s in result.states if not s.floats or "SINKS" in s.words]
        lost += [f"{s.name}, {s.water} water: capsizes" for s in result.states if s.capsizes and s.upright_asked]
        return (*lost, *_over(result.checks))
    return ()


def unknowns(result: object) -> tuple[str, ...]:
    """Names of what could not be checked against a limit: not refused, and never to be taken as safe."""
    if isinstance(result, Suggestion):
        return unknowns(result.result)
    checks: tuple[Check, ...] = ()
    if isinstance(result, HangResult):
        checks = tuple(check for load in result.anchors for check in load.checks)
    elif isinstance(result, SlingResult | FloatResult):
        checks = result.checks
    return tuple(dict.fromkeys(check.name for check in checks if check.verdict == "unknown"))


def _over(checks: Iterable[Check]) -> list[str]:
    return [check.name for check in checks if check.verdict == "over"]
