"""Points and triangles as the plainest file a reader can be given: a binary PLY."""

from __future__ import annotations

import itertools
import re
import warnings
from collections.abc import Iterator

import numpy as np

from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Expect, Sanitised, cut_short

DIGITS = 60
"""Digits a number may have on either side of its point. No exporter writes more than 20, and a bound keeps a search
from trying every way to cut a number of 200,000 digits in two."""
NUMBER = (
    rf"(?:[-+]?(?:\d{{1,{DIGITS}}}(?:\.\d{{0,{DIGITS}}})?|\.\d{{1,{DIGITS}}})(?:[eE][-+]?\d{{1,9}})?"
    r"|[-+]?(?:nan|inf)(?:inity)?)"
)
BLOCK_BYTES = 8_000_000
"""Text is searched so much at a time: what a search returns takes ten times as much memory as the text."""


def plain(
    name: str, points: np.ndarray, faces: np.ndarray, budget: Budget, unit: str | None = None, bodies: int | None = None
) -> Sanitised:
    """A binary PLY of ``points`` (n, 3) and ``faces`` (m, 3), every index checked."""
    budget.check(name, len(faces), bodies=bodies or 1)
    if len(faces) and (faces.min() < 0 or faces.max() >= len(points)):
        raise cut_short(name, "a face names a point that is not in the file")
    head = (
        "ply\nformat binary_little_endian 1.0\n"
        f"element vertex {len(points)}\nproperty double x\nproperty double y\nproperty double z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    rows = np.empty(len(faces), np.dtype([("n", "u1"), ("v", "<i4", 3)]))
    rows["n"], rows["v"] = 3, faces
    body = np.ascontiguousarray(points, "<f8").tobytes() + rows.tobytes()
    return Sanitised(head.encode() + body, "ply", Expect(points=len(points), faces=len(faces)), unit, bodies)


def fans(name: str, corners: np.ndarray, sizes: np.ndarray, budget: Budget) -> np.ndarray:
    """Triangles (t, 3) of polygons given one after the other in ``corners``, each with ``sizes`` corners, as fans."""
    start = np.cumsum(sizes) - sizes
    count = np.maximum(sizes - 2, 0)
    budget.check(name, int(count.sum()))
    first = np.repeat(start, count)
    step = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count) + 1
    return np.stack([corners[first], corners[first + step], corners[first + step + 1]], axis=1)


def blocks(text: bytes, ends: bytes = b"\n") -> Iterator[bytes]:
    """The text in pieces of about `BLOCK_BYTES`, each but the last ending with ``ends``."""
    at = 0
    while at < len(text):
        cut = text.find(ends, at + BLOCK_BYTES)
        cut = len(text) if cut < 0 else cut + len(ends)
        yield text[at:cut]
        at = cut


def numbers(text: bytes) -> np.ndarray:
    """The numbers of a text up to the first word that is none, as float64."""
    words = text.decode("ascii", errors="replace")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        try:
            return np.fromstring(words, dtype=np.float64, sep=" ")
        except ValueError:  # newer versions of the library raise where older ones stop
            found = itertools.takewhile(re.compile(NUMBER, re.IGNORECASE).fullmatch, words.split())
            return np.array([float(word) for word in found], np.float64)


def joined(parts: list[np.ndarray], kind: type = np.float64) -> np.ndarray:
    """The arrays one after the other; none are an empty one."""
    return np.concatenate(parts) if parts else np.empty(0, kind)
