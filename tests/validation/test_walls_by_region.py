"""Walls by region against closed forms: boxes and tubes whose sides differ, by hand.

A box's cavity is the product of what its walls leave; a tube's is pi r^2 h; a skin weighs its volume times its density.
"""

import math

import numpy as np
import pytest
from trimesh.creation import box, cylinder

from pourwright.cavity import build_cavity, pour_frame
from pourwright.errors import JobError
from pourwright.intake import job_from_shell
from pourwright.plan.skin import skin_of
from pourwright.structure import skin_mesh

W, D, H, WALL = 0.4, 0.3, 0.2, 0.005
EVEN = {"foam.grade": "rigid-2", "wall.thickness": "5 mm", "piece.material": "polyethylene"}


def cavity_of(tmp_path, mesh, regions, cell_m=0.004):
    mesh.export(tmp_path / "part.ply")
    job = job_from_shell(tmp_path / "part.ply", {**EVEN, "piece.unit": "m", "wall.region": regions})
    skin = skin_of(job)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    return skin, build_cavity(skin, frame, cell_m=cell_m)


def band(along, start=None, end=None, thickness="12 mm", name="side"):
    table = {"name": name, "along": along, "thickness": thickness}
    return table | ({"from": start} if start else {}) | ({"to": end} if end else {})


@pytest.mark.parametrize(("axis", "way"), [(0, 1.0), (0, -1.0), (1, 1.0), (2, -1.0)])
def test_a_box_with_one_thicker_side_holds_what_its_walls_leave(tmp_path, axis, way):
    """The last millimetre across a direction is the far side alone: 12 mm there, 5 mm elsewhere."""
    size = [W, D, H]
    along = [way if k == axis else 0.0 for k in range(3)]
    skin, cavity = cavity_of(tmp_path, box(size), [band(along, start=f"{size[axis] - 0.001} m")])
    left = [side - 2 * WALL for side in size]
    left[axis] -= 0.007
    assert cavity.volume_m3 == pytest.approx(math.prod(left), rel=2e-3)
    far = np.array([0.5 * w * s for w, s in zip(along, size, strict=True)])
    assert skin.thickness_of(np.array([far, -far])) == pytest.approx([0.012, WALL])


def test_a_slanting_band_thickens_the_corner_of_a_box(tmp_path):
    """Across (1, 1, 0) the last 60 mm hold one edge; its sides are 12 mm thick there, the floor and the lid stay even.

    By hand in plan: two strips as long as the band reaches along each side, less the square they share, and the quarter
    of a disc with which each of them ends; of all that what lies deeper than the even wall.
    """
    cut_m, thick = 0.060, 0.012
    start = (W + D) / math.sqrt(2) - cut_m
    ends = [band([0, 0, z], start="199 mm", thickness="5 mm", name="end") for z in (1, -1)]
    _, cavity = cavity_of(tmp_path, box([W, D, H]), [band([1, 1, 0], start=f"{1e3 * start:.4f} mm"), *ends], 0.0025)
    reach = cut_m * math.sqrt(2)
    disc = 0.25 * math.pi * thick**2
    shallow = 0.5 * (WALL * math.sqrt(thick**2 - WALL**2) + thick**2 * math.asin(WALL / thick))
    area = 2 * reach * (thick - WALL) - (thick**2 - WALL**2) + 2 * (disc - shallow)
    even = (W - 2 * WALL) * (D - 2 * WALL) * (H - 2 * WALL)
    assert even - cavity.volume_m3 == pytest.approx(area * (H - 2 * WALL), rel=0.02)


def test_a_tube_with_a_thicker_end_holds_pi_r_squared_times_what_is_left(tmp_path):
    radius, height = 0.15, 0.4
    mesh = cylinder(radius, height, sections=256)
    low = {
        "name": "foot",
        "thickness": "20 mm",
        "low": ["-1 m", "-1 m", "-0.21 m"],
        "high": ["1 m", "1 m", "-0.1999 m"],
    }
    _, cavity = cavity_of(tmp_path, mesh, [low])
    apothem = radius * math.cos(math.pi / 256)  # the tube is a prism of 256 sides: its inside is one too
    inner = 256 * math.tan(math.pi / 256) * (apothem - WALL) ** 2
    assert cavity.volume_m3 == pytest.approx(inner * (height - WALL - 0.020), rel=3e-3)


def test_of_regions_that_overlap_the_later_one_holds_and_heat_and_stiffness_see_it(tmp_path):
    whole = band([0, 0, 1], thickness="8 mm", name="all")
    skin, cavity = cavity_of(tmp_path, box([W, D, H]), [whole, band([0, 0, 1], start="0.199 m", thickness="3 mm")])
    assert cavity.volume_m3 == pytest.approx((W - 0.016) * (D - 0.016) * (H - 0.011), rel=2e-3)
    mesh = skin_mesh(skin, pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0])), 2000)
    assert set(np.round(np.unique(mesh.thickness_m), 6)) == {0.003, 0.008}


@pytest.mark.parametrize(
    ("region", "words"),
    [
        ({"name": "x", "thickness": "5 mm"}, "give a box"),
        ({"name": "x", "thickness": "5 mm", "low": ["0 m"] * 3}, "needs both corners"),
        (band([0, 0, 0], start="1 mm"), "must point somewhere"),
        (band([1, 0, 0], start="2 m"), "holds no part of the piece"),
        (band([1, 0, 0], thickness="150 mm"), "do not fit"),
        (band([1, 0, 0], start="100 mm", end="50 mm"), "must be below"),
    ],
)
def test_a_region_that_cannot_be_is_refused_in_a_sentence(tmp_path, region, words):
    with pytest.raises(JobError, match=words):
        cavity_of(tmp_path, box([W, D, H]), [region])


def mapped(tmp_path, rows, mesh, cell_m=0.004, head="x_mm,y_mm,z_mm,thickness_mm"):
    (tmp_path / "gauge.csv").write_text("\n".join([head, *(",".join(f"{v:g}" for v in row) for row in rows)]))
    mesh.export(tmp_path / "part.ply")
    asked = {k: v for k, v in EVEN.items() if k != "wall.thickness"}
    job = job_from_shell(tmp_path / "part.ply", {**asked, "piece.unit": "m", "wall.map": "gauge.csv"})
    skin = skin_of(job)
    return skin, build_cavity(
        skin, pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front)), cell_m=cell_m
    )


def test_a_map_that_is_even_is_an_even_wall(tmp_path):
    rows = [(x, y, z, 6.0) for x in (-200, 200) for y in (-150, 0, 150) for z in (-100, 100)]
    skin, cavity = mapped(tmp_path, rows, box([W, D, H]))
    assert cavity.volume_m3 == pytest.approx((W - 0.012) * (D - 0.012) * (H - 0.012), rel=2e-3)
    assert skin.walls_m == pytest.approx((0.006, 0.006))


def test_a_map_with_a_thicker_floor_holds_what_its_walls_leave(tmp_path):
    """Points every 20 mm: 12 mm on the floor, 5 mm elsewhere; along its edges it goes over within a spacing."""
    rows = []
    steps = {n: np.linspace(-side * 500 + 10, side * 500 - 10, round(side / 0.02)) for n, side in enumerate((W, D, H))}
    for axis in range(3):
        a, b = (k for k in range(3) if k != axis)
        for way in (-1, 1):
            for u in steps[a]:
                for v in steps[b]:
                    point = np.zeros(3)
                    point[axis], point[a], point[b] = way * (W, D, H)[axis] * 500, u, v
                    rows.append((*point, 12.0 if (axis, way) == (2, -1) else 5.0))
    skin, cavity = mapped(tmp_path, rows, box([W, D, H]))
    assert cavity.volume_m3 == pytest.approx((W - 0.010) * (D - 0.010) * (H - 0.017), rel=6e-3)
    assert skin.thickness_of(np.array([[0, 0, -0.1], [0, 0, 0.1]])) == pytest.approx([0.012, 0.005], abs=1e-4)


def test_between_points_the_nearer_counts_by_its_distance_squared(tmp_path):
    """By hand: half way the mean; at a third of the way 4 : 1; at a point what was measured there; inches as inches."""
    rows = [(-7.874016, 0, 0, 0.1968504), (7.874016, 0, 0, 0.3937008)]  # 200 mm apart from the middle, 5 and 10 mm
    skin, _ = mapped(tmp_path, rows, box([W, D, H]), 0.01, "X_in,Y_in,Z_in,Thickness_in")
    at = skin.thickness_of(np.array([[0, 0, 0], [-0.2, 0, 0], [-0.2 + 0.4 / 3, 0, 0]]))
    assert at == pytest.approx([0.0075, 0.005, (4 * 0.005 + 0.010) / 5], rel=1e-5)


@pytest.mark.parametrize(
    ("head", "row", "words"),
    [
        ("x,y,z,t", (0, 0, 0, 5), "each with its unit"),
        ("x_mm,y_mm,z_mm,thickness_mm", (0, 0, 0), "line 2 is not four numbers"),
        ("x_mm,y_mm,z_mm,thickness_mm", (0, 0, 0, 900), "line 2: a wall is"),
        ("x_m,y_m,z_m,thickness_mm", (150, 0, 0, 5), "off the piece"),
        ("x_mm,y_mm,z_mm,thickness_mm", (0, 0, 0, 140), "do not fit"),
    ],
)
def test_a_map_that_cannot_be_is_refused_in_a_sentence(tmp_path, head, row, words):
    with pytest.raises(JobError, match=words):
        mapped(tmp_path, [row], box([W, D, H]), head=head)


def test_a_faulty_line_is_named_by_its_number_in_the_file(tmp_path):
    """Counted as an editor counts: blank lines and rows of commas too."""
    lines = ["x_mm,y_mm,z_mm,thickness_mm", "", "0,0,100,5", ",,,", "", "0,0,-100,five"]
    (tmp_path / "gauge.csv").write_text("\n".join(lines), encoding="utf-8")
    box([W, D, H]).export(tmp_path / "part.ply")
    with pytest.raises(JobError, match=rf"line {lines.index('0,0,-100,five') + 1} is not"):
        job_from_shell(
            tmp_path / "part.ply",
            {"piece.unit": "m", "piece.kind": "outside", "foam.grade": "rigid-2", "wall.map": "gauge.csv"},
        )
