"""Gains of a whole small piece: bounds that any elastic body keeps."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Grid
from pourwright.fem import equilibrium
from pourwright.structure import Loads, SkinMesh, even_mesh, foam_block, piece_gains, support_of


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


def gains_of(tower, bond, gap_m=0.0, side_pa=500.0, force_n=50.0):
    mesh, foam = tower
    loads = Loads(1500.0, side_pa, np.zeros((0, 3)), bond, gap_m, force_n=force_n, points=12)
    return piece_gains(mesh, 7e9, 0.3, foam, loads)


def test_foam_only_stiffens_and_bond_only_helps(tower):
    gains, push, shape, *_ = gains_of(tower, 1.0)
    names = [gain.name for gain in gains]
    assert len(gains) == 5
    assert "twist" in names[-1]
    for gain in gains[1:]:  # own weight carries the foam's too
        touching, bonded, counted = gain.times
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
    gains, push, *_ = gains_of(tower, 1.0)
    bending = max(gain.times[1] for gain in gains if "bending" in gain.name)
    assert push.gain[push.worst] > 3 * bending


def test_without_bond_a_gap_takes_the_gain_of_a_light_push(tower):
    gains, push, *_ = gains_of(tower, 0.0, gap_m=1.0)
    side = next(gain for gain in gains if gain.name.startswith("side"))
    assert side.counted == pytest.approx(side.before)
    assert side.touching < 0.9 * side.before
    assert push.gain == pytest.approx(np.ones(12), rel=1e-9)
    _, closed, *_ = gains_of(tower, 0.0, gap_m=0.0)
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


def test_side_pressure_beyond_small_deflection_is_no_figure():
    """A long box of plates 0.6 m wide, 2 mm thick: by Roark's table 11.4, case 8a, 500 Pa bulge them far beyond half
    their wall, where small deflections end (section 11.2). Ratios stay, for a load that takes them about there; what
    large deflections make of that load (``equilibrium``, held by published plates elsewhere) is some 10 % less."""
    size = np.array([0.6, 0.6, 1.2])
    box = trimesh.creation.box(size)
    points, faces, _ = even_mesh(box.vertices + size / 2, box.faces, 1200)
    t, youngs, nu = 0.002, 7e9, 0.3
    linear = 0.0277 * 500.0 * 0.6**4 / (youngs * t**3)  # a/b = 2, clamped: a lower bound
    assert linear > 10 * t
    surface = trimesh.Trimesh(points, faces, process=False)
    mesh = SkinMesh(
        points, faces, np.full(len(faces), t), np.full(len(points), t), np.array(surface.vertex_normals), 0.07, "test"
    )
    shape = (6, 6, 12)
    foam = foam_block(Grid(np.zeros(3), 0.1, shape), np.ones(shape), np.full(12, 8e6), np.full(12, 50.0), nu)
    gains, push, drawn, *_ = gains_of((mesh, foam), 1.0, force_n=500.0)
    side = next(gain for gain in gains if gain.name.startswith("side"))
    assert math.isnan(side.before)
    assert "straight-line theory" in side.beyond
    assert 0.45 * t < side.small < 1.1 * t  # these plates' edges are not held in their plane, Roark's are
    model = mesh.model(youngs, nu)
    load = model.traction_load(np.outer(np.clip(-model.normals[:, 1], 0, None), [0, side.share * 500.0, 0]))
    held = support_of(mesh, "base", np.zeros((0, 3))).held
    true = np.linalg.norm(equilibrium(model, load, held, large=True).movement.reshape(-1, 6)[:, :3], axis=1).max()
    assert 0.88 < true / side.small < 0.96
    assert side.share < 0.1
    assert drawn.load_pa == pytest.approx(side.share * 500.0)
    assert np.linalg.norm(drawn.before_m, axis=1).max() == pytest.approx(side.small, rel=1e-6)
    assert math.isfinite(side.bonded)  # on foam the same plates hardly bulge
    small = next(g for g in gains_of((mesh, foam), 1.0, side_pa=0.5 * side.share * 500.0)[0] if "side" in g.name)
    assert small.before == pytest.approx(0.5 * side.small, rel=1e-6)
    assert small.times == pytest.approx(side.times, rel=1e-6)
    assert not small.beyond
    k = push.worst  # the middle of a plate, pushed by 500 N: P b^2 / (E t^3) is 3 m
    assert math.isnan(push.gives_m[0][k])
    assert push.at_n[k] < 25.0
    assert push.beyond


def test_bending_under_a_newton_closes_no_gap(tower):
    """A gap that cooling opened is not closed by so little: no gain is counted, nor does the plan's closed form."""
    gains, *_ = gains_of(tower, 0.0, gap_m=1e-3)
    for gain in gains:
        if gain.name.startswith("whole piece"):
            assert gain.times[0] > 1.005
            assert gain.times[2] == pytest.approx(1.0)
    touching, *_ = gains_of(tower, 0.0, gap_m=0.0)
    assert all(gain.times[2] == pytest.approx(gain.times[0]) for gain in touching)


def test_progress_tells_how_far_the_gains_are(tower):
    mesh, foam = tower
    told = []
    loads = Loads(1500.0, 500.0, np.zeros((0, 3)), 1.0, 0.0, points=4)
    piece_gains(mesh, 7e9, 0.3, foam, loads, lambda step, done: told.append((step, done)))
    shares = [done for _, done in told]
    assert {step for step, _ in told} == {"stiffness"}
    assert shares == sorted(shares)
    assert len(shares) >= 8
    assert 0 < shares[0] < 0.2
    assert 0.8 < shares[-1] < 1.0
