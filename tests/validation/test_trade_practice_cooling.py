"""What shops say of 3 lb/ft3 foam (common practice, no source).

A casting of hand size is cool enough to handle after 20 to 30 minutes, while a foot of foam stays hot for hours.
"""

from __future__ import annotations

import numpy as np

from pourwright.heat import PourHeat, SkinLayer, StagedHeat, Surroundings, block_grid, heat_grid, s_curve, simulate

ROOM = 295.4
OPEN = Surroundings(ROOM, inside_film_w_m2k=5.0)  # its top lies open to the shop
FOAM = PourHeat("1", 1, 0.0, ROOM, 48.06, 1800.0, 0.030, 210e3, s_curve(40.0, 300.0))


def test_casting_of_hand_size_can_be_handled_in_half_an_hour():
    radius, cell = 0.05, 0.004
    n = 32
    axis = (np.arange(n) + 0.5 - n / 2) * cell
    r = np.sqrt(axis[:, None, None] ** 2 + axis[None, :, None] ** 2 + axis[None, None, :] ** 2)
    share = np.rint(255 * np.clip(0.5 + (radius - r) / cell, 0, 1)).astype(np.uint8)
    grid = heat_grid(share, (share > 0).astype(np.int32), np.zeros(1, int), np.zeros(3), cell)
    # Cast in a thin mould: 1 mm of polyethylene.
    result = simulate(StagedHeat(grid, (FOAM,), SkinLayer(0.001, 935.0, 2100.0, 0.4, ROOM), Surroundings(ROOM), 1800.0))
    face = np.interp(1500.0, result.time_s, result.skin_k[0]) - 273.15
    assert face < 45.0  # what a hand holds
    assert result.pours[0].peak_k - 273.15 > 120.0  # though it was hot inside
    assert result.core_k[0, -1] - 273.15 < 80.0


def test_a_foot_of_foam_does_not_cool_in_half_an_hour():
    grid = block_grid(np.append(np.zeros(60, int), -2)[None, None, :], 0.305 / 60, skin=("z-",))
    skin = SkinLayer(0.005, 1800.0, 1000.0, 0.25, ROOM)
    result = simulate(StagedHeat(grid, (FOAM,), skin, OPEN, 4 * 3600.0))
    core = np.interp([1800.0, 4 * 3600.0], result.time_s, result.core_k[0]) - 273.15
    assert core[0] > 130.0
    assert core[1] > 80.0
    assert np.interp(1800.0, result.time_s, result.top_k[0]) - 273.15 < 45.0  # and its face says nothing of it
