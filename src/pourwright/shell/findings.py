"""What the mesh check has to say, as codes with numbers and places; sentences are made in `shell.words`."""

from __future__ import annotations

import numpy as np

from pourwright.findings import Code, finding, note, refusal
from pourwright.shell.doubt import NOTHING, REFUSED, Doubt
from pourwright.shell.kind import Decision
from pourwright.shell.rims import FLAT_SILENT, FLAT_WARN, Closure
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


def spot(point: np.ndarray) -> tuple[float, ...]:
    """A point (3,) as a value of a finding."""
    return tuple(float(c) for c in point)


def around(points: np.ndarray, diagonal: float) -> tuple[float, ...]:
    """The middle of ``points`` (k, 3), nothing where they are all over the piece."""
    middle = np.median(points, axis=0)
    far = float(np.median(np.linalg.norm(points - middle, axis=1)))
    return () if far > 0.15 * diagonal else spot(middle)


def findings_of(s: Survey, decision: Decision, united: United, doubt: Doubt) -> list[MeshFinding]:
    """Everything the survey saw, refusals last."""
    out = [*_mended(s), *_bodies(s, decision, united, doubt), *_borders(s)]
    lost = s.mended.one_sided
    if len(lost):
        found = refusal(Code.ONE_SIDED, count=float(len(lost)), near_m=around(lost, s.diagonal))
        out.append(MeshFinding(found, places(lost)))
    if s.stray:
        out.append(MeshFinding(refusal(Code.BROKEN_BORDER, edges=float(s.stray))))
    if decision.refusals:
        out += [MeshFinding(found) for found in decision.refusals]
    elif doubt.enclosed_m3 <= 0 or doubt.doubt_m3 > REFUSED * doubt.enclosed_m3:
        found = refusal(Code.INSIDE_IN_DOUBT, doubt_m3=doubt.doubt_m3, enclosed_m3=doubt.enclosed_m3, most=REFUSED)
        out.append(MeshFinding(found))
    return out


def _mended(s: Survey) -> list[MeshFinding]:
    out = []
    m = s.mended
    if len(m.flipped):
        found = finding(
            Code.FLIPPED_TRIANGLES,
            count=float(len(m.flipped)),
            of=float(len(m.faces)),
            near_m=around(m.flipped, s.diagonal),
        )
        out.append(MeshFinding(found, places(m.flipped)))
    if len(m.crowded):
        found = finding(Code.CROWDED_EDGES, count=float(len(m.crowded)), near_m=around(m.crowded, s.diagonal))
        out.append(MeshFinding(found, places(m.crowded)))
    if m.scrap_pieces:
        found = note(Code.LOOSE_SCRAPS, count=float(m.scrap_pieces), area_m2=m.scraps_area)
        out.append(MeshFinding(found, places(m.scraps)))
    if len(s.sheets):
        found = finding(
            Code.OPEN_SHEETS,
            count=float(len(s.sheets)),
            area_m2=s.sheets_area,
            near_m=around(s.sheets, s.diagonal),
        )
        out.append(MeshFinding(found, places(s.sheets)))
    return out


def _bodies(s: Survey, decision: Decision, united: United, doubt: Doubt) -> list[MeshFinding]:
    found = []
    outer = sum(1 for p in s.pieces if p.depth == 0) - decision.stray_voids
    if united.bodies and united.shared_m3 <= NOTHING * doubt.enclosed_m3:
        found.append(note(Code.TOUCHING_BODIES, count=float(united.bodies)))
    elif united.bodies:
        found.append(finding(Code.OVERLAPPING_BODIES, count=float(united.bodies), shared_m3=united.shared_m3))
    if united.failed:
        found.append(finding(Code.BODIES_NOT_CUT, count=float(united.failed)))
    if outer > 1:
        found.append(finding(Code.SEVERAL_BODIES, count=float(outer)))
    if decision.doubled:
        found.append(finding(Code.DOUBLED_SURFACE, count=float(decision.doubled)))
    if decision.stray_voids:
        found.append(note(Code.STRAY_BODIES, count=float(decision.stray_voids)))
    left = len(decision.dropped_pieces) - decision.doubled - decision.stray_voids
    if left > 0:
        found.append(finding(Code.INNER_BODIES, count=float(left), volume_m3=decision.dropped_m3))
    out = [MeshFinding(one) for one in found]
    for code, volume_m3, at in (
        (Code.OVERLAPPING_SURFACE, doubt.again_m3, doubt.again_at),
        (Code.INVERTED_SURFACE, doubt.inverted_m3, doubt.inverted_at),
    ):
        if volume_m3:
            out.append(MeshFinding(finding(code, volume_m3=volume_m3, at_m=spot(at)), places(at[None])))
    return out


def _borders(s: Survey) -> list[MeshFinding]:
    out = []
    if s.holes:
        largest = max((loop for c in s.holes for loop in c.loops), key=lambda loop: loop.span)
        found = finding(
            Code.HOLES,
            count=float(len(s.holes)),
            area_m2=sum(c.area for c in s.holes),
            largest_m=largest.span,
            at_m=spot(largest.middle),
        )
        out.append(MeshFinding(found, places(np.array([c.centroid for c in s.holes]))))
    if s.hidden:
        found = note(Code.HIDDEN_ENDS, count=float(len(s.hidden)))
        out.append(MeshFinding(found, places(np.array([c.centroid for c in s.hidden]))))
    return out + [f for number, c in enumerate(s.mouths, start=1) for f in _uneven(number, c)]


def _uneven(number: int, c: Closure) -> list[MeshFinding]:
    if c.uneven <= FLAT_SILENT:
        return []
    name, rim = (
        f"opening {number}",
        {
            "across_m": c.loops[0].span,
            "out_m": max(loop.rough for loop in c.loops),
            "share": c.uneven,
        },
    )
    if c.uneven > FLAT_WARN:
        found = refusal(Code.RIM_TOO_UNEVEN, name, most=FLAT_WARN, **rim)
    else:
        found = finding(Code.UNEVEN_RIM, name, **rim)
    return [MeshFinding(found, places(c.loops[0].points))]
