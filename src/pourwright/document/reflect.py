"""From a result to its block of ``plan.json``: key by key, as the block names them.

A block's key is filled with the result's field of the same name; ``peak_c`` from ``peak_k``. So a value that is new is
written in two places: where it is computed, as a field, and in the block, with its meaning.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Iterable
from typing import Any, TypeVar

import numpy as np

from pourwright.document.model_parts import Block, RangeDoc
from pourwright.document.values import known, range_block
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.ranges import Range

AnyBlock = TypeVar("AnyBlock", bound=Block)


def block_of(kind: type[AnyBlock], result: object, **given: Any) -> AnyBlock:
    """The block of a result.

    Parameters
    ----------
    kind : subclass of Block
    result : object
        With a field for each key of the block that is not ``given``: numbers, texts, ranges, points, arrays, other
        results, several of them. What is not finite becomes null where the block allows that.
    given
        Keys whose value is none of the result's fields as it stands.

    Raises
    ------
    AttributeError
        A key is neither a field nor given: a fault of the program.

    >>> from pourwright.document.model_parts import MeasuresDoc
    >>> from pourwright.lifts import Measures
    >>> block_of(MeasuresDoc, Measures(0.1, 0.2, 0.3), from_front_m=0.0).model_dump()
    {'from_base_m': 0.1, 'from_left_m': 0.2, 'from_front_m': 0.0}
    """
    filled = {
        name: _value(field.annotation, *_found(result, name))
        for name, field in kind.model_fields.items()
        if name not in given
    }
    return kind(**filled, **given)


def blocks_of(kind: type[AnyBlock], results: Iterable[object]) -> list[AnyBlock]:
    """The blocks of several results."""
    return [block_of(kind, result) for result in results]


def _found(result: object, name: str) -> tuple[Any, float]:
    """The field behind a key, and what is added to it."""
    if name.endswith("_c") and not hasattr(result, name):
        return getattr(result, f"{name[:-2]}_k"), -ZERO_CELSIUS_K
    return getattr(result, name), 0.0


def _value(annotation: Any, value: Any, offset: float = 0.0) -> Any:
    inner = [part for part in typing.get_args(annotation) if part is not type(None)]
    may_lack = len(inner) < len(typing.get_args(annotation))
    kind = inner[0] if may_lack and len(inner) == 1 else annotation
    if value is None:
        return None
    if isinstance(value, Range):
        return range_block(value, offset=offset) if kind is RangeDoc else value
    if isinstance(kind, type) and issubclass(kind, Block):
        return block_of(kind, value)
    if typing.get_origin(kind) is list:
        (each,) = typing.get_args(kind)
        return [_value(each, part) for part in value]
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, bool | str | int):
        return value
    if isinstance(value, float):
        return known(value + offset) if may_lack else value + offset
    return tuple(value) if isinstance(value, list | tuple) else value


def fields_without_a_key(kind: type[Block], result: type) -> set[str]:
    """Fields of a result that its block does not hold."""
    keys = set(kind.model_fields)
    return {f.name for f in dataclasses.fields(result) if f.name not in keys and f"{f.name[:-2]}_c" not in keys}
