"""Findings become sentences: a function for each code, of its subject and its values."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from pourwright import units
from pourwright.findings import Code, Finding
from pourwright.shell import MESH_SENTENCES
from pourwright.wording import findings_of_answers, findings_of_pours, findings_of_the_piece

SENTENCES: dict[Code, Callable[..., str]] = {
    **MESH_SENTENCES,
    **findings_of_pours.SENTENCES,
    **findings_of_the_piece.SENTENCES,
    **findings_of_answers.SENTENCES,
}
"""Each code with what makes its sentence."""
OF_POURS = (
    Code.OVER_LIMIT,
    Code.HEATS_AFTER_SETTING,
    Code.POCKET_MAY_CLOSE,
    Code.PANEL_UNKNOWN,
    Code.BULGES,
    Code.SKIN_UNKNOWN,
    Code.SKIN_HEATS_AFTER_SETTING,
)
"""Findings whose subject is any number of pours: the same of one more pour is one sentence."""


def sentence(found: Finding) -> str:
    """One finding as an engineer would say it, in SI units.

    Raises
    ------
    KeyError
        For a code without a sentence: a fault of the program.

    >>> from pourwright.findings import finding
    >>> sentence(finding(Code.THIN_LIFT, "2", "4"))
    'Lift 2 and 4: much thinner than a neighbour, and the limits leave no other way.'
    """
    return SENTENCES[found.code](found.subject, **dict(found.values))


def sentences(found: Iterable[Finding]) -> tuple[str, ...]:
    """Each finding in both unit systems, those that read the same once."""
    return tuple(dict.fromkeys(units.in_both(sentence(one)) for one in found))


def gathered(found: Iterable[Finding]) -> list[Finding]:
    """The same found of several pours, once, where its sentence is of pours alone.

    >>> from pourwright.findings import finding
    >>> [one.subject for one in gathered([finding(Code.SKIN_UNKNOWN, name, words="") for name in ("1a", "1b")])]
    [('1a', '1b')]
    """
    alike: dict[object, Finding] = {}
    for one in found:
        key = (one.code, repr(one.values)) if one.code in OF_POURS else one
        before = alike.get(key)
        alike[key] = one if before is None else replace(one, subject=(*before.subject, *one.subject))
    return list(alike.values())
