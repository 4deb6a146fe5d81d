"""Where a piece would be too hot if it were poured all at once: the only part of it that heat asks to be cut."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.day.body import Body, Slabs, Source
from pourwright.day.model import Allowed
from pourwright.heat import SkinLayer, Surroundings

CELLS = 4_000  # heat cells, as many as of a short search


def too_hot_at_once(
    cavity: Cavity, graph: LevelGraph, source: Source, skin: SkinLayer, air: Surroundings, allowed: Allowed
) -> tuple[np.ndarray, float]:
    """Middles of the heat cells that would use more than the allowed dose, and the edge of a cell.

    Parameters
    ----------
    cavity, graph
        Of the piece any way up: no direction is in the answer.
    source, skin, air, allowed
        As for a day.

    Returns
    -------
    spots_m : ndarray (k, 3)
        Standing metres; empty where heat asks for no cut at all.
    cell_m : float

    Notes
    -----
    The field of one pour in its final place. Cutting takes foam from round a spot while it is hottest; a day may still
    keep a spot warm longer from below, so this is where to cut, not a proof of where not to.
    """
    factor = max(1, round((cavity.volume_m3 / cavity.grid.cell_m**3 / CELLS) ** (1 / 3)))
    whole = Slabs(
        first=np.array([0, 1]),
        cut_level=np.array([0]),
        volume_m3=np.array([cavity.volume_m3]),
        of_node=np.zeros(len(graph.node_level), np.int64),
        top_level=np.array([graph.levels]),
        closes=np.array([True]),
    )
    body = Body(cavity, graph, whole, source, skin, air, (factor, 1))
    hot = body.used(np.zeros(1), allowed) > 1.0
    spots = body.middle_m[hot]
    spots.setflags(write=False)
    return spots, body.cell_m
