"""Compiled walk over rows of lists, of which no row says where the next one begins.

Two passes: the first only counts, so that what the second fills can be refused before there is memory for it. Rows that
are no polygon (fewer than three corners) take no memory at all.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from pourwright.compiled import njit


class Rows(NamedTuple):
    """How the rows of an element lie in bytes, property by property."""

    item: np.ndarray  # (k,) bytes of an entry
    counts: np.ndarray  # (k,) bytes of a list's count; 0: no list
    signed: np.ndarray  # (k, 2) whether count and entries are signed, 1 or 0
    wanted: int  # the list of corners; -1: none, rows are only passed over
    big: bool  # most significant byte first


@njit(cache=True)
def _whole(body: np.ndarray, at: int, size: int, signed: int, big: bool) -> int:
    value = 0
    for i in range(size):
        value = (value << 8) | int(body[at + (i if big else size - 1 - i)])
    if signed == 1 and size < 8 and value >= 1 << (8 * size - 1):
        value -= 1 << (8 * size)
    return value


@njit(cache=True)
def walk_bytes(
    body: np.ndarray, at: int, rows: int, layout: Rows, corners: np.ndarray, sizes: np.ndarray
) -> tuple[int, int, int, int]:
    """Where ``rows`` rows that begin at ``at`` end (-1: beyond the body), polygons, their corners, the longest list.

    ``corners`` and ``sizes`` are filled where they are not empty.
    """
    item, counts, signed, wanted, big = layout
    polygons = total = longest = 0
    for _ in range(rows):
        for k in range(len(item)):
            count = 1
            if counts[k]:
                if at + counts[k] > len(body):
                    return -1, polygons, total, longest
                count = _whole(body, at, counts[k], signed[k, 0], big)
                at += counts[k]
            if count < 0 or count > len(body) or at + count * item[k] > len(body):
                return -1, polygons, total, longest
            if k == wanted and count >= 3:
                if len(sizes):
                    sizes[polygons] = count
                    for n in range(count):
                        corners[total + n] = _whole(body, at + n * item[k], item[k], signed[k, 1], big)
                polygons += 1
                total += count
                longest = max(longest, count)
            at += count * item[k]
    return at, polygons, total, longest


@njit(cache=True)
def walk_numbers(
    values: np.ndarray, at: int, rows: int, layout: Rows, corners: np.ndarray, sizes: np.ndarray
) -> tuple[int, int, int, int]:
    """The same for numbers of a text, one each for every count and entry."""
    _, counts, _, wanted, _ = layout
    polygons = total = longest = 0
    for _ in range(rows):
        for k in range(len(counts)):
            count = 1
            if counts[k]:
                if at >= len(values) or not 0 <= values[at] <= len(values):
                    return -1, polygons, total, longest
                count = int(values[at])
                at += 1
            if at + count > len(values):
                return -1, polygons, total, longest
            if k == wanted and count >= 3:
                if len(sizes):
                    sizes[polygons] = count
                    for n in range(count):
                        value = values[at + n]
                        corners[total + n] = int(value) if abs(value) < 2**31 else -1
                polygons += 1
                total += count
                longest = max(longest, count)
            at += count
    return at, polygons, total, longest
