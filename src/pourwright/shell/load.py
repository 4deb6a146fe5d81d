"""From a shell file to a `Skin`, or to a report that says why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pourwright.errors import ShellError
from pourwright.progress import Progress, silent
from pourwright.shell.kind import Decision, decide_kind
from pourwright.shell.read import RawShell, read_shell
from pourwright.shell.scale import METRES, check_size, length_words, unit_of
from pourwright.shell.skin import Finding, Opening, Skin, SkinKind, SkinMaterial, WallBand
from pourwright.shell.survey import Survey, survey
from pourwright.shell.tidy import tidy
from pourwright.shell.topology import areas
from pourwright.shell.wall import check_bands, check_bands_on_piece


@dataclass(frozen=True, eq=False)
class ShellReport:
    """What a shell file holds and whether it can be planned. SI; arrays read-only."""

    source: str
    sha256: str
    unit: str
    triangles: int  # in the file
    bodies: int  # meshes in the file
    pieces: int  # connected surfaces after welding and dropping litter
    closed: bool  # before any capping
    low_m: np.ndarray  # (3,) extents in the file's axes
    high_m: np.ndarray  # (3,)
    area_m2: float  # without caps
    enclosed_m3: float  # by the outside face
    kind: SkinKind
    kind_reason: str
    openings: tuple[Opening, ...]
    findings: tuple[Finding, ...]
    can_plan: bool
    reasons: tuple[str, ...]  # why not; empty when it can


@dataclass(frozen=True, eq=False)
class _Study:
    raw: RawShell
    unit: str
    survey: Survey
    decision: Decision
    faces: np.ndarray
    cap_opening: np.ndarray
    void_face: np.ndarray
    area_m2: float
    enclosed_m3: float
    findings: tuple[Finding, ...]

    @property
    def refusals(self) -> tuple[str, ...]:
        return tuple(f.words for f in self.findings if f.severity == "refusal")


def load_skin(
    path: Path | str,
    *,
    unit: str | None = None,
    material: SkinMaterial,
    bands: Sequence[WallBand] = (),
    kind: SkinKind | None = None,
    progress: Progress = silent,
) -> Skin:
    """The skin in a shell file.

    Parameters
    ----------
    path : path
        STL, OBJ, PLY, GLB, glTF, 3MF or OFF file. Its axes are kept as they are in the file; scene transforms
        are applied.
    unit : str, optional
        ``mm``, ``cm``, ``in``, ``ft`` or ``m``. Without it the file's own unit is taken (3MF states one, glTF is
        in metres by its specification).
    material : SkinMaterial
    bands : sequence of WallBand
        Wall thickness [m] by height above the lowest point of the file's z axis; needed unless both faces are drawn.
    kind : SkinKind, optional
        Overrules what the mesh is taken for.
    progress : Progress, optional

    Returns
    -------
    Skin
        Closed, wound outwards, in metres.

    Raises
    ------
    UsageError
        The path or the unit.
    JobError
        The wall.
    ShellError
        The mesh is no shell that can be planned; one sentence a reason.
    """
    ordered = check_bands(bands)
    study = _study(path, unit, kind, max((b.thickness_m for b in ordered), default=None), progress)
    if study.refusals:
        raise ShellError(f"{study.raw.source}: {' '.join(study.refusals)}")
    s, decision = study.survey, study.decision
    if decision.kind is SkinKind.BOTH_FACES:
        ordered = ()
    elif not ordered:
        raise ShellError(
            f"{study.raw.source} shows only the outside face ({decision.kind.value}): give the wall thickness."
        )
    else:
        extents = np.ptp(s.vertices, axis=0)
        check_bands_on_piece(ordered, float(extents[2]), float(extents.min()))
    return Skin(
        source=study.raw.source,
        sha256=study.raw.sha256,
        unit=study.unit,
        kind=decision.kind,
        kind_reason=decision.reason,
        vertices_m=_fixed(s.vertices, np.float64),
        faces=_fixed(study.faces, np.int64),
        cap_opening=_fixed(study.cap_opening, np.int32),
        void_face=_fixed(study.void_face, np.bool_),
        openings=s.caps.openings,
        bands=ordered,
        material=material,
        triangles=len(study.raw.faces),
        watertight=s.closed,
        area_m2=study.area_m2,
        enclosed_m3=study.enclosed_m3,
        findings=study.findings,
    )


def shell_report(path: Path | str, unit: str | None = None, kind: SkinKind | None = None) -> ShellReport:
    """What is in a shell file; never raises for a mesh that was read, however bad it is.

    Raises
    ------
    UsageError
        The path, or a unit that is needed and missing.
    ShellError
        The file holds no triangles that can be read.
    """
    study = _study(path, unit, kind, None, silent)
    s = study.survey
    return ShellReport(
        source=study.raw.source,
        sha256=study.raw.sha256,
        unit=study.unit,
        triangles=len(study.raw.faces),
        bodies=study.raw.bodies,
        pieces=len(s.pieces),
        closed=s.closed,
        low_m=_fixed(s.vertices.min(axis=0), np.float64),
        high_m=_fixed(s.vertices.max(axis=0), np.float64),
        area_m2=study.area_m2,
        enclosed_m3=study.enclosed_m3,
        kind=study.decision.kind,
        kind_reason=study.decision.reason,
        openings=s.caps.openings,
        findings=study.findings,
        can_plan=not study.refusals,
        reasons=study.refusals,
    )


def _study(path: Path | str, unit: str | None, kind: SkinKind | None, wall_m: float | None, tell: Progress) -> _Study:
    tell("reading the shell", 0.0)
    raw = read_shell(path)
    low, high = raw.vertices[raw.faces].min(axis=(0, 1)), raw.vertices[raw.faces].max(axis=(0, 1))
    unit = unit_of(raw.source, raw.unit, unit, low, high)
    scale = METRES[unit]
    check_size(raw.source, unit, low * scale, high * scale)
    tell("reading the shell", 0.4)
    vertices, faces, findings = tidy(raw.vertices * scale, raw.faces)
    if not len(faces) or not areas(vertices, faces).sum() > 1e-9 * ((high - low).max() * scale) ** 2:
        raise ShellError(f"{raw.source} holds no triangle with an area: export the surface of the shell.")
    tell("reading the shell", 0.6)
    s = survey(vertices, faces)
    tell("reading the shell", 0.9)
    decision = decide_kind(s, kind, wall_m)
    if raw.unit is not None and raw.unit != unit:
        findings.append(
            Finding("warning", "unit", f"The file is in {raw.unit} by its own word; it is read in {unit} as asked.")
        )
    if Path(path).suffix.lower() in {".glb", ".gltf"}:
        words = "glTF pieces stand along y by their specification; the file's axes are kept, so up is y unless turned."
        findings.append(Finding("note", "axes", words))
    findings += _said(s, decision)
    keep = ~np.isin(s.piece, decision.dropped_pieces)
    faces = s.faces[keep]
    void = np.isin(s.piece, decision.void_pieces)[keep]
    area = sum(p.area for p in s.pieces if p.depth == 0)
    enclosed = sum(p.volume for p in s.pieces if p.depth == 0)
    tell("reading the shell", 1.0)
    return _Study(raw, unit, s, decision, faces, s.opening[keep], void, float(area), float(enclosed), tuple(findings))


def _said(s: Survey, decision: Decision) -> list[Finding]:
    out = list(s.findings)
    if s.turned:
        words = f"{s.turned} of {len(s.faces)} triangles faced the other way than their neighbours and were turned."
        out.append(Finding("warning", "flipped triangles", words))
    if s.caps.holes:
        words = (
            f"{s.caps.holes} holes of the scan, {s.caps.holes_area:.3g} m2 in all, the largest "
            f"{length_words(s.caps.largest_hole)} across, were closed flat; too small or ragged to be rims."
        )
        out.append(Finding("warning", "holes", words))
    if s.crowded:
        words = f"{s.crowded} edges join more than two triangles: the inside is not certain there."
        out.append(Finding("warning", "crowded edges", words))
    outer = sum(1 for p in s.pieces if p.depth == 0)
    if outer > 1:
        out.append(Finding("warning", "several bodies", f"The mesh has {outer} separate outer surfaces."))
    if decision.dropped_m3 > 0:
        words = f"{len(decision.dropped_pieces)} inner surfaces holding {decision.dropped_m3:.3g} m3 were left out."
        out.append(Finding("warning", "inner surfaces", words))
    if s.one_sided:
        words = f"{s.one_sided} triangles belong to a surface with only one side, which has no inside."
        out.append(Finding("refusal", "one-sided surface", words))
    if s.stray:
        words = f"{s.stray} border edges form no closed loop, so the surface cannot be closed there."
        out.append(Finding("refusal", "broken border", words))
    out += s.caps.refusals
    if decision.refusal:
        out.append(Finding("refusal", "no cavity", decision.refusal))
    return out


def _fixed(array: np.ndarray, dtype: type) -> np.ndarray:
    out: np.ndarray = np.array(array, dtype=dtype)
    out.setflags(write=False)
    return out
