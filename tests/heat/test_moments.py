"""What a strip is drawn from: the field of the march itself, at the moments that matter."""

from __future__ import annotations

import numpy as np
import pytest
from block_grids import block_grid

from pourwright.heat import (
    FRONT,
    PourHeat,
    SkinLayer,
    StagedHeat,
    Surroundings,
    WaitRule,
    Watcher,
    kept_waits,
    s_curve,
    simulate,
)

SKIN = SkinLayer(0.005, 1600.0, 1200.0, 0.2, 291.0)


def pour(number, lift):
    return PourHeat(f"p{number}", lift, float(number), 294.0, 50.0, 1750.0, 0.03, 255e3, s_curve(40.0, 300.0))


@pytest.fixture(scope="module")
def job():
    """Three lifts of a block that is wider from the front than from the right."""
    cells = np.zeros((12, 6, 12), int)
    cells[:, :, 4:8], cells[:, :, 8:] = 1, 2
    grid = block_grid(cells, 0.02, skin=("y-", "y+"))
    pours = tuple(pour(k, k + 1) for k in range(3))
    return StagedHeat(grid, pours, SKIN, Surroundings(291.0), end_s=24 * 3600.0)


def watched(job):
    watcher = Watcher(job.grid)
    kept = kept_waits(job, (1800.0, 2400.0), WaitRule(), watcher=watcher)
    return kept.result, watcher.moments()


def test_the_pictures_are_the_field_of_the_march(job):
    result, seen = watched(job)
    assert seen.axis == FRONT
    assert seen.filled.sum() == 12 * 12
    for moment in seen.moments:
        at = np.flatnonzero(np.isclose(result.time_s, moment.time_s, atol=1e-6))[-1]
        hottest = [
            np.nanmax(moment.hottest_k[:, 1 + 4 * p : 5 + 4 * p]) for p in range(3) if np.isfinite(result.core_k[p, at])
        ]
        assert hottest == pytest.approx([k for k in result.core_k[:, at] if np.isfinite(k)], abs=1e-3)
        for p in moment.peaked:
            assert result.core_k[p, at] == np.nanmax(result.core_k[p])
    assert [m.poured for m in seen.moments if m.poured] == [(0,), (1,), (2,)]
    assert [m.time_s for m in seen.moments if m.poured] == [0.0, 1800.0, 4200.0]
    assert sorted(p for m in seen.moments for p in m.peaked) == [0, 1, 2]


def test_what_is_not_poured_yet_has_no_temperature(job):
    _, seen = watched(job)
    second = next(m for m in seen.moments if m.poured == (1,))
    assert np.isfinite(second.hottest_k[1:-1, 1:9]).all()
    assert np.isnan(second.hottest_k[1:-1, 9:]).all()
    assert np.isnan(second.hottest_k[[0, -1]]).all()


def test_watching_changes_nothing_and_keeps_little(job):
    result, seen = watched(job)
    plain = kept_waits(job, (1800.0, 2400.0), WaitRule()).result
    assert np.array_equal(plain.core_k, result.core_k, equal_nan=True)
    assert len(seen.moments) <= 2 * 3 + 3 < result.steps / 10
    assert simulate(job).cells == plain.cells


def test_a_piece_that_is_long_from_front_to_back_is_seen_from_the_right():
    grid = block_grid(np.zeros((4, 20, 6), int), 0.02, skin=("x-", "x+"))
    watcher = Watcher(grid)
    assert watcher.axis != FRONT
    assert watcher.filled.sum() == 20 * 6
