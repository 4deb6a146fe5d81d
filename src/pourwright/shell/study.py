"""The way from a file to a surveyed, mended, decided mesh; `load_skin` and `shell_report` both go it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pourwright.errors import ShellError
from pourwright.findings import Code, Finding, Severity, finding, note
from pourwright.kept import kept
from pourwright.progress import Progress
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell.scale import METRES, check_size, unit_of
from pourwright.shell.skin import MeshFinding, Opening, SkinKind
from pourwright.shell.words import sentence


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


@dataclass(frozen=True, eq=False)
class Study:
    """What is asked of a shell file once it was read, surveyed and decided on: kept, and read back without all that."""

    report: ShellReport
    vertices_m: np.ndarray  # (n, 3) of the skin's faces
    faces: np.ndarray  # (m, 3)
    opening: np.ndarray  # (m,) -1 off the caps
    void: np.ndarray  # (m,) bool

    @property
    def refusals(self) -> tuple[Finding, ...]:
        """Why it cannot be planned."""
        return tuple(f.found for f in self.report.findings if f.severity == Severity.REFUSAL)


@kept
@np.errstate(over="ignore", invalid="ignore", divide="ignore")  # wild numbers are caught by their size
def study(
    path: Path,
    unit: str | None,
    kind: SkinKind | None,
    wall_m: float | None,
    tell: Progress,
    memory_bytes: int = MEMORY_BYTES,
) -> Study:
    """Read, weld, mend and survey a shell file, and decide its kind."""
    from pourwright.shell.compose import compose, settle
    from pourwright.shell.doubt import doubt_of
    from pourwright.shell.findings import findings_of
    from pourwright.shell.kind import decide_kind
    from pourwright.shell.read import read_shell
    from pourwright.shell.survey import survey
    from pourwright.shell.tidy import tidy
    from pourwright.shell.topology import areas, box_of
    from pourwright.shell.unite import unite

    step = "reading the shell"
    tell(step, 0.0)
    raw = read_shell(path, memory_bytes)
    used = raw.vertices[np.unique(raw.faces)]
    low, high = box_of(used)
    unit = unit_of(raw.source, raw.unit, unit, low, high)
    scale = METRES[unit]
    check_size(raw.source, unit, low * scale, high * scale)
    tell(step, 0.4)
    try:
        vertices, faces, findings = tidy(raw.vertices * scale, raw.faces)
    except ShellError as error:
        raise ShellError(f"{raw.source}: {error}") from None
    if not len(faces) or not areas(vertices, faces).sum() > 1e-9 * (float((high - low).max()) * scale) ** 2:
        raise ShellError(f"{raw.source} holds no triangle with an area: export the surface of the shell.")
    tell(step, 0.6)
    try:
        surveyed = survey(vertices, faces)
    except ShellError as error:
        raise ShellError(f"{raw.source}: {error}") from None
    s, united = unite(surveyed)
    tell(step, 0.8)
    decision, vessel = settle(s, decide_kind(s, kind), kind, wall_m)
    skin = compose(s, decision, vessel)
    doubt = doubt_of(s, skin.faces[~skin.void], skin.closures, decision.dropped_m3)
    if raw.unit is not None and raw.unit != unit:
        findings.append(MeshFinding(finding(Code.OTHER_UNIT, stated=raw.unit, asked=unit)))
    if Path(path).suffix.lower() in {".glb", ".gltf"}:
        findings.append(MeshFinding(note(Code.AXES_KEPT)))
    findings += findings_of(s, decision, united, doubt)
    tell(step, 1.0)
    reasons = tuple(sentence(one.found) for one in findings if one.severity == Severity.REFUSAL)
    report = ShellReport(
        source=raw.source, sha256=raw.sha256, unit=unit, triangles=len(raw.faces), bodies=raw.bodies,
        pieces=len(s.pieces), closed=s.mended.closed, low_m=fixed(s.vertices.min(axis=0), np.float64),
        high_m=fixed(s.vertices.max(axis=0), np.float64), area_m2=skin.area_m2, enclosed_m3=doubt.enclosed_m3,
        kind=decision.kind, kind_reason=decision.reason, openings=skin.openings, findings=tuple(findings),
        can_plan=not reasons, reasons=reasons, clean=doubt.clean, volume_doubt_m3=doubt.doubt_m3, trust=doubt.trust,
    )  # fmt: skip
    corners, own = np.unique(skin.faces, return_inverse=True)
    return Study(report, s.vertices[corners], own.reshape(-1, 3), skin.opening, skin.void)


def fixed(array: np.ndarray, dtype: type) -> np.ndarray:
    """A read-only copy of an array."""
    out: np.ndarray = np.array(array, dtype=dtype)
    out.setflags(write=False)
    return out
