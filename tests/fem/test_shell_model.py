from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shell_problems import grid

from pourwright.errors import ShellError
from pourwright.fem import ShellModel, skin_stress, springs, triangle

TETRA = np.array([[0.0, 0, 0], [1, 0, 0], [0.2, 0.9, 0], [0.4, 0.3, 0.8]])
TETRA_FACES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])


def rotation(seed):
    q = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))[0]
    return q * np.sign(np.linalg.det(q))


def rigid_moves(places):
    out = np.zeros((len(places), 6, 6))
    for i in range(3):
        turn = np.eye(3)[i]
        out[:, i, i] = 1.0
        out[:, :3, 3 + i] = np.cross(turn, places)
        out[:, 3 + i, 3 + i] = 1.0
    return out.reshape(-1, 6)


@given(st.lists(st.floats(-1, 1), min_size=9, max_size=9), st.floats(0.0, 0.45), st.floats(0.01, 0.2))
@settings(max_examples=60, deadline=None)
def test_one_triangle_moves_freely_and_only_rigidly(numbers, nu, thickness):
    """Six zero eigenvalues, twelve above: no false mechanism, nothing against a rigid move."""
    places = np.array(numbers).reshape(3, 3)
    cross = np.cross(places[1] - places[0], places[2] - places[0])
    sides = places - places[[1, 2, 0]]
    assume(np.linalg.norm(cross) > 0.1 * (sides**2).sum(axis=1).max())
    assume((sides**2).sum(axis=1).max() > 0.01)
    k = ShellModel(places, [[0, 1, 2]], thickness, 1.0, nu).assemble().toarray()
    assert k == pytest.approx(k.T, abs=1e-12 * np.abs(k).max())
    values = np.linalg.eigvalsh(k)
    assert np.abs(k @ rigid_moves(places)).max() < 1e-10 * np.abs(k).max()
    # Bending goes with the cube of the thickness, stretching with the thickness: the softest of the twelve scales so.
    slender = thickness**2 / (sides**2).sum(axis=1).max()
    assert (np.abs(values[:6]) < 1e-6 * slender * values[-1]).all()
    assert values[6] > 1e-5 * slender * values[-1]


def test_stiffness_does_not_depend_on_axes_or_corner_order():
    turn = rotation(5)
    k = ShellModel(TETRA, TETRA_FACES, 0.01, 2.0, 0.3).assemble().toarray()
    rolled = ShellModel(TETRA, np.roll(TETRA_FACES, 1, axis=1), 0.01, 2.0, 0.3).assemble().toarray()
    assert rolled == pytest.approx(k, abs=1e-10 * np.abs(k).max())
    turned = ShellModel(TETRA @ turn.T + 3.0, TETRA_FACES, 0.01, 2.0, 0.3).assemble().toarray()
    big = np.kron(np.eye(8), turn)
    assert big.T @ turned @ big == pytest.approx(k, abs=1e-10 * np.abs(k).max())


def test_in_plane_bending_of_slender_triangles_is_exact():
    """Two triangles 8 : 1 bent in their plane by end moments: the turn of the end is M L / (E I)."""
    length, width, t = 8.0, 1.0, 0.1
    model = ShellModel(
        [[0, 0, 0], [length, 0, 0], [length, width, 0], [0, width, 0]], [[0, 1, 2], [0, 2, 3]], t, 1.0, 0.0
    )
    curvature = 1e-3
    x, y = model.vertices_m[:, 0], model.vertices_m[:, 1] - width / 2
    u = np.zeros((4, 6))
    u[:, 0], u[:, 1], u[:, 5] = -curvature * x * y, curvature * x**2 / 2, curvature * x
    energy = 0.5 * u.ravel() @ (model.assemble() @ u.ravel())
    assert energy == pytest.approx(0.5 * t * width**3 / 12 * curvature**2 * length, rel=1e-9)


def test_sparse_matrix_is_the_sum_of_its_elements():
    x, y, faces = grid(3, 2, "crossed")
    model = ShellModel(np.c_[x, y, 0.1 * x * y], faces, np.linspace(0.01, 0.02, len(faces)), 3.0, 0.3)
    k = triangle.element_stiffness(model.facets, model.thickness_m, model.youngs_pa, model.poisson)
    blocks = triangle.to_global(model.facets, k)
    dense = np.zeros((len(x), 6, len(x), 6))
    for face, block in zip(faces, blocks, strict=True):
        for i in range(3):
            for j in range(3):
                dense[face[i], :, face[j], :] += block[i, j]
    assert model.assemble().toarray() == pytest.approx(dense.reshape(model.size, model.size), abs=1e-12)


def test_thickness_scales_membrane_and_bending():
    thin, thick = (ShellModel(TETRA[:3], [[0, 1, 2]], t, 1.0, 0.3).assemble().toarray() for t in (0.01, 0.02))
    assert thick[0, 0] == pytest.approx(2 * thin[0, 0])
    assert thick[2, 2] == pytest.approx(8 * thin[2, 2])


def test_loads_add_up():
    model = ShellModel(TETRA, TETRA_FACES, 0.01, 1.0, 0.3)
    pressure = model.pressure_load(5.0).reshape(-1, 6)
    assert pressure[:, :3].sum(axis=0) == pytest.approx([0, 0, 0], abs=1e-12)  # closed
    assert (pressure[:, :3] * (TETRA - TETRA.mean(axis=0))).sum() > 0  # outwards
    weight = model.gravity_load(1000.0, [0, 0, -9.80665]).reshape(-1, 6)
    assert weight[:, 2].sum() == pytest.approx(-1000 * 0.01 * model.area_m2.sum() * 9.80665)
    load = model.nodal_load([1, 1], [[1, 2, 3], [1, 0, 0]]).reshape(-1, 6)
    assert load[1] == pytest.approx([2, 2, 3, 0, 0, 0])
    assert model.vertex_area_m2.sum() == pytest.approx(model.area_m2.sum())
    assert np.linalg.norm(model.vertex_normals, axis=1) == pytest.approx(np.ones(4))
    assert model.nodal_load(2, [0, 0, 0, 0, 0, 7.0])[17] == 7.0


def test_uniform_stretch_has_uniform_stress():
    x, y, faces = grid(4, 3, "crossed")
    model = ShellModel(np.c_[x, y, 0 * x], faces, 0.01, 10.0, 0.25)
    u = np.zeros((len(x), 6))
    u[:, 0], u[:, 1] = 1e-3 * x, -0.25e-3 * y
    s = skin_stress(model, u)
    assert s.peak_pa == pytest.approx(np.full(len(faces), 10e-3), rel=1e-9)
    assert s.von_mises_pa == pytest.approx(np.full(len(faces), 10e-3), rel=1e-9)
    assert s.outside_pa == pytest.approx(s.inside_pa)


def test_outside_face_is_the_one_the_normal_points_to():
    """Bulged towards the normal: the outside face is stretched."""
    x, y, faces = grid(4, 4)
    model = ShellModel(np.c_[x, y, 0 * x], faces, 0.01, 10.0, 0.0)
    u = np.zeros((len(x), 6))
    u[:, 2], u[:, 4] = -1e-3 * x**2 / 2, 1e-3 * x
    s = skin_stress(model, u)
    assert (s.outside_pa[:, :2].sum(axis=1) > 0).all()
    assert s.outside_pa[:, :2].sum(axis=1) == pytest.approx(np.full(len(faces), 10 * 1e-3 * 0.005))


def test_springs_are_symmetric_and_directed():
    model = ShellModel(TETRA, TETRA_FACES, 0.01, 1.0, 0.3)
    d = np.array([0.6, 0.0, 0.8])
    k = springs(model, [2], d, 5.0)
    assert np.abs((k - k.T).toarray()).max() < 1e-15 * 5.0
    u = np.zeros((4, 6))
    u[2, :3] = d
    assert (k @ u.ravel()).reshape(4, 6)[2, :3] == pytest.approx(5 * d)
    u[2, :3] = [0, 1, 0]
    assert np.abs(k @ u.ravel()).max() == 0.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"triangles": [[0, 1, 9]]}, "vertices 0 to 9"),
        ({"triangles": np.zeros((0, 3), int)}, "m > 0"),
        ({"triangles": [[0, 1, 2]]}, "belong to no triangle"),
        ({"triangles": [[0, 1, 2], [3, 3, 1]]}, "no area"),
        ({"thickness_m": 0.0}, "thickness_m = 0 .* above zero"),
        ({"thickness_m": [0.1, 0.1, -1, 0.1]}, "thickness_m = -1"),
        ({"youngs_pa": np.nan}, "youngs_pa"),
        ({"poisson": 0.5}, "between -1 and 0.5"),
        ({"vertices_m": TETRA * np.nan}, "no finite place"),
        ({"vertices_m": TETRA[:, :2]}, r"give \(n, 3\)"),
    ],
)
def test_bad_models_are_refused_in_a_sentence(change, words):
    good = {"vertices_m": TETRA, "triangles": TETRA_FACES, "thickness_m": 0.01, "youngs_pa": 1.0, "poisson": 0.3}
    with pytest.raises(ShellError, match=words):
        ShellModel(**(good | change))


def test_arrays_are_read_only_and_inputs_are_kept():
    places, faces = TETRA.copy(), TETRA_FACES.copy()
    model = ShellModel(places, faces, 0.01, 1.0, 0.3)
    places[0] = 9.0
    assert model.vertices_m[0, 0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        model.vertices_m[0, 0] = 1.0
