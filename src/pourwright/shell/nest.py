"""How closed pieces lie to one another: inside, partly inside, apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.shell.columns import others_around

INSIDE_SHARE = 0.98
"""A piece lies in another when this share of its points does; with fewer they overlap."""
POINTS, POINTS_IN_ALL = 400, 200_000
"""Points of each piece that are asked, and of all together."""


@dataclass(frozen=True, eq=False)
class Nest:
    """Relations of p pieces."""

    inside: tuple[tuple[int, ...], ...]  # pieces that each piece lies in, largest first
    overlaps: tuple[tuple[int, int], ...]  # pairs, lower first

    def depth(self, piece: int) -> int:
        """Number of pieces that ``piece`` lies in."""
        return len(self.inside[piece])


def nest(vertices: np.ndarray, faces: np.ndarray, piece: np.ndarray, volumes: np.ndarray) -> Nest:
    """Relations of closed pieces.

    Parameters
    ----------
    vertices, faces : ndarray
    piece : (m,) ndarray
        Piece of each face, below len(volumes).
    volumes : (p,) ndarray
        Volume of each piece: of two that lie in each other the smaller is the inner.
    """
    number = len(volumes)
    if number == 1:
        return Nest(((),), ())
    order = np.argsort(piece, kind="stable")
    start = np.append(0, np.cumsum(np.bincount(piece, minlength=number)))
    each = int(np.clip(POINTS_IN_ALL // number, 8, POINTS))
    picks, owner = [], []
    for p in range(number):
        at = order[start[p] : start[p + 1]]
        chosen = at[np.linspace(0, len(at) - 1, min(each, len(at))).astype(int)]
        picks.append(chosen)
        owner.append(np.full(len(chosen), p))
    owners = np.concatenate(owner)
    middles = vertices[faces[np.concatenate(picks)]].mean(axis=1)
    _, inner, outer, count = others_around(middles, owners, vertices, faces, piece)
    share = count / np.bincount(owners, minlength=number)[inner]
    inside: list[list[int]] = [[] for _ in range(number)]
    overlaps = set()
    full = {(int(i), int(o)) for i, o, s in zip(inner, outer, share, strict=True) if s >= INSIDE_SHARE}
    for i, o, s in zip(inner.tolist(), outer.tolist(), share.tolist(), strict=True):
        if s >= INSIDE_SHARE:
            if (o, i) not in full or (volumes[i], i) < (volumes[o], o):
                inside[i].append(o)
        elif (o, i) not in full:
            overlaps.add((min(i, o), max(i, o)))
    return Nest(tuple(tuple(sorted(i, key=lambda o: (-volumes[o], o))) for i in inside), tuple(sorted(overlaps)))
