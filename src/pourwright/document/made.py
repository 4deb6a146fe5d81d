"""What a question to a made plan needs of it, read back at once where the same plan was asked before."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pourwright.document.replacement import plan_file
from pourwright.document.surface_file import surface_there
from pourwright.kept import kept

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.outcome import Piece, Site, Surface


@dataclass(frozen=True)
class Source:
    """Which plan something is of."""

    file: str  # name of the shell file
    place: str  # where it lies from the plan's folder; empty where that is not known
    sha256: str  # of the shell file
    job_sha256: str
    program: str  # that made the plan


@dataclass(frozen=True, eq=False)
class MadePlan:
    """A planned piece, and which plan it is of."""

    piece: Piece
    source: Source


def source_of(document: PlanDocument) -> Source:
    """Which plan a document is."""
    shell, made = document.shell, document.provenance
    return Source(shell.file, shell.place, shell.sha256, made["job_sha256"], made["program"])


def read_made(path: Path, site: Site | None = None) -> MadePlan:
    """The piece of a plan, with the plan's own site or another one; raises as `read_plan_json` and `piece_of` do."""
    path, data = plan_file(path)
    found = _read(data, site)
    if found is None:
        from pourwright.document.read_json import read_plan_json

        return _made(read_plan_json(path), site)  # says what is wrong
    return found


@kept
def _read(data: bytes, site: Site | None) -> MadePlan | None:
    from pourwright.document.read_json import document_of  # the schema: slow to load

    document = document_of(data)
    return None if document is None else _made(document, site)


def _made(document: PlanDocument, site: Site | None) -> MadePlan:
    from pourwright.document.read_plan import piece_of

    return MadePlan(piece_of(document, site), source_of(document))


def surface_of_made(made: MadePlan, path: Path, folder: Path, shell: Path | None = None) -> Surface:
    """The outside face, as it was kept beside the plan; else read again from the shell file, see `read_plan.skin_of`.

    Parameters
    ----------
    made : MadePlan
    path : Path
        Where it was read from.
    folder : Path
        Of the plan.
    shell : Path, optional
        The shell file where it is now.
    """
    found = surface_there(folder, made.source.sha256, made.source.file, made.source.place, shell)
    if found is not None:
        return found
    from pourwright.document.read_json import read_plan_json
    from pourwright.document.read_plan import surface_of

    return surface_of(read_plan_json(path), folder, shell)
