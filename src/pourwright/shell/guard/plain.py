"""Points and triangles as the plainest file a reader can be given: a binary PLY."""

from __future__ import annotations

import itertools
import re
import warnings

import numpy as np

from pourwright.shell.guard.expect import TRIANGLE_LIMIT, Expect, Guarded, cut_short, too_many

NUMBER = r"(?:[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?|[-+]?(?:nan|inf)(?:inity)?)"


def plain(name: str, points: np.ndarray, faces: np.ndarray) -> Guarded:
    """A binary PLY of ``points`` (n, 3) and ``faces`` (m, 3), every index checked."""
    if len(faces) > TRIANGLE_LIMIT:
        raise too_many(name, len(faces))
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
    return Guarded(head.encode() + body, "ply", Expect(points=len(points), faces=len(faces)))


def fans(corners: np.ndarray, sizes: np.ndarray) -> np.ndarray:
    """Triangles (t, 3) of polygons given one after the other in ``corners``, each with ``sizes`` corners, as fans."""
    start = np.cumsum(sizes) - sizes
    count = np.maximum(sizes - 2, 0)
    first = np.repeat(start, count)
    step = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count) + 1
    return np.stack([corners[first], corners[first + step], corners[first + step + 1]], axis=1)


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
