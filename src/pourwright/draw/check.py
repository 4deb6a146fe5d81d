"""The picture of a mesh check: the shell as it is in the file, with the places of what was found."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from pourwright.cavity import pour_frame
from pourwright.draw.bodies import body
from pourwright.draw.ink import Pen
from pourwright.draw.labels import Label
from pourwright.draw.lifts import HOLLOW_SHARE, save_whole
from pourwright.draw.paint import NEUTRAL, Colour, Drawing, backdrop, blend
from pourwright.draw.view import FINE, view_of
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell import METRES, MeshFinding, ShellReport, read_shell

FOUND: tuple[Colour, ...] = (
    (233, 142, 32),
    (30, 98, 150),
    (146, 84, 20),
    (116, 183, 205),
    (20, 40, 70),
    (246, 205, 96),
)
"""Ambers and blues in turn, neighbours apart in lightness."""


def draw_check(report: ShellReport, shell: Path, path: Path, memory_bytes: int = MEMORY_BYTES) -> Path:
    """Draw a shell file with every place its report names.

    Parameters
    ----------
    report : ShellReport
        Of ``shell``; its findings carry the places.
    shell : Path
    path : Path
        PNG to write; appears whole or not at all.

    Raises
    ------
    FileError
        The picture cannot be written.
    """
    image = check_picture(report, shell, memory_bytes)
    return save_whole(path, lambda file: image.reduce(FINE).save(file, format="PNG", compress_level=6))


def check_picture(report: ShellReport, shell: Path, memory_bytes: int = MEMORY_BYTES) -> Image.Image:
    """The shell in one grey, places of findings as discs, words at the sides."""
    raw = read_shell(shell, memory_bytes)
    vertices = raw.vertices * METRES[report.unit]
    placed = [finding for finding in report.findings if finding.at_m]
    frame = pour_frame(vertices[np.unique(raw.faces)], np.array([0.0, 0.0, 1.0]), np.array([0.0, -1.0, 0.0]))
    view = view_of(frame, vertices[np.unique(raw.faces)], len(placed))
    made = body(view, vertices, raw.faces)
    drawing = Drawing(view, window=False)
    drawing.add(made)
    hollow_m = HOLLOW_SHARE * float(frame.size_m.max())
    layer = drawing.layer(hollow_m)
    pen = Pen(blend(view, backdrop(view, made), layer, layer, np.array([NEUTRAL, NEUTRAL], float)), view)
    said = "can be planned" if report.can_plan else "cannot be planned"
    pen.header(report.source, f"{said}   ·   {report.triangles} triangles", "")
    labels = []
    for k, finding in enumerate(placed):
        colour = FOUND[k % len(FOUND)]
        seen = view.shell(np.array(finding.at_m))
        for x, y, _ in seen:
            pen.disc((float(x), float(y)), 5.0, colour, (255, 255, 255), 1.5)
        labels.append(_label(finding, seen, colour))
    pen.labels(labels)
    pen.scale_bar()
    pen.legend(
        [(NEUTRAL, "the surface in the file"), *([(FOUND[0], "places found, seen through it")] if placed else [])]
    )
    return pen.image


def _label(finding: MeshFinding, seen: np.ndarray, colour: Colour) -> Label:
    middle = np.median(seen, axis=0)
    nearest = seen[int(np.argmin(((seen - middle)[:, :2] ** 2).sum(axis=1)))]
    shown = "1 place" if len(seen) == 1 else f"{len(seen)} places shown"
    return Label((float(nearest[0]), float(nearest[1])), finding.name, (finding.severity, shown), swatch=colour)
