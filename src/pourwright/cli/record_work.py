"""The sheet that is on the bench while something is recorded, and what an entry has to pass."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pourwright.cli.options import job_of
from pourwright.errors import UsageError
from pourwright.plainfile import read_file

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.plan import Job
    from pourwright.record import Doubt, SheetPour


@dataclass(frozen=True)
class Work:
    """The sheet that is on the bench, and what it was made from."""

    folder: Path
    document: PlanDocument
    job: Job
    request: dict[str, object]
    sheet: Sequence[SheetPour]


def work_of(folder: Path, document: PlanDocument, job: Path | None) -> Work:
    """The sheet in a folder, with the job it was made from and the cups that were tried since."""
    from pourwright.cli.plan import request_of
    from pourwright.cli.record_cup import with_cups
    from pourwright.cli.sheet_pours import sheet_pours
    from pourwright.record import read_record

    piece, settings = _asked(folder, job)
    asked = with_cups(job_of(piece, settings), read_record(folder))
    return Work(folder, document, asked, request_of(piece, settings, folder), sheet_pours(document))


def issue_number(document: PlanDocument) -> int:
    """Number of the sheet that a plan is."""
    said = document.provenance.get("issue", "1")
    return int(said) if said.isdigit() else 1


def insisted(doubts: Sequence[Doubt], *, yes: bool) -> tuple[str, ...]:
    """What speaks against an entry, in both systems of units, where it is insisted on; refused otherwise."""
    from pourwright import units

    said = tuple(units.in_both(doubt.words) for doubt in doubts)
    if any(doubt.firm for doubt in doubts):
        raise UsageError("; ".join([*said, "put it right; nothing was recorded"]))
    if doubts and not yes:
        raise UsageError("; ".join([*said, "put it right, or give --yes to insist; nothing was recorded"]))
    return said


def _asked(folder: Path, job: Path | None) -> tuple[Path, dict[str, object]]:
    """The job file or shell of the plan, and what was set besides."""
    try:
        request = json.loads(read_file(folder / "request.json"))
        piece, settings = folder / str(request["piece"]), dict(request["settings"])
    except (OSError, ValueError, KeyError, TypeError):
        if job is None:
            raise UsageError("this plan does not say which job file it was made from: give --job FILE") from None
        piece, settings = job, {}
    if job is not None:
        return job, settings
    if not piece.is_file():
        raise UsageError(f"{piece} is no longer there: give --job FILE")
    return piece, settings
