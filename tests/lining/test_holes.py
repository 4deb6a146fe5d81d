"""Where the hollow of a lining is opened: which board the hose goes through."""

import numpy as np
import pytest
import trimesh

from pourwright.lining import inside_of, region_of
from pourwright.lining.holes import holes_of


def opened(mesh, *ways):
    """Without the flat ends that look along some ways."""
    flat = np.zeros(len(mesh.faces), bool)
    for way in ways:
        reach = mesh.vertices @ np.array(way, float)
        flat |= (reach[mesh.faces] > reach.max() - 1e-6).all(axis=1)
    mesh.update_faces(~flat)
    return mesh


@pytest.fixture
def hoses(shell_of):
    def found(mesh, lining_m=0.03, cell_m=0.012):
        skin, cavity = shell_of(mesh, 0.005, cell_m)
        _, solids = region_of(skin, cavity, lining_m)
        inside = inside_of(skin, cavity, solids, lining_m)
        assert (~inside.counts).any()
        holes = holes_of(skin, cavity, solids, inside, np.array([0.0, 0.0, 1.0]))
        return solids, [hole for hole in holes if hole.use == "hose"]

    return found


def test_of_two_mouths_the_hose_takes_the_board_on_top(hoses):
    tube = trimesh.creation.cylinder(0.2, 0.8)
    tube.vertices[tube.vertices[:, 2] > 0, :2] *= 0.6  # more of the boards below
    _, (hose,) = hoses(opened(tube, (0, 0, 1), (0, 0, -1)))
    assert hose.board
    assert hose.point_m[2] == pytest.approx(0.4, abs=0.02)


def test_the_hose_of_each_hollow_goes_through_the_board_of_its_own_mouth(hoses):
    boxes = [trimesh.creation.box((0.4, 0.4, 0.4)).apply_translation([x, 0, 0.2]) for x in (-0.5, 0.5)]
    neck = trimesh.creation.box((1.0, 0.06, 0.06)).apply_translation([0, 0, 0.2])
    solids, found = hoses(opened(trimesh.boolean.union([*boxes, neck]), (0, 0, 1)))
    assert len(solids.chambers) == len(found) == 2
    for chamber, hose in zip(solids.chambers, found, strict=True):
        assert hose.board
        assert np.linalg.norm((hose.point_m - chamber.middle_m)[:2]) < 0.1
