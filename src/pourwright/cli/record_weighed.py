"""``pourwright record --weighed``: the piece on a scale, and what that teaches of its wall and densities."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pourwright.cli.record_said import quantity, text_of
from pourwright.cli.screen import output
from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.outcome import Learnt, Piece, Weighing
    from pourwright.record import Record, ScaleCell, WeighedEntry

MOST_CELLS = 12
LINED_STAGES = {"empty": 0, "last coat": 1, "finished": -1}
"""Of a lining, as they are said."""
SHARE = 0.01
"""By which a scale is taken to be out where nothing is said, as a share of its reading: our judgement, no source."""


@dataclass(frozen=True)
class ScaleSaid:
    """What was typed about a weighing."""

    weighed: Sequence[str]
    when: str | None
    error: str | None
    tare: str | None
    at: str | None
    note: str | None


def scale_asked(said: ScaleSaid, strike: int | None, others: Sequence[str]) -> bool:
    """Whether the command is about a weighing; refused with ``others``, options that it would not heed."""
    if not said.weighed:
        options = {"--weighed-when": said.when, "--scale-error": said.error, "--tare": said.tare}
        alone = [name for name, value in options.items() if value is not None]
        if alone:
            raise UsageError(f"{', '.join(alone)}: give --weighed with it, what the scale shows")
    asked = bool(said.weighed) or strike is not None
    if asked and others:
        mine = "--weighed" if said.weighed else "--strike-weighing"
        raise UsageError(f"one at a time: {mine} stands by itself, without {', '.join(others)}; nothing was recorded")
    return asked


def weigh_in(
    folder: Path, document: PlanDocument, said: ScaleSaid, strike: int | None, *, yes: bool, quiet: bool, as_json: bool
) -> int:
    """Record a weighing or strike one, and say what all of them teach."""
    from pourwright.document.read_plan import piece_of
    from pourwright.record import add_weighing, read_record, strike_weighing, weighings_of

    piece = piece_of(document)
    if strike is not None:
        strike_weighing(folder, strike)
    if said.weighed:
        add_weighing(
            folder, document.shell.sha256, lambda number, record: _entry(number, record, piece, document, said, yes=yes)
        )
    record = read_record(folder)
    known, learnt = _known(piece, weighings_of(record))
    if as_json:
        print(json.dumps(_tree(record, learnt), indent=1))
    elif not quiet:
        console = output()
        for line in _lines(record, piece, known, learnt):
            console.print(line, highlight=False, markup=False)
    return 0


def _known(piece: Piece, weighings: tuple[Weighing, ...]) -> tuple[Piece, Learnt | None]:
    from pourwright.outcome import weighed_piece

    return weighed_piece(piece, weighings)


def _lines(record: Record | None, piece: Piece, known: Piece, learnt: Learnt | None) -> list[str]:
    from pourwright import units
    from pourwright.wording.weighed import learnt_lines, stage_words

    lines = []
    for one in record.weighings if record is not None else ():
        kg = units.mass(sum(cell.kg for cell in one.cells) - one.tare_kg)
        marks = [word for word, on in (("struck", one.struck), ("insisted on", bool(one.insisted))) if on]
        parts = [f"{stage_words(one.stage, piece.lined)} {kg}", *marks, one.at, one.note]
        lines.append(f"Weighing {one.number}: {'; '.join(part for part in parts if part)}.")
    if learnt is None:
        return [*lines, "No weighing counts: the weights are as they were planned."]
    last = "weights, hang, sling, stand, move and float use this from now on; the sheet is as it was."
    return [*lines, *learnt_lines(learnt, piece, known), last]


def _tree(record: Record | None, learnt: Learnt | None) -> dict[str, Any]:
    from pourwright.answers.answer_files import plain

    kept = [] if record is None else [one.model_dump(mode="json") for one in record.weighings]
    return {"weighings": kept, "learnt": plain(learnt)}


def _entry(
    number: int, record: Record, piece: Piece, document: PlanDocument, said: ScaleSaid, *, yes: bool
) -> WeighedEntry:
    from pourwright import units
    from pourwright.outcome import weighed_piece
    from pourwright.record import WeighedEntry, weighings_of

    cells = tuple(_cell(text, piece) for text in said.weighed)
    if len(cells) > MOST_CELLS:
        raise UsageError(f"--weighed is given {len(cells)} times: at most {MOST_CELLS} scales at once")
    if len(cells) > 1 and any(cell.at_m is None for cell in cells) and any(cell.at_m is not None for cell in cells):
        raise UsageError("say of every scale where it is, or of none")
    whole = sum(cell.kg for cell in cells)
    tare = 0.0 if said.tare is None else quantity("--tare", said.tare, units.MASS)
    if not 0.0 <= tare < whole:
        raise UsageError(f"--tare {said.tare!r}: it must be less than what the scale shows, {units.mass(whole)}")
    share = SHARE * max(cell.kg for cell in cells)
    error = share if said.error is None else quantity("--scale-error", said.error, units.MASS)
    if not 0.0 < error < whole:
        raise UsageError(f"--scale-error {said.error!r}: it must be above nothing and below what the scale shows")
    entry = WeighedEntry(
        number=number,
        stage=_stage(document, record, said.when),
        cells=cells,
        error_kg=error,
        tare_kg=tare,
        at=text_of(said.at)[:100],
        note=text_of(said.note)[:500],
    )
    tried = record.model_copy(update={"weighings": (*record.weighings, entry)})
    _, learnt = weighed_piece(piece, weighings_of(tried))
    assert learnt is not None
    against = _against(learnt, piece.lined)
    if against and not yes:
        raise UsageError("; ".join([*against, "put it right, or give --yes to insist; nothing was recorded"]))
    return entry.model_copy(update={"insisted": tuple(against)})


def _against(learnt: Learnt, lined: bool) -> list[str]:
    """What speaks against the last weighing."""
    from pourwright import units
    from pourwright.wording.checks import mass_range
    from pourwright.wording.weighed import weighed_words

    one = learnt.weights[-1]
    if not one.fits:
        return [units.in_both(f"weighed {weighed_words(one, lined)}, where {mass_range(one.expected)} was expected")]
    if not learnt.even:
        aside = " and ".join(units.length(abs(value)) for value in learnt.shift_m)
        return [
            units.in_both(
                f"the scales put the middle of the skin {aside} (sideways and in depth) off: look where they stand"
            )
        ]
    return []


def _cell(text: str, piece: Piece) -> ScaleCell:
    """``46.2 kg``, or ``12.1 kg at 100 mm, 250 mm``: from the left and from the front."""
    from pourwright import units
    from pourwright.record import ScaleCell

    weight, sign, place = text.partition(" at ")
    kg = quantity("--weighed", weight.strip(), units.MASS)
    if kg < 0.0 or (kg == 0.0 and not sign):
        raise UsageError(f"--weighed {text!r}: a weight above nothing")
    if not sign:
        return ScaleCell(kg=kg)
    sides = [part.strip() for part in place.split(",")]
    if len(sides) != 2:
        raise UsageError(
            f'--weighed {text!r}: say where the scale is from the left and from the front, like "12.1 kg at 100 mm, '
            '250 mm"'
        )
    x, y = (quantity("--weighed", side, units.LENGTH) for side in sides)
    reach = 2.0 * float(max(piece.frame.size_m))
    if max(abs(x), abs(y)) > reach:
        raise UsageError(f"--weighed {text!r}: that is more than {units.length(reach)} away from the piece")
    return ScaleCell(kg=kg, at_m=(x, y))


def _stage(document: PlanDocument, record: Record, when: str | None) -> int:
    """0 empty, k after lift k, -1 finished: as it is said, else by what is recorded as poured."""
    if document.lined:
        return _lined_stage(document, record, when)
    lifts = [(lift.number, [pour.poured for pour in lift.pours]) for lift in document.lifts]
    if when is not None:
        return _said_stage([number for number, _ in lifts], when)
    begun = [number for number, poured in lifts if any(poured)]
    if not begun:
        return 0
    if any(not all(poured) for number, poured in lifts if number <= max(begun)):
        raise UsageError(
            f"lift {max(begun)} is not poured whole, and the piece is weighed between lifts: record its other pours "
            "first, or say when it was weighed with --weighed-when"
        )
    if max(begun) < max(number for number, _ in lifts):
        return max(begun)
    if any(item.finished for item in document.site.items):
        raise UsageError(
            f'everything is poured: say whether what is put on at the end was on it, with --weighed-when "finished" or '
            f'--weighed-when "lift {max(begun)}"'
        )
    return -1


def _lined_stage(document: PlanDocument, record: Record, when: str | None) -> int:
    """0 empty, 1 after the last coat, -1 finished; between its coats a lining is not weighed."""
    from pourwright.record import coats_counted

    if when is not None:
        word = when.strip().lower().removeprefix("after ").removeprefix("the ")
        if word in LINED_STAGES:
            return LINED_STAGES[word]
        raise UsageError(f'--weighed-when {when!r}: say "empty", "last coat" or "finished"')
    assert document.fill is not None
    done, due = set(coats_counted(record)), {coat.number for coat in document.fill.coats}
    due |= {0} if document.fill.solid else set()
    if not done:
        return 0
    if due - done:
        raise UsageError(
            "a lining is weighed empty or when its last coat is in, and not all of it is recorded: record the rest "
            "first, or say when it was weighed with --weighed-when"
        )
    if any(item.finished for item in document.site.items):
        raise UsageError(
            'all coats are in: say whether what is put on at the end was on it, with --weighed-when "finished" or '
            '--weighed-when "last coat"'
        )
    return -1


def _said_stage(numbers: list[int], when: str) -> int:
    word = when.strip().lower().removeprefix("after ").removeprefix("lift ")
    if word in ("empty", "finished"):
        return 0 if word == "empty" else -1
    if word.isdigit() and int(word) in numbers:
        return int(word)
    raise UsageError(
        f'--weighed-when {when!r}: say "empty", "finished", or "lift 1" to "lift {max(numbers, default=1)}"'
    )
