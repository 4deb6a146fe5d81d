"""From what the models refuse to one sentence that names the key."""

from __future__ import annotations

import difflib
import re
import typing
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from pourwright.errors import JobError
from pourwright.plaintext import shown_line

_WORDS = {
    "model_type": "must be a table of keys",
    "model_attributes_type": "must be a table of keys",
    "dict_type": "must be a table of keys",
    "list_type": "must be a list in square brackets",
    "string_type": "must be text in quotes",
    "too_short": "needs at least one entry",
    "too_long": "has more entries than any job needs",
}


def job_error(error: ValidationError, model: type[BaseModel]) -> JobError:
    """The first problem as an error, with a count of the others.

    An unknown key comes first: most often it is the misspelt name of one that is then missing.
    """
    problems = sorted(error.errors(include_url=False), key=lambda p: p["type"] != "extra_forbidden")
    first = problems[0]
    key = dotted(first["loc"])
    given = None if first["type"] == "missing" else first["input"]
    allowed = _allowed(first, model)
    if len(problems) > 1:
        others = sorted({dotted(p["loc"]) for p in problems[1:]} - {key})
        if others:
            shown = ", ".join(others[:5]) + (" and more" if len(others) > 5 else "")
            allowed += f" (also to mend: {shown})"
    return JobError(key, given, allowed)


def dotted(loc: Iterable[int | str]) -> str:
    """The name of a key: tables by dots, entries of a list counted from 1.

    >>> dotted(("wall", "band", 0, "thickness"))
    'wall.band[1].thickness'
    """
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            clean = shown_line(part[:60])
            text += f".{clean}" if text else clean
    return text


def as_typed(error: JobError, tables: Mapping[str, Any]) -> JobError:
    """The same error with what stands in the job file under its key, not what was made of it.

    >>> str(as_typed(JobError("wall.thickness", 0.3, "too thick"), {"wall": {"thickness": "300 mm"}}))
    "wall.thickness = '300 mm': too thick"
    """
    at: Any = tables
    for part in re.findall(r"[^.\[\]]+", error.key):
        if isinstance(at, list) and part.isdigit() and int(part) <= len(at):
            at = at[int(part) - 1]
        elif isinstance(at, Mapping) and part in at:
            at = at[part]
        else:
            return error
    return error if at is None or isinstance(at, (Mapping, list)) else JobError(error.key, at, error.allowed)


def _allowed(problem: Any, model: type[BaseModel]) -> str:
    kind = problem["type"]
    if kind == "extra_forbidden":
        return _unknown(str(problem["loc"][-1]), table_at(model, problem["loc"][:-1]))
    if kind == "missing":
        if table_at(model, problem["loc"]) is not None:
            return f"give {_by_alias(model)[str(problem['loc'][-1])]}"
        table = table_at(model, problem["loc"][:-1])
        about = _by_alias(table).get(str(problem["loc"][-1]), "") if table else ""
        return f"give it ({about})" if about else "give it"
    if kind == "value_error":
        return str(problem["ctx"]["error"])
    return _WORDS.get(kind, str(problem["msg"]).lower())


def _unknown(name: str, table: type[BaseModel] | None) -> str:
    known = list(_by_alias(table)) if table else []
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
    hint = f"did you mean {near[0]!r}? " if near else ""
    return f"no such key; {hint}known here: {', '.join(known)}"


def _by_alias(table: type[BaseModel]) -> dict[str, str]:
    return {field.alias or name: field.description or "" for name, field in table.model_fields.items()}


def table_at(model: type[BaseModel], loc: Iterable[int | str]) -> type[BaseModel] | None:
    """The model of the table at ``loc``, None where there is none."""
    at: type[BaseModel] | None = model
    for part in loc:
        if isinstance(part, int):
            continue
        if at is None:
            return None
        names = {field.alias or name: field.annotation for name, field in at.model_fields.items()}
        at = table_in(names.get(part))
    return at


def table_in(annotation: Any) -> type[BaseModel] | None:
    """The model inside an annotation such as ``list[BandTable]`` or ``SheetTable | None``."""
    if isinstance(annotation, type):
        return annotation if issubclass(annotation, BaseModel) else None
    for inside in typing.get_args(annotation):
        found = table_in(inside)
        if found is not None:
            return found
    return None


def assumed_in(table: BaseModel) -> list[str]:
    """What the table's keys that were left out are taken as, in words, in the order of the keys."""
    lines = []
    for name, field in type(table).model_fields.items():
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            lines += assumed_in(value)
        extra = field.json_schema_extra
        if name not in table.model_fields_set and isinstance(extra, Mapping) and extra.get("assumed"):
            lines.append(str(extra["assumed"]))
    return lines
