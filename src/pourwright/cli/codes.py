"""What the exit code of a command says, in one place: never 0 where something is over a limit or not known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pourwright.cli.screen import say

if TYPE_CHECKING:
    from pourwright.plan import Plan

REFUSED = 1
NOT_KNOWN = 3


def closed(refused: Sequence[str], unknown: Sequence[str]) -> int:
    """Say what speaks against an answer, and give the exit code: 1 refused, 3 not all known, 0 neither."""
    if refused:
        say(f"refused: {'; '.join(refused)}")
        return REFUSED
    if unknown:
        say(f"not known, and not to be taken as safe: {'; '.join(unknown)}")
        return NOT_KNOWN
    return 0


def closed_plan(plan: Plan) -> int:
    """The same for a plan."""
    if not plan.over_limit and not plan.not_known:
        return 0
    from pourwright.wording.asks import status_words

    say(status_words(plan))
    return REFUSED if plan.over_limit else NOT_KNOWN
