"""Between the types of the piece's later life and their blocks in ``plan.json``, both ways."""

from __future__ import annotations

import dataclasses
import typing
from typing import Any

import numpy as np

from pourwright.document.model_site import PartDoc, SiteDoc
from pourwright.outcome import Part, Site
from pourwright.ranges import Range

if typing.TYPE_CHECKING:
    from pourwright.document.model_parts import RangeDoc


def site_block(site: Site) -> SiteDoc:
    """A ``Site`` as its block; the two have the same field names."""
    return SiteDoc.model_validate(dataclasses.asdict(site))


def site_from(block: SiteDoc) -> Site:
    """The ``Site`` a block was made from.

    >>> site_from(site_block(Site())) == Site()
    True
    """
    made: Site = _made(Site, block.model_dump())
    return made


def part_from(block: PartDoc) -> Part:
    """The ``Part`` a block was made from."""
    return Part(
        name=block.name,
        kind=block.kind,
        after_lift=block.after_lift,
        kg=range_from(block.kg),
        thin_kg=range_from(block.thin_kg),
        thick_kg=range_from(block.thick_kg),
        why=block.why,
        centre_m=np.array(block.centre_m),
        spread_m2=np.array(block.spread_m2),
    )


def range_from(block: RangeDoc) -> Range:
    """The range a block was made from; an unknown end is not a number."""
    nan = float("nan")
    low, nominal, high = (nan if value is None else value for value in (block.low, block.nominal, block.high))
    return Range(low, nominal, high)


def _made(kind: Any, value: Any) -> Any:
    """A dataclass from a tree of plain values, by its annotations."""
    inner = [k for k in typing.get_args(kind) if k is not type(None)]
    if value is None:
        return None
    if dataclasses.is_dataclass(kind):
        hints = typing.get_type_hints(kind)
        return kind(**{name: _made(hints[name], part) for name, part in value.items()})  # type: ignore[operator]
    if typing.get_origin(kind) is tuple and len(inner) == 2 and inner[1] is Ellipsis:
        return tuple(_made(inner[0], part) for part in value)
    if inner and dataclasses.is_dataclass(inner[0]):
        return _made(inner[0], value)
    return tuple(value) if isinstance(value, list) else value
