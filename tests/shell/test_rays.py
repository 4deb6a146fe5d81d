"""Short rays through a mesh: distances between similar balls, known by their ratio, at any size of the search grid."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.shell import rays
from pourwright.shell.columns import wrapped_volumes


@pytest.fixture(scope="module")
def balls():
    """A ball of 1 m and a copy of 0.9 m inside it: from the middle of a face inwards it is a tenth of the way."""
    outer = trimesh.creation.icosphere(subdivisions=4)
    vertices = np.concatenate([outer.vertices, 0.9 * outer.vertices])
    faces = np.concatenate([outer.faces, outer.faces[:, ::-1] + len(outer.vertices)])
    middle = outer.vertices[outer.faces].mean(axis=1)
    return vertices, faces, middle


@pytest.mark.parametrize("spans", [0.3, rays.SPANS, 8.0])
@pytest.mark.parametrize("longest", [0.11, 0.6])
def test_every_ray_meets_the_ball_inside(balls, monkeypatch, spans, longest):
    monkeypatch.setattr(rays, "SPANS", spans)
    vertices, faces, middle = balls
    mix = np.random.default_rng(3).permutation(len(middle))
    ways = -middle / np.linalg.norm(middle, axis=1)[:, None]
    found = rays.first_hits(middle[mix], ways[mix], longest, vertices, faces, skip=mix)
    assert found == pytest.approx(0.1 * np.linalg.norm(middle[mix], axis=1), rel=1e-9)
    short = rays.first_hits(middle[mix], ways[mix], 0.09, vertices, faces, skip=mix)
    assert not np.isfinite(short).any()


def test_a_ray_that_starts_beside_a_face_does_not_meet_it(balls):
    vertices, faces, middle = balls
    ways = -middle / np.linalg.norm(middle, axis=1)[:, None]
    found = rays.first_hits(middle - 1e-6 * middle, ways, 0.3, vertices, faces)
    assert found == pytest.approx((0.1 - 1e-6) * np.linalg.norm(middle, axis=1), rel=1e-6)


def test_columns_through_stacked_boxes_wrap_what_two_of_them_share():
    """Three boxes of 1 m2 over one another, each 1 m tall, 0.75 m apart: two shares of 0.25 m3 wrapped twice."""
    boxes = [
        trimesh.creation.box((1, 1, 1), trimesh.transformations.translation_matrix((0, 0, z))) for z in (1.5, 0, 0.75)
    ]
    heap = trimesh.util.concatenate(boxes)
    once, again, inverted, at, _ = wrapped_volumes(np.asarray(heap.vertices), np.asarray(heap.faces))
    assert (once, again, inverted) == pytest.approx((2.5, 0.5, 0.0), abs=1e-8)  # columns reach 1e-9 beyond
    assert at[2] == pytest.approx(0.75)
