"""Dirty meshes: mended where it is safe, said in words, and the inside right to half a per cent or refused."""

import numpy as np
import pytest
import trimesh

from pourwright.errors import ShellError
from pourwright.shell import SkinKind


def names(skin):
    return {f.name for f in skin.findings}


def finding(skin, name):
    return next(f for f in skin.findings if f.name == name)


def directed(faces):
    """Whether every edge is run as often one way as the other: closed, whatever meets there."""
    half = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    size = int(faces.max()) + 1
    there = np.sort(half[:, 0] * size + half[:, 1])
    back = np.sort(half[:, 1] * size + half[:, 0])
    return np.array_equal(there, back)


@pytest.fixture(scope="module")
def bodies(odd):
    return {"figure": odd.figure(5), "torus": odd.torus(), "box": odd.box((0.5, 0.8, 0.3), 4)}


def everything(odd, mesh):
    mesh = odd.with_faces_doubled(odd.with_faces_flipped(odd.with_faces_missing(mesh, 0.01), 0.05), 0.5)
    return odd.soup(odd.with_junk_inside(mesh, 20, 0.01))


DIRT = {
    "1 % missing": (lambda odd, m: odd.with_faces_missing(m, 0.01), {"holes"}),
    "5 % flipped": (lambda odd, m: odd.with_faces_flipped(m, 0.05), {"flipped triangles"}),
    "doubled": (lambda odd, m: odd.with_faces_doubled(m), {"doubled triangles"}),
    "half doubled": (lambda odd, m: odd.with_faces_doubled(m, 0.5), {"doubled triangles"}),
    "doubled then flipped": (
        lambda odd, m: odd.with_faces_flipped(odd.with_faces_doubled(m), 0.05),
        {"doubled triangles"},
    ),
    "inside out": (lambda odd, m: odd.inside_out(m), set()),
    "soup": (lambda odd, m: odd.soup(m), set()),
    "cracked": (lambda odd, m: odd.with_cracks(m, 2e-8), {"open seams"}),
    "everything": (everything, {"holes", "flipped triangles", "doubled triangles"}),
}


@pytest.mark.parametrize("dirt", DIRT)
@pytest.mark.parametrize("body", ["figure", "torus", "box"])
def test_volume_of_a_dirty_body(odd, skin_of, bodies, body, dirt):
    make, said = DIRT[dirt]
    skin = skin_of(make(odd, bodies[body]))
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.enclosed_m3 == pytest.approx(odd.volume(*bodies[body]), rel=0.005)
    assert odd.volume(skin.vertices_m, skin.faces) > 0
    assert directed(skin.faces)
    assert said <= names(skin)
    assert skin.trust > 0.95
    assert abs(skin.enclosed_m3 - odd.volume(*bodies[body])) <= max(skin.volume_doubt_m3, 1e-6 * skin.enclosed_m3)


@pytest.mark.parametrize("body", ["figure", "torus", "box"])
def test_junk_inside_is_left_out(odd, skin_of, bodies, body):
    if body == "torus":  # its middle is a hole: the junk goes into the tube
        parts = [odd.sphere(0.01, 1, (0.5 * np.cos(t), 0.5 * np.sin(t), 0.0)) for t in range(6)]
        dirty = odd.join(bodies[body], *parts)
    else:
        dirty = odd.with_junk_inside(bodies[body], 30, 0.02)
    skin = skin_of(dirty)
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.enclosed_m3 == pytest.approx(odd.volume(*bodies[body]), rel=0.005)
    assert len(skin.faces) == len(bodies[body][1])
    assert "inner bodies" in names(skin)


@pytest.mark.parametrize(
    ("middle", "shared"),
    [((0.5, 0.0, 0.0), 2 * np.pi * 0.25**2 * (3 * 0.5 - 0.25) / 3), ((0.97, 0.0, 0.0), None), ((0.0, 0.2, 0.9), None)],
)
def test_overlapping_bodies_become_one(odd, skin_of, middle, shared):
    skin = skin_of(odd.join(odd.sphere(0.5, 5), odd.sphere(0.5, 5, middle)))
    d = np.linalg.norm(middle)
    h = 0.5 - d / 2
    lens = 2 * np.pi * h**2 * (1.5 - h) / 3  # two caps of a ball
    assert skin.enclosed_m3 == pytest.approx(2 * 4 / 3 * np.pi * 0.125 - lens, rel=0.005)
    assert skin.clean
    assert "overlapping bodies" in names(skin)
    if shared is not None:
        said = finding(skin, "overlapping bodies").found["shared_m3"]
        assert said == pytest.approx(shared, rel=0.01)
    # nothing of the surface is left inside: area of two balls without the caps
    assert skin.area_m2 == pytest.approx(2 * np.pi - 2 * 2 * np.pi * 0.5 * h, rel=0.01)


def test_a_limb_stuck_into_the_body_with_an_open_end(odd, skin_of):
    v, f = odd.tube(0.1, 1.0, 48)
    up = np.array([0, 0, 0.75])
    limb = v + up, f  # from 0.25 to 1.25: open end below inside the ball, upper end capped by hand
    top = trimesh.creation.cylinder(0.1, 1.0, sections=48)
    lid = np.asarray(top.vertices) + up, np.asarray(top.faces)[top.face_normals[:, 2] > 0.5]
    skin = skin_of(odd.join(odd.sphere(0.5, 5), limb, lid))
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.openings == ()
    assert "hidden ends" in names(skin)
    # cylinder outside the ball: up to 1.25 m from the ball's surface, exact for the round shapes to 1 %
    r, big = 0.1, 0.5
    deep = np.sqrt(big**2 - r**2)
    above_plane = np.pi * r**2 * (1.25 - deep)
    cap = np.pi * (big - deep) ** 2 * (3 * big - (big - deep)) / 3
    assert skin.enclosed_m3 == pytest.approx(4 / 3 * np.pi * big**3 + above_plane - cap, rel=0.01)


def test_a_self_overlapping_surface_counts_each_spot_once(odd, skin_of):
    # a tube of radius r along a figure of eight that crosses itself square: one piece, in itself at the crossing
    r = 0.05
    t = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    line = np.stack([np.sin(t), np.sin(t) * np.cos(t), 0 * t], axis=1)
    along = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    side = np.cross([0.0, 0.0, 1.0], along)
    a = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    v = line[:, None] + r * (np.cos(a)[:, None] * side[:, None] + np.sin(a)[:, None] * np.array([0.0, 0, 1]))
    n = np.arange(v.shape[0] * 48).reshape(-1, 48)
    p, q, u, w = n, np.roll(n, -1, 0), np.roll(np.roll(n, -1, 0), -1, 1), np.roll(n, -1, 1)
    f = np.concatenate([np.stack([p, q, u], -1).reshape(-1, 3), np.stack([p, u, w], -1).reshape(-1, 3)])
    mesh = v.reshape(-1, 3), f
    skin = skin_of(mesh, wall=0.002)
    assert "overlapping surface" in names(skin)
    assert not skin.clean
    # two equal cylinders that cross square share 16 r^3 / 3 (Archimedes); the bend is slight there
    shared = abs(odd.volume(*mesh)) - skin.enclosed_m3
    assert shared == pytest.approx(16 / 3 * r**3, rel=0.03)


def test_a_partition_inside_is_left_out(odd, skin_of):
    v, f = odd.box((1.0, 0.6, 0.4), 3)
    at = np.flatnonzero(np.abs(v[:, 0]) < 1e-9)
    ring = at[np.argsort(np.arctan2(v[at, 2], v[at, 1]))]
    wall = np.column_stack([np.full(len(ring) - 2, ring[0]), ring[1:-1], ring[2:]])
    skin = skin_of((v, np.concatenate([f, wall])))
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.enclosed_m3 == pytest.approx(0.24, rel=1e-6)
    assert {"crowded edges"} <= names(skin)
    assert directed(skin.faces)
    assert len(skin.faces) == len(f)


def test_a_fin_outside_is_dropped(odd, skin_of):
    v, f = odd.box((1.0, 0.6, 0.4), 3)
    edge = f[0, :2]
    tip = v[edge].mean(axis=0) * 1.2
    skin = skin_of((np.vstack([v, tip]), np.vstack([f, [[edge[0], edge[1], len(v)]]])))
    assert skin.enclosed_m3 == pytest.approx(0.24, rel=1e-6)
    assert names(skin) & {"loose scraps", "loose bodies", "open sheets"}
    assert len(skin.faces) == len(f)


def test_a_large_flap_outside_is_dropped(odd, skin_of):
    v, f = odd.box((1.0, 0.6, 0.4), 3)
    at = np.flatnonzero((np.abs(v[:, 0]) < 1e-9) & (np.abs(v[:, 2] - 0.2) < 1e-9))
    line = at[np.argsort(v[at, 1])]
    new = len(v) + np.arange(len(line))
    flap = np.concatenate(
        [np.column_stack([line[:-1], line[1:], new[1:]]), np.column_stack([line[:-1], new[1:], new[:-1]])]
    )
    skin = skin_of((np.vstack([v, v[line] + [0, 0, 0.3]]), np.vstack([f, flap])))
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.enclosed_m3 == pytest.approx(0.24, rel=1e-6)
    assert "open sheets" in names(skin)


def test_two_boxes_that_share_an_edge(odd, skin_of):
    mesh = odd.join(odd.box((0.5, 0.5, 0.5)), odd.box((0.5, 0.5, 0.5), middle=(0.5, 0.5, 0.0)))
    skin = skin_of(odd.soup(mesh))
    assert skin.enclosed_m3 == pytest.approx(0.25, rel=1e-6)
    assert directed(skin.faces)


def test_a_void_that_touches_the_outside_in_an_edge_stays_a_void(odd, skin_of):
    outer = odd.box((1.0, 1.0, 1.0), 2)
    v, f = odd.box((0.4, 0.4, 0.5), 1)
    turn = np.array([[1, -1, 0], [1, 1, 0], [0, 0, np.sqrt(2)]]) / np.sqrt(2)
    v = v @ turn.T
    v[:, 0] += -0.5 - v[:, 0].min()  # an upright edge of it lies in the side of the outer box, on its grid
    v[np.abs(v) < 1e-12] = 0.0
    skin = skin_of(odd.soup(odd.join(outer, (v, f))), wall=None)
    assert skin.kind is SkinKind.BOTH_FACES
    assert -odd.volume(skin.vertices_m, skin.faces[skin.void_face]) == pytest.approx(0.08, rel=1e-6)


def test_corners_on_edges_are_cut_in(odd, skin_of):
    skin = skin_of(odd.half_refined(odd.figure(4)))
    assert skin.enclosed_m3 == pytest.approx(odd.volume(*odd.figure(4)), rel=1e-6)
    assert "corners on edges" in names(skin)
    assert directed(skin.faces)
    assert skin.openings == ()


def test_a_surface_drawn_twice_a_hair_apart_is_no_wall(odd, skin_of):
    skin = skin_of(odd.join(odd.sphere(0.5, 4), odd.sphere(0.4999, 4)))
    assert skin.kind is SkinKind.OUTSIDE
    assert "doubled surface" in names(skin)
    assert len(skin.faces) == len(odd.sphere(0.5, 4)[1])


def test_a_moebius_band_has_no_inside(skin_of):
    n = 60
    t = np.linspace(0, 2 * np.pi, n, endpoint=False)
    s = np.array([-0.1, 0.1])
    r = 0.5 + s[None] * np.cos(t / 2)[:, None]
    v = np.stack([r * np.cos(t)[:, None], r * np.sin(t)[:, None], s[None] * np.sin(t / 2)[:, None]], -1).reshape(-1, 3)
    f = []
    for i in range(n):
        a, b = 2 * i, 2 * i + 1
        c, d = (2 * i + 2, 2 * i + 3) if i < n - 1 else (1, 0)
        f += [[a, b, c], [b, d, c]]
    with pytest.raises(ShellError, match="only one side"):
        skin_of((v, np.array(f)))


def test_a_heap_of_loose_triangles_is_refused(skin_of):
    rng = np.random.default_rng(0)
    v = np.repeat(rng.uniform(0, 1, (300, 1, 3)), 3, axis=1) + rng.normal(0, 0.1, (300, 3, 3))
    with pytest.raises(ShellError):
        skin_of((v.reshape(-1, 3), np.arange(900).reshape(-1, 3)))


def test_too_many_holes_to_trust_are_refused_with_numbers(odd, skin_of):
    with pytest.raises(ShellError, match=r"in doubt and at most 10%|out of flat|sheet"):
        skin_of(odd.with_faces_missing(odd.figure(3), 0.6))


def test_places_are_kept_for_pictures(odd, skin_of):
    v, f = odd.figure(5)
    near = np.linalg.norm(v[f].mean(axis=1) - [0, 0, 0.6], axis=1)
    gone = np.argsort(near)[5:8]
    skin = skin_of((v, np.delete(f, gone, axis=0)))
    hole = finding(skin, "holes")
    assert len(hole.at_m) >= 1
    assert np.linalg.norm(np.array(hole.at_m[0]) - v[f[gone]].mean(axis=(0, 1))) < 0.1
    assert "near x" in hole.words


def test_mending_changes_nothing_on_a_clean_mesh(odd, skin_of):
    v, f = odd.figure(5)
    skin = skin_of((v, f))
    assert skin.clean
    assert skin.trust == 1.0
    assert skin.volume_doubt_m3 == 0.0
    np.testing.assert_array_equal(np.sort(skin.vertices_m, axis=0), np.sort(v.astype(np.float32), axis=0))
    assert len(skin.faces) == len(f)


def test_order_of_triangles_does_not_matter(odd, skin_of):
    mesh = odd.with_faces_flipped(odd.with_faces_missing(odd.figure(4), 0.01), 0.05)
    first = skin_of(mesh)
    shuffled = np.random.default_rng(1).permutation(len(mesh[1]))
    second = skin_of((mesh[0], mesh[1][shuffled]))
    assert second.enclosed_m3 == pytest.approx(first.enclosed_m3, rel=1e-9)
    assert names(first) == names(second)
