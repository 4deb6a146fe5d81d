"""From a shell file to a `Skin`, or to a report that says why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pourwright.errors import ShellError
from pourwright.findings import Code, finding
from pourwright.progress import Progress, silent
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell.gauge import NO_LOCAL_WALLS, LocalWalls, check_gauge_on_piece
from pourwright.shell.regions import check_regions_on_piece
from pourwright.shell.skin import MeshFinding, Opening, Skin, SkinKind, SkinMaterial, WallBand
from pourwright.shell.study import study
from pourwright.shell.wall import check_bands, check_bands_on_piece
from pourwright.shell.words import joined, sentence


@dataclass(frozen=True, eq=False)
class ShellReport:
    """What a shell file holds and whether it can be planned. SI; arrays read-only."""

    source: str
    sha256: str
    unit: str
    triangles: int  # in the file
    bodies: int  # meshes in the file
    pieces: int  # connected surfaces after mending
    closed: bool  # before any capping
    low_m: np.ndarray  # (3,) extents in the file's axes
    high_m: np.ndarray  # (3,)
    area_m2: float  # outside face without caps
    enclosed_m3: float  # by the outside face
    kind: SkinKind
    kind_reason: str
    openings: tuple[Opening, ...]
    findings: tuple[MeshFinding, ...]
    can_plan: bool
    reasons: tuple[str, ...]  # why not; empty when it can
    clean: bool = True
    volume_doubt_m3: float = 0.0
    trust: float = 1.0  # share of the enclosed volume that is certain


def load_skin(
    path: Path | str,
    *,
    unit: str | None = None,
    material: SkinMaterial,
    bands: Sequence[WallBand] = (),
    local: LocalWalls = NO_LOCAL_WALLS,
    kind: SkinKind | None = None,
    memory_bytes: int = MEMORY_BYTES,
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
    local : LocalWalls, optional
        Walls of their own in boxes, across any direction, or measured in spots.
    kind : SkinKind, optional
        Overrules what the mesh is taken for.
    memory_bytes : int
        What reading and tidying the mesh may take; estimated beforehand, and refused beyond.
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
    regions, gauge = local.regions, local.gauge
    walls = [*(band.thickness_m for band in ordered), *(region.thickness_m for region in regions)]
    thickest = max(walls, default=None)
    if gauge is not None:
        thickest = max(thickest or 0.0, float(gauge.thickness_m.max()))
    found = study(Path(path), unit, kind, thickest, progress, memory_bytes)
    name = found.raw.source
    if found.refusals:
        raise ShellError(f"{name}: {joined(found.refusals)}")
    findings = found.findings
    vertices = found.survey.vertices
    if found.decision.kind is SkinKind.BOTH_FACES:
        if ordered:
            findings = (*findings, MeshFinding(finding(Code.WALL_NOT_USED)))
        ordered, regions, gauge = (), (), None
    elif not ordered:
        raise ShellError(f"{name} shows only the outside face ({found.decision.kind.value}): give the wall thickness.")
    else:
        extents = np.ptp(vertices[np.unique(found.skin.faces)], axis=0)
        check_bands_on_piece(ordered, float(extents[2]), float(extents.min()))
        check_gauge_on_piece(gauge, vertices[np.unique(found.skin.faces)])
        check_regions_on_piece(regions, vertices[np.unique(found.skin.faces)])
    used, faces = np.unique(found.skin.faces, return_inverse=True)
    return Skin(
        source=name,
        sha256=found.raw.sha256,
        unit=found.unit,
        kind=found.decision.kind,
        kind_reason=found.decision.reason,
        vertices_m=_fixed(vertices[used], np.float64),
        faces=_fixed(faces.reshape(-1, 3), np.int64),
        cap_opening=_fixed(found.skin.opening, np.int32),
        void_face=_fixed(found.skin.void, np.bool_),
        openings=found.skin.openings,
        bands=ordered,
        material=material,
        triangles=len(found.raw.faces),
        watertight=found.survey.mended.closed,
        area_m2=found.skin.area_m2,
        enclosed_m3=found.doubt.enclosed_m3,
        findings=findings,
        clean=found.doubt.clean,
        volume_doubt_m3=found.doubt.doubt_m3,
        trust=found.doubt.trust,
        regions=tuple(regions),
        gauge=gauge,
    )


def shell_report(
    path: Path | str, unit: str | None = None, kind: SkinKind | None = None, memory_bytes: int = MEMORY_BYTES
) -> ShellReport:
    """What is in a shell file; never raises for a mesh that was read, however bad it is.

    Raises
    ------
    UsageError
        The path, or a unit that is needed and missing.
    ShellError
        The file holds no triangles that can be read, or more than ``memory_bytes`` are enough for.
    """
    found = study(Path(path), unit, kind, None, silent, memory_bytes)
    vertices = found.survey.vertices
    return ShellReport(
        source=found.raw.source,
        sha256=found.raw.sha256,
        unit=found.unit,
        triangles=len(found.raw.faces),
        bodies=found.raw.bodies,
        pieces=len(found.survey.pieces),
        closed=found.survey.mended.closed,
        low_m=_fixed(vertices.min(axis=0), np.float64),
        high_m=_fixed(vertices.max(axis=0), np.float64),
        area_m2=found.skin.area_m2,
        enclosed_m3=found.doubt.enclosed_m3,
        kind=found.decision.kind,
        kind_reason=found.decision.reason,
        openings=found.skin.openings,
        findings=found.findings,
        can_plan=not found.refusals,
        reasons=tuple(sentence(one) for one in found.refusals),
        clean=found.doubt.clean,
        volume_doubt_m3=found.doubt.doubt_m3,
        trust=found.doubt.trust,
    )


def _fixed(array: np.ndarray, dtype: type) -> np.ndarray:
    out: np.ndarray = np.array(array, dtype=dtype)
    out.setflags(write=False)
    return out
