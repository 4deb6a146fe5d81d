"""Binary STL files under 5 MB whose triangles are no surface, or one that is hard to tell: ``FILES`` as in ``hostile``.

What they ask for is not bytes but time: every side near every corner, every body in every other, all faces at one edge.
"""

from __future__ import annotations

import struct

import numpy as np
import trimesh
from scipy.spatial import ConvexHull

MOST = 98_000


def _stl(triangles):
    rows = np.zeros(len(triangles), np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]))
    rows["v"] = triangles
    return "stl", b"\0" * 80 + struct.pack("<I", len(rows)) + rows.tobytes()


def _rng():
    return np.random.default_rng(0)


def soup(count=MOST):
    """Triangles that each span the piece."""
    return _stl(_rng().uniform(-300, 300, (count, 3, 3)))


def confetti(count=MOST):
    """Small triangles, each by itself."""
    return _stl(_rng().uniform(-300, 300, (count, 1, 3)) + _rng().uniform(-1, 1, (count, 3, 3)))


def dust(count=MOST):
    """All corners but three on one spot, nearer than the weld."""
    out = _rng().normal(0, 1e-5, (count, 3, 3))
    out[0] = [[-300, 0, 0], [300, 0, 0], [0, 300, 100]]
    return _stl(out)


def hinge(count=MOST):
    """All faces at one edge."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    out = np.zeros((count, 3, 3))
    out[:, 1, 2] = 300
    out[:, 2] = np.stack([300 * np.cos(turn), 300 * np.sin(turn), np.full(count, 150.0)], axis=1)
    return _stl(out)


def nested(count=MOST // 20):
    """Balls in balls."""
    size = np.linspace(1, 300, count).reshape(-1, 1, 1, 1)
    return _stl((trimesh.creation.icosahedron().triangles[None] * size).reshape(-1, 3, 3))


def balls(count=MOST // 20):
    """Balls that lie about and in one another."""
    at = _rng().uniform(-300, 300, (count, 1, 1, 3))
    return _stl((trimesh.creation.icosahedron().triangles[None] * 3 + at).reshape(-1, 3, 3))


def crossed(count=300):
    """Balls that all cut each other."""
    ball = trimesh.creation.icosphere(2, radius=200).triangles
    return _stl(np.concatenate([ball + at for at in _rng().uniform(-50, 50, (count, 1, 3))]))


def _zigzag(folds):
    """A folded sheet with thickness, closed."""
    x = np.linspace(-250, 250, folds)
    z = np.where(np.arange(folds) % 2, 250.0, -250.0)
    a, b = np.stack([x, 0 * x - 250, z], axis=1), np.stack([x, 0 * x + 250, z], axis=1)
    up = np.array([0, 0, 600.0])

    def four(p, q, r, s):
        return [np.stack([p, q, r], axis=1), np.stack([p, r, s], axis=1)]

    sides = [(a[:-1], a[1:], b[1:], b[:-1]), (b[:-1] + up, b[1:] + up, a[1:] + up, a[:-1] + up)]
    sides += [(a[:-1] + up, a[1:] + up, a[1:], a[:-1]), (b[:-1], b[1:], b[1:] + up, b[:-1] + up)]
    sides += [(a[:1], b[:1], b[:1] + up, a[:1] + up), (b[-1:], a[-1:], a[-1:] + up, b[-1:] + up)]
    return np.concatenate([face for side in sides for face in four(*side)])


def folds(count=6_000):
    """Two folded sheets across each other: every fold cuts every other."""
    one = _zigzag(count)
    return _stl(np.concatenate([one, 0.99 * one[:, :, [1, 0, 2]] + [0, 0, 10.0]]))


def _star(corners, low):
    points = _rng().normal(size=(corners, 3))
    points /= np.linalg.norm(points, axis=1)[:, None]
    faces = ConvexHull(points).simplices
    return (points * _rng().uniform(low, 1, (corners, 1)))[faces]


def star(corners=48_000):
    """Needles from one middle."""
    return _stl(300 * _star(corners, 0.003))


def speck(corners=48_000):
    """The same, small, with a ball far away."""
    far = trimesh.creation.icosphere(1, radius=1).triangles + np.array([50_000.0, 0, 0])
    return _stl(np.concatenate([3 * _star(corners, 0.007), far]))


def spindle(count=MOST // 2):
    """Needles from pole to pole."""
    turn = np.linspace(0, 2 * np.pi, count + 1)
    ring = np.stack([300 * np.cos(turn), 300 * np.sin(turn), 0 * turn], axis=1)
    top = np.broadcast_to([0, 0, 300.0], (count, 3))
    low = np.stack([ring[1:], ring[:-1], -top], axis=1)
    return _stl(np.concatenate([np.stack([ring[:-1], ring[1:], top], axis=1), low]))


def jagged(count=MOST // 2):
    """A tube whose rim has a point for every two faces."""
    turn = np.linspace(0, 2 * np.pi, count + 1)
    low = np.stack([300 * np.cos(turn), 300 * np.sin(turn), 0 * turn], axis=1)
    high = low + np.stack([0 * turn, 0 * turn, 300 + 50 * _rng().random(count + 1)], axis=1)
    high[-1] = high[0]
    down = np.stack([low[:-1], low[1:], high[:-1]], axis=1)
    return _stl(np.concatenate([down, np.stack([high[:-1], low[1:], high[1:]], axis=1)]))


def sieve(holes=12_000):
    """A ball with single faces missing."""
    ball = trimesh.creation.icosphere(6, radius=300).triangles
    return _stl(np.delete(ball, _rng().choice(len(ball), min(holes, len(ball) // 2), replace=False), axis=0))


FILES = {
    name: function
    for name, function in list(globals().items())
    if not name.startswith("_") and getattr(function, "__module__", "") == __name__
}
