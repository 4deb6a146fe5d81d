"""Gains of a whole small piece: bounds that any elastic body keeps."""

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Grid
from pourwright.structure import Loads, SkinMesh, even_mesh, foam_block, piece_gains


@pytest.fixture(scope="module")
def tower():
    """Upright box 0.3 x 0.2 x 0.8 m, 4 mm GRP, filled with 8 MPa foam."""
    size = np.array([0.3, 0.2, 0.8])
    box = trimesh.creation.box(size)
    points, faces, _ = even_mesh(box.vertices + size / 2, box.faces, 1500)
    made = trimesh.Trimesh(points, faces, process=False)
    t = np.full(len(points), 0.004)
    mesh = SkinMesh(points, faces, np.full(len(faces), 0.004), t, np.array(made.vertex_normals), 0.03, "test")
    shape = (6, 4, 16)
    grid = Grid(np.full(3, 0.0), 0.05, shape)
    return mesh, foam_block(grid, np.ones(shape), np.full(16, 8e6), np.full(16, 50.0), 0.3)


def gains_of(tower, bond, gap_m=0.0):
    mesh, foam = tower
    loads = Loads(1500.0, 500.0, np.zeros((0, 3)), bond, gap_m, points=12)
    return piece_gains(mesh, 7e9, 0.3, foam, loads)


def test_foam_only_stiffens_and_bond_only_helps(tower):
    gains, push, shape, _ = gains_of(tower, 1.0)
    names = [gain.name for gain in gains]
    assert len(gains) == 5
    assert "twist" in names[-1]
    for gain in gains[1:]:  # own weight carries the foam's too
        touching, bonded, counted = gain.ratios
        assert bonded >= touching * 0.999
        assert touching >= 0.999
        assert counted == bonded
    # give and sway together are the load's work, which no added stiffness raises; each alone nearly so
    before = push.force_n / push.before_n_m + push.sway_m
    after = push.force_n / push.counted_n_m + push.sway_filled_m
    assert (after <= before * 1.001).all()
    assert (push.bonded_n_m >= push.touching_n_m * 0.95).all()
    assert (push.touching_n_m >= push.before_n_m).all()
    assert np.median(push.gain) > 1.5
    assert np.linalg.norm(shape.after_m, axis=1).max() < np.linalg.norm(shape.before_m, axis=1).max()


def test_flat_sides_gain_many_times_and_the_whole_little(tower):
    """The flattest side pushed by hand gains far more than the whole piece bent: there is no one factor."""
    gains, push, _, _ = gains_of(tower, 1.0)
    bending = max(gain.ratios[1] for gain in gains if "bending" in gain.name)
    assert push.gain[push.worst] > 3 * bending


def test_without_bond_a_gap_takes_the_gain_of_a_light_push(tower):
    gains, push, _, _ = gains_of(tower, 0.0, gap_m=1.0)
    side = next(gain for gain in gains if gain.name.startswith("side"))
    assert side.counted == pytest.approx(side.before)
    assert side.touching < 0.9 * side.before
    assert push.gain == pytest.approx(np.ones(12), rel=1e-9)
    _, closed, _, _ = gains_of(tower, 0.0, gap_m=0.0)
    assert closed.counted_n_m == pytest.approx(closed.touching_n_m, rel=1e-9)


def test_even_mesh_keeps_a_box_sharp():
    box = trimesh.creation.box((0.6, 0.4, 0.5))
    points, faces, _ = even_mesh(box.vertices, box.faces, 1000)
    made = trimesh.Trimesh(points, faces, process=False)
    assert made.is_watertight
    assert made.volume == pytest.approx(0.12, rel=0.005)
    assert made.bounds == pytest.approx(box.bounds, abs=1e-9)
    assert len(faces) == pytest.approx(1000, rel=0.15)
    again = even_mesh(box.vertices, box.faces, 1000)
    assert np.array_equal(again[0], points)
    assert np.array_equal(again[1], faces)


def test_even_mesh_of_a_sphere():
    ball = trimesh.creation.icosphere(4, 0.5)
    points, faces, _ = even_mesh(ball.vertices, ball.faces, 2000)
    made = trimesh.Trimesh(points, faces, process=False)
    assert made.is_watertight
    assert made.volume == pytest.approx(4 / 3 * np.pi * 0.5**3, rel=0.01)
    assert made.edges_unique_length.max() < 2 * np.median(made.edges_unique_length)
