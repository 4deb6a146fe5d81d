"""From a shell file to a `Skin`, or to a report that says why not."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from pourwright.errors import ShellError
from pourwright.findings import Code, finding
from pourwright.progress import Progress, silent
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell.gauge import NO_LOCAL_WALLS, LocalWalls, check_gauge_on_piece
from pourwright.shell.regions import check_regions_on_piece
from pourwright.shell.skin import MeshFinding, Skin, SkinKind, SkinMaterial, WallBand
from pourwright.shell.study import ShellReport, fixed, study
from pourwright.shell.wall import check_bands, check_bands_on_piece
from pourwright.shell.words import joined


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
    report, name = found.report, found.report.source
    if found.refusals:
        raise ShellError(f"{name}: {joined(found.refusals)}")
    findings = report.findings
    if report.kind is SkinKind.BOTH_FACES:
        if ordered:
            findings = (*findings, MeshFinding(finding(Code.WALL_NOT_USED)))
        ordered, regions, gauge = (), (), None
    elif not ordered:
        raise ShellError(f"{name} shows only the outside face ({report.kind.value}): give the wall thickness.")
    else:
        extents = np.ptp(found.vertices_m, axis=0)
        check_bands_on_piece(ordered, float(extents[2]), float(extents.min()))
        check_gauge_on_piece(gauge, found.vertices_m)
        check_regions_on_piece(regions, found.vertices_m)
    return Skin(
        source=name,
        sha256=report.sha256,
        unit=report.unit,
        kind=report.kind,
        kind_reason=report.kind_reason,
        vertices_m=fixed(found.vertices_m, np.float64),
        faces=fixed(found.faces, np.int64),
        cap_opening=fixed(found.opening, np.int32),
        void_face=fixed(found.void, np.bool_),
        openings=report.openings,
        bands=ordered,
        material=material,
        triangles=report.triangles,
        watertight=report.closed,
        area_m2=report.area_m2,
        enclosed_m3=report.enclosed_m3,
        findings=findings,
        clean=report.clean,
        volume_doubt_m3=report.volume_doubt_m3,
        trust=report.trust,
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
    return study(Path(path), unit, kind, None, silent, memory_bytes).report
