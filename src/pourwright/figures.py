"""Figures in sentences: two that differ are never printed alike."""

from __future__ import annotations

from collections.abc import Callable

MOST_MORE = 6
"""Digits that are added at most."""


def apart(value: float, limit: float, shown: Callable[[float, int], str]) -> tuple[str, str]:
    """Both values as text, with as many more digits as it takes to tell them apart.

    Parameters
    ----------
    value, limit : float
        Any two values of one kind.
    shown : callable
        ``shown(value, more)``: text with ``more`` digits beyond the usual ones; a second system stands in brackets.

    Returns
    -------
    (str, str)
        Texts of ``value`` and ``limit``; alike where both are equal, or nearer than `MOST_MORE` digits tell.

    >>> apart(4.96, 5.0, lambda value, more: f"{value:.{1 + more}g} L")
    ('4.96 L', '5 L')
    """
    for more in range(MOST_MORE):
        texts = shown(value, more), shown(limit, more)
        if value == limit or all(a != b for a, b in zip(*(text.split(" (") for text in texts), strict=False)):
            break
    return texts
