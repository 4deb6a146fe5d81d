"""Foam between cores and a skin that is not straight, by the distances of trimesh (4, signed_distance) to the mesh."""

import numpy as np
import trimesh

from pourwright.cores import CoreRules, laid


def test_foam_covers_the_cores_in_a_skin_that_is_not_straight(shell_of):
    """Distances by trimesh from the corners to the mesh itself: wall and cover."""
    mesh = trimesh.creation.annulus(0.18, 0.6, 0.5)
    skin, cavity = shell_of(mesh, 0.005, 0.01)
    found = laid(cavity, CoreRules("blocks", (0.12, 0.1, 0.08), 20.0, 353.15, 0.05, 0.02))
    assert found
    corners = [np.array(np.meshgrid(*zip(one.low_m, one.high_m, strict=True))).reshape(3, -1).T for one in found]
    points = cavity.frame.to_shell(np.concatenate(corners))
    far = trimesh.proximity.signed_distance(trimesh.Trimesh(skin.vertices_m, skin.faces), points)
    assert far.min() >= 0.055 - 1e-6
    assert far.min() <= 0.055 + 0.03
