"""Directions over the sphere, and which of them are the same because the shell is symmetric."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import trimesh
from scipy.spatial.transform import Rotation

from pourwright.cavity import nearest_skin_point
from pourwright.irons import Iron
from pourwright.shell import Skin
from pourwright.turn.model import Symmetry

PROBES = 600  # points of the skin whose mirror images are checked against it
LIKE = 0.004  # how far they may lie off, share of the longest side
ROUND = 0.01  # two moments of inertia within this share may belong to a body of revolution
AXES = np.vstack([np.eye(3), -np.eye(3)])


def symmetry_of(skin: Skin, irons: Sequence[Iron] = ()) -> Symmetry:
    """Mirror planes and axes of revolution of a skin through its middle, along its file's axes or its main axes.

    With things inside none is looked for: they may stand on one side.
    """
    if irons:
        return Symmetry(np.eye(3)[None], None, "something stands inside: no symmetry is used")
    solid = trimesh.Trimesh(skin.vertices_m, skin.faces[~skin.void_face], process=False)
    middle = np.asarray(solid.center_mass)
    inertia = np.asarray(solid.moment_inertia)
    moments, axes = np.linalg.eigh(inertia)
    points = _probes(skin)
    found: list[tuple[np.ndarray, list[np.ndarray]]] = []
    for frame in (np.eye(3), axes.T):
        mirrors = [np.eye(3) - 2.0 * np.outer(axis, axis) for axis in frame]
        found.append((frame, [m for m in mirrors if _same(skin, points, middle, m)]))
    frame, mirrors = max(found, key=lambda pair: len(pair[1]))  # of equals the file's own axes
    turns = [np.eye(3)]
    for mirror in mirrors:
        turns += [mirror @ turn for turn in turns]
    axis = None
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        if abs(moments[i] - moments[j]) > ROUND * moments.max():
            continue
        spin = [Rotation.from_rotvec(a * axes[:, k]).as_matrix() for a in (0.71, 1.9)]
        if all(_same(skin, points, middle, turn) for turn in spin):
            axis = axes[:, k] * np.sign(axes[np.argmax(np.abs(axes[:, k])), k])
            break
    if axis is not None:
        turns = [np.eye(3)] + ([np.eye(3) - 2 * np.outer(axis, axis)] if _flips(skin, points, middle, axis) else [])
        words = "a body of revolution: directions at one angle to its axis are one"
    elif mirrors:
        words = f"mirrored in {len(mirrors)} plane{'s' if len(mirrors) > 1 else ''}: mirrored directions are one"
    else:
        words = "no symmetry was found"
    return Symmetry(np.array(turns), axis, words)


def _flips(skin: Skin, points: np.ndarray, middle: np.ndarray, axis: np.ndarray) -> bool:
    return _same(skin, points, middle, np.eye(3) - 2 * np.outer(axis, axis))


def _probes(skin: Skin) -> np.ndarray:
    faces = np.flatnonzero(~skin.void_face)
    centre = skin.vertices_m[skin.faces[faces]].mean(axis=1)
    corner = skin.vertices_m[np.unique(skin.faces[faces])]
    return np.vstack([part[:: max(1, len(part) // PROBES)] for part in (centre, corner)])


def _same(skin: Skin, points: np.ndarray, middle: np.ndarray, turn: np.ndarray) -> bool:
    """Whether the skin, its openings and its wall are the same after ``turn`` about ``middle``."""
    near = LIKE * float(np.ptp(skin.vertices_m, axis=0).max())
    if len(skin.bands) > 1 and abs(turn[2, 2] - 1.0) > 1e-6:
        return False  # the wall is given by height in the file
    if skin.regions or skin.gauge is not None:
        return False  # they lie in the file's axes
    for opening in skin.openings:
        at = turn @ (opening.centroid_m - middle) + middle
        normal = turn @ opening.normal
        others = skin.openings
        if not any(np.linalg.norm(at - o.centroid_m) < 3 * near and normal @ o.normal > 0.999 for o in others):
            return False
    moved = (points - middle) @ turn.T + middle
    few = moved[:: max(1, len(moved) // 40)]
    if float(nearest_skin_point(skin, few, caps=True)[2].max()) > near:
        return False
    return float(nearest_skin_point(skin, moved, caps=True)[2].max()) <= near


def first_directions(fine: bool, symmetry: Symmetry) -> tuple[np.ndarray, int]:
    """Corners of an icosphere and the file's axes, equal ones once; and how many were left out."""
    ball = trimesh.creation.icosphere(subdivisions=3 if fine else 2).vertices
    every = np.vstack([AXES, np.asarray(ball) / np.linalg.norm(ball, axis=1)[:, None]])
    kept = distinct(symmetry.fold(every), 1e-6 if symmetry.axis is None else np.radians(2.0))
    return kept, len(every) - len(kept)


def distinct(ups: np.ndarray, apart_rad: float, others: np.ndarray | None = None) -> np.ndarray:
    """Directions at least so far from all before them and from ``others``, in their order."""
    kept = [] if others is None else list(np.atleast_2d(others))
    new = []
    for up in ups:
        if not kept or float(np.linalg.norm(np.array(kept) - up, axis=1).min()) >= 2 * np.sin(apart_rad / 2):
            kept.append(up)
            new.append(up)
    return np.array(new).reshape(-1, 3)


def around(up: np.ndarray, angle_rad: float, count: int = 6) -> np.ndarray:
    """Directions (count, 3) at an angle to ``up``, evenly round it."""
    side = np.eye(3)[int(np.argmin(np.abs(up)))]
    a = np.cross(up, side)
    a = a / np.linalg.norm(a)
    b = np.cross(up, a)
    turn = 2 * np.pi * np.arange(count) / count
    ring = np.cos(turn)[:, None] * a + np.sin(turn)[:, None] * b
    return np.cos(angle_rad) * up + np.sin(angle_rad) * ring


def near_signs(up: np.ndarray) -> str:
    """A direction in words of the file's axes.

    >>> near_signs(np.array([0.0, 0.0, -1.0])), near_signs(np.array([0.0, 0.6, 0.8]))
    ('-z', '37 degrees from +z towards +y')
    """
    names = [sign + axis for sign, axis in product("+-", "xyz")]
    lean = np.degrees(np.arccos(np.clip(AXES @ up, -1, 1)))
    order = np.argsort(lean, kind="stable")
    if lean[order[0]] < 0.5:
        return names[order[0]]
    rest = up - AXES[order[0]] * (AXES[order[0]] @ up)
    to = int(np.argmax(AXES @ rest))
    return f"{lean[order[0]]:.0f} degrees from {names[order[0]]} towards {names[to]}"
