"""The ``pourwright`` command: its subcommands, and how an error reaches the person."""

from __future__ import annotations

import sys
import traceback
from typing import Annotated

import typer

import pourwright
from pourwright import units
from pourwright.cli import (
    afloat,
    check,
    compare,
    cup,
    grades,
    hang,
    materials,
    move,
    plan,
    record,
    sling,
    stand,
    stiffness,
    turn,
    warm,
    ways,
    weights,
)
from pourwright.cli.interrupts import BROKEN_OFF, INTERRUPTS
from pourwright.cli.options import command_of
from pourwright.cli.screen import guarded_output, say, to_nobody
from pourwright.errors import PourwrightError

# Newer versions of typer carry click inside, older ones import it: its two roots are found through typer either way.
_ROOTS = {kind.__name__: kind for kind in typer.BadParameter.__mro__}
_ClickError, _UsageProblem = _ROOTS["ClickException"], _ROOTS["UsageError"]

app = typer.Typer(
    name="pourwright",
    invoke_without_command=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=(
        "Plan the staged backfill of a hollow shell with two-part pour-in-place foam. "
        "Exit codes: 0 planned, or answered; 1 refused by a limit or a bad shell; 2 bad usage; "
        "3 nothing is over a limit, but not all is known."
    ),
)
for module in (
    plan,
    record,
    compare,
    check,
    turn,
    ways,
    cup,
    grades,
    materials,
    weights,
    hang,
    sling,
    stand,
    move,
    afloat,
    stiffness,
    warm,
):
    app.command(module.NAME)(command_of(module.run))


def _version(asked: bool) -> None:
    if asked:
        print(f"pourwright {pourwright.__version__}")
        raise typer.Exit


@app.callback()
def _shared(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Options before the command; alone, the help is shown, which is bad usage."""
    if context.invoked_subcommand is None:
        print(context.get_help())
        raise typer.Exit(2)


def run(arguments: list[str]) -> int:
    """Do what the arguments ask; returns the exit code. `KeyboardInterrupt` is for who calls."""
    try:
        with guarded_output():
            return _run(arguments)
    except PourwrightError as error:
        return _say(units.in_both(str(error)), error.exit_code)
    except (typer.Abort, KeyboardInterrupt):
        raise KeyboardInterrupt from None
    except MemoryError:
        return _say("there is not enough memory: give a larger grid.cell or a smaller grid.memory", 1)
    except Exception as error:
        if isinstance(error, _ClickError):
            hint = "; pourwright --help shows what is on offer" if isinstance(error, _UsageProblem) else ""
            return _say(f"{error.format_message().rstrip('.')}{hint}", 2)  # type: ignore[attr-defined]
        INTERRUPTS.check()
        if "--debug" in arguments:
            traceback.print_exc()
        return _say(
            f"something is wrong in pourwright itself ({type(error).__name__}: {error}): run the same command with "
            "--debug and report what it prints, together with the job file",
            1,
        )


def _run(arguments: list[str]) -> int:
    try:
        code = app(args=arguments, prog_name="pourwright", standalone_mode=False)
        sys.stdout.flush()  # here, where a reader that has gone can be caught
    except BrokenPipeError:  # the reader of a pipe has gone
        to_nobody()
        return 0
    except SystemExit as left:  # the same, seen by typer
        if isinstance(left.__context__, BrokenPipeError):
            return 0
        raise
    if code == BROKEN_OFF:  # what typer makes of Ctrl-C
        raise KeyboardInterrupt
    return code if isinstance(code, int) else 0


def _say(words: str, code: int) -> int:
    say(words)
    return code
