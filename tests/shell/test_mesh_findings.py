"""What the mesh check finds: each code from a mesh with that fault, its figures known from how it was made."""

import re

import numpy as np
import pytest
import trimesh

from pourwright import units
from pourwright.cli import main
from pourwright.errors import ShellError
from pourwright.findings import Code, Severity, finding
from pourwright.shell import MESH_SENTENCES, SkinKind, shell_report
from pourwright.shell.words import WHY, Unparted, sentence


def with_a_line_for_a_face(odd):
    v, f = odd.sphere(0.5, 3)
    return v, np.vstack([f, [[0, 0, 1]]])


def with_a_flap(odd):
    v, f = odd.sphere(0.5, 3)
    a, b = f[0, :2]
    tip = v[[a, b]].mean(axis=0) * 1.3
    return np.vstack([v, tip]), np.vstack([f, [[a, b, len(v)], [b, a, len(v)]]])


def with_one_face_turned(odd):
    v, f = odd.sphere(0.5, 3)
    return v, np.vstack([f[:1, ::-1], f[1:]])


def with_a_partition(odd):
    v, f = odd.box((1.0, 0.6, 0.4), 3)
    at = np.flatnonzero(np.abs(v[:, 0]) < 1e-9)
    ring = at[np.argsort(np.arctan2(v[at, 2], v[at, 1]))]
    return v, np.concatenate([f, np.column_stack([np.full(len(ring) - 2, ring[0]), ring[1:-1], ring[2:]])])


def with_a_scrap(odd):
    return odd.join(odd.sphere(0.5, 4), (np.array([[0.6, 0, 0], [0.61, 0, 0], [0.6, 0.01, 0]]), np.array([[0, 1, 2]])))


def two_balls(odd, apart, level=4):
    return odd.join(odd.sphere(0.5, level), odd.sphere(0.5, level, (apart, 0.0, 0.0)))


def many_balls(odd):
    side = range(6)
    return odd.join(*[odd.sphere(0.08, 1, (0.1 * i, 0.1 * j, 0.1 * k)) for i in side for j in side for k in side])


def figure_of_eight(odd):
    t = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    line = np.stack([np.sin(t), np.sin(t) * np.cos(t), 0 * t], axis=1)
    along = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    side = np.cross([0.0, 0.0, 1.0], along)
    a = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    v = line[:, None] + 0.05 * (np.cos(a)[:, None] * side[:, None] + np.sin(a)[:, None] * np.array([0.0, 0, 1]))
    n = np.arange(200 * 24).reshape(-1, 24)
    p, q, u, w = n, np.roll(n, -1, 0), np.roll(np.roll(n, -1, 0), -1, 1), np.roll(n, -1, 1)
    return v.reshape(-1, 3), np.concatenate(
        [np.stack([p, q, u], -1).reshape(-1, 3), np.stack([p, u, w], -1).reshape(-1, 3)]
    )


def with_its_top_mirrored(odd):
    v, f = odd.box((0.5, 0.5, 0.8), 3)  # corners every 0.1 m up
    v = v.copy()
    v[:, 0] *= np.where(v[:, 2] > 0.05, -1, 1)
    return v, f


def limb_with_an_open_end(odd):
    v, f = odd.tube(0.1, 1.0, 48)
    up = np.array([0, 0, 0.75])
    top = trimesh.creation.cylinder(0.1, 1.0, sections=48)
    lid = np.asarray(top.vertices) + up, np.asarray(top.faces)[top.face_normals[:, 2] > 0.5]
    return odd.join(odd.sphere(0.5, 4), (v + up, f), lid)


def wavy_tube(odd, height):
    v, f = odd.tube()
    v = v.copy()
    v[:, 2] += np.where(v[:, 2] > 0, height * np.sin(2 * np.arctan2(v[:, 1], v[:, 0])), 0)
    return v, f


def moebius_band():
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
    return v, np.array(f)


def flat_square():
    v = np.array([[x, y, 0.0] for x in np.linspace(0, 1, 6) for y in np.linspace(0, 1, 6)])
    low = np.array([6 * i + j for i in range(5) for j in range(5)])
    return v, np.concatenate([np.column_stack([low, low + 6, low + 1]), np.column_stack([low + 1, low + 6, low + 7])])


def folded_vase(odd):
    v, f = odd.vase(wall=0.01)
    high = v[:, 2] > 0.05
    v = v.copy()
    v[high, 2] += 0.4 * np.cos(2 * np.arctan2(v[high, 1], v[high, 0])) * (v[high, 2] - 0.05) / 0.05
    return v, f


NOTE, WARNING, REFUSAL = Severity.NOTE, Severity.WARNING, Severity.REFUSAL
MESHES = {
    Code.EMPTY_TRIANGLES: (with_a_line_for_a_face, NOTE, {"count": 1}),
    Code.OPEN_SEAMS: (lambda odd: odd.with_cracks(odd.figure(4), 2e-8), NOTE, {}),
    Code.CORNERS_ON_EDGES: (lambda odd: odd.half_refined(odd.figure(4)), NOTE, {}),
    Code.DOUBLED_TRIANGLES: (lambda odd: odd.with_faces_doubled(odd.sphere(0.5, 3)), NOTE, {"count": 1280}),
    Code.BACK_TO_BACK: (with_a_flap, NOTE, {"count": 1}),
    Code.FLIPPED_TRIANGLES: (with_one_face_turned, WARNING, {"count": 1, "of": 1280}),
    Code.CROWDED_EDGES: (with_a_partition, WARNING, {"count": 32}),  # a rim of 0.6 x 0.4 m in steps of 1/8 a side
    Code.LOOSE_SCRAPS: (with_a_scrap, NOTE, {"count": 1, "area_m2": 5e-5}),
    Code.OPEN_SHEETS: (with_a_partition, WARNING, {"count": 30, "area_m2": 0.24}),
    Code.OVERLAPPING_BODIES: (
        lambda odd: two_balls(odd, 0.5), WARNING,
        {"count": 2, "shared_m3": 2 * np.pi * 0.25**2 * (1.5 - 0.25) / 3},  # two caps of a ball
    ),
    Code.BODIES_NOT_CUT: (many_balls, WARNING, {"count": 216}),
    Code.SEVERAL_BODIES: (lambda odd: two_balls(odd, 1.5, 3), WARNING, {"count": 2}),
    Code.DOUBLED_SURFACE: (lambda odd: odd.join(odd.sphere(), odd.sphere(0.4999)), WARNING, {"count": 1}),
    Code.STRAY_BODIES: (lambda odd: odd.join(odd.sphere(), odd.sphere(0.005, 1, (0.7, 0, 0))), NOTE, {"count": 1}),
    Code.INNER_BODIES: (
        lambda odd: odd.join(odd.sphere(), odd.sphere(0.05, 4), odd.sphere(0.05, 4, (0.2, 0.0, 0.0))), WARNING,
        {"count": 2, "volume_m3": 2 * 4 / 3 * np.pi * 0.05**3},
    ),
    Code.OVERLAPPING_SURFACE: (figure_of_eight, WARNING, {"volume_m3": 16 / 3 * 0.05**3}),  # Archimedes
    # 0.3 m of a prism, and the upper half of a layer of 0.1 m in which it narrows to a line and widens again
    Code.INVERTED_SURFACE: (with_its_top_mirrored, WARNING, {"volume_m3": 0.25 * 0.3 + 0.25 * 0.1 / 4}),
    Code.HOLES: (lambda odd: odd.with_faces_missing(odd.figure(4), 0.01), WARNING, {}),
    Code.HIDDEN_ENDS: (limb_with_an_open_end, NOTE, {"count": 1}),
    Code.UNEVEN_RIM: (lambda odd: wavy_tube(odd, 0.02), WARNING, {"across_m": 0.6, "out_m": 0.02}),
    Code.RIM_TOO_UNEVEN: (lambda odd: wavy_tube(odd, 0.4), REFUSAL, {"out_m": 0.4, "most": 0.1}),
    Code.ONE_SIDED: (lambda odd: moebius_band(), REFUSAL, {"count": 120}),
    Code.BROKEN_BORDER: (lambda odd: moebius_band(), REFUSAL, {"edges": 120}),
    Code.SHEET: (lambda odd: flat_square(), REFUSAL, {"area_m2": 1.0}),
    Code.WALL_NOT_PARTED: (folded_vase, REFUSAL, {}),
    Code.INSIDE_IN_DOUBT: (with_its_top_mirrored, REFUSAL, {"most": 0.1}),
}  # fmt: skip
ASKED = {
    Code.NO_INNER_SURFACE: (lambda odd: odd.sphere(0.5, 3), SkinKind.BOTH_FACES),
    Code.NO_RIM: (lambda odd: odd.sphere(0.5, 3), SkinKind.OPEN),
    Code.OPEN_ON_RIMS: (lambda odd: odd.bowl(), SkinKind.OUTSIDE),
}
ELSEWHERE = {
    Code.AXES_KEPT, Code.CORNERS_NOT_SOUGHT, Code.OTHER_UNIT, Code.TOUCHING_BODIES, Code.WALL_NOT_USED,
}  # fmt: skip
"""Found by the tests below."""


def only(findings, code):
    (found,) = [one for one in findings if one.found.code is code]
    return found


def test_every_code_of_the_mesh_check_is_found_here():
    assert {*MESHES, *ASKED, *ELSEWHERE} == set(MESH_SENTENCES)


@pytest.mark.parametrize("code", MESHES)
def test_a_mesh_with_this_fault_is_found_with_its_figures(odd, write, code):
    make, severity, values = MESHES[code]
    found = only(shell_report(write(make(odd), "piece.ply"), "m").findings, code)
    assert found.severity == severity
    for name, value in values.items():
        assert found.found[name] == pytest.approx(value, rel=0.02)


@pytest.mark.parametrize("code", [Code.HOLES, Code.OVERLAPPING_BODIES, Code.OPEN_SHEETS, Code.RIM_TOO_UNEVEN])
def test_the_check_is_read_in_both_systems(odd, write, capsys, code):
    """They were metric alone, areas as "m2" and volumes as "m3", and only the last figure of a point in feet."""
    make, severity, _ = MESHES[code]
    path = write(make(odd), "piece.ply")
    report = shell_report(path, "m")
    assert main(["check", str(path), "--unit", "m"]) == (severity == Severity.REFUSAL)
    shown = " ".join(capsys.readouterr().out.split())
    for words in (report.kind_reason, only(report.findings, code).words):
        assert not re.search(r"\bm[23]\b", words)
        told = units.in_both(words)
        assert told in shown
        for figure in re.finditer(r"\d (mm|cm²|m²|m³|m|mL|L)(?![\w²³])", words):
            assert f"{figure[0]} (" in told


def test_a_point_and_a_volume_of_next_to_nothing_are_no_exponents():
    assert sentence(finding(Code.INVERTED_SURFACE, volume_m3=2.04e-5, at_m=(-4.34e-12, 0.25, 1.0))) == (
        "20.4 mL around x 0, y 0.25, z 1 m are inside out; they count as inside."
    )
    assert "under 1 mL" in sentence(finding(Code.INNER_BODIES, count=3.0, volume_m3=4.9e-19))
    assert "2 loose bodies" in sentence(finding(Code.STRAY_BODIES, count=2.0))


@pytest.mark.parametrize("code", ASKED)
def test_a_kind_that_the_mesh_cannot_be_is_a_refusal(odd, write, skin_of, code):
    make, kind = ASKED[code]
    report = shell_report(write(make(odd), "piece.ply"), "m", kind)
    found = only(report.findings, code)
    assert (found.severity, found.name) == (Severity.REFUSAL, "no cavity")
    assert report.reasons == (found.words,)
    with pytest.raises(ShellError) as told:
        skin_of(make(odd), kind=kind)
    assert str(told.value) == f"piece.ply: {found.words}"


def test_bodies_that_only_touch_are_noted(odd, write):
    a, b = odd.box((0.5, 0.5, 0.5)), odd.box((0.5, 0.4, 0.4), 0, (0.5 - 1e-7, 0.0, 0.0))
    found = only(shell_report(write(odd.join(a, b), "piece.ply"), "m").findings, Code.TOUCHING_BODIES)
    assert found.found["count"] == 2
    assert found.severity == Severity.NOTE


def test_corners_are_not_sought_in_a_heap(odd, write, monkeypatch):
    monkeypatch.setattr("pourwright.shell.seams.LOOK_LIMIT", 10)
    found = only(shell_report(write(odd.half_refined(odd.figure(4))), "m").findings, Code.CORNERS_NOT_SOUGHT)
    assert found.name == "corners on edges"


def test_axes_of_gltf_and_a_unit_that_is_overruled(odd, write):
    findings = shell_report(write(odd.sphere(0.5, 3), "piece.glb"), "ft").findings
    assert only(findings, Code.AXES_KEPT).severity == Severity.NOTE
    assert only(findings, Code.OTHER_UNIT).found == finding(Code.OTHER_UNIT, stated="m", asked="ft")


def test_a_wall_given_for_a_mesh_with_both_faces_is_not_used(odd, skin_of):
    mesh = odd.join(odd.sphere(), odd.sphere(0.45))
    assert only(skin_of(mesh, wall=0.005).findings, Code.WALL_NOT_USED).found == finding(Code.WALL_NOT_USED)
    assert not skin_of(mesh, wall=None).findings


def test_a_place_is_told_where_it_is_one_and_not_where_it_is_all_over(odd, write):
    one = only(shell_report(write(with_one_face_turned(odd)), "m").findings, Code.FLIPPED_TRIANGLES)
    v, f = odd.sphere(0.5, 3)
    assert one.found["near_m"] == pytest.approx(v[f[0]].mean(axis=0), abs=1e-6)
    assert one.at_m == (one.found["near_m"],)
    many = odd.with_faces_flipped((v, f), 0.05)
    spread = only(shell_report(write(many, "many.stl"), "m").findings, Code.FLIPPED_TRIANGLES)
    assert spread.found["near_m"] == ()
    assert "all over the piece" in spread.words


def test_why_a_wall_is_not_parted_is_a_value_with_words(odd, write):
    folded = only(shell_report(write(folded_vase(odd), "piece.ply"), "m").findings, Code.WALL_NOT_PARTED)
    assert Unparted(folded.found["why"]) is Unparted.UNEVEN_MOUTHS
    assert folded.found["doubt_m3"] <= folded.found["behind_m3"]
    v, f = odd.vase()
    torn = only(shell_report(write((v, f[5:]), "torn.ply"), "m").findings, Code.WALL_NOT_PARTED)
    assert Unparted(torn.found["why"]) is Unparted.OPEN_RIMS
    assert set(WHY) == set(Unparted)
    assert len({say(0.1, 0.2) for say in WHY.values()}) == len(Unparted)
