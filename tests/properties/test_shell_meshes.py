"""Any small mesh: either a sentence, or a skin that is closed, wound outwards and finite."""

import struct

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from pourwright.errors import PourwrightError
from pourwright.panels import panels
from pourwright.shell import SkinKind, WallBand, load_skin, skin_material

KINDS = st.sampled_from([None, None, *SkinKind])
QUIET = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def stl(vertices, faces):
    data = np.zeros(len(faces), np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]))
    data["v"] = np.asarray(vertices)[faces]
    return b"\0" * 80 + struct.pack("<I", len(faces)) + data.tobytes()


def check(folder, vertices, faces, kind):
    path = folder / "a.stl"
    path.write_bytes(stl(vertices, faces))
    bands = (WallBand("", -np.inf, np.inf, 0.005),)
    try:
        skin = load_skin(path, unit="m", material=skin_material("grp"), bands=bands, kind=kind)
    except PourwrightError as error:
        assert "\n" not in str(error)  # noqa: PT017
        return None
    half = skin.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    size = int(skin.faces.max()) + 1
    there, back = np.sort(half @ [size, 1]), np.sort(half @ [1, size])
    assert np.array_equal(there, back)  # closed: every edge is run as often either way
    assert np.isfinite(skin.vertices_m).all()
    assert skin.enclosed_m3 > 0
    assert 0.9 <= skin.trust <= 1.0
    assert skin.volume_doubt_m3 >= 0
    assert kind is None or skin.kind is kind
    for opening in skin.openings:
        assert abs(np.linalg.norm(opening.normal) - 1) < 1e-9
        assert opening.area_m2 > 0
    for panel in panels(skin, 3):
        assert 0 < panel.width_m <= panel.length_m
        assert np.isfinite(panel.point_m).all()
    return skin


@QUIET
@given(
    vertices=hnp.arrays(np.int8, st.tuples(st.integers(3, 12), st.just(3)), elements=st.integers(-2, 2)),
    data=st.data(),
    kind=KINDS,
)
def test_any_triangles_on_a_small_lattice(tmp_path, vertices, data, kind):
    faces = data.draw(
        hnp.arrays(np.int64, st.tuples(st.integers(1, 30), st.just(3)), elements=st.integers(0, len(vertices) - 1))
    )
    check(tmp_path, vertices.astype(float), faces, kind)


@QUIET
@given(cells=hnp.arrays(np.bool_, (3, 3, 3)), flip=st.integers(0, 2**31), kind=KINDS)
def test_any_heap_of_cubes(tmp_path, cells, flip, kind):
    """Surfaces that touch in edges and corners, whose volume is known: with some faces turned it stays so."""
    grid = np.pad(cells, 1)
    vertices, faces = [], []
    eye = np.eye(3)
    for axis in range(3):
        for sign in (1, -1):
            for cell in np.argwhere(grid & ~np.roll(grid, -sign, axis)):
                a, b = eye[(axis + 1) % 3], eye[(axis + 2) % 3]
                corner = cell + (eye[axis] if sign > 0 else 0)
                ring = [corner, corner + a, corner + a + b, corner + b][::sign]
                start = len(vertices)
                vertices += ring
                faces += [[start, start + 1, start + 2], [start, start + 2, start + 3]]
    if not faces:
        return
    faces = np.array(faces)
    turn = np.random.default_rng(flip).random(len(faces)) < 0.05
    faces[turn] = faces[turn][:, ::-1]
    skin = check(tmp_path, np.array(vertices), faces, kind)
    holes = filled(grid).sum() - grid.sum()
    if skin is not None and not turn.any() and skin.kind is SkinKind.OUTSIDE and not holes:
        np.testing.assert_allclose(skin.enclosed_m3, grid.sum(), rtol=1e-6)


def filled(grid):
    from scipy.ndimage import binary_fill_holes

    return binary_fill_holes(grid)


@QUIET
@given(
    pieces=st.lists(st.tuples(*[st.integers(-3, 3)] * 3, *[st.integers(1, 4)] * 3), min_size=1, max_size=4), kind=KINDS
)
def test_any_boxes_into_one(tmp_path, pieces, kind):
    """Overlapping, touching, nested and loose boxes on a lattice: the union's volume is counted in cells."""
    corners = np.array([[k >> 2 & 1, k >> 1 & 1, k & 1] for k in range(8)])
    quads = np.array([[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]])
    box = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    cells = np.zeros((14, 14, 14), bool)
    vertices, faces = [], []
    for k, (x, y, z, a, b, c) in enumerate(pieces):
        vertices.append(np.array([x, y, z]) + corners * [a, b, c])
        faces.append(box + 8 * k)
        cells[x + 3 : x + 3 + a, y + 3 : y + 3 + b, z + 3 : z + 3 + c] = True
    skin = check(tmp_path, np.concatenate(vertices).astype(float), np.concatenate(faces), kind)
    if skin is not None and skin.kind is SkinKind.OUTSIDE:
        np.testing.assert_allclose(skin.enclosed_m3, cells.sum(), rtol=2e-3)
