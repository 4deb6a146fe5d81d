"""Which of the three kinds of skin a mesh shows, and why."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.findings import Code, Finding, refusal
from pourwright.shell.skin import SkinKind
from pourwright.shell.survey import VOID_SHARE, Piece, Survey
from pourwright.shell.words import area_words, many

SHEET_SHARE = 1e-4
"""A surface whose mean depth (twice its volume over its area) is under this share of its diagonal encloses nothing."""
STRAY_SHARE = 1e-5
"""Closed outer bodies under this share of the outer volume are scraps of a scan."""
DOUBLED_M = 3e-4
"""Two surfaces nearer to each other than this [m] are one that was drawn twice: no wall is so thin."""


@dataclass(frozen=True, slots=True)
class Decision:
    """The kind, why, and what forbids to plan it."""

    kind: SkinKind
    reason: str
    refusals: tuple[Finding, ...]  # empty when nothing forbids it
    void_pieces: tuple[int, ...]  # faces of voids and of solid cores in them
    inner_pieces: tuple[int, ...]  # those of them that are faces of voids
    dropped_pieces: tuple[int, ...]
    dropped_m3: float
    doubled: int  # inner pieces that only repeat the outer surface
    stray_voids: int  # closed outer bodies next to nothing in volume


def decide_kind(s: Survey, asked: SkinKind | None) -> Decision:
    """Take a surveyed mesh for one of the three kinds.

    Parameters
    ----------
    s : Survey
    asked : SkinKind or None
        What the job says; it wins where it can be.

    Returns
    -------
    Decision
        With a refusal when the mesh cannot be what was asked, or encloses nothing.
    """
    outer = tuple(p for p in s.pieces if p.depth == 0)
    doubles = tuple(p for p in s.pieces if p.depth == 1 and _repeats(p, s))
    repeated = {p.index for p in doubles}
    inner = tuple(p for p in s.pieces if _depth(p, repeated) % 2 == 1 and p.index not in repeated)
    deeper = tuple(p for p in s.pieces if _depth(p, repeated) >= 2 and _depth(p, repeated) % 2 == 0)
    outer_m3, inner_m3 = sum(p.volume for p in outer), sum(p.volume for p in inner)
    rims = sum(p.rims for p in s.pieces)
    seen, reason = _seen(s, outer_m3, inner_m3, len(inner), rims)
    kind = asked or seen
    if asked is not None and asked is not seen:
        reason = f"The job says so; the mesh alone would be taken for {seen.value}: {reason[0].lower()}{reason[1:]}"
    both = kind is SkinKind.BOTH_FACES
    stray_voids = tuple(p for p in outer if p.volume < STRAY_SHARE * outer_m3 and not p.rims)
    dropped = stray_voids + (doubles if both else inner + deeper + doubles)
    refusals = _cannot_be(kind, asked, rims, len(inner))
    area = sum(p.area for p in outer)
    if not refusals and 2 * outer_m3 < SHEET_SHARE * s.diagonal * area:
        refusals = (refusal(Code.SHEET, area_m2=float(area), volume_m3=float(outer_m3)),)
    return Decision(
        kind,
        reason,
        refusals,
        tuple(p.index for p in inner + deeper) if both else (),
        tuple(p.index for p in inner) if both else (),
        tuple(p.index for p in dropped),
        float(sum(p.volume for p in dropped if p.index not in repeated)),
        len(doubles),
        len(stray_voids),
    )


def _repeats(p: Piece, s: Survey) -> bool:
    around = next(q for q in s.pieces if q.index == p.inside[0])
    return 2 * (around.volume - p.volume) < DOUBLED_M * (around.area + p.area)


def _depth(p: Piece, repeated: set[int]) -> int:
    return sum(1 for q in p.inside if q not in repeated)


def _seen(s: Survey, outer_m3: float, inner_m3: float, inner: int, rims: int) -> tuple[SkinKind, str]:
    if rims:
        sizes = ", ".join(f"{area_words(c.area)}" for c in s.mouths[:4])
        return SkinKind.OPEN, f"The surface is open on {many(rims, 'rim')}: {sizes}."
    closed = "The surface is closed" if s.mended.closed else "The surface is closed but for holes of the scan"
    if outer_m3 > 0 and inner_m3 >= VOID_SHARE * outer_m3:
        return (
            SkinKind.BOTH_FACES,
            f"{closed} and holds {many(inner, 'closed inner surface')} of {inner_m3 / outer_m3:.0%} of its volume.",
        )
    if inner:
        return (
            SkinKind.OUTSIDE,
            f"{closed}; {many(inner, 'inner surface')} of only {inner_m3 / outer_m3:.2%} of its volume "
            "is taken for debris.",
        )
    return SkinKind.OUTSIDE, f"{closed} and holds no inner surface."


def _cannot_be(kind: SkinKind, asked: SkinKind | None, rims: int, inner: int) -> tuple[Finding, ...]:
    if asked is None:
        return ()
    if kind is SkinKind.BOTH_FACES and not inner:
        return (refusal(Code.NO_INNER_SURFACE),)
    if kind is SkinKind.OPEN and not rims:
        return (refusal(Code.NO_RIM),)
    if kind is not SkinKind.OPEN and rims:
        return (refusal(Code.OPEN_ON_RIMS, asked=kind.value, rims=float(rims)),)
    return ()
