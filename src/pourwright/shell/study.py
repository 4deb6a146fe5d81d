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
from pourwright.shell.compose import Composed, compose, settle
from pourwright.shell.doubt import Doubt, doubt_of
from pourwright.shell.findings import findings_of
from pourwright.shell.kind import Decision, decide_kind
from pourwright.shell.read import RawShell, read_shell
from pourwright.shell.scale import METRES, check_size, unit_of
from pourwright.shell.skin import MeshFinding, SkinKind
from pourwright.shell.survey import Survey, survey
from pourwright.shell.tidy import tidy
from pourwright.shell.topology import areas, box_of
from pourwright.shell.unite import unite


@dataclass(frozen=True, eq=False)
class Study:
    """Everything known about a shell file."""

    raw: RawShell
    unit: str
    survey: Survey
    decision: Decision
    skin: Composed
    doubt: Doubt
    findings: tuple[MeshFinding, ...]

    @property
    def refusals(self) -> tuple[Finding, ...]:
        """Why it cannot be planned."""
        return tuple(f.found for f in self.findings if f.severity == Severity.REFUSAL)


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
    return Study(raw, unit, s, decision, skin, doubt, tuple(findings))
