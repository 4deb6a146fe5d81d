"""Edges, pieces, winding and nesting of a triangle mesh, as array operations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components


@dataclass(frozen=True, eq=False)
class Edges:
    """Edges of a mesh of m faces and how many faces meet at each."""

    ends: np.ndarray  # (e, 2) vertex indices, low first
    of_face: np.ndarray  # (m, 3) edge index of sides 0-1, 1-2, 2-0
    count: np.ndarray  # (e,) faces at the edge

    @property
    def border(self) -> np.ndarray:
        """(e,) bool: edges with one face only."""
        return self.count == 1

    @property
    def crowded(self) -> np.ndarray:
        """(e,) bool: edges where more than two faces meet."""
        return self.count > 2


def edges_of(faces: np.ndarray) -> Edges:
    """Edges of ``faces`` (m, 3)."""
    half = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    low, high = half.min(axis=1), half.max(axis=1)
    key = low * (int(faces.max(initial=0)) + 1) + high
    _, first, inverse, count = np.unique(key, return_index=True, return_inverse=True, return_counts=True)
    ends = np.stack([low[first], high[first]], axis=1)
    return Edges(ends, inverse.reshape(-1, 3), count)


def face_pairs(edges: Edges) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Faces that share an edge of exactly two faces.

    Returns ``(left, right, edge)``, each (p,): face, face, edge index, ordered by edge.
    """
    flat = edges.of_face.ravel()
    order = np.argsort(flat, kind="stable")
    order = order[edges.count[flat[order]] == 2]
    left, right = order[0::2], order[1::2]
    return left // 3, right // 3, flat[left]


def pieces_of(edges: Edges) -> tuple[int, np.ndarray]:
    """Connected pieces over shared edges of any count: ``(number, label of each face (m,))``."""
    m = len(edges.of_face)
    flat = edges.of_face.ravel()
    face = np.repeat(np.arange(m), 3)
    graph = coo_matrix((np.ones(len(flat), np.int8), (face, m + flat)), shape=(m + len(edges.count),) * 2)
    label = connected_components(graph, directed=False)[1][:m]
    _, label = np.unique(label, return_inverse=True)
    return int(label.max(initial=-1)) + 1, label


def wind_alike(faces: np.ndarray, edges: Edges) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Which faces to turn so that neighbours over two-face edges wind alike, turning as few as possible a patch.

    Works on the double cover of the faces (each face once as it is and once turned): neighbours are joined
    with the copies that wind alike, and a patch whose two copies hang together has one side only.

    Returns
    -------
    turn : (m,) bool
    patch : (m,) int
        Label of faces joined over two-face edges.
    one_sided : (m,) bool
        Faces of patches that cannot be wound alike (Moebius-like); they are left as they are.
    """
    m = len(faces)
    left, right, edge = face_pairs(edges)
    same = _runs_low_to_high(faces, edges, left, edge) == _runs_low_to_high(faces, edges, right, edge)
    odd = same.astype(np.int64)  # two neighbours that run along their edge the same way are wound differently
    a = np.concatenate([left, left + m])
    b = np.concatenate([right + m * odd, right + m * (1 - odd)])
    graph = coo_matrix((np.ones(len(a), np.int8), (a, b)), shape=(2 * m, 2 * m))
    _, label = connected_components(graph, directed=False)
    kept, turned = label[:m], label[m:]
    one_sided = kept == turned
    _, patch = np.unique(np.minimum(kept, turned), return_inverse=True)
    # of the two copies of a patch take the one with fewer turned faces
    in_low = kept <= turned
    votes = np.bincount(patch, weights=np.where(in_low, 1.0, -1.0))
    turn = np.where(votes[patch] >= 0, ~in_low, in_low) & ~one_sided
    return turn, patch, one_sided


def _runs_low_to_high(faces: np.ndarray, edges: Edges, face: np.ndarray, edge: np.ndarray) -> np.ndarray:
    side = (edges.of_face[face] == edge[:, None]).argmax(axis=1)
    return faces[face, side] < faces[face, (side + 1) % 3]


def corner_vectors(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Twice the area vector of each face, (m, 3)."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return np.cross(b - a, c - a)


def areas(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Area of each face, (m,)."""
    return 0.5 * np.linalg.norm(corner_vectors(vertices, faces), axis=1)


def cone_volumes(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Signed volume of the cone from the middle of the box to each face, (m,); sums to the enclosed volume."""
    middle = 0.5 * (vertices.min(axis=0) + vertices.max(axis=0))
    a, b, c = (vertices[faces[:, k]] - middle for k in range(3))
    return np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0


def winding_number(points: np.ndarray, vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """How often the faces (m, 3) wrap around each of ``points`` (k, 3): 1 inside a closed outward surface, 0 outside.

    Sum of the signed solid angles of the triangles by the formula of A. van Oosterom and J. Strackee, IEEE
    Transactions on Biomedical Engineering BME-30 (1983) 125-126. Cost k m; fractional for open surfaces.
    """
    out = np.empty(len(points))
    corners = vertices[faces]
    for i, point in enumerate(points):
        total = 0.0
        for start in range(0, len(faces), 262_144):
            r = corners[start : start + 262_144] - point
            n = np.linalg.norm(r, axis=2)
            a, b, c = r[:, 0], r[:, 1], r[:, 2]
            top = np.einsum("ij,ij->i", a, np.cross(b, c))
            dot = (np.einsum("ij,ij->i", p, q) for p, q in ((a, b), (b, c), (c, a)))
            ab, bc, ca = dot
            bottom = n[:, 0] * n[:, 1] * n[:, 2] + ab * n[:, 2] + bc * n[:, 0] + ca * n[:, 1]
            total += float(np.arctan2(top, bottom).sum())
        out[i] = total / (2.0 * np.pi)
    return out
