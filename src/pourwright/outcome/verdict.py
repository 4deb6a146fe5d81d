"""Whether an answer is a refusal (a limit exceeded, or no balance at all), and what in it is not known.

Answers of other rooms say it beside themselves (`hanging.hang`, `water.afloat`, `moving.move`).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch
from typing import TYPE_CHECKING

from pourwright.findings import Verdict
from pourwright.lifts import Check
from pourwright.outcome.sling import SlingResult
from pourwright.outcome.stand import StandResult

if TYPE_CHECKING:
    from functools import _SingleDispatchCallable


def _refusals(_result: object) -> tuple[str, ...]:
    """Names of what is over a limit or out of balance, at any stage; empty where nothing is. See also ``unknowns``."""
    return ()


refusals: _SingleDispatchCallable[tuple[str, ...]] = singledispatch(_refusals)


def _unknowns(_result: object) -> tuple[str, ...]:
    """Names of what could not be checked against a limit: not refused, and never to be taken as safe."""
    return ()


unknowns: _SingleDispatchCallable[tuple[str, ...]] = singledispatch(_unknowns)


@refusals.register
def _(result: SlingResult) -> tuple[str, ...]:
    lost = [f"{stage.name}: not in balance" for stage in result.stages if not stage.hangs]
    lost += [f"{stage.name}: turns over" for stage in result.stages if stage.hangs and stage.turns_over]
    return (*lost, *over(result.checks))


@refusals.register
def _(result: StandResult) -> tuple[str, ...]:
    return tuple(f"{stage.name}: does not stand" for stage in result.stages if not stage.stands)


@unknowns.register
def _(result: SlingResult) -> tuple[str, ...]:
    return not_known(result.checks)


def over(checks: Iterable[Check]) -> list[str]:
    """Names of checks that are over their limit."""
    return [check.name for check in checks if check.verdict == Verdict.OVER]


def not_known(checks: Iterable[Check]) -> tuple[str, ...]:
    """Names of checks that could not be computed, each once."""
    return tuple(dict.fromkeys(check.name for check in checks if check.verdict == Verdict.UNKNOWN))
