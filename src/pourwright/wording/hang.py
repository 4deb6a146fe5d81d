"""What a hanging piece is said to hold, and which case governs."""

from __future__ import annotations

import math

import numpy as np

from pourwright import units
from pourwright.hanging import HangResult, LoadCase
from pourwright.lifts import Check
from pourwright.outcome import refusals

NOTHING = 5e-4
"""A component below this share of the weight is printed as nothing."""
OUTSIDE = (
    "NOT CHECKED: the wall and the anchor in it (see the anchor's approval and the building code); every load that the "
    "job does not give (wind, weather, earthquake, people who climb or pull)."
)


def verdict_lines(result: HangResult) -> tuple[str, ...]:
    """What was found, what was checked and what was not. Nothing that was not checked is called held."""
    known = [rule for rule, check in named_checks(result) if check.verdict != "unknown"]
    refused = refusals(result)
    lines = []
    if refused:
        lines.append(f"REFUSED, over a limit or out of balance: {'; '.join(refused)}.")
    elif known:
        missing = dict.fromkeys(rule for rule, check in named_checks(result) if check.verdict == "unknown")
        tail = f"; {', '.join(missing)} NOT CHECKED" if missing else ""
        lines.append(f"Within the ratings given, with all anchors there and with any one of them gone{tail}.")
    else:
        lines.append("The piece stays in balance, with all anchors there and with any one of them gone.")
    if not known:
        lines.append("Only balance was tested. NOTHING WAS CHECKED AGAINST A LIMIT.")
    if result.governing:
        worst = next(case for case in result.cases if case.name == result.governing)
        lines.append(f"Most used: {units.share(result.utilisation)} of a limit, {worst.worst}; {worst.name}.")
    if known:
        lines.append(f"Checked: {', '.join(dict.fromkeys(known))}; {_with_words(result)}.")
    return (*lines, *unchecked_lines(result), OUTSIDE)


def _with_words(result: HangResult) -> str:
    """In which situations the checks were made."""
    stays = [gone.name for gone in result.one_gone if gone.stays]
    if not stays:
        return "with all anchors there only, as the piece does not stay without any of them"
    if len(stays) == len(result.one_gone):
        return "each with all anchors there and with each one gone"
    return f"each with all anchors there and without {', or without '.join(stays)}; without another it does not stay"


def named_checks(result: HangResult) -> list[tuple[str, Check]]:
    """Every check with the name of its rule, which is the same for every anchor."""
    return [(rule_of(load.name, check), check) for load in result.anchors for check in load.checks]


def rule_of(anchor: str, check: Check) -> str:
    """Name of the rule of a check, without its anchor, the anchor that is gone and the loads.

    >>> from pourwright.findings import Verdict
    >>> rule_of("A", Check("A: pull, without B, under gale", 1.0, 2.0, "N", Verdict.OK, ""))
    'pull'
    """
    return check.name.removeprefix(f"{anchor}: ").split(", without ", 1)[0].split(", under ", 1)[0]


def unchecked_lines(result: HangResult) -> list[str]:
    """What is not known, each kind once with the anchors that it is of."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for load in result.anchors:
        for check in load.checks:
            if check.verdict == "unknown":
                rule = rule_of(load.name, check)
                names = groups.setdefault((rule, check.source, check.remedy), [])
                names += [load.name] if load.name not in names else []
    return [
        f"NOT CHECKED: {rule} ({', '.join(names)}): {why}; {remedy}." for (rule, why, remedy), names in groups.items()
    ]


def worst_gone(result: HangResult) -> LoadCase | None:
    """The case with one anchor gone that uses most of a limit; the first possible one where no limit is known."""
    return _most([case for case in result.cases if case.gone and not case.impossible])


def worst_loaded(result: HangResult) -> list[LoadCase]:
    """Of every combination of loads beside the weight alone, the case that uses most of a limit."""
    under = dict.fromkeys(case.combination for case in result.cases if case.combination)
    found = [_most([c for c in result.cases if c.combination == name and not c.impossible]) for name in under]
    return [case for case in found if case is not None]


def _most(cases: list[LoadCase]) -> LoadCase | None:
    return max(cases, key=lambda case: -1.0 if math.isnan(case.utilisation) else case.utilisation, default=None)


def nothing_n(case: LoadCase) -> float:
    """Below this a component of a force is printed as nothing [N]."""
    return NOTHING * float(np.linalg.norm(case.forces[0].force_n))
