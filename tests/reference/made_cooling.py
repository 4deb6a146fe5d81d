"""A made-up cooling law for searches over cuts and waits: no physics, but heat that time and distance take away."""

import numpy as np

from pourwright.day.model import Dose


def cooling(heat):
    """Dose of a made-up cooling law over slabs of uneven width: ``heat`` (slabs,)."""

    def dose_of(starts):
        apart = np.abs(np.arange(len(heat))[:, None] - np.arange(len(heat))[None, :])
        side = np.exp(-apart / 2.0) * heat[None, :]
        near = [np.exp(-np.abs(s[:, None] - s[None, :]) / 1500.0) for s in starts]
        return [Dose((one * side).sum(axis=1), np.zeros(len(heat))) for one in near]

    return dose_of
