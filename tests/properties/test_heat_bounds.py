"""Whatever the shape, heat keeps its balance and no temperature leaves what is possible."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from pourwright.heat import FineCells, PourHeat, SkinLayer, StagedHeat, Surroundings, heat_grid, s_curve, simulate


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 10_000),
    rough=st.floats(0.8, 3.0),
    filled=st.floats(0.15, 0.8),
    lifts=st.integers(1, 4),
    wait=st.floats(300.0, 20_000.0),
    density=st.floats(30.0, 260.0),
    wall=st.floats(0.0005, 0.012),
    parts=st.floats(278.0, 310.0),
    air=st.floats(275.0, 315.0),
)
def test_heat_is_kept_and_temperatures_stay_between_their_causes(
    seed, rough, filled, lifts, wait, density, wall, parts, air
):
    noise = gaussian_filter(np.random.default_rng(seed).random((18, 16, 20)), rough)
    level = np.quantile(noise, 1 - filled)
    share = np.rint(255 * np.clip(0.5 + (noise - level) / (2 * noise.std()), 0, 1)).astype(np.uint8)
    label = np.where(share > 0, np.arange(1, 21), 0).astype(np.int32)
    node_pour = np.minimum(np.arange(20) * lifts // 20, lifts - 1)
    grid = heat_grid(FineCells(share, label, node_pour, np.zeros(3), 0.012))
    foam = PourHeat("1", 1, 0.0, parts, density, 1800.0, 0.03, 210e3, s_curve(40.0, 300.0))
    pours = tuple(PourHeat(f"{i}", i, i * wait, parts, density, 1800.0, 0.03, 210e3, foam.curve) for i in range(lifts))
    skin = SkinLayer(wall, 1800.0, 1000.0, 0.25, air)
    result = simulate(StagedHeat(grid, pours, skin, Surroundings(air), lifts * wait + 30_000.0))
    given_kg = grid.share[grid.pour >= 0].sum() * grid.cell_m**3 * density
    assert abs(result.released_j / (given_kg * 210e3) - 1) < 1e-5
    # Cold parts in a warm room take heat from it: measured against all the heat that moved.
    assert abs(result.energy_residual) < 5e-3
    # A hot lift warms the liquid of the next before it reacts: only a single lift has the simple bound.
    hottest = max(parts, air) + foam.adiabatic_rise_k * lifts
    coldest = min(parts, air)
    core = result.core_k[np.isfinite(result.core_k)]
    mean = result.mean_k[np.isfinite(result.mean_k)]
    tops = result.top_k[np.isfinite(result.top_k)]
    skins = result.skin_k[np.isfinite(result.skin_k)]
    for seen in (core, mean, tops, skins):
        assert seen.size == 0 or (seen.max() <= hottest + 1e-3 and seen.min() >= coldest - 0.2)
    for pour in result.pours:
        assert pour.hours_above[0] >= pour.hours_above[1] >= pour.hours_above[2] >= 0
