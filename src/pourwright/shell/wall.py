"""Checks of the wall thickness a job gives, before and after the mesh is known."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from pourwright.errors import JobError, Said
from pourwright.figures import apart
from pourwright.shell.scale import LARGEST_M, length_words
from pourwright.shell.skin import WallBand

TOUCH_M = 1e-6
"""Bands whose edges are nearer than this touch."""


def check_bands(bands: Sequence[WallBand]) -> tuple[WallBand, ...]:
    """The bands from low to high, checked without the mesh.

    Raises
    ------
    JobError
        A thickness that is no positive length, a spread outside 0 to 1, an empty band, a gap or an overlap.
    """
    for number, band in enumerate(bands, start=1):
        key = _key(band, number)
        if not (math.isfinite(band.thickness_m) and band.thickness_m > 0):
            raise JobError(f"{key}.thickness", _said(band.thickness_m), "must be a length greater than zero.")
        if band.thickness_m > LARGEST_M:
            raise JobError(f"{key}.thickness", _said(band.thickness_m), f"must be under {length_words(LARGEST_M)}.")
        if not 0.0 <= band.spread < 1.0:
            raise JobError(f"{key}.spread", band.spread, "must be a share from 0 to below 1.")
        if math.isnan(band.from_m) or math.isnan(band.to_m) or not band.from_m < band.to_m:
            raise JobError(f"{key}.from", _said(band.from_m), f"must be below its upper end, {_said(band.to_m)}.")
    ordered = sorted(bands, key=lambda band: band.from_m)
    for number, (below, above) in enumerate(itertools.pairwise(ordered), start=2):
        gap = above.from_m - below.to_m
        if abs(gap) > TOUCH_M:
            what = f"a gap of {length_words(gap)}" if gap > 0 else f"an overlap of {length_words(-gap)}"
            raise JobError(
                f"{_key(above, number)}.from",
                _said(above.from_m),
                f"leaves {what} to the band below, which ends at {_said(below.to_m)}: make it start there.",
            )
    return tuple(ordered)


def check_bands_on_piece(bands: Sequence[WallBand], height_m: float, narrowest_m: float) -> None:
    """Raise `JobError` where ordered ``bands`` do not suit the piece.

    Parameters
    ----------
    bands : sequence of WallBand
        From `check_bands`, not empty.
    height_m : float
        Extent along the file's z axis [m]; the bands must cover 0 to this.
    narrowest_m : float
        Smallest extent along any axis [m]: two walls cannot be thicker than it.
    """
    low, high = bands[0], bands[-1]
    if low.from_m > TOUCH_M:
        raise JobError(f"{_key(low, 1)}.from", _said(low.from_m), "leaves the lowest part without a wall: start at 0.")
    if high.to_m < height_m - TOUCH_M:
        high_end, top = (Said(words) for words in apart(high.to_m, height_m, length_words))
        raise JobError(
            f"{_key(high, len(bands))}.to",
            high_end,
            f"leaves the part up to the top at {top} without a wall: leave it out or go to the top.",
        )
    for number, band in enumerate(bands, start=1):
        if 2 * band.thickness_m >= narrowest_m:
            raise JobError(
                f"{_key(band, number)}.thickness",
                _said(band.thickness_m),
                f"two such walls do not fit into the piece, which is {length_words(narrowest_m)} across at its "
                f"narrowest extent: it must be under {length_words(narrowest_m / 2)}; check both units.",
            )


def _said(length_m: float) -> Said:
    return Said(length_words(length_m) if math.isfinite(length_m) else "no number")


def _key(band: WallBand, number: int) -> str:
    if math.isinf(band.from_m) and math.isinf(band.to_m):
        return "wall"  # one thickness everywhere
    return f"wall.{band.name}" if band.name else f"wall.band {number}"
