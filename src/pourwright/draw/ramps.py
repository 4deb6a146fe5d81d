"""Ramps of colour, one a quantity, each lighter with every step: read right in grey and without telling hues apart."""

from __future__ import annotations

import numpy as np
from matplotlib import colormaps

DARK, BRIGHT = 0.05, 0.95
"""Of matplotlib's "inferno", a ramp of even lightness, without its black and its palest."""
PRESSURE = ((24, 34, 84), (32, 84, 132), (52, 134, 152), (122, 186, 160), (224, 236, 190))
"""Night blue through sea green to pale: low to high pressure."""
GAIN = ((48, 24, 60), (112, 50, 98), (178, 86, 110), (224, 146, 132), (250, 222, 198))
"""Plum through rose to pale: how much stiffer."""

DENSITY = ((30, 44, 26), (58, 84, 48), (104, 128, 66), (166, 172, 96), (236, 226, 166))
"""Moss to straw: light to dense foam."""


def ramp(quantity: str, count: int) -> np.ndarray:
    """``count`` colours (count, 3), 0 to 255, from low to high.

    ``quantity`` is one of ``temperature``, ``pressure``, ``gain``, ``density``. Temperature goes from cool dark to hot
    bright.
    """
    at = np.linspace(0.0, 1.0, count)
    if quantity == "temperature":
        return np.asarray(255 * colormaps["inferno"](DARK + (BRIGHT - DARK) * at)[:, :3])
    stops = np.asarray({"pressure": PRESSURE, "gain": GAIN, "density": DENSITY}[quantity], float)
    where = at * (len(stops) - 1)
    return np.column_stack([np.interp(where, np.arange(len(stops)), stops[:, c]) for c in range(3)])
