"""Reading the data files: TOML tables in which every number says where it comes from.

A number is written as its source prints it::

    free_rise_density = { value = 3.0, unit = "lb/ft3", standing = "practice", spread = 0.10, note = "hand mixed" }

``standing`` is one of ``published``, ``memory``, ``practice``, ``judgement``, ``data_sheet``, ``computed``. A published
number must name an entry of ``references.bib`` in ``source`` and say where in it (``locator``).
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from pourwright.sources.cited import Cited, Standing
from pourwright.sources.si import to_si

_KEYS = {"value", "unit", "standing", "source", "locator", "spread", "note"}


@dataclass(frozen=True, slots=True)
class Reference:
    """One entry of ``references.bib``."""

    key: str
    kind: str  # "article", "book", "techreport", "misc"
    fields: dict[str, str]

    @property
    def short(self) -> str:
        """Author or body and year, and the title's place: enough to find it on a shelf."""
        author = self.fields.get("author") or self.fields.get("organization", "")
        names = [name.split(",")[0].strip() for name in author.split(" and ")]
        who = names[0] if len(names) == 1 else f"{names[0]} & {names[1]}" if len(names) == 2 else f"{names[0]} et al."
        what = self.fields.get("journal") or self.fields.get("number") or self.fields.get("title", "")
        year = self.fields.get("year", "")
        return ", ".join(part for part in (who, what, year) if part)


@cache
def references() -> dict[str, Reference]:
    """Every publication the project leans on, by key."""
    text = (files("pourwright.sources") / "references.bib").read_text(encoding="utf-8")
    out: dict[str, Reference] = {}
    for entry in re.finditer(r"^@(\w+)\{(\S+),\n(.*?)^\}", text, re.MULTILINE | re.DOTALL):
        kind, key, body = entry.groups()
        fields = re.findall(r"^\s*(\w+)\s*=\s*\{(.*?)\},?\s*$", body, re.MULTILINE | re.DOTALL)
        if key in out:
            raise ValueError(f"references.bib holds {key} twice")
        out[key] = Reference(key, kind.lower(), {name.lower(): " ".join(value.split()) for name, value in fields})
    return out


def cited_from(table: dict[str, Any], where: str = "") -> Cited:
    """One number from its TOML table; ``where`` names it in error messages.

    Raises ``ValueError`` for an unknown key, unit, standing or reference, and for a published number without a
    source and a locator.
    """
    unknown = set(table) - _KEYS
    if unknown:
        raise ValueError(f"{where}: unknown {', '.join(sorted(unknown))}; allowed: {', '.join(sorted(_KEYS))}")
    try:
        standing = Standing[str(table["standing"]).upper()]
        value, unit = to_si(float(table["value"]), table["unit"])
    except KeyError as error:
        raise ValueError(f"{where}: {error} is missing or unknown") from None
    key, source = "", str(table.get("source", ""))
    if source in references():
        key, source = source, references()[source].short
    locator = str(table.get("locator", ""))
    if standing is Standing.PUBLISHED and not (key and locator):
        raise ValueError(f"{where}: a published number needs an entry of references.bib as source, and a locator")
    printed = "" if unit == table["unit"] else f"{table['value']:g} {table['unit']}"
    spread, note = float(table.get("spread", 0.0)), str(table.get("note", ""))
    return Cited(value, unit, standing, source, locator, spread, note, printed, key)


def read_table(file: Traversable) -> dict[str, Any]:
    """A data file with each table that has a ``value`` turned into a `Cited`; the rest as it stands."""
    return {k: _walk(v, f"{file.name}: {k}") for k, v in tomllib.loads(file.read_text(encoding="utf-8")).items()}


def _walk(thing: Any, where: str) -> Any:
    if isinstance(thing, dict):
        if "value" in thing:
            return cited_from(thing, where)
        return {key: _walk(value, f"{where}.{key}") for key, value in thing.items()}
    return thing
