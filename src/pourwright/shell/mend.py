"""Mending the winding and the joints of a tidy mesh, and dropping its scraps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.shell.crowded import pair_crowded
from pourwright.shell.topology import areas, edges_of, mates_of, pieces_of, turned, wind_alike

STRAY_SHARE = 1e-3
"""Open loose pieces under this share of the whole area are scraps of a scan."""


@dataclass(frozen=True, eq=False)
class Mended:
    """Faces wound alike over their mates. The (k, 3) arrays say where something was done or found [m]."""

    faces: np.ndarray  # (m, 3)
    mate: np.ndarray  # (3 m,)
    closed: bool  # no border before anything was done
    flipped: np.ndarray  # middles of faces that were turned
    crowded: np.ndarray  # middles of edges of three and more faces
    one_sided: np.ndarray  # middles of faces of surfaces that have no outside
    scraps: np.ndarray  # middles of open scraps that were dropped
    scraps_area: float
    scrap_pieces: int


def mend(vertices: np.ndarray, faces: np.ndarray) -> Mended:
    """Wind neighbours alike, part the surfaces that meet at crowded edges, drop open scraps.

    Parameters
    ----------
    vertices : (n, 3) ndarray [m]
    faces : (m, 3) ndarray
        From `tidy`.
    """
    edges = edges_of(faces)
    closed = not edges.border.any()
    crowded = vertices[edges.ends[edges.crowded]].mean(axis=1)
    mate = mates_of(edges)
    turn, _ = wind_alike(faces, mate)
    faces, mate = turned(faces, mate, turn)
    if len(crowded):
        mate = pair_crowded(vertices, faces, edges_of(faces), mate)
        again, _ = wind_alike(faces, mate)
        faces, mate = turned(faces, mate, again)
        turn = turn ^ again
    middles = vertices[faces].mean(axis=1)
    flipped = middles[turn]
    number, piece = pieces_of(mate)
    area = areas(vertices, faces)
    per_piece = np.bincount(piece, weights=area, minlength=number)
    is_open = np.zeros(number, bool)
    is_open[piece[np.flatnonzero(mate < 0) // 3]] = True
    scrap = is_open & (per_piece < STRAY_SHARE * area.sum())
    drop = scrap[piece]
    faces, mate = _kept(faces, mate, ~drop)
    _, one_sided = wind_alike(faces, mate)
    return Mended(
        faces,
        mate,
        closed,
        flipped,
        crowded,
        vertices[faces[one_sided]].mean(axis=1),
        middles[drop],
        float(area[drop].sum()),
        int(scrap.sum()),
    )


def _kept(faces: np.ndarray, mate: np.ndarray, keep: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The faces ``keep`` (m,) with their mates numbered anew."""
    if keep.all():
        return faces, mate
    moved = np.full(len(keep) + 1, -1, np.int64)
    moved[:-1][keep] = np.arange(int(keep.sum()))
    left = mate[keep.repeat(3)]
    to = moved[np.where(left >= 0, left // 3, len(keep))]
    return faces[keep], np.where(to >= 0, 3 * to + left % 3, -1)
