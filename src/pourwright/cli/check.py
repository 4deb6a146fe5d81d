"""``pourwright check``: what is this mesh, can it be planned, why not."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from pourwright.cli.codes import REFUSED
from pourwright.cli.options import Debug, Json, Kind, Unit
from pourwright.cli.screen import output
from pourwright.errors import UsageError

NAME = "check"


def run(
    shell: Annotated[Path, typer.Argument(metavar="SHELL", help="A shell file.")],
    unit: Unit = None,
    kind: Kind = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE.png", help="Draw the shell and the places found.")
    ] = None,
    memory: Annotated[
        str | None,
        typer.Option("--memory", help='Memory the mesh may take, like "4 GB"; 1.5 GB if left out.', show_default=False),
    ] = None,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Say what a shell file holds, whether it can be planned, and why not (exit code 1)."""
    from pourwright.report.lists import report_json, report_table
    from pourwright.sanitising import MEMORY_BYTES
    from pourwright.shell import SkinKind, shell_report

    kinds = [known.value for known in SkinKind]
    if kind is not None and kind not in kinds:
        raise UsageError(f"--kind {kind!r}: give one of {', '.join(kinds)}")
    memory_bytes = MEMORY_BYTES if memory is None else _memory(memory)
    report = shell_report(shell, unit, SkinKind(kind) if kind else None, memory_bytes)
    if picture is not None:
        from pourwright.draw.check import draw_check

        draw_check(report, shell, picture, memory_bytes)
    if as_json:
        sys.stdout.write(report_json(report))
    else:
        output().print(report_table(report), highlight=False, markup=False)
    return 0 if report.can_plan else REFUSED


def _memory(text: str) -> int:
    from pourwright import units

    try:
        return units.read_memory(text)
    except units.QuantityError as error:
        raise UsageError(f"--memory {text!r}: {error}") from None
