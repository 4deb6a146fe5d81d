"""What a level plane meets of a closed surface, and its moments, held against trimesh's own."""

import numpy as np
import pytest
import trimesh

from pourwright.outcome.moments import solid_moments
from pourwright.outcome.stiffness import level_section

BODIES = {
    "ball": trimesh.creation.icosphere(subdivisions=3, radius=0.3),
    "lying ring": trimesh.creation.torus(0.5, 0.2),
    "tube": trimesh.creation.annulus(r_min=0.2, r_max=0.3, height=1.0),
    "two boxes": trimesh.util.concatenate(
        [trimesh.creation.box((1, 2, 3)), trimesh.creation.box((1, 1, 2)).apply_translation([5, 0, 0.4])]
    ),
}


@pytest.mark.parametrize("name", BODIES)
def test_the_section_is_that_of_trimesh_and_its_holes_are_holes(name):
    body = BODIES[name]
    for height in np.linspace(*body.bounds[:, 2], 6)[1:-1]:
        cut = body.section(plane_origin=[0, 0, height], plane_normal=[0, 0, 1]).to_2D()[0]
        assert level_section(body.vertices, body.faces, height).area == pytest.approx(cut.area, rel=1e-9)


def test_a_plane_through_corners_meets_all_that_lies_round_it():
    corners = np.array([[1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], float)
    faces = [[i, (i + 1) % 4, 4] for i in range(4)] + [[(i + 1) % 4, i, 5] for i in range(4)]
    assert level_section(corners, np.array(faces), 0.0).area == pytest.approx(2.0)
    assert level_section(corners, np.array(faces), 2.0).is_empty


@pytest.mark.parametrize("name", BODIES)
def test_moments_are_those_of_trimesh_wherever_the_body_lies(name):
    body = BODIES[name].copy().apply_translation([3.0, -2.0, 1.0])
    volume, first, second = solid_moments(body.vertices, body.faces)
    about = second - np.outer(first, first) / volume
    assert volume == pytest.approx(body.volume, rel=1e-12)
    assert first / volume == pytest.approx(body.center_mass, abs=1e-9)
    assert np.trace(about) * np.eye(3) - about == pytest.approx(body.moment_inertia, abs=1e-9)
