"""What a tidy mesh is made of: its pieces, closed or open, how they nest, their borders."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.errors import ShellError
from pourwright.shell.columns import others_around
from pourwright.shell.mend import Mended, mend
from pourwright.shell.nest import Nest, nest
from pourwright.shell.rims import Closure, border_loops, close_loops
from pourwright.shell.topology import areas, cone_volumes, pieces_of

HIDDEN_SHARE = 0.9
"""A rim lies inside other pieces when this share of its points does."""
FLAT_SHARE = 1e-3
"""A piece whose mean depth is under this share of the square root of its area is a sheet."""
VOID_SHARE = 0.05
"""Inner surfaces that hold less than this share of the outer volume are debris, not the void."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One connected piece, its holes and rims closed."""

    index: int
    area: float  # without caps
    volume: float  # not negative
    rims: int  # open to the outside
    inside: tuple[int, ...]  # pieces it lies in

    @property
    def depth(self) -> int:
        """Number of pieces it lies in."""
        return len(self.inside)


@dataclass(frozen=True, eq=False)
class Survey:
    """A mesh whose every piece is closed and wound outwards; ``piece``, ``opening`` (m,) by face, -1 off the rims."""

    vertices: np.ndarray
    faces: np.ndarray
    piece: np.ndarray
    opening: np.ndarray
    is_cap: np.ndarray  # rim caps and hole fillings
    pieces: tuple[Piece, ...]
    overlaps: tuple[tuple[int, int], ...]  # pairs of pieces that are partly in each other
    mouths: tuple[Closure, ...]  # rims open to the outside, largest first
    holes: tuple[Closure, ...]  # of the scan
    hidden: tuple[Closure, ...]  # rims inside other pieces
    stray: int  # border edges that form no loop
    sheets: np.ndarray  # (k, 3) middles of faces of open surfaces without volume that were dropped
    sheets_area: float
    mended: Mended

    @property
    def diagonal(self) -> float:
        """Of the box around it [m]."""
        return float(np.linalg.norm(np.ptp(self.vertices, axis=0)))


def survey(vertices: np.ndarray, faces: np.ndarray) -> Survey:
    """Wind, close and sort a tidy mesh ``vertices`` (n, 3) [m], ``faces`` (m, 3).

    Raises
    ------
    ShellError
        Nothing but scraps; the sentence does not name the file.
    """
    mended = mend(vertices, faces)
    if not len(mended.faces):
        raise ShellError(
            f"its {len(faces):,} triangles fall into {mended.scrap_pieces:,} open scraps, and none is a surface: "
            "export it as one mesh whose triangles share their corners."
        )
    diagonal = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    loops, stray = border_loops(vertices, mended.faces, mended.mate)
    whole = float(areas(vertices, mended.faces).sum())
    closures = close_loops(vertices, loops, diagonal, whole)
    number, piece = pieces_of(mended.mate)
    piece, closure, faces = _with_closures(mended.faces, piece, closures)
    number = int(piece.max()) + 1
    volumes = np.bincount(piece, weights=cone_volumes(vertices, faces), minlength=number)
    backwards = volumes < 0
    faces = np.where(backwards[piece][:, None], faces[:, ::-1], faces)
    own = _piece_of_closures(piece, closure, closures)
    closures = [c.reversed() if backwards[own[k]] else c for k, c in enumerate(closures)]
    volumes = np.abs(volumes)
    near = nest(vertices, faces, piece, volumes)
    hidden = _hidden(vertices, faces, piece, closures, own, near)
    area = np.bincount(piece, weights=np.where(closure < 0, areas(vertices, faces), 0.0), minlength=number)
    sheet = _sheets(closures, own, near, volumes, area)
    is_mouth = np.array([c.rim for c in closures], bool) & ~hidden & ~sheet[own] if closures else np.zeros(0, bool)
    opening = np.full(len(closures) + 1, -1, np.int32)
    opening[:-1][is_mouth] = np.arange(int(is_mouth.sum()))
    is_cap = closure >= 0
    rims = np.bincount(own[is_mouth], minlength=number) if len(own) else np.zeros(number, int)
    pieces = tuple(
        Piece(p, float(area[p]), float(volumes[p]), int(rims[p]), tuple(q for q in near.inside[p] if not sheet[q]))
        for p in range(number)
        if not sheet[p]
    )
    stay = ~sheet[piece]
    return Survey(
        vertices,
        faces[stay],
        piece[stay],
        opening[closure][stay],
        is_cap[stay],
        pieces,
        tuple(pair for pair in near.overlaps if not sheet[list(pair)].any()),
        tuple(c for k, c in enumerate(closures) if is_mouth[k]),
        tuple(c for k, c in enumerate(closures) if not c.rim and not sheet[own[k]]),
        tuple(c for k, c in enumerate(closures) if hidden[k] and not sheet[own[k]]),
        stray,
        vertices[faces[~stay & ~is_cap]].mean(axis=1),
        float(area[sheet].sum()),
        mended,
    )


def _with_closures(
    faces: np.ndarray, piece: np.ndarray, closures: list[Closure]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Piece, closure (-1 for none) and corners of every face; a closure over several pieces makes them one."""
    goal = np.arange(int(piece.max()) + 1)
    for c in closures:
        found = {int(goal[piece[loop.face]]) for loop in c.loops}
        for p in found:
            goal[goal == p] = min(found)
    _, goal = np.unique(goal, return_inverse=True)
    piece = goal[piece]
    sizes = [len(c.faces) for c in closures]
    owners = [int(piece[c.loops[0].face]) for c in closures]
    closure = np.concatenate([np.full(len(faces), -1), np.repeat(np.arange(len(closures)), sizes)]).astype(np.int64)
    every = np.concatenate([faces, *(c.faces for c in closures)])
    return np.concatenate([piece, np.repeat(owners, sizes).astype(np.int64)]), closure, every


def _piece_of_closures(piece: np.ndarray, closure: np.ndarray, closures: list[Closure]) -> np.ndarray:
    return np.array([piece[c.loops[0].face] for c in closures], np.int64)


def _hidden(
    vertices: np.ndarray, faces: np.ndarray, piece: np.ndarray, closures: list[Closure], own: np.ndarray, near: Nest
) -> np.ndarray:
    """Rims that lie inside other pieces: the end of a limb that is stuck into the body."""
    out = np.zeros(len(closures), bool)
    rims = [k for k, c in enumerate(closures) if c.rim]
    if not rims or len(near.inside) == 1:
        return out
    points = np.concatenate([closures[k].loops[0].points for k in rims])
    at = np.repeat(np.arange(len(rims)), [len(closures[k].loops[0].points) for k in rims])
    buried, *_ = others_around(points, own[rims][at], vertices, faces, piece)
    out[rims] = np.bincount(at, weights=buried) >= HIDDEN_SHARE * np.bincount(at)
    return out


def _sheets(closures: list[Closure], own: np.ndarray, near: Nest, volumes: np.ndarray, area: np.ndarray) -> np.ndarray:
    """Open pieces that hold next to nothing: inside another one partitions and litter, outside it flaps and fins."""
    out = np.zeros(len(volumes), bool)
    flat = 2 * volumes < FLAT_SHARE * area**1.5
    for k, c in enumerate(closures):
        p = own[k]
        around = near.inside[p]
        if c.rim and ((around and volumes[p] < VOID_SHARE * volumes[around[0]]) or (flat[p] and not flat.all())):
            out[p] = True
    return out
