"""Cell size and memory."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity
from pourwright.cavity.grid import DEFAULT_CELLS, choose_cell, grid_shape, make_grid
from pourwright.errors import CavityError


@pytest.fixture
def piece(skin_of, stand):
    skin = skin_of(trimesh.creation.box((1.2, 0.6, 0.5)), 0.02)
    return skin, stand(skin)


def test_half_a_wall_where_it_is_affordable(piece):
    skin, frame = piece
    assert choose_cell(skin, frame, 1_500_000_000) == pytest.approx(min(0.01, 1.2 / 128))


def test_never_more_than_the_default_cells(skin_of, stand):
    skin = skin_of(trimesh.creation.box((1.2, 0.6, 0.5)), 0.0005)
    cell = choose_cell(skin, stand(skin), 1_500_000_000)
    assert 0.9 * DEFAULT_CELLS < math.prod(grid_shape((1.2, 0.6, 0.5), cell)) <= DEFAULT_CELLS


def test_refusal_names_the_cell_that_fits_and_it_fits(piece):
    skin, frame = piece
    with pytest.raises(CavityError) as caught:
        build_cavity(skin, frame, cell_m=0.0005, memory_bytes=50_000_000)
    words = str(caught.value)
    fits = float(re.search(r"a cell of ([\d.]+) mm would fit", words).group(1)) / 1e3
    assert make_grid(skin, frame, fits * 1.001, 50_000_000).cell_m == pytest.approx(fits, rel=2e-3)
    assert "MB" in words


def test_grid_is_centred_and_stands_on_the_base(piece):
    skin, frame = piece
    grid = make_grid(skin, frame, 0.013, 1_500_000_000)
    assert grid.origin_m[2] == 0
    for axis in (0, 1):
        middle = grid.origin_m[axis] + 0.5 * grid.shape[axis] * grid.cell_m
        assert middle == pytest.approx(0.5 * frame.size_m[axis])
        assert grid.origin_m[axis] <= -0.5 * grid.cell_m


@pytest.mark.parametrize("cell", [0.0, -1.0, np.nan, np.inf, 5.0])
def test_senseless_cells_are_refused(piece, cell):
    with pytest.raises(CavityError, match="cell"):
        build_cavity(*piece, cell_m=cell)
