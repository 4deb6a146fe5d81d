"""Cutting bodies that overlap into one, with a library that promises a closed result."""

from __future__ import annotations

from dataclasses import dataclass, replace

import manifold3d
import numpy as np

from pourwright.shell.columns import wrapped_volumes
from pourwright.shell.rays import meetings
from pourwright.shell.survey import Survey
from pourwright.shell.topology import areas, cone_volumes

BODY_LIMIT, MEETING_LIMIT, SELF_SHARE = 200, 2_000_000, 1e-4
"""Beyond so many overlapping bodies, or pairs of their faces near each other, nothing is cut, nor a body that overlaps
itself by more than this share of its volume; how often each spot is wrapped still tells the inside."""


@dataclass(frozen=True, slots=True)
class United:
    """How many bodies were made one, and the volume that they shared."""

    bodies: int
    shared_m3: float
    failed: int  # bodies that overlap and could not be cut


def unite(s: Survey) -> tuple[Survey, United]:
    """The survey with its overlapping outer bodies cut into one; what cannot be cut is left as it is."""
    outer = {p.index: p for p in s.pieces if p.depth == 0}
    groups = _groups([pair for pair in s.overlaps if pair[0] in outer and pair[1] in outer])
    if not groups:
        return s, United(0, 0.0, 0)
    if sum(len(g) for g in groups) > BODY_LIMIT:
        return s, United(0, 0.0, sum(len(g) for g in groups))
    done, failed, shared = 0, 0, 0.0
    for group in groups:
        made = _union(s, group)
        if made is None:
            failed += len(group)
            continue
        before = sum(outer[p].volume for p in group)
        s = _replaced(s, group, *made)
        done += len(group)
        shared += before - next(p.volume for p in s.pieces if p.index == group[0])
    return s, United(done, shared, failed)


def _groups(pairs: list[tuple[int, int]]) -> list[list[int]]:
    goal: dict[int, int] = {}

    def find(p: int) -> int:
        while goal.setdefault(p, p) != p:
            p = goal[p]
        return p

    for a, b in pairs:
        low, high = sorted((find(a), find(b)))
        goal[high] = low
    groups: dict[int, list[int]] = {}
    for p in sorted(goal):
        groups.setdefault(find(p), []).append(p)
    return list(groups.values())


def _union(s: Survey, group: list[int]) -> tuple[np.ndarray, np.ndarray, np.ndarray] | None:
    """Vertices, faces and the face of ``s`` each comes from; None where the bodies cannot be cut into one."""
    bodies, volumes = [], []
    every = np.flatnonzero(np.isin(s.piece, group))
    if meetings(s.vertices, s.faces[every], np.searchsorted(group, s.piece[every])) > MEETING_LIMIT:
        return None
    for p in group:
        at = np.flatnonzero(s.piece == p)
        used, local = np.unique(s.faces[at], return_inverse=True)
        volumes.append(float(cone_volumes(s.vertices, s.faces[at]).sum()))
        _, again, inverted, _, _ = wrapped_volumes(s.vertices, s.faces[at])
        if again + inverted > SELF_SHARE * volumes[-1]:
            return None  # it overlaps itself, which the library does not undo
        mesh = manifold3d.Mesh64(
            vert_properties=np.ascontiguousarray(s.vertices[used], np.float64),
            tri_verts=np.ascontiguousarray(local.reshape(-1, 3), np.uint64),
            face_id=np.ascontiguousarray(at, np.uint64),
        )
        body = manifold3d.Manifold(mesh)
        if body.status() != manifold3d.Error.NoError or body.is_empty():
            return None
        bodies.append(body)
    whole = manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add)
    if whole.status() != manifold3d.Error.NoError or whole.is_empty():
        return None
    out = whole.to_mesh64()
    vertices, faces = np.asarray(out.vert_properties, np.float64)[:, :3], np.asarray(out.tri_verts, np.int64)
    source = np.asarray(out.face_id, np.int64)
    volume = float(cone_volumes(vertices, faces).sum())
    slack = 1e-6 * sum(volumes)
    known = np.zeros(len(s.faces), bool)
    known[np.flatnonzero(np.isin(s.piece, group))] = True
    sane = max(volumes) - slack <= volume <= sum(volumes) + slack
    sane = sane and source.min() >= 0 and source.max() < len(known) and bool(known[source].all())
    return (vertices, faces, source) if sane else None


def _replaced(s: Survey, group: list[int], vertices: np.ndarray, faces: np.ndarray, source: np.ndarray) -> Survey:
    keep = ~np.isin(s.piece, group)
    every = np.concatenate([s.vertices, vertices])
    fresh = faces + len(s.vertices)
    index = group[0]
    volume = float(cone_volumes(vertices, faces).sum())
    area = float(areas(vertices, faces)[~s.is_cap[source]].sum())
    rims = sum(p.rims for p in s.pieces if p.index in group)
    pieces = []
    for p in s.pieces:
        inside = tuple(dict.fromkeys(index if q in group else q for q in p.inside))
        if p.index == index:
            pieces.append(replace(p, area=area, volume=volume, rims=rims))
        elif p.index not in group:
            pieces.append(replace(p, inside=inside))
    return replace(
        s,
        vertices=every,
        faces=np.concatenate([s.faces[keep], fresh]),
        piece=np.concatenate([s.piece[keep], np.full(len(fresh), index)]),
        opening=np.concatenate([s.opening[keep], s.opening[source]]),
        is_cap=np.concatenate([s.is_cap[keep], s.is_cap[source]]),
        pieces=tuple(pieces),
        overlaps=tuple(pair for pair in s.overlaps if not (pair[0] in group and pair[1] in group)),
    )
