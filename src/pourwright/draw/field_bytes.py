"""How ``piece.html`` holds values on the skin: a byte a corner, and the colours of their ramp."""

from __future__ import annotations

import base64

import numpy as np

from pourwright.draw.ramps import ramp

COLOURS, UNKNOWN = 24, 255
"""Steps of a ramp, and the byte of what is not known."""


def colours_of(quantity: str) -> list[list[int]]:
    """The ramp of a quantity as the page holds it."""
    return [[round(float(v)) for v in row] for row in ramp(quantity, COLOURS)]


def bytes_of(share: np.ndarray) -> np.ndarray:
    """Shares 0..1 as bytes 0..254; what is not finite as 255.

    >>> bytes_of(np.array([0.0, 0.5, 1.2, np.nan])).tolist()
    [0, 127, 254, 255]
    """
    good = np.isfinite(share)
    return np.where(good, np.round(254 * np.clip(np.where(good, share, 0.0), 0, 1)), UNKNOWN).astype(np.uint8)


def packed(array: np.ndarray) -> str:
    """The bytes of an array as text."""
    return base64.b64encode(np.ascontiguousarray(array).tobytes()).decode("ascii")
