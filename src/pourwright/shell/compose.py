"""The faces of the skin from a surveyed mesh, once its kind is known."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.shell.kind import Decision
from pourwright.shell.rims import Closure
from pourwright.shell.skin import Opening, SkinKind
from pourwright.shell.survey import Survey
from pourwright.shell.topology import areas
from pourwright.shell.vessel import Vessel, find_vessel
from pourwright.shell.words import area_words, many, open_wall


@dataclass(frozen=True, eq=False)
class Composed:
    """Faces of the skin (m, 3), wound so that the solid wall (or for an outside face the inside) is inside."""

    faces: np.ndarray
    opening: np.ndarray  # (m,) -1 off the caps
    void: np.ndarray  # (m,) bool
    openings: tuple[Opening, ...]
    closures: tuple[Closure, ...]  # behind the openings
    area_m2: float  # outside face without caps


def settle(
    s: Survey, decision: Decision, asked: SkinKind | None, wall_m: float | None
) -> tuple[Decision, Vessel | None]:
    """The decision after the last question: whether the body is itself the wall, open to the outside."""
    if decision.void_pieces or asked is SkinKind.OUTSIDE:
        return decision, None
    vessel = find_vessel(s, wall_m)
    if vessel is None:
        return decision, None
    if vessel.unparted:
        return replace(decision, refusals=vessel.unparted), None
    looks = open_wall(vessel.thickness_m, vessel.hull_share)
    rims = [c for c in vessel.mouths if c.rim]
    mouths = f"{many(len(rims), 'mouth')} of {', '.join(f'{area_words(c.area)}' for c in rims[:4])}"
    if asked is SkinKind.OPEN:
        reason = f"The job says open: {looks[0].lower()}{looks[1:]}, of which the outer one up to {mouths} is taken."
        return replace(decision, kind=SkinKind.OPEN, reason=reason, refusals=()), vessel
    reason = f"{looks}: what lies behind {mouths}, capped flat, is the void."
    return replace(decision, kind=SkinKind.BOTH_FACES, reason=reason, refusals=()), vessel


def compose(s: Survey, decision: Decision, vessel: Vessel | None) -> Composed:
    """The skin's faces: debris left out, voids wound against the outside, mouths of a vessel capped on both faces."""
    keep = ~np.isin(s.piece, decision.dropped_pieces)
    void = np.isin(s.piece, decision.void_pieces)
    inner = np.isin(s.piece, decision.inner_pieces)
    faces = np.where(inner[:, None], s.faces[:, ::-1], s.faces)
    opening, is_cap = s.opening.copy(), s.is_cap.copy()
    closures = list(s.mouths)
    if vessel is not None:
        behind = np.zeros(len(faces), bool)
        behind[vessel.inner] = True
        sizes = [len(c.faces) for c in vessel.mouths]
        rims = [c for c in vessel.mouths if c.rim]
        number = np.cumsum([c.rim for c in vessel.mouths]) - 1 + len(closures)
        number = np.repeat(np.where([c.rim for c in vessel.mouths], number, -1), sizes)
        closures += [c.reversed() for c in rims]
        both = decision.kind is SkinKind.BOTH_FACES
        lids = [c.reversed().faces for c in vessel.mouths] + [c.faces for c in vessel.mouths] * both
        extra = len(number) * (1 + both)
        faces = np.concatenate([faces, *lids])
        opening = np.concatenate([opening, *[number] * (1 + both)]).astype(np.int32)
        is_cap = np.concatenate([is_cap, np.ones(extra, bool)])
        void = np.concatenate([void | behind, np.arange(extra) >= len(number)])
        keep = np.concatenate([keep, np.ones(extra, bool)])
        if not both:
            keep &= ~void
            void = np.zeros(len(void), bool)
    size = areas(s.vertices, faces)
    area = float(size[keep & ~void & ~is_cap].sum())
    openings = tuple(_opening(f"opening {k + 1}", c) for k, c in enumerate(closures))
    return Composed(faces[keep], opening[keep], void[keep], openings, tuple(closures), area)


def _opening(name: str, c: Closure) -> Opening:
    arrays = [np.array(a, np.float64) for a in (c.loops[0].points, c.centroid, c.loops[0].normal)]
    for array in arrays:
        array.setflags(write=False)
    loop, centroid, normal = arrays
    return Opening(name, loop, centroid, normal, float(c.area))
