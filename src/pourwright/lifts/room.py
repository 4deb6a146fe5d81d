"""Regions kept free of holes."""

from __future__ import annotations

import numpy as np

from pourwright.access import SIDES
from pourwright.cavity import PourFrame
from pourwright.lifts.model import KeepOut


def kept_out(keep_out: tuple[KeepOut, ...], frame: PourFrame, points_m: np.ndarray, side: np.ndarray) -> np.ndarray:
    """Whether each of ``points_m`` (n, 3), shell axes, on its ``side`` (n,), lies where no hole may be."""
    standing = frame.to_standing(points_m)
    out = np.zeros(len(points_m), bool)
    for one in keep_out:
        inside = (standing[:, 2] >= one.from_base_m) & (standing[:, 2] <= one.to_base_m)
        if one.box_m is not None:
            low, high = (np.array(corner) for corner in one.box_m)
            inside &= ((points_m >= low) & (points_m <= high)).all(axis=1)
        if one.face:
            inside &= side == SIDES.index(one.face)
        out |= inside
    return out
