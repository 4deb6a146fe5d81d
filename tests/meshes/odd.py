"""Meshes for the tests, made from closed forms: clean ones, and the same with every kind of dirt.

A mesh here is a pair (vertices (n, 3) metres, faces (m, 3)). Loaded by path from conftest files; no test data is
stored beside it.
"""

from __future__ import annotations

import numpy as np
import trimesh


def sphere(radius=0.5, level=4, middle=(0.0, 0.0, 0.0)):
    m = trimesh.creation.icosphere(subdivisions=level, radius=radius)
    return np.asarray(m.vertices) + middle, np.asarray(m.faces)


def inscribed_volume(radius=0.5, level=4):
    """Exact volume of the faceted sphere."""
    return volume(*sphere(radius, level))


def box(size=(0.5, 0.8, 0.3), level=0, middle=(0.0, 0.0, 0.0)):
    m = trimesh.creation.box(size)
    for _ in range(level):
        m = m.subdivide()
    return np.asarray(m.vertices) + middle, np.asarray(m.faces)


def torus(major=0.5, minor=0.15, around=96, across=48):
    m = trimesh.creation.torus(major, minor, major_sections=around, minor_sections=across)
    return np.asarray(m.vertices), np.asarray(m.faces)


def figure(level=5):
    """A lumpy closed body, star-shaped about the origin, 1.2 m tall: nothing symmetric, nothing convex."""
    v, f = sphere(1.0, level)
    a, b = np.arctan2(v[:, 1], v[:, 0]), np.arccos(np.clip(v[:, 2], -1, 1))
    r = 0.35 + 0.08 * np.sin(3 * a + 1) * np.sin(b) ** 2 + 0.06 * np.cos(5 * b) + 0.03 * np.sin(7 * a) * np.sin(b) ** 3
    return v * r[:, None] * [1.0, 0.8, 1.5], f


def bowl(radius=0.5, level=4, cut=0.1):
    """Outside of a ball cut flat at height ``cut``: open on one rim; exact volume by `cap_volume` as it refines."""
    v, f = sphere(radius, level)
    m = trimesh.Trimesh(v, f, process=False).slice_plane([0, 0, cut], [0, 0, -1])
    m.merge_vertices(digits_vertex=9)
    return np.asarray(m.vertices), np.asarray(m.faces)


def tube(radius=0.3, height=1.0, sections=64):
    """Open on two rims."""
    m = trimesh.creation.cylinder(radius, height, sections=sections)
    return np.asarray(m.vertices), np.asarray(m.faces)[np.abs(m.face_normals[:, 2]) < 0.5]


def trough(inner=0.3, outer=0.5, height=0.2, sections=60):
    """A ring-shaped channel, open at the top: one opening with two edges."""
    m = trimesh.creation.annulus(inner, outer, height, sections=sections)
    return np.asarray(m.vertices), np.asarray(m.faces)[m.face_normals[:, 2] < 0.9]


def vase(radius=0.5, wall=0.01, level=4):
    """A bowl drawn as its solid wall: closed, but it holds no void."""
    v, f = bowl(radius, level)
    outer = trimesh.Trimesh(v, f, process=False)
    scale = (radius - wall) / radius
    iv = v * scale
    iv[:, 2] += v[:, 2].max() - iv[:, 2].max()
    rim = rim_of(f)
    strip = np.concatenate(
        [np.column_stack([rim[:, 1], rim[:, 0], rim[:, 0] + len(v)]),
         np.column_stack([rim[:, 1], rim[:, 0] + len(v), rim[:, 1] + len(v)])]
    )  # fmt: skip
    faces = np.concatenate([np.asarray(outer.faces), f[:, ::-1] + len(v), strip])
    return np.concatenate([v, iv]), faces


def rim_of(f):
    """Border half-edges (k, 2)."""
    half = f[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    key = {tuple(h) for h in half.tolist()}
    return np.array([h for h in half.tolist() if (h[1], h[0]) not in key])


def join(*meshes):
    start, vs, fs = 0, [], []
    for v, f in meshes:
        vs.append(v)
        fs.append(np.asarray(f) + start)
        start += len(v)
    return np.concatenate(vs), np.concatenate(fs)


def inside_out(mesh):
    return mesh[0], mesh[1][:, ::-1]


def volume(v, f):
    a, b, c = (v[f[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def area(v, f):
    a, b, c = (v[f[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


# dirt: each takes a clean mesh and a seed, and returns a dirty one


def with_faces_missing(mesh, share=0.01, seed=1):
    v, f = mesh
    return v, f[np.random.default_rng(seed).random(len(f)) >= share]


def with_faces_flipped(mesh, share=0.05, seed=2):
    v, f = mesh
    f = f.copy()
    flip = np.random.default_rng(seed).random(len(f)) < share
    f[flip] = f[flip][:, ::-1]
    return v, f


def with_faces_doubled(mesh, share=1.0, seed=3):
    v, f = mesh
    return v, np.concatenate([f, f[np.random.default_rng(seed).random(len(f)) < share]])


def with_junk_inside(mesh, pieces=30, size=0.02, seed=4):
    """Small closed and open bits in the middle third of the body."""
    v = mesh[0]
    rng = np.random.default_rng(seed)
    low, high = v.min(axis=0), v.max(axis=0)
    middle, half = (low + high) / 2, (high - low) / 6
    parts = [mesh]
    for k in range(pieces):
        bv, bf = sphere(size * rng.uniform(0.3, 1.0), 1)
        bf = bf if k % 2 else bf[: len(bf) // 2]
        parts.append((bv + middle + half * rng.uniform(-1, 1, 3), bf))
    return join(*parts)


def soup(mesh):
    """Every triangle on its own, as an STL stores it."""
    v, f = mesh
    return v[f].reshape(-1, 3), np.arange(f.size).reshape(-1, 3)


def with_noise(mesh, size, seed=5):
    v, f = mesh
    return v + np.random.default_rng(seed).normal(0, size, v.shape), f


def with_cracks(mesh, size=1e-7, seed=6):
    """Triangles on their own, each corner moved a hair: seams that nearly meet."""
    return with_noise(soup(mesh), size, seed)


def half_refined(mesh):
    """One side cut finer than the other without cutting the triangles between: corners on edges."""
    v, f = mesh
    m = trimesh.Trimesh(v, f, process=False)
    fine = np.flatnonzero(m.triangles_center[:, 0] > 0.0)
    out_v, out_f = trimesh.remesh.subdivide(v, f[fine])
    keep = np.delete(f, fine, axis=0)
    return join((v, keep), (np.asarray(out_v), np.asarray(out_f)))
