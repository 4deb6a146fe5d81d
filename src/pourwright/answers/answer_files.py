"""Files of the installer's answers in a plan's folder, and the same answer as JSON."""

from __future__ import annotations

import dataclasses
import io
import json
import math
from collections.abc import Callable
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pourwright.answers.page import Page, page_markdown
from pourwright.document.ledger import strange, strange_words, write_own
from pourwright.document.replacement import alone, unfinished
from pourwright.document.rounding import rounded
from pourwright.errors import FileError
from pourwright.findings import Finding
from pourwright.plainfile import read_file
from pourwright.plaintext import escaped_json
from pourwright.wording.checks import ESTIMATE
from pourwright.wording.findings import sentence

if TYPE_CHECKING:
    from PIL import Image

    from pourwright.structure import StiffnessResult

SCHEMA = "pourwright.{}/1"


def result_json(name: str, result: Any, page: Page, refused: tuple[str, ...], unknown: tuple[str, ...] = ()) -> str:
    """An answer as JSON: every field of the result by its name, SI; NaN and infinity as null.

    Parameters
    ----------
    name : str
        Of the question: weights, hang, sling, stand or float.
    result : dataclass
    page : Page
        Whose piece, title and warnings go with it.
    refused : tuple of str
        What is over a limit or out of balance.
    unknown : tuple of str
        What could not be checked against a limit: never to be taken as safe.
    """
    tree: dict[str, Any] = {
        "schema": SCHEMA.format(name),
        "piece": page.name,
        "place": page.place,
        "estimate": ESTIMATE,
        "made_from": page.made_from,
        "refused": list(refused),
        "not_known": list(unknown),
        **(_hung(result) if name == "hang" else {}),
        "result": plain(result),
    }
    return escaped_json(json.dumps(rounded(tree), indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def _hung(result: Any) -> dict[str, Any]:
    """Of a hanging piece once more at the top: its anchors, and the cases that can be, each in balance."""
    return {
        "anchors": plain(result.anchors),
        "cases": plain([case for case in result.cases if not case.impossible]),
        "governing": result.governing,
        "utilisation": plain(result.utilisation),
    }


def plain(value: Any) -> Any:
    """Dataclasses, arrays and outlines as plain values."""
    if isinstance(value, Finding):
        return sentence(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, (list, tuple)):
        return [plain(part) for part in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (float, np.floating)):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, np.integer):
        return int(value)
    if value is None or isinstance(value, (str, int)):
        return value
    from shapely import Geometry, get_coordinates  # slow to load

    return plain(get_coordinates(value)) if isinstance(value, Geometry) else value


def write_answer(
    folder: Path, name: str, page: Page, draw: Callable[[], Image.Image] | None = None
) -> tuple[Path, ...]:
    """Write ``NAME.md`` and, where there is something to draw, ``NAME.png`` into a plan's folder.

    Raises
    ------
    FileError
        The folder cannot be written, is between two plans, or holds a file of that name that is not as this program
        wrote it. Each file appears whole or not at all.
    """
    files: dict[str, bytes] = {}
    if draw is not None:
        image, kept = draw(), io.BytesIO()
        image.save(kept, format="PNG", compress_level=6)
        files[f"{name}.png"] = kept.getvalue()
    files[f"{name}.md"] = page_markdown(page, list(files)).encode()
    return write_files(folder, files)


def add_gain(folder: Path, result: StiffnessResult) -> tuple[Path, ...]:
    """Add the gain in stiffness to the ``piece.html`` of a plan's folder, to be shown as a colour.

    Parameters
    ----------
    folder : Path
    result : StiffnessResult

    Returns
    -------
    tuple of Path
        The page; none where the plan has no page or nothing was pushed.

    Raises
    ------
    FileError
        The page cannot be read or written, or is not as this program wrote it. It is replaced whole or not at all.
    """
    from pourwright.draw.piece_fields import with_gain  # loads drawing libraries, which only this needs

    path = folder / "piece.html"
    if result.push is None or not path.is_file():
        return ()
    try:
        text = with_gain(read_file(path).decode(), result.push).encode()
    except ValueError:
        raise FileError(f"{path} is not as it was written: plan the piece again to see the gain in it.") from None
    except OSError as error:
        raise FileError(f"{path} cannot be read ({error.strerror or error}): change its rights.") from None
    return write_files(folder, {path.name: text})


def write_into(folder: Path, files: dict[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder of their own, which is made where it is not there; raises as `write_answer` does."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(f"{folder} cannot be made ({error.strerror or error}): name another folder.") from None
    return write_files(folder, files)


def write_files(folder: Path, files: dict[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder of a plan, and write them down as this program's; raises as `write_answer` does."""
    if unfinished(folder):
        raise FileError(f"{folder} is being changed to another plan: give the command again when that is finished.")
    try:
        with alone(folder):
            blocked = strange(folder, files)
            if blocked:
                raise FileError(strange_words(folder, blocked))
            write_own(folder, files)
    except OSError as error:
        raise FileError(f"{folder} cannot be written ({error.strerror or error}): change its rights.") from None
    return tuple(folder / name for name in files)
