"""Options that several commands share, and how they become overrides of the job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from pourwright.errors import UsageError

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
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set", metavar="KEY=VALUE", help="Any other key of a job file; may be given again.", show_default=False
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")]
Debug = Annotated[bool, typer.Option("--debug", help="Show where in the program an internal error happened.")]


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
