"""How many digits of a number are written."""

from __future__ import annotations

from typing import Any

SIGNIFICANT_DIGITS = 10
"""Digits every number is rounded to, so that the last bits of a sum do not show."""


def rounded(tree: Any) -> Any:
    """Every number in a tree of dicts and lists to `SIGNIFICANT_DIGITS`; minus zero becomes zero.

    >>> rounded({"a": [0.1 + 0.2, -0.0], "b": 3})
    {'a': [0.3, 0.0], 'b': 3}
    """
    if isinstance(tree, dict):
        return {key: rounded(value) for key, value in tree.items()}
    if isinstance(tree, (list, tuple)):
        return [rounded(value) for value in tree]
    if isinstance(tree, float):
        return float(f"{tree:.{SIGNIFICANT_DIGITS}g}") + 0.0
    return tree
