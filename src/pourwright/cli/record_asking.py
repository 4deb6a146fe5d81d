"""``pourwright record PLAN`` with nothing more: the questions of each pour, with the sheet's own answers."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pourwright.cli.record_said import amount, entry_said, pours_of, quantity, said_of, to_weigh_kg
from pourwright.errors import UsageError
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plaintext import shown_line
from pourwright.wording.rim import rim_of

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.document.model_lifts import PourDoc

YES, NO = ("y", "yes"), ("n", "no")
_BARE = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
Given = dict[str, Any]
Record = Callable[[str, Given, bool], None]
"""Keeps the entry of a pour; raises `UsageError` with what speaks against it unless it is insisted on."""


class NobodyAnswersError(Exception):
    """Standard input ended before the first answer."""


class Asker:
    """Questions on standard output, answers from standard input."""

    def __init__(self) -> None:
        self.asked = 0

    def line(self, words: str) -> str:
        """One answer as it was typed, without blanks round it."""
        sys.stdout.write(f"{shown_line(words)} ")
        sys.stdout.flush()
        try:
            text = sys.stdin.readline() if sys.stdin is not None else ""
        except OSError:
            text = ""
        if not text:
            sys.stdout.write("\n")
            if not self.asked:
                raise NobodyAnswersError
            raise UsageError("the answers ended in the middle of a pour: what was not finished is not recorded")
        self.asked += 1
        return text.strip()

    def yes(self, words: str, usual: bool) -> bool:
        """Yes or no."""
        while True:
            answer = self.line(f"{words} [{'yes' if usual else 'no'}]").lower()
            if not answer:
                return usual
            if answer in YES or answer in NO:
                return answer in YES
            self.tell("Answer yes or no, or press Enter.")

    def text(self, words: str, default: str, check: Callable[[str], object], unit: str = "") -> str | None:
        """An answer that ``check`` takes, a bare number in ``unit``; None for Enter. Asks until it is one."""
        while True:
            answer = self.line(f"{words} [{default}]")
            if not answer:
                return None
            if unit and _BARE.fullmatch(answer):
                answer = f"{answer.replace(',', '.')} {unit}"
            try:
                check(answer)
            except UsageError as error:
                self.tell(str(error).removeprefix("--"))
                continue
            return answer

    @staticmethod
    def tell(words: str) -> None:
        """One line to read."""
        print(shown_line(words), flush=True)


def left_to_pour(document: PlanDocument) -> list[str]:
    """Names of the pours that are not recorded yet, from the lowest lift up."""
    return [pour.name for pour in pours_of(document).values() if not pour.poured]


def walk(document: PlanDocument, record: Record, ask: Asker) -> list[str]:
    """Ask for one pour after another until somebody says that it is enough; names of those recorded.

    Raises
    ------
    NobodyAnswersError
        Nobody answered the first question.
    UsageError
        The answers ended early.
    """
    left, done = left_to_pour(document), list[str]()
    while left:
        name = _which(ask, left)
        _one(document, name, record, ask)
        done.append(name)
        left.remove(name)
        if left and not ask.yes("Recorded. Is another pour in already?", False):
            break
    return done


def _which(ask: Asker, left: list[str]) -> str:
    def known(name: str) -> None:
        if name not in left:
            raise UsageError(f"still to be poured: {', '.join(left)}")

    return ask.text("Which pour? Enter takes the one in brackets.", left[0], known) or left[0]


def _one(document: PlanDocument, name: str, record: Record, ask: Asker) -> None:
    """The questions of one pour, again where what was typed is refused."""
    pour = pours_of(document)[name]
    until_kept(
        lambda: _answers(document, pour, ask),
        lambda given, insist: record(name, entry_said(document, name, given), insist),
        ask,
    )


def until_kept(answers: Callable[[], Given], keep: Callable[[Given, bool], None], ask: Asker) -> None:
    """Ask until the answers are kept: as they are, or insisted on; from the beginning where they are refused."""
    while True:
        given = answers()
        try:
            keep(given, False)
            return
        except UsageError as error:
            ask.tell(f"NOT recorded: {reason_of(error)}.")
        if not ask.yes("Is that really so? No asks again.", False):
            continue
        try:
            keep(given, True)
            return
        except UsageError as error:
            ask.tell(f"NOT recorded: {reason_of(error)}. From the beginning:")


def reason_of(error: UsageError) -> str:
    """What speaks against it, without the options that are for the command line."""
    said = [part for part in str(error).split("; ") if "--yes" not in part and "nothing was recorded" not in part]
    return "; ".join(part for part in said if part != "put it right") or str(error)


def _answers(document: PlanDocument, pour: PourDoc, ask: Asker) -> dict[str, Any]:
    return said_of(
        **_weighed(document, pour, ask),
        **_ended(document, pour, ask),
        **_warmth(document, pour, ask),
        at=ask.text("When did its first mix begin, by the clock?", "not noted", str) or None,
        note=ask.text("Anything else?", "nothing", str) or None,
    )


def _weighed(document: PlanDocument, pour: PourDoc, ask: Asker) -> Given:
    every = "" if pour.batches == 1 else f", all {pour.batches} batches together"
    every = f", in the one cup of {', '.join(pour.one_cup)}" if pour.one_cup else every
    return weighed_answers(document, to_weigh_kg(document, pour), every, ask)


def weighed_answers(document: PlanDocument, planned_kg: tuple[float, float], every: str, ask: Asker) -> Given:
    """Weights of both parts; Enter twice is what the sheet has. ``every`` says of which cups."""
    from pourwright import units

    values, typed = document.foam.values, []
    for side, part, kg in zip((document.foam.part_a, document.foam.part_b), "ab", planned_kg, strict=True):
        unit, density = "kg" if kg >= 1.0 else "g", values[f"part_{part}_density_kg_m3"].value

        def weighs(text: str, density: float | None = density) -> float:
            return amount("--weight", text, density)

        typed.append(ask.text(f"{side} weighed{every}, in {unit}?", units.mass(kg), weighs, unit))
    if typed == [None, None]:
        return {"as_planned": True}
    a, b = (text or f"{kg:.9g} kg" for text, kg in zip(typed, planned_kg, strict=True))
    return {"part_a": a, "part_b": b}


def _ended(document: PlanDocument, pour: PourDoc, ask: Asker) -> dict[str, Any]:
    """How high it came: down from the rim as the sheet has it, or up from the base."""
    from pourwright import units

    if pour.closes and ask.yes("Is it full: did foam come out of the vents?", True):
        return {"full": True}
    rim = rim_of(pour, document)
    option = "reached" if rim is None else "dip"

    def fits(text: str) -> float | None:
        given = said_of(as_planned=True, **{option: text})
        return quantity("--height", text, units.LENGTH) and entry_said(document, pour.name, given)["reached_m"]

    where = "above the base" if rim is None else f"below the rim of {rim.name}"
    planned = pour.top_m if rim is None else rim.height_m - pour.top_m
    while True:
        default = f"{units.tape(planned)} planned; Enter: not measured, taken as planned"
        typed = ask.text(f"How far {where} does the foam end, in mm?", default, fits, "mm")
        if typed is not None:
            return {option: typed}
        if not pour.closes:
            return {"full": True}
        ask.tell("It is not full: measure how high it came.")


def _warmth(document: PlanDocument, pour: PourDoc, ask: Asker) -> Given:
    """Temperatures of liquids, air and skin; readings of the foam's own."""
    given = shop_answers(document, lambda name: _tried(document, pour, name), ask)
    top = None
    if not pour.closes and rim_of(pour, document) is not None:  # else nobody sees its surface
        words = "Hottest reading of its surface, in °C?"
        top = ask.text(words, "not measured", _tried(document, pour, "infrared"), "degC")
    probe = ask.text("Hottest reading of its probe, in °C?", "no probe", _tried(document, pour, "probe"), "degC")
    return {**given, "infrared": top, "probe": probe}


def shop_answers(document: PlanDocument, tried: Callable[[str], Callable[[str], object]], ask: Asker) -> Given:
    """Temperatures of liquids, air and skin where they are not as planned; ``tried`` gives the check of each."""
    from pourwright import units

    foam = document.foam
    day = {"parts": foam.parts_c, "air": foam.air_c, "skin": foam.skin_c}
    said = {name: units.temperature(value + ZERO_CELSIUS_K) for name, value in day.items()}
    if ask.yes(f"Liquids {said['parts']}, air {said['air']}, skin {said['skin']}, as planned?", True):
        return {}
    return {
        name: ask.text(f"{what}, in °C?", said[name], tried(name), "degC")
        for name, what in (("parts", "Liquids"), ("air", "Air"), ("skin", "Skin"))
    }


def _tried(document: PlanDocument, pour: PourDoc, name: str) -> Callable[[str], object]:
    def tried(text: str) -> object:
        return entry_said(document, pour.name, said_of(as_planned=True, full=True, **{name: text}))

    return tried
