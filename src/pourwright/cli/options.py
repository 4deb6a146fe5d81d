"""Options that several commands share, and how they become overrides of the job."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Sequence
from dataclasses import MISSING, Field, dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.plan import Job

Unit = Annotated[
    str | None,
    typer.Option("--unit", help="Unit of the shell file's numbers: mm, cm, in, ft or m.", show_default=False),
]
Kind = Annotated[
    str | None,
    typer.Option("--kind", help="What the mesh shows: outside, both-faces or open.", show_default=False),
]
Wall = Annotated[
    str | None, typer.Option("--wall", help='Wall thickness with its unit, like "5 mm".', show_default=False)
]
Foam = Annotated[
    str | None, typer.Option("--foam", help="Foam grade; pourwright grades lists them.", show_default=False)
]
Material = Annotated[
    str | None,
    typer.Option("--material", help="Skin material; pourwright materials lists them.", show_default=False),
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set", metavar="KEY=VALUE", help="Any other key of a job file; may be given again.", show_default=False
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")]
Debug = Annotated[bool, typer.Option("--debug", help="Show where in the program an internal error happened.")]


@dataclass(frozen=True)
class PieceOptions:
    """What every command takes that reads a job file, or a shell file with what is said beside it."""

    piece: Annotated[Path, typer.Argument(metavar="JOB.toml|SHELL", help="A job file, or a shell file.")]
    unit: Unit = None
    wall: Wall = None
    foam: Foam = None
    material: Material = None
    kind: Kind = None
    settings: Settings = None

    def overrides(self) -> dict[str, object]:
        """Keys of the job that were given."""
        named = {
            "piece.unit": self.unit,
            "piece.kind": self.kind,
            "piece.material": self.material,
            "wall.thickness": self.wall,
            "foam.grade": self.foam,
        }
        return overrides_of(named, self.settings or [])


def job_of(piece: Path, overrides: dict[str, object]) -> Job:
    """The job in a job file, or for a shell file."""
    from pourwright.intake import job_from_shell, read_job

    return (read_job if piece.suffix.lower() == ".toml" else job_from_shell)(piece, overrides)


def overrides_of(named: dict[str, str | None], settings: Sequence[str]) -> dict[str, object]:
    """Dotted keys and values from options with a name and from ``--set KEY=VALUE``.

    >>> overrides_of({"piece.unit": "m", "foam.grade": None}, ["shop.hands=2"])
    {'piece.unit': 'm', 'shop.hands': 2}
    """
    from pourwright.intake import parse_value

    out: dict[str, object] = {key: value for key, value in named.items() if value is not None}
    for setting in settings:
        key, sign, value = setting.partition("=")
        if not sign or not key.strip():
            raise UsageError(f'--set {setting!r}: write KEY=VALUE, like --set "wall.thickness=6 mm"')
        out[key.strip()] = parse_value(value.strip())
    return out


def command_of(run: Callable[..., int]) -> Callable[..., int]:
    """A function of many options, as the command line wants it, of one that takes their frozen record.

    The record is the type of ``run``'s only parameter, ``options``: a dataclass, each field an argument or option.
    A function that takes them one by one is given back as it is.
    """
    asked = inspect.signature(run).parameters.get("options")
    if asked is None:
        return run
    kind = getattr(sys.modules[run.__module__], asked.annotation)
    hints = get_type_hints(kind, include_extras=True)

    def command(**options: Any) -> int:
        return run(kind(**options))

    def parameter(of: Field[Any]) -> inspect.Parameter:
        default = inspect.Parameter.empty if of.default is MISSING else of.default
        return inspect.Parameter(of.name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=hints[of.name])

    command.__doc__, command.__name__, command.__module__ = run.__doc__, run.__name__, run.__module__
    command.__signature__ = inspect.Signature([parameter(of) for of in fields(kind)])  # type: ignore[attr-defined]
    command.__annotations__ = {of.name: hints[of.name] for of in fields(kind)}
    return command
