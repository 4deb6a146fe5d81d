"""What a tidy mesh is made of: its pieces, closed or open, how they nest, their borders."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.shell.rims import Caps, border_loops, cap
from pourwright.shell.skin import Finding
from pourwright.shell.topology import areas, cone_volumes, edges_of, pieces_of, wind_alike, winding_number

CRUMB_SHARE = 1e-3
"""Open loose pieces under this share of the whole area are scan litter."""


@dataclass(frozen=True, eq=False)
class Piece:
    """One connected piece, its holes and rims closed."""

    index: int
    area: float  # without caps
    volume: float  # not negative
    rims: int
    depth: int  # number of other pieces it lies in


@dataclass(frozen=True, eq=False)
class Survey:
    """A mesh wound alike and closed with caps; ``piece``, ``opening`` (m,) by face; ``opening`` -1 off the rims."""

    vertices: np.ndarray
    faces: np.ndarray
    piece: np.ndarray
    opening: np.ndarray
    is_cap: np.ndarray  # rim caps and hole fillings
    pieces: tuple[Piece, ...]
    caps: Caps
    closed: bool  # before capping
    one_sided: int  # faces of patches that have no outside
    stray: int  # border edges that form no loop
    crowded: int  # edges of three and more faces
    turned: int  # faces that were wound against their neighbours
    findings: tuple[Finding, ...]

    @property
    def diagonal(self) -> float:
        """Of the box around it [m]."""
        return float(np.linalg.norm(np.ptp(self.vertices, axis=0)))


def survey(vertices: np.ndarray, faces: np.ndarray) -> Survey:
    """Wind, close and sort a tidy mesh ``vertices`` (n, 3) [m], ``faces`` (m, 3)."""
    findings: list[Finding] = []
    faces, findings = _without_litter(vertices, faces)
    edges = edges_of(faces)
    closed = not edges.border.any()
    turn, _, one_sided = wind_alike(faces, edges)
    faces = np.where(turn[:, None], faces[:, ::-1], faces)
    faces, volumes = _outwards(vertices, faces)
    edges = edges_of(faces)
    diagonal = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    loops, stray = border_loops(vertices, faces, edges)
    caps = cap(vertices, loops, diagonal)
    skin_faces = len(faces)
    faces = np.concatenate([faces, caps.faces])
    is_cap = np.arange(len(faces)) >= skin_faces
    opening = np.concatenate([np.full(skin_faces, -1, np.int32), caps.opening])
    number, piece = pieces_of(edges_of(faces))
    faces, volumes = _outwards(vertices, faces, piece)
    area = np.bincount(piece, weights=np.where(is_cap, 0.0, areas(vertices, faces)), minlength=number)
    depth = _depths(vertices, faces, piece, volumes)
    rims = [len(np.unique(opening[(piece == p) & (opening >= 0)])) for p in range(number)] if len(caps.openings) else []
    pieces = tuple(
        Piece(p, float(area[p]), float(volumes[p]), rims[p] if rims else 0, int(depth[p])) for p in range(number)
    )
    faces = np.where((depth[piece] % 2 == 1)[:, None], faces[:, ::-1], faces)
    return Survey(
        vertices,
        faces,
        piece,
        opening,
        is_cap,
        pieces,
        caps,
        closed,
        int(one_sided.sum()),
        stray,
        int(edges.crowded.sum()),
        int(turn.sum()),
        tuple(findings) + caps.findings,
    )


def _without_litter(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, list[Finding]]:
    edges = edges_of(faces)
    number, piece = pieces_of(edges)
    if number == 1:
        return faces, []
    area = np.bincount(piece, weights=areas(vertices, faces), minlength=number)
    is_open = np.zeros(number, bool)
    is_open[piece[edges.border[edges.of_face].any(axis=1)]] = True
    litter = is_open & (area < CRUMB_SHARE * area.sum())
    if not litter.any():
        return faces, []
    share = area[litter].sum() / area.sum()
    words = f"{int(litter.sum())} open loose pieces with {share:.2%} of the area were dropped."
    return faces[~litter[piece]], [Finding("note" if share < 0.01 else "warning", "loose pieces", words)]


def _outwards(
    vertices: np.ndarray, faces: np.ndarray, piece: np.ndarray | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Turn every piece whose volume is negative; returns the faces and the volume of each piece."""
    if piece is None:
        _, piece = pieces_of(edges_of(faces))
    volume = np.bincount(piece, weights=cone_volumes(vertices, faces))
    return np.where((volume < 0)[piece][:, None], faces[:, ::-1], faces), np.abs(volume)


def _depths(vertices: np.ndarray, faces: np.ndarray, piece: np.ndarray, volumes: np.ndarray) -> np.ndarray:
    """How many other pieces each piece lies in: most of several of its points by winding number."""
    number = len(volumes)
    depth = np.zeros(number, np.int64)
    if number == 1:
        return depth
    order = np.argsort(piece, kind="stable")
    at = np.split(order, np.cumsum(np.bincount(piece, minlength=number))[:-1])
    boxes = [(vertices[faces[f]].min(axis=(0, 1)), vertices[faces[f]].max(axis=(0, 1))) for f in at]
    for inner in range(number):
        points = None
        for outer in range(number):
            if outer == inner or volumes[outer] <= volumes[inner]:
                continue
            if (boxes[inner][0] < boxes[outer][0]).any() or (boxes[inner][1] > boxes[outer][1]).any():
                continue
            if points is None:
                used = np.unique(faces[at[inner]])
                points = vertices[used[np.linspace(0, len(used) - 1, 5).astype(int)]]
            wraps = winding_number(points, vertices, faces[at[outer]])
            depth[inner] += int((wraps > 0.5).sum() >= 3)
    return depth
