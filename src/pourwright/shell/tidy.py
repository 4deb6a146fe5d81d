"""The first cleaning of a mesh, which changes no surface: weld, drop what is no face, drop doubles."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from pourwright.shell.skin import Finding
from pourwright.shell.topology import edges_of

WELD_SHARE = 1e-6
"""Border points nearer than this share of the piece's diagonal are one point."""


def tidy(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[Finding]]:
    """Weld vertices, drop faces without three corners and faces that are there twice.

    Parameters
    ----------
    vertices : (n, 3) ndarray
        Metres.
    faces : (m, 3) ndarray

    Returns
    -------
    vertices, faces, findings
        Only vertices that a face uses; faces keep their order and winding.
    """
    findings: list[Finding] = []
    count = len(faces)
    vertices, faces = weld_exact(vertices, faces)
    faces = _with_corners(faces)
    vertices, faces, welded = _weld_border(vertices, faces)
    faces = _with_corners(faces)
    if count > len(faces):
        findings.append(
            Finding("note", "empty triangles", f"{count - len(faces)} triangles without three corners were dropped.")
        )
    if welded:
        findings.append(Finding("note", "open seams", f"{welded} border points that nearly met were joined."))
    faces, doubles, flaps = _without_doubles(faces)
    if doubles:
        findings.append(
            Finding("note", "doubled triangles", f"{doubles} triangles that were there twice were dropped.")
        )
    if flaps:
        findings.append(Finding("note", "back-to-back triangles", f"{flaps} pairs without thickness were dropped."))
    return *_used(vertices, faces), findings


def weld_exact(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Join vertices with equal coordinates; the order of first use is kept."""
    used, inverse = np.unique(faces, return_inverse=True)
    points = np.ascontiguousarray(vertices[used]) + 0.0  # -0.0 and 0.0 are one
    _, first, back = np.unique(points.view(np.dtype((np.void, 24))).ravel(), return_index=True, return_inverse=True)
    order = np.argsort(first, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return points[first[order]], rank[back.ravel()][inverse.ravel()].reshape(-1, 3)


def _with_corners(faces: np.ndarray) -> np.ndarray:
    a, b, c = faces.T
    return faces[(a != b) & (b != c) & (c != a)]


def _weld_border(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray, int]:
    """Join border points that nearly meet: exporters round the two sides of a seam differently."""
    if not len(faces):
        return vertices, faces, 0
    edges = edges_of(faces)
    border = np.unique(edges.ends[edges.border])
    if not len(border):
        return vertices, faces, 0
    reach = WELD_SHARE * float(np.linalg.norm(np.ptp(vertices, axis=0)))
    pairs = cKDTree(vertices[border]).query_pairs(reach, output_type="ndarray")
    if not len(pairs):
        return vertices, faces, 0
    goal = np.arange(len(vertices))
    pairs = np.sort(border[pairs], axis=1)
    for a, b in pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]:
        goal[b] = goal[a]
    return vertices, goal[faces], len(np.unique(pairs[:, 1]))


def _without_doubles(faces: np.ndarray) -> tuple[np.ndarray, int, int]:
    """Keep one of several faces on the same corners wound alike; drop pairs wound against each other."""
    if not len(faces):
        return faces, 0, 0
    corners = np.sort(faces, axis=1)
    _, group, size = np.unique(corners, axis=0, return_inverse=True, return_counts=True)
    group = group.ravel()
    if (size == 1).all():
        return faces, 0, 0
    shift = faces.argmin(axis=1)
    second = faces[np.arange(len(faces)), (shift + 1) % 3]
    forward = second == corners[:, 1]
    sign = np.bincount(group, weights=np.where(forward, 1, -1), minlength=len(size))
    pick = np.zeros(len(faces), bool)
    for way in (True, False):
        at = np.flatnonzero((forward == way) & ((sign[group] > 0) if way else (sign[group] < 0)))
        _, first = np.unique(group[at], return_index=True)
        pick[at[first]] = True
    flaps = int(((sign == 0) & (size > 1)).sum())
    return faces[pick], int(len(faces) - pick.sum() - 2 * flaps), flaps


def _used(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    used, inverse = np.unique(faces, return_inverse=True)
    return vertices[used], inverse.reshape(-1, 3)
