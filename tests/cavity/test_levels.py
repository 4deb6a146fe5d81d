"""Level graph: nodes, edges, measures, pools and pockets."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.ndimage
import trimesh

from pourwright.cavity import Cavity, build_cavity, build_levels
from pourwright.errors import CavityError


@pytest.fixture(scope="module")
def torus(skin_of, stand):
    skin = skin_of(trimesh.creation.torus(0.4, 0.15, major_sections=120, minor_sections=60), 0.01)
    cavity = build_cavity(skin, stand(skin, up=(1.0, 0.1, 0.2)), cell_m=0.008)
    return cavity, build_levels(cavity)


def test_node_volumes_sum_to_the_cavity(torus):
    cavity, graph = torus
    assert graph.node_volume_m3.sum() == pytest.approx(cavity.volume_m3, rel=1e-9)
    assert (graph.node_volume_m3 > 0).all()


def test_every_filled_cell_has_a_node_and_no_other(torus):
    cavity, graph = torus
    assert ((graph.label > 0) == (cavity.fraction > 0)).all()
    held = np.bincount(graph.label.ravel(), weights=cavity.fraction.ravel(), minlength=len(graph.node_level) + 1)
    assert held[1:] / 255 * cavity.grid.cell_m**3 == pytest.approx(graph.node_volume_m3, rel=1e-12)


def test_nodes_are_the_pieces_that_scipy_labels_in_each_level(torus):
    cavity, graph = torus
    inside = cavity.fraction >= 128
    cross = scipy.ndimage.generate_binary_structure(2, 1)
    for level in range(graph.levels):
        labelled, count = scipy.ndimage.label(inside[:, :, level], cross)
        assert count == (graph.node_level == level).sum()
        mine = np.where(inside[:, :, level], graph.label[:, :, level], 0)
        pairs = np.unique(np.column_stack([labelled.ravel(), mine.ravel()]), axis=0)
        assert len(pairs) == count + (not inside[:, :, level].all())


def test_edges_are_the_faces_shared_by_neighbouring_levels(torus):
    cavity, graph = torus
    inside = cavity.fraction >= 128
    both = inside[:, :, :-1] & inside[:, :, 1:]
    pairs = np.column_stack([graph.label[:, :, :-1][both], graph.label[:, :, 1:][both]]) - 1
    unique, count = np.unique(pairs, axis=0, return_counts=True)
    assert (unique == np.column_stack([graph.edge_lower, graph.edge_upper])).all()
    assert graph.edge_overlap_m2 == pytest.approx(count * cavity.grid.cell_m**2)
    assert (graph.node_level[graph.edge_upper] == graph.node_level[graph.edge_lower] + 1).all()


def test_standing_ring_has_one_pool_and_one_pocket_and_two_arms(torus):
    cavity, graph = torus
    assert len(graph.pools) == len(graph.pockets) == 1
    arms = np.bincount(graph.node_level)
    assert arms[graph.levels // 2] == 2
    pool, pocket = graph.pools[0], graph.pockets[0]
    assert pool.essential
    assert pool.persistence_m == pytest.approx(2 * (0.4 + 0.14), abs=3 * cavity.grid.cell_m)
    assert pool.point_standing_m[2] < 4 * cavity.grid.cell_m < pocket.point_standing_m[2]
    assert cavity.frame.to_shell(pocket.point_standing_m) == pytest.approx(pocket.point_m)


def level_of(shape, cell, offset=(0.0, 0.0)):
    """One level of a flat shape given by its area over points, shares from 16 x 16 samples a cell."""
    n, fine = 64, 16
    x = (np.arange(n * fine) + 0.5) / fine - n / 2
    inside = shape((x[:, None] - offset[0]) * cell, (x[None, :] - offset[1]) * cell)
    return inside.reshape(n, fine, n, fine).mean(axis=(1, 3))


@pytest.mark.parametrize("offset", [(0.0, 0.0), (0.31, -0.47)])
@pytest.mark.parametrize("angle", [0.0, 0.3, np.pi / 4])
def test_perimeter_and_diameter_of_circle_and_square(cells, offset, angle):
    cell, r = 0.01, 0.2
    c, s = np.cos(angle), np.sin(angle)
    for shape, area, length, width in (
        (lambda x, y: x**2 + y**2 < r**2, np.pi * r**2, 2 * np.pi * r, 2 * r),
        (lambda x, y: np.maximum(abs(c * x + s * y), abs(c * y - s * x)) < r, 4 * r**2, 8 * r, 2 * r),
    ):
        share = level_of(shape, cell, offset)
        cavity, _ = cells(np.ones((1, 1, 1), bool), cell)
        fraction = np.round(255 * share).astype(np.uint8)[:, :, None]
        graph = build_levels(
            Cavity(
                **{**vars(cavity), "grid": type(cavity.grid)(np.zeros(3), cell, fraction.shape), "fraction": fraction}
            )
        )
        assert len(graph.node_level) == 1
        assert graph.node_area_m2[0] == pytest.approx(area, rel=2e-3)
        assert graph.node_perimeter_m[0] == pytest.approx(length, rel=0.015)
        assert graph.node_hydraulic_diameter_m[0] == pytest.approx(4 * area / length, rel=0.015)
        assert width - 1.5 * cell < graph.node_width_m[0] < width + 0.5 * cell
        middle = np.array([0.32 + offset[0] * cell, 0.32 + offset[1] * cell])
        assert graph.node_centroid_m[0, :2] == pytest.approx(middle, abs=0.05 * cell)


def test_width_is_that_of_a_full_distance_transform(torus):
    cavity, graph = torus
    inside = cavity.fraction >= 128
    for level in range(0, graph.levels, 9):
        depth = scipy.ndimage.distance_transform_edt(np.pad(inside[:, :, level], 1))[1:-1, 1:-1]
        for node in np.flatnonzero(graph.node_level == level):
            mine = inside[:, :, level] & (graph.label[:, :, level] == node + 1)
            deepest = 2 * depth[mine].max() * cavity.grid.cell_m
            assert deepest - 1.0001 * cavity.grid.cell_m <= graph.node_width_m[node] <= 1.0001 * deepest


def test_two_legs_are_two_pools_up_to_the_body(cells, shapes):
    _, graph = cells(shapes["legs"], cell=0.01)
    assert [(p.level, p.merge_level, p.essential) for p in graph.pools] == [(0, 59, True), (0, 30, False)]
    assert [p.persistence_m for p in graph.pools] == pytest.approx([0.6, 0.3])
    assert len(graph.pockets) == 1


def test_ripples_fold_away_but_the_eldest_stays(cells, shapes):
    _, all_ = cells(shapes["horn"], ripple=0.0)
    _, smooth = cells(shapes["horn"], ripple=0.25)
    assert len(all_.pools) == 2
    assert [p.essential for p in smooth.pools] == [True]


def test_extremum_of_a_ring_shaped_floor_lies_in_the_ring(cells):
    x, y = np.mgrid[:31, :31] - 15
    ring = (x**2 + y**2 <= 15**2) & (x**2 + y**2 >= 10**2)
    cavity, graph = cells(np.repeat(ring[:, :, None], 5, axis=2))
    index = np.floor((graph.pools[0].point_standing_m - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int)
    assert ring[index[0], index[1]]


def test_cells_that_touch_by_an_edge_do_not_join(cells):
    mask = np.zeros((4, 4, 4), bool)
    mask[:2, :2, :2] = True
    mask[2:, :2, 2:] = True
    mask[:2, 2:, 2:] = True
    _, graph = cells(mask)
    assert len(graph.pools) == 3
    assert all(p.essential for p in graph.pools)


def test_cavity_without_a_half_full_cell_is_refused(cells):
    cavity, _ = cells(np.ones((2, 2, 2), bool))
    thin = Cavity(**{**vars(cavity), "fraction": np.full((2, 2, 2), 100, np.uint8)})
    with pytest.raises(CavityError, match="half full"):
        build_levels(thin)


def test_spans_of_nodes_are_those_of_their_boxes_by_scipy(torus):
    _, graph = torus
    boxes = scipy.ndimage.find_objects(graph.label, len(graph.node_level))
    assert graph.node_span.tolist() == [[x.start, x.stop, y.start, y.stop] for x, y, _ in boxes]
