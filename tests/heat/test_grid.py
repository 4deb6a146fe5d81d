from __future__ import annotations

import numpy as np
import pytest
import scipy.ndimage
from block_grids import block_grid

from pourwright.errors import UsageError
from pourwright.heat import AIR, NOTHING, FineCells, halved, heat_grid
from pourwright.heat.grid import _smoothed, coarsening


def ball(radius: float, cell: float, shift: float = 0.1) -> tuple[np.ndarray, np.ndarray]:
    """Shares of a ball and its centre when the low corner of the grid is at zero."""
    n = int(2 * radius / cell) + 6
    axis = (np.arange(n) + 0.5 - n / 2 + shift) * cell
    r = np.sqrt(axis[:, None, None] ** 2 + axis[None, :, None] ** 2 + axis[None, None, :] ** 2)
    return np.rint(255 * np.clip(0.5 + (radius - r) / cell, 0, 1)).astype(np.uint8), np.full(3, (n / 2 - shift) * cell)


def layers(share: np.ndarray) -> np.ndarray:
    """A label a level."""
    return np.where(share > 0, np.arange(1, share.shape[2] + 1), 0).astype(np.int32)


@pytest.mark.parametrize("factor", [1, 2, 3])
def test_ball_keeps_volume_area_and_depth(factor):
    radius, cell = 0.2, 0.006
    share, centre = ball(radius, cell)
    grid = heat_grid(FineCells(share, layers(share), np.zeros(share.shape[2], int), np.zeros(3), cell), factor=factor)
    assert grid.cell_m == pytest.approx(cell * factor)
    assert grid.share.sum() * grid.cell_m**3 == pytest.approx(share.sum() / 255 * cell**3, rel=1e-5)
    assert grid.surface_area_m2.sum() == pytest.approx(4 * np.pi * radius**2, rel=0.02 * factor)
    depth = radius - np.linalg.norm(grid.centres(grid.surface_cell) - centre, axis=1)
    assert np.abs(grid.surface_depth_m - depth).max() < 0.35 * grid.cell_m
    assert abs(np.mean(grid.surface_depth_m - depth)) < 0.06 * grid.cell_m
    assert np.linalg.norm(grid.surface_point_m - centre, axis=1) == pytest.approx(radius, abs=0.35 * grid.cell_m)


def test_area_of_a_slanted_plane_is_not_that_of_its_staircase():
    cell, n = 0.01, 40
    normal = np.array([2.0, 1.0, 2.0]) / 3
    x, y, z = np.meshgrid(*((np.arange(n) + 0.5 - n / 2,) * 3), indexing="ij")
    share = np.rint(255 * np.clip(0.5 - (normal[0] * x + normal[1] * y + normal[2] * z), 0, 1)).astype(np.uint8)
    grid = heat_grid(FineCells(share, (share > 0).astype(np.int32), np.zeros(1, int), np.zeros(3), cell), factor=1)
    inside = np.all((grid.centres(grid.surface_cell) > 0.1) & (grid.centres(grid.surface_cell) < 0.3), axis=1)
    on_plane = inside & (np.abs((grid.surface_point_m - 0.2) @ normal) < cell)
    # The plane's area over its shadow along z, within the middle of the block.
    shadow = len({tuple(c[:2]) for c in np.round(grid.centres(grid.surface_cell[on_plane]), 6)})
    assert grid.surface_area_m2[on_plane].sum() == pytest.approx(shadow * cell**2 / normal[2], rel=0.08)


def test_nodes_become_pours_by_the_larger_part():
    share = np.full((4, 4, 8), 255, np.uint8)
    label = np.broadcast_to(np.arange(1, 9, dtype=np.int32), share.shape)
    grid = heat_grid(FineCells(share, label, np.array([0, 0, 0, 1, 1, 1, -1, -1]), np.zeros(3), 0.01), factor=2)
    column = grid.pour[2, 2]
    assert list(column) == [NOTHING, 0, 0, 1, AIR, NOTHING]  # level 2 has one of each: the lower pour has it


def test_never_poured_cavity_is_air_and_not_skin():
    share = np.full((3, 3, 4), 255, np.uint8)
    label = np.broadcast_to(np.arange(1, 5, dtype=np.int32), share.shape)
    grid = heat_grid(FineCells(share, label, np.array([0, 0, -1, -1]), np.zeros(3), 0.01))
    assert grid.cells == 18
    beside_air = grid.centres(grid.surface_cell)
    beside_air = beside_air[beside_air[:, 2] > 0.01]
    assert len(beside_air) == 8  # the rim of that layer has skin at its side; its middle cell has none above it
    assert not np.any(np.all(np.abs(beside_air[:, :2] - 0.015) < 1e-9, axis=1))


def test_slivers_go_to_their_neighbours_and_thin_walls_stand_alone():
    share = np.zeros((6, 6, 6), np.uint8)
    share[1:5, 1:5, 1:3] = 255
    share[1:5, 1:5, 3] = 76  # 0.3 of a layer on top
    share[0, 0, 5] = 60  # a wisp of its own
    grid = heat_grid(FineCells(share, (share > 0).astype(np.int32), np.zeros(1, int), np.zeros(3), 0.01))
    assert grid.share.sum() == pytest.approx(share.sum() / 255, rel=1e-6)
    assert grid.share.max() == pytest.approx(1 + 76 / 255, rel=1e-5)
    assert grid.pour[1, 1, 6] == 0
    assert grid.pour[2, 2, 4] == NOTHING
    assert grid.dropped_share == 0


def test_thin_spike_has_all_its_sides():
    """One cell square: four walls at half a cell, not one slanted surface that nearly cancels."""
    share = np.zeros((5, 5, 30), np.uint8)
    share[2, 2, 2:28] = 255
    grid = heat_grid(FineCells(share, (share > 0).astype(np.int32), np.zeros(1, int), np.zeros(3), 0.01))
    along = np.unravel_index(grid.surface_cell, grid.shape)[2]
    middle = (along > 5) & (along < 25)
    assert grid.surface_area_m2[middle] == pytest.approx(4 * 0.01**2)
    assert grid.surface_depth_m[middle] == pytest.approx(0.005)


def test_edges_of_a_box_are_not_taken_for_close_to_the_middle_of_their_cells():
    share = np.pad(np.full((10, 10, 10), 255, np.uint8), 2)
    grid = heat_grid(FineCells(share, (share > 0).astype(np.int32), np.zeros(1, int), np.zeros(3), 0.01))
    place = np.stack(np.unravel_index(grid.surface_cell, grid.shape), -1) - 3
    walls = ((place == 0) | (place == 9)).sum(axis=1)
    assert grid.surface_depth_m[walls == 1] == pytest.approx(0.005, rel=0.06)
    assert grid.surface_depth_m[walls == 3].min() > 0.0025
    # Sharp edges lose about 0.6 of a cell's width of area along them, as the grid's notes say.
    lost = (6 * 0.1**2 - grid.surface_area_m2.sum()) / (12 * 0.1 * 0.01)
    assert 0 < lost < 0.65


def test_openings_are_air():
    share = np.full((8, 8, 8), 255, np.uint8)
    rim = np.array([[0.02, 0.02, 0.08], [0.06, 0.02, 0.08], [0.06, 0.06, 0.08], [0.02, 0.06, 0.08]])
    grid = heat_grid(
        FineCells(share, np.ones(share.shape, np.int32), np.zeros(1, int), np.zeros(3), 0.01), openings=(rim,)
    )
    open_points = grid.surface_point_m[grid.surface_opening == 0]
    assert len(open_points) == 16
    assert np.all((open_points[:, :2] > 0.02) & (open_points[:, :2] < 0.06))
    assert np.all(open_points[:, 2] > 0.075)


def test_rule_of_coarsening():
    assert coarsening((100, 100, 100), 9e5, 1_000_000, 10**9) == 1
    assert coarsening((200, 200, 200), 7.2e6, 1_000_000, 10**9) == 2
    # A long thin piece has a large empty box: memory binds.
    assert coarsening((1000, 1000, 1000), 9e5, 1_000_000, 10**9) > 1


def test_halved_grid_keeps_the_foam():
    share, _ = ball(0.2, 0.01)
    grid = heat_grid(FineCells(share, layers(share), np.arange(share.shape[2]) // 23, np.zeros(3), 0.01))
    coarse = halved(grid)
    assert coarse.cell_m == pytest.approx(0.02)
    assert coarse.factor == 2 * grid.factor
    volume = [g.share.sum() * g.cell_m**3 for g in (grid, coarse)]
    assert volume[1] == pytest.approx(volume[0], rel=1e-5)
    assert set(np.unique(coarse.pour)) == set(np.unique(grid.pour))


def test_shapes_that_do_not_fit_are_refused():
    share = np.full((3, 3, 3), 255, np.uint8)
    with pytest.raises(UsageError, match="same size"):
        heat_grid(FineCells(share, np.ones((3, 3, 4), np.int32), np.zeros(1, int), np.zeros(3), 0.01))
    with pytest.raises(UsageError, match="no cell"):
        heat_grid(FineCells(share, np.ones(share.shape, np.int32), np.array([-1]), np.zeros(3), 0.01))
    with pytest.raises(UsageError, match="face 'top'"):
        block_grid(np.zeros((2, 2, 2), int), 0.01, air=("top",))
    with pytest.raises(UsageError, match="one cooled face"):
        block_grid(np.zeros((1, 1, 1), int), 0.01, air=("z-", "z+"))


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("shape", [(7, 5, 9), (1, 4, 2)])
def test_shares_are_smoothed_as_scipy_does(shape, axis):
    share = np.random.default_rng(axis).random(shape, np.float32)
    weights = np.array([0.25, 0.5, 0.25], np.float32)
    expected = scipy.ndimage.convolve1d(share, weights, axis=axis, mode="constant")
    assert np.array_equal(_smoothed(share, axis), expected)
