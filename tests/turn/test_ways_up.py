"""Which way up: shapes whose answer is known, brute force, symmetry, threads."""

from __future__ import annotations

import importlib
import inspect
from dataclasses import replace

import numpy as np
import pytest
import scipy.ndimage
import trimesh
from scipy.spatial.transform import Rotation

from pourwright.answers.drawn.turn import turn_sheet
from pourwright.cavity import coarse_sweep, coarse_sweeps
from pourwright.draw.chart_style import WIDE
from pourwright.draw.ink import Pen
from pourwright.errors import PourwrightError
from pourwright.intake import job_from_shell
from pourwright.outcome import Item, Shape, Spot
from pourwright.ranges import Range
from pourwright.shell import load_skin
from pourwright.turn import Symmetry, find_ways

search = importlib.import_module("pourwright.turn.search")
sphere = importlib.import_module("pourwright.turn.sphere")

CELL = 0.01
LIMITS = {"cell_m": CELL, "ripple_m": 3 * CELL, "lift_m": 0.2, "pour_m3": 1.0}


def boxes(*corners):
    parts = [trimesh.creation.box(bounds=np.array(c, float)) for c in corners]
    return trimesh.boolean.union(parts, engine="manifold") if len(parts) > 1 else parts[0]


U = boxes([(0, 0, 0), (0.1, 0.1, 0.5)], [(0.3, 0, 0), (0.4, 0.1, 0.4)], [(0, 0, 0), (0.4, 0.1, 0.1)])
ELL = boxes([(0, 0, 0), (0.1, 0.1, 0.6)], [(0, 0, 0), (0.5, 0.1, 0.1)])
# a trunk with a horn that leaves it at 0.4 to 0.5 and droops to 0.2
HORN = boxes([(0, 0, 0), (0.2, 0.2, 0.6)], [(0.1, 0, 0.4), (0.4, 0.1, 0.5)], [(0.3, 0, 0.2), (0.4, 0.1, 0.5)])
LUMPS = trimesh.creation.icosphere(subdivisions=4, radius=0.25)
LUMPS.vertices *= 1 + 0.35 * np.sin(9 * LUMPS.vertices @ np.array([[3.0], [2.0], [-2.5]]) * 2) * np.sin(
    14 * LUMPS.vertices[:, [1]] + 1
)
S = np.sqrt(0.5)


@pytest.mark.parametrize(
    ("mesh", "up", "pools", "pockets"),
    [
        (U, (0, 0, 1), [0.5], [0.5, 0.3]),
        (U, (0, 0, -1), [0.5, 0.3], [0.5]),
        (U, (0, 1, 0), [0.1], [0.1]),
        (U, (1, 0, 0), [0.4], [0.4]),  # on its long arm: floor and roof of the other end at the bar, nothing is trapped
        (ELL, (0, 0, 1), [0.6], [0.6]),
        (ELL, (S, 0, S), [0.7 * S], [0.7 * S, 0.4 * S]),  # on its corner, both arms up
        (ELL, (-S, 0, -S), [0.7 * S, 0.4 * S], [0.7 * S]),
        (HORN, (0, 0, 1), [0.6, 0.2], [0.6]),
        (HORN, (0, 0, -1), [0.6], [0.6, 0.2]),
    ],
)
def test_shapes_whose_answer_is_known(mesh, up, pools, pockets):
    seen = coarse_sweep(mesh.vertices, mesh.faces, np.array(up, float), **LIMITS)
    assert seen.pools.depth_m == pytest.approx(pools, abs=1.5 * CELL)
    assert seen.pockets.depth_m == pytest.approx(pockets, abs=1.5 * CELL)
    assert seen.volume_m3 == pytest.approx(mesh.volume, rel=0.12)  # walls ten cells apart, maybe eleven


def test_a_pool_is_where_the_tip_of_the_horn_is():
    seen = coarse_sweep(HORN.vertices, HORN.faces, np.array([0, 0, 1.0]), **LIMITS)
    assert seen.pools.point_m[1][[0, 2]] == pytest.approx([0.35, 0.2], abs=0.06)


def test_fewest_lifts_of_a_box_by_thickness_and_by_volume():
    box = boxes([(0, 0, 0), (0.195, 0.195, 0.6)])
    up = np.array([0, 0, 1.0])
    assert coarse_sweep(box.vertices, box.faces, up, **{**LIMITS, "lift_m": 0.2}).lifts == 3
    by_volume = coarse_sweep(box.vertices, box.faces, up, **{**LIMITS, "lift_m": 1.0, "pour_m3": 0.2 * 0.2 * 0.151})
    assert by_volume.lifts == 4
    # two legs hold half each: a pour is one of them
    legs = boxes([(0, 0, 0), (0.095, 0.095, 0.6)], [(0.2, 0, 0), (0.295, 0.095, 0.6)])
    assert coarse_sweep(legs.vertices, legs.faces, up, **{**LIMITS, "lift_m": 1.0, "pour_m3": 0.0031}).lifts == 2


@pytest.mark.parametrize("seed", range(6))
def test_the_level_graph_of_the_same_cells_says_the_same(cells, seed):
    """Brute force: the mask filled cell by cell, and its whole level graph."""
    from pourwright.cavity import pour_frame

    fill = importlib.import_module("pourwright.cavity._columns").fill_inside
    up = np.random.default_rng(seed).normal(size=3)
    frame = pour_frame(LUMPS.vertices, up, np.array([0.0, -1, 0]))
    cell = 0.012
    shape = np.ceil(frame.size_m / cell).astype(int) + 2
    origin = 0.5 * (frame.size_m - shape * cell)
    origin[2] = 0.0
    mask = np.zeros(shape, np.uint8)
    fill(np.ascontiguousarray((frame.to_standing(LUMPS.vertices)[LUMPS.faces] - origin) / cell - 0.5), mask)
    pieces, _ = scipy.ndimage.label(mask)
    mask[(np.bincount(pieces.ravel()) < 64)[pieces]] = 0  # stray voids
    _, graph = cells(mask > 0, cell=cell, ripple=2 * cell)
    seen = coarse_sweep(LUMPS.vertices, LUMPS.faces, up, cell_m=cell, ripple_m=2 * cell, lift_m=1.0, pour_m3=1.0)
    assert seen.pools.depth_m == pytest.approx([p.persistence_m for p in graph.pools])
    assert seen.pockets.depth_m == pytest.approx([p.persistence_m for p in graph.pockets])
    assert len(seen.pools) + len(seen.pockets) > 2
    assert seen.volume_m3 == pytest.approx((mask > 0).sum() * cell**3)


@pytest.mark.parametrize("seed", range(4))
def test_turning_the_shell_and_the_direction_together_changes_nothing(seed):
    turn = Rotation.random(rng=np.random.default_rng(seed)).as_matrix()
    for up in np.eye(3):
        first = coarse_sweep(HORN.vertices, HORN.faces, up, **LIMITS)
        second = coarse_sweep(HORN.vertices @ turn.T, HORN.faces, turn @ up, **LIMITS)
        assert second.pools.depth_m == pytest.approx(first.pools.depth_m, abs=2.1 * CELL)
        assert second.pockets.depth_m == pytest.approx(first.pockets.depth_m, abs=2.1 * CELL)
        assert second.lifts == first.lifts


def test_any_number_of_threads_sees_the_same(monkeypatch):
    ups = np.asarray(trimesh.creation.icosphere(subdivisions=1).vertices)
    seen = []
    for threads in ("1", "2", "5"):
        monkeypatch.setenv("POURWRIGHT_THREADS", threads)
        seen.append(coarse_sweeps(LUMPS.vertices, LUMPS.faces, ups, **LIMITS))
    for other in seen[1:]:
        for a, b in zip(seen[0], other, strict=True):
            assert (a.lifts, a.volume_m3, a.height_m) == (b.lifts, b.volume_m3, b.height_m)
            assert np.array_equal(a.pools.point_m, b.pools.point_m)
            assert np.array_equal(a.pockets.depth_m, b.pockets.depth_m)


@pytest.fixture
def job_of(tmp_path):
    def make(mesh, **keys):
        path = tmp_path / "piece.stl"
        mesh.export(path)
        asked = {"piece.unit": "m", "wall.thickness": "5 mm", "foam.grade": "rigid-3", "grid.cell": "8 mm"}
        return job_from_shell(path, {**asked, **keys})

    return make


def scene(job):
    skin = load_skin(job.shell, unit=job.unit, material=job.material, bands=job.bands, kind=job.kind)
    return search.scene_of(job, skin)


def bowl():
    """A bowl of a thin skin that is open on its flat side."""
    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.25)
    lower = trimesh.intersections.slice_mesh_plane(ball, [0, 0, -1.0], [0, 0, 0.001], cap=False)
    return lower


def test_a_bowl_is_poured_with_its_opening_up(job_of):
    made = scene(job_of(bowl(), **{"piece.kind": "open"}))
    up, down = search.look(made, np.array([[0, 0, 1.0], [0, 0, -1.0]]))
    assert (up.drilled, up.close) == (0, ())
    assert (down.drilled, len(down.close)) == (1, 1)
    assert up.peak_pa < down.peak_pa
    assert down.tip_rad > 0.5  # it stands on its rim
    assert down.cradle_m == 0
    assert up.cradle_m > 0
    symmetry = sphere.symmetry_of(made.skin)
    assert abs(symmetry.axis[2]) == pytest.approx(1.0, abs=1e-3)
    ways, folded = search.search(made, symmetry, fine=False)
    assert folded > 100
    assert ways[0].drilled == 0
    assert ways[0].up[2] > 0.85


def test_the_search_is_as_good_as_brute_force(job_of):
    made = scene(job_of(HORN))
    golden = np.pi * (3 - np.sqrt(5)) * np.arange(400)  # 400 directions that have nothing to do with the search's own
    z = 1 - (2 * np.arange(400) + 1) / 400
    across = np.sqrt(1 - z**2)
    every = search.look(made, np.column_stack([across * np.cos(golden), across * np.sin(golden), z]))
    ways, _ = search.search(made, sphere.symmetry_of(made.skin), fine=False)
    assert len(ways) < 0.7 * len(every)
    least = min(way.work_h for way in every)
    assert ways[0].work_h <= least + 0.1
    assert ways[0].work_h < np.median([way.work_h for way in every]) - 0.5


def test_symmetry_folds_directions_onto_equal_ones(job_of):
    box = boxes([(0, 0, 0), (0.3, 0.4, 0.6)])
    made = scene(job_of(box))
    symmetry = sphere.symmetry_of(made.skin)
    assert len(symmetry.turns) == 8
    first, folded = sphere.first_directions(False, symmetry)
    assert folded > 4 * len(first)
    ball = np.asarray(trimesh.creation.icosphere(subdivisions=1).vertices)
    full, few = search.look(made, ball), search.look(made, symmetry.fold(ball))
    for a, b in zip(full, few, strict=True):
        assert (a.pours, len(a.pool_m), len(a.pocket_m)) == (b.pours, len(b.pool_m), len(b.pocket_m))
        assert a.height_m == pytest.approx(b.height_m)
    assert len(sphere.symmetry_of(scene(job_of(HORN)).skin).turns) == 1


def test_mirrored_ways_are_not_one_where_a_rod_stands_on_one_side(job_of):
    job = job_of(boxes([(0, 0, 0), (0.3, 0.2, 0.4)]), **{"grid.cell": "16 mm"})
    ends = [Spot(at_m=(0.08, 0.1, height)) for height in (0.05, 0.35)]
    rod = Item("rod", Range.exact(3.0), finished=False, shape=Shape("rod", *ends, 0.03, 0.03))
    assert len(sphere.symmetry_of(scene(job).skin).turns) == 8
    found = find_ways(replace(job, site=replace(job.site, items=(rod,))), confirm=1)
    assert len(found.symmetry.turns) == 1
    assert "stands inside" in found.symmetry.words
    ups = np.array([way.up for way in found.ways])
    mirrored = (ups @ (ups * [-1, 1, 1]).T).max(axis=1)
    assert np.mean(mirrored > 1 - 1e-6) > 0.5
    assert not any("symmetric" in line for line in found.warnings)


def test_folding_is_done_once():
    none = Symmetry(np.eye(3)[None], None, "")
    ups = np.asarray(trimesh.creation.icosphere(subdivisions=1).vertices)
    assert none.fold(ups) == pytest.approx(ups)
    round_z = Symmetry(np.eye(3)[None], np.array([0.0, 0, 1]), "")
    once = round_z.fold(ups)
    assert round_z.fold(once) == pytest.approx(once)
    assert once[:, 2] == pytest.approx(ups[:, 2])


def test_the_ranking_says_why_and_is_confirmed_in_full(job_of):
    found = find_ways(job_of(U), confirm=2)
    top = found.best[0]
    marked = [(bool(one.over), round(one.worst, 1), bool(one.unknown), one.way.work_h) for one in found.best]
    assert marked == sorted(marked)
    assert any(one is found.drawn for one in found.best)
    assert found.drawn.way.up == pytest.approx([0, 0, 1])
    assert found.drawn.way.drilled == 2
    assert top.way.drilled < 2
    assert any("drilled vents" in line for line in found.why)
    again = find_ways(job_of(U), confirm=2)
    assert found.why == again.why
    assert [w.work_h for w in found.ways] == [w.work_h for w in again.ways]


def test_no_letter_of_its_sheet_is_below_eight_points_on_a_page(job_of, monkeypatch):
    sizes, plain, sign = set(), Pen.text, inspect.signature(Pen.text)

    def noted(*given, **named):
        bound = sign.bind(*given, **named)
        bound.apply_defaults()
        sizes.add(bound.arguments["size"])
        plain(*given, **named)

    monkeypatch.setattr(Pen, "text", noted)
    image = turn_sheet(find_ways(job_of(U), confirm=2))
    points = 72 * WIDE / image.width  # of a pixel, printed as wide as the text of an A4 page
    assert min(sizes) * points >= 8.0


def test_a_wall_that_leaves_nothing_is_refused(job_of):
    with pytest.raises(PourwrightError, match="wall"):
        find_ways(job_of(U, **{"wall.thickness": "80 mm"}))


def test_a_box_tips_where_statics_says_and_a_rod_on_end_needs_a_cradle(job_of):
    made = scene(job_of(boxes([(0, 0, 0), (0.3, 0.4, 0.6)])))
    for up, half, height in (((0, 0, 1), 0.15, 0.6), ((0, 1, 0), 0.15, 0.4), ((-1, 0, 0), 0.2, 0.3)):
        (way,) = search.look(made, np.array([up], float))
        assert way.height_m == pytest.approx(height)
        assert way.tip_rad == pytest.approx(np.arctan2(half, height / 2), abs=0.01)
        assert way.cradle_m == 0.0
        assert way.hours["cradle"] == 0.0
    (corner,) = search.look(made, np.array([[1.0, 1.0, 1.0]]))
    assert corner.tip_rad <= 0
    assert 0 < corner.cradle_m < corner.height_m
    assert corner.hours["cradle"] > 0


def test_pockets_under_a_tilted_opening_need_no_drilled_vent(job_of):
    made = scene(job_of(bowl(), **{"piece.kind": "open"}))
    lean = np.radians([0.0, 20.0, 50.0, 75.0])
    ways = search.look(made, np.column_stack([np.sin(lean), np.zeros(4), np.cos(lean)]))
    assert [way.drilled for way in ways[:3]] == [0, 0, 0]
    assert [len(way.close) for way in ways] == [0, 0, 0, 1]
    assert ways[3].drilled == 1


def test_thin_limbs_are_seen_or_said_to_be_missing(job_of):
    """A lump with a long tube whose bore is a third of a coarse cell, and a tube alone."""
    tube = trimesh.creation.cylinder(0.011, 1.6, sections=48)
    lump = trimesh.creation.icosphere(subdivisions=3, radius=0.04)
    lump.apply_translation([0, 0, -0.8])
    whole = trimesh.boolean.union([tube, lump], engine="manifold")
    found = find_ways(job_of(whole, **{"wall.thickness": "7 mm", "grid.cell": "1.5 mm"}), confirm=1)
    assert any("thin limbs" in line for line in found.warnings)
    alone = scene(job_of(tube, **{"wall.thickness": "7 mm", "grid.cell": "1.5 mm"}))
    assert alone.cell_m < 1.6 / 200
    assert search.look(alone, np.eye(3))[2].pours > 1


def test_where_all_are_over_a_limit_the_least_far_over_comes_first(job_of):
    flat = boxes([(0, 0, 0), (0.9, 0.8, 0.3)])
    found = find_ways(job_of(flat, **{"wall.thickness": "1.5 mm", "grid.cell": "12 mm"}), confirm=3)
    assert all(one.over for one in found.best)
    assert len(found.best) > 2
    worst = [round(one.worst, 1) for one in found.best]
    assert worst == sorted(worst)
    assert worst[0] > 1
    assert any("Do not pour" in line for line in found.why)


def test_a_flat_lid_counts_a_vent_in_each_corner_and_its_tilt_is_a_way_of_its_own(job_of):
    """A tank stood level counted one vent for the four corners of its lid; tilted on blocks it needs just one."""
    job = job_of(boxes([(0, 0, 0), (0.5, 0.4, 0.25)]), **{"grid.cell": "10 mm", "day.search": False})
    found = find_ways(job, confirm=1)
    level = found.drawn
    assert level.vents == 4
    assert level.way.hours["drilled vents"] == pytest.approx(4 * 0.5)
    (tilted,) = [one for one in found.best if one.way.blocks_rad > 0 and one.way.up @ level.way.up > 0.95]
    assert tilted.vents == 1
    assert np.degrees(tilted.way.blocks_rad) < 10.0
    assert np.degrees(tilted.way.blocks_rad) == pytest.approx(
        np.degrees(np.arccos(tilted.way.up @ level.way.up)), abs=0.1
    )
    assert tilted.way.hours["drilled vents"] == pytest.approx(0.5)
    assert tilted.way.hours["blocks under a tilt"] > 0
    assert tilted.way.hours["cradle"] == 0
    assert found.best.index(tilted) < found.best.index(level)
