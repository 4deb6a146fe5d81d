"""What the mesh check has to say, in words with numbers and places."""

from __future__ import annotations

import numpy as np

from pourwright.shell.doubt import NOTHING, REFUSED, Doubt
from pourwright.shell.kind import Decision, many
from pourwright.shell.rims import FLAT_SILENT, FLAT_WARN, Closure
from pourwright.shell.scale import length_words
from pourwright.shell.skin import MeshFinding
from pourwright.shell.survey import Survey
from pourwright.shell.unite import United

SHOWN = 200
"""Places a finding keeps for a picture."""


def places(points: np.ndarray) -> tuple[tuple[float, float, float], ...]:
    """Some of ``points`` (k, 3), evenly picked."""
    pick = (
        points[np.unique(np.linspace(0, len(points) - 1, min(SHOWN, len(points))).astype(int))] if len(points) else []
    )
    return tuple((float(x), float(y), float(z)) for x, y, z in pick)


def spot(point: np.ndarray) -> str:
    """A point in the file's axes for a message."""
    x, y, z = (f"{c:.3g}" for c in point)
    return f"x {x}, y {y}, z {z} m"


def around(points: np.ndarray, diagonal: float) -> str:
    """Where most of ``points`` (k, 3) are."""
    middle = np.median(points, axis=0)
    far = float(np.median(np.linalg.norm(points - middle, axis=1)))
    return "all over the piece" if far > 0.15 * diagonal else f"near {spot(middle)}"


def findings_of(s: Survey, decision: Decision, united: United, doubt: Doubt) -> list[MeshFinding]:
    """Everything the survey saw, refusals last."""
    out = [*_mended(s), *_bodies(s, decision, united, doubt), *_borders(s)]
    lost = len(s.mended.one_sided)
    if lost:
        words = (
            f"{lost} triangles {around(s.mended.one_sided, s.diagonal)} belong to a surface with only one side, "
            "which has no inside: cut or rebuild it there."
        )
        out.append(MeshFinding("refusal", "one-sided surface", words, places(s.mended.one_sided)))
    if s.stray:
        words = f"{s.stray} border edges form no closed loop, so the surface cannot be closed there: mend it."
        out.append(MeshFinding("refusal", "broken border", words))
    if decision.refusal:
        out.append(MeshFinding("refusal", "no cavity", decision.refusal))
    elif doubt.enclosed_m3 <= 0 or doubt.doubt_m3 > REFUSED * doubt.enclosed_m3:
        words = (
            f"What is inside cannot be told well enough: {doubt.doubt_m3:.3g} m3 of {doubt.enclosed_m3:.3g} m3 are in "
            f"doubt and at most {REFUSED:.0%} may be: mend the mesh."
        )
        out.append(MeshFinding("refusal", "inside in doubt", words))
    return out


def _mended(s: Survey) -> list[MeshFinding]:
    out = []
    m, all_faces = s.mended, len(s.mended.faces)
    if len(m.flipped):
        words = (
            f"{len(m.flipped)} of {all_faces} triangles, {around(m.flipped, s.diagonal)}, faced the other way than "
            "their neighbours and were turned."
        )
        out.append(MeshFinding("warning", "flipped triangles", words, places(m.flipped)))
    if len(m.crowded):
        words = (
            f"{len(m.crowded)} edges {around(m.crowded, s.diagonal)} join more than two triangles; the surfaces that "
            "meet there were parted."
        )
        out.append(MeshFinding("warning", "crowded edges", words, places(m.crowded)))
    if m.scrap_pieces:
        words = f"{many(m.scrap_pieces, 'open scrap')} of {m.scraps_area:.2g} m2 in all were dropped."
        out.append(MeshFinding("note", "loose scraps", words, places(m.scraps)))
    if len(s.sheets):
        words = (
            f"{len(s.sheets)} triangles of open sheets ({s.sheets_area:.3g} m2, "
            f"{around(s.sheets, s.diagonal)}) were left out; a partition or fin that is really there must be drawn "
            "with thickness."
        )
        out.append(MeshFinding("warning", "open sheets", words, places(s.sheets)))
    return out


def _bodies(s: Survey, decision: Decision, united: United, doubt: Doubt) -> list[MeshFinding]:
    out = []
    outer = sum(1 for p in s.pieces if p.depth == 0) - decision.stray_voids
    if united.bodies and united.shared_m3 <= NOTHING * doubt.enclosed_m3:
        words = f"{united.bodies} bodies that touch were made one."
        out.append(MeshFinding("note", "touching bodies", words))
    elif united.bodies:
        words = (
            f"{united.bodies} bodies overlapped by {united.shared_m3:.3g} m3 and were cut into one; "
            "their walls inside each other are gone."
        )
        out.append(MeshFinding("warning", "overlapping bodies", words))
    if united.failed:
        words = f"{united.failed} bodies overlap and could not be cut into one; each spot counts once."
        out.append(MeshFinding("warning", "overlapping bodies", words))
    if outer > 1:
        out.append(MeshFinding("warning", "several bodies", f"The mesh has {outer} separate outer bodies."))
    if decision.doubled:
        words = f"{many(decision.doubled, 'surface')} only repeated the outer one and was left out."
        out.append(MeshFinding("warning", "doubled surface", words))
    if decision.stray_voids:
        words = f"{many(decision.stray_voids, 'loose stray_void')} of next to no volume beside the piece were left out."
        out.append(MeshFinding("note", "loose stray voids", words))
    left = len(decision.dropped_pieces) - decision.doubled - decision.stray_voids
    if left > 0:
        words = f"{many(left, 'inner body')} holding {decision.dropped_m3:.3g} m3 were left out as debris."
        out.append(MeshFinding("warning", "inner bodies", words.replace("bodys", "bodies")))
    if doubt.again_m3:
        words = f"The surface overlaps itself by {doubt.again_m3:.3g} m3 around {spot(doubt.again_at)}; it counts once."
        out.append(MeshFinding("warning", "overlapping surface", words, places(doubt.again_at[None])))
    if doubt.inverted_m3:
        words = f"{doubt.inverted_m3:.3g} m3 around {spot(doubt.inverted_at)} are inside out; they count as inside."
        out.append(MeshFinding("warning", "inverted surface", words, places(doubt.inverted_at[None])))
    return out


def _borders(s: Survey) -> list[MeshFinding]:
    out = []
    if s.holes:
        area = sum(c.area for c in s.holes)
        largest = max((loop for c in s.holes for loop in c.loops), key=lambda loop: loop.span)
        words = (
            f"{many(len(s.holes), 'hole')} of the scan, {area:.3g} m2 in all, the largest "
            f"{length_words(largest.span)} across near {spot(largest.middle)}, closed flat: too small or ragged "
            "to be rims."
        )
        out.append(MeshFinding("warning", "holes", words, places(np.array([c.centroid for c in s.holes]))))
    if s.hidden:
        words = f"{many(len(s.hidden), 'open end')} that lay inside another body were closed."
        out.append(MeshFinding("note", "hidden ends", words, places(np.array([c.centroid for c in s.hidden]))))
    return out + [f for number, c in enumerate(s.mouths, start=1) for f in _uneven(number, c)]


def _uneven(number: int, c: Closure) -> list[MeshFinding]:
    if c.uneven <= FLAT_SILENT:
        return []
    words = (
        f"The rim of opening {number} ({length_words(c.loops[0].span)} across) is out of flat by "
        f"{length_words(max(loop.rough for loop in c.loops))}, {c.uneven:.0%} of its width"
    )
    at = places(c.loops[0].points)
    if c.uneven > FLAT_WARN:
        return [MeshFinding("refusal", "uneven rim", f"{words}; up to {FLAT_WARN:.0%} can be capped: cut it flat.", at)]
    return [MeshFinding("warning", "uneven rim", f"{words}: its cap is only near the true mouth.", at)]
