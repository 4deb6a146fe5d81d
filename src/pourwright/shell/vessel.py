"""A wall drawn with both its faces and open to the outside: a vase, a printed bust, a hull with a drain hole.

Its surface is one piece, so nothing closed lies inside it. What parts the outer face from the inner one is the lip: the
faces from which no other face is met within a few wall thicknesses straight inwards.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from pourwright.findings import Code, Finding, refusal
from pourwright.shell.rays import TooThick, first_hits
from pourwright.shell.rims import FLAT_WARN, Closure, border_loops, close_loops
from pourwright.shell.survey import Piece, Survey
from pourwright.shell.topology import areas, cone_volumes, corner_vectors, edges_of, mates_of, pairs_of, pieces_of
from pourwright.shell.words import Unparted

HULL_SHARE, EVENNESS = 0.5, 1.5
"""A body is a wall when it fills less than this share of its convex hull and is as thick as a plate of its volume and
area, within this ratio (a rod would be twice as thick as such a plate, a ball three times)."""
WALL_TIMES, SIZE_SHARE = 3.0, 0.01
"""... and when it is thinner than so many walls given or than this share of its diagonal: a hollow thin piece, such as
a double-walled hull drawn by its outside alone, is thicker."""
SAMPLES = 2_000
LIP_TIMES, LIP_SHARE = 2.5, 0.35
"""From a lip nothing is met within so many mean thicknesses; and no lip has more than this share of the area."""
MOUTH_DOUBT = 0.05
"""Unevenness of the mouths times their area may come to this share of the void."""
RINGS = 500
"""Rings of faces that a lip is followed by at most; that of a fine scan has a hundred."""
FACE_SHARE = 0.2
"""Outer and inner face have each at least this share of the area."""


@dataclass(frozen=True, eq=False)
class Vessel:
    """A wall found; ``unparted`` says why where its two faces could not be told apart."""

    piece: int
    thickness_m: float
    hull_share: float
    unparted: tuple[Finding, ...]  # the refusal; empty where they could
    inner: np.ndarray  # (k,) faces of the survey that are the inner face
    mouths: tuple[Closure, ...]  # over the mouths, wound to close the inner face


def find_vessel(s: Survey, wall_m: float | None) -> Vessel | None:
    """The wall that the largest outer body is, or None.

    Parameters
    ----------
    s : Survey
    wall_m : float or None
        Largest wall thickness given [m].
    """
    outer = [p for p in s.pieces if p.depth == 0]
    if not outer:
        return None
    main = max(outer, key=lambda p: (p.area, -p.index))
    at = np.flatnonzero(s.piece == main.index)
    faces = s.faces[at]
    area = areas(s.vertices, faces)
    mean = 2 * main.volume / float(area.sum())
    limit = max(WALL_TIMES * wall_m if wall_m is not None else 0.0, SIZE_SHARE * s.diagonal)
    if not 0 < mean <= limit:
        return None
    try:
        hull = float(ConvexHull(s.vertices[np.unique(faces)]).volume)
        if main.volume > HULL_SHARE * hull or _through(s.vertices, faces, area, 4 * mean) > EVENNESS * mean:
            return None
    except (QhullError, TooThick):
        return None
    return _parted(s, main, at, mean, main.volume / hull)


def _inwards(vertices: np.ndarray, faces: np.ndarray, pick: np.ndarray, longest: float) -> np.ndarray:
    double = corner_vectors(vertices, faces[pick])
    ways = -double / np.maximum(np.linalg.norm(double, axis=1), 1e-300)[:, None]
    return first_hits(vertices[faces[pick]].mean(axis=1), ways, longest, vertices, faces, skip=pick)


def _through(vertices: np.ndarray, faces: np.ndarray, area: np.ndarray, longest: float) -> float:
    """Median distance from a face straight inwards to the next one, evenly sampled by area [m]."""
    level = np.cumsum(area)
    pick = np.unique(np.searchsorted(level, (np.arange(SAMPLES) + 0.5) / SAMPLES * level[-1]))
    return float(np.median(_inwards(vertices, faces, np.minimum(pick, len(faces) - 1), longest)))


def _parted(s: Survey, main: Piece, at: np.ndarray, mean: float, hull_share: float) -> Vessel:
    def failed(why: Unparted, doubt_m3: float = 0.0, behind_m3: float = 0.0) -> Vessel:
        found = refusal(
            Code.WALL_NOT_PARTED,
            thickness_m=mean,
            hull_share=hull_share,
            why=why.value,
            doubt_m3=doubt_m3,
            behind_m3=behind_m3,
        )
        return Vessel(main.index, mean, hull_share, (found,), np.empty(0, np.int64), ())

    if main.rims:
        return failed(Unparted.OPEN_RIMS)
    faces = s.faces[at]
    mate = mates_of(edges_of(faces))
    try:
        thick = np.isfinite(_inwards(s.vertices, faces, np.arange(len(faces)), LIP_TIMES * mean))
    except TooThick:
        return failed(Unparted.TOO_THICK)
    side = _two_sides(thick, mate, areas(s.vertices, faces))
    if side is None:
        return failed(Unparted.NO_LIP)
    side, whole = _spread(side, mate)
    if not whole:
        return failed(Unparted.WIDE_LIP)
    found = [_closed(s, faces, mate, side == k) for k in (0, 1)]
    inner = int(np.argmin([volume for _, volume in found]))
    mouths, volume = found[inner]
    if volume >= 0 or -volume < main.volume:
        return failed(Unparted.NO_VOID)
    doubt = sum(c.area * c.loops[0].wavy for c in mouths)
    if doubt > MOUTH_DOUBT * -volume:
        return failed(Unparted.UNEVEN_MOUTHS, doubt, -volume)
    # where the two faces only touch through a crack there is a ragged closure, but no mouth to pour through
    mouths = [replace(c, rim=c.rim and c.loops[0].wavy <= FLAT_WARN * float(np.sqrt(c.area))) for c in mouths]
    return Vessel(main.index, mean, hull_share, (), at[side == inner], tuple(mouths))


def _two_sides(thick: np.ndarray, mate: np.ndarray, area: np.ndarray) -> np.ndarray | None:
    """0 or 1 for the faces of the two largest parts that are left when the lip is taken away, -1 for the others.

    Where the two still touch through a crack the lip is widened, ring by ring.
    """
    left, right = (half // 3 for half in pairs_of(mate))
    for _ in range(RINGS):
        if not area[~thick].sum() < LIP_SHARE * area.sum():
            break
        cut = np.full(len(mate), -1)
        both = np.flatnonzero(mate >= 0)
        both = both[thick[both // 3] & thick[mate[both] // 3]]
        cut[both] = mate[both]
        number, label = pieces_of(cut)
        sizes = np.bincount(label, weights=np.where(thick, area, 0.0), minlength=number)
        two = np.argsort(-sizes, kind="stable")[:2]
        if len(two) == 2 and sizes[two[1]] >= FACE_SHARE * area.sum():
            return np.where(label == two[0], 0, np.where(label == two[1], 1, -1))
        lip = ~thick
        if not lip.any():
            break
        thick = thick.copy()
        thick[left[lip[right]]] = False
        thick[right[lip[left]]] = False
    return None


def _spread(side: np.ndarray, mate: np.ndarray) -> tuple[np.ndarray, bool]:
    """Give the faces without a side that of a neighbour, ring by ring; False where `RINGS` did not do.

    Scraps that touch neither face stay without a side.
    """
    left, right = pairs_of(mate)
    left, right = left // 3, right // 3
    side = side.copy()
    for _ in range(RINGS):
        a, b = side[left], side[right]
        out, inn = left[(a < 0) & (b >= 0)], right[(a >= 0) & (b < 0)]
        if not len(out) and not len(inn):
            return side, True
        fresh = np.full(len(side), -1)
        np.maximum.at(fresh, out, b[(a < 0) & (b >= 0)])
        np.maximum.at(fresh, inn, a[(a >= 0) & (b < 0)])
        side = np.where(side < 0, fresh, side)
    return side, False


def _closed(s: Survey, faces: np.ndarray, mate: np.ndarray, pick: np.ndarray) -> tuple[list[Closure], float]:
    """Closures of one face of the wall, largest first, and the signed volume it then encloses."""
    part = faces[pick]
    own = mates_of(edges_of(part))
    loops, _ = border_loops(s.vertices, part, own)
    closures = sorted(close_loops(s.vertices, loops, s.diagonal), key=lambda c: -c.area)
    every = np.concatenate([part, *(c.faces for c in closures)])
    return closures, float(cone_volumes(s.vertices, every).sum())
