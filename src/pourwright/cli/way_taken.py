"""One row of ``ways.json`` as what a plan is asked for."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from pourwright.errors import UsageError
from pourwright.plainfile import read_file

MOST_BYTES = 5_000_000
"""No ``ways.json`` is larger."""


def way_taken(text: str) -> tuple[dict[str, Any], str]:
    """The ``[fill]`` table of ``DIR:NUMBER``, and the digest of the shell it is for.

    Raises
    ------
    UsageError
        It names no row that ``pourwright ways`` wrote.
    """
    place, _, number = text.rpartition(":")
    if not place or not number.isdecimal() or len(number) > 4:
        raise UsageError(
            f"--way {text}: give the folder of pourwright ways --out and the number of a row, like ways/ram:9"
        )
    file = Path(place) / "ways.json" if not place.endswith(".json") else Path(place)
    try:
        data = read_file(file)
    except OSError:
        raise UsageError(
            f"--way {text}: there is no ways.json; write it with pourwright ways JOB --out {place}"
        ) from None
    try:
        tree = json.loads(data) if len(data) <= MOST_BYTES else {}
        rows = {int(way["number"]): way["fill"] for way in tree["ways"]}
        digest = str(tree["shell_sha256"])
    except (ValueError, TypeError, KeyError, RecursionError):
        raise UsageError(f"{file} is not as this version of pourwright ways writes it: write it again") from None
    if int(number) not in rows:
        raise UsageError(f"--way {text}: the rows there are 1 to {len(rows)}")
    return dict(rows[int(number)]), digest


def of_this_shell(text: str, digest: str, shell: Path) -> None:
    """Refuse a row that was found for another shell: its limbs are not those of this one."""
    if hashlib.sha256(read_file(shell)).hexdigest() != digest:
        raise UsageError(f"--way {text}: it was found for another shell file than {shell.name}; compare the ways again")
