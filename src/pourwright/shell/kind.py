"""Which of the three kinds of skin a mesh shows, and why."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from pourwright.shell.rays import first_hits
from pourwright.shell.scale import length_words
from pourwright.shell.skin import SkinKind
from pourwright.shell.survey import Survey
from pourwright.shell.topology import areas, cone_volumes, corner_vectors

VOID_SHARE = 0.05
"""Inner surfaces that hold less than this share of the outer volume are debris, not the void."""
SHEET_SHARE = 1e-4
"""A surface whose mean depth (twice its volume over its area) is under this share of its diagonal encloses nothing."""
WALL_HULL, WALL_EVEN, WALL_TIMES, WALL_SIZE = 0.5, 1.5, 3.0, 0.015
"""A closed surface is a wall drawn with both faces when it fills less than this share of its convex hull, is as thick
as a plate of its volume and area (within this ratio: a rod would be 2, a ball 3), and is under this many given walls
(without a given wall: under this share of its diagonal)."""
RAYS = 200


@dataclass(frozen=True, slots=True)
class Decision:
    """The kind, why, and what forbids to plan it (empty when nothing does)."""

    kind: SkinKind
    reason: str
    refusal: str
    void_pieces: tuple[int, ...]
    dropped_pieces: tuple[int, ...]
    dropped_m3: float


def decide_kind(s: Survey, asked: SkinKind | None, wall_m: float | None) -> Decision:
    """Take a surveyed mesh for one of the three kinds.

    Parameters
    ----------
    s : Survey
    asked : SkinKind or None
        What the job says; it wins where it can be.
    wall_m : float or None
        The largest wall thickness given [m].

    Returns
    -------
    Decision
        ``refusal`` is a sentence when the mesh cannot be what was asked, encloses nothing, or is the wall itself.
    """
    outer_m3 = sum(p.volume for p in s.pieces if p.depth == 0)
    inner = tuple(p for p in s.pieces if p.depth % 2 == 1)
    inner_m3 = sum(p.volume for p in inner)
    deeper = tuple(p for p in s.pieces if p.depth >= 2)
    rims = sum(p.rims for p in s.pieces)
    seen, reason = _seen(s, outer_m3, inner_m3, len(inner), rims)
    kind = asked or seen
    if asked is not None and asked is not seen:
        reason = f"The job says so; the mesh alone would be taken for {seen.value}: {reason[0].lower()}{reason[1:]}"
    voids = inner + deeper if kind is SkinKind.BOTH_FACES else ()
    dropped = () if kind is SkinKind.BOTH_FACES else inner + deeper
    refusal = _cannot_be(kind, asked, rims, len(inner))
    diagonal = s.diagonal
    total_area = sum(p.area for p in s.pieces if p.depth == 0)
    if not refusal and 2 * outer_m3 < SHEET_SHARE * diagonal * total_area:
        refusal = (
            f"The mesh is a sheet: its surface of {total_area:.4g} m2 encloses only {outer_m3:.3g} m3; "
            "give the whole outside face of a hollow piece."
        )
    if not refusal and kind is not SkinKind.BOTH_FACES and asked is None:
        refusal = _wall_itself(s, wall_m)
    return Decision(
        kind,
        reason,
        refusal,
        tuple(p.index for p in voids),
        tuple(p.index for p in dropped),
        float(sum(p.volume for p in dropped)),
    )


def _seen(s: Survey, outer_m3: float, inner_m3: float, inner: int, rims: int) -> tuple[SkinKind, str]:
    if rims:
        names = ", ".join(f"{o.name} {o.area_m2:.3g} m2" for o in s.caps.openings[:4])
        return SkinKind.OPEN, f"The surface is open on {_many(rims, 'rim')} ({names})."
    closed = "The surface is closed" if s.closed else "The surface is closed but for holes of the scan"
    if outer_m3 > 0 and inner_m3 >= VOID_SHARE * outer_m3:
        return (
            SkinKind.BOTH_FACES,
            f"{closed} and holds {_many(inner, 'closed inner surface')} of {inner_m3 / outer_m3:.0%} of its volume.",
        )
    if inner:
        return (
            SkinKind.OUTSIDE,
            f"{closed}; {_many(inner, 'inner surface')} of only {inner_m3 / outer_m3:.2%} of its volume "
            "is taken for debris.",
        )
    return SkinKind.OUTSIDE, f"{closed} and holds no inner surface."


def _cannot_be(kind: SkinKind, asked: SkinKind | None, rims: int, inner: int) -> str:
    if asked is None:
        return ""
    if kind is SkinKind.BOTH_FACES and not inner:
        return "The job says both-faces, but the mesh holds no closed inner surface: say outside and give the wall."
    if kind is SkinKind.OPEN and not rims:
        return "The job says open, but the mesh has no rim to cap: leave the kind out, or say outside."
    if kind is not SkinKind.OPEN and rims:
        return f"The job says {kind.value}, but the mesh is open on {_many(rims, 'rim')}: say open, or close the mesh."
    return ""


def _wall_itself(s: Survey, wall_m: float | None) -> str:
    """A sentence when the closed surface is the solid wall of a vessel that is open to the outside, else ''."""
    outside = np.isin(s.piece, [p.index for p in s.pieces if p.depth == 0])
    faces = s.faces[outside]
    volume = float(cone_volumes(s.vertices, faces).sum())
    mean = 2 * volume / float(areas(s.vertices, faces).sum())
    limit = WALL_TIMES * wall_m if wall_m is not None else WALL_SIZE * s.diagonal
    if mean > limit or mean > 0.1 * s.diagonal:
        return ""
    try:
        hull = float(ConvexHull(s.vertices[np.unique(faces)]).volume)
    except QhullError:
        return ""
    if volume > WALL_HULL * hull:
        return ""
    through = _thickness_through(s.vertices, faces)
    if not through <= WALL_EVEN * mean:
        return ""
    return (
        f"The mesh looks like the wall itself, {length_words(mean)} thick and drawn with both faces, open to the "
        f"outside (it fills {volume / hull:.0%} of its hull), so it holds no closed void: give only its outside face, "
        "or say kind outside if the piece is hollow and really that thin."
    )


def _thickness_through(vertices: np.ndarray, faces: np.ndarray) -> float:
    """Median distance from the middle of a face straight inwards to the next face, evenly sampled by area [m]."""
    double = corner_vectors(vertices, faces)
    size = np.linalg.norm(double, axis=1)
    level = np.cumsum(size)
    pick = np.unique(np.searchsorted(level, (np.arange(RAYS) + 0.5) / RAYS * level[-1]))
    hits = first_hits(vertices[faces[pick]].mean(axis=1), -double[pick] / size[pick, None], vertices, faces, skip=pick)
    return float(np.median(hits))


def _many(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
