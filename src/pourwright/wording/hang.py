"""What a hanging piece is said to hold, and which case governs."""

from __future__ import annotations

import math

import numpy as np

from pourwright import units
from pourwright.lifts import Check
from pourwright.outcome import HangResult, LoadCase, refusals

NOTHING = 5e-4
"""A component below this share of the weight is printed as nothing."""
OUTSIDE = (
    "NOT CHECKED: the wall and the anchor in it (see the anchor's approval and the building code); wind, weather, "
    "earthquake, people who climb or pull."
)


def verdict_lines(result: HangResult) -> tuple[str, ...]:
    """What was found, what was checked and what was not. Nothing that was not checked is called held."""
    known = [rule for rule, check in named_checks(result) if check.verdict != "unknown"]
    refused = refusals(result)
    lines = []
    if refused:
        lines.append(f"REFUSED, over a limit or out of balance: {'; '.join(refused)}.")
    elif known:
        lines.append(
            "Within every limit that was checked, with all anchors there and with any one of them gone; what was not "
            "checked stands below."
        )
    else:
        lines.append("The piece stays in balance, with all anchors there and with any one of them gone.")
    if not known:
        lines.append("Only balance was tested. NOTHING WAS HELD AGAINST A LIMIT.")
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
    return [
        (check.name.removeprefix(f"{load.name}: ").split(", without ", 1)[0], check)
        for load in result.anchors
        for check in load.checks
    ]


def unchecked_lines(result: HangResult) -> list[str]:
    """What is not known, each kind once with the anchors that it is of."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for load in result.anchors:
        for check in load.checks:
            if check.verdict == "unknown":
                rule = check.name.removeprefix(f"{load.name}: ")
                groups.setdefault((rule, check.source, check.remedy), []).append(load.name)
    return [
        f"NOT CHECKED: {rule} ({', '.join(names)}): {why}; {remedy}." for (rule, why, remedy), names in groups.items()
    ]


def worst_gone(result: HangResult) -> LoadCase | None:
    """The case with one anchor gone that uses most of a limit; the first possible one where no limit is known."""
    cases = [case for case in result.cases if case.gone and not case.impossible]
    return max(cases, key=lambda case: -1.0 if math.isnan(case.utilisation) else case.utilisation, default=None)


def nothing_n(case: LoadCase) -> float:
    """Below this a component of a force is printed as nothing [N]."""
    return NOTHING * float(np.linalg.norm(case.forces[0].force_n))
