"""When the next lift may be poured, against H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. 1959.

A wide lift, insulated below, cools through a film on its top (section 3.11: b tan b = h l / k, written out here from
memory). What the staged computation says of its face, and the waits it finds, are held to the series.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from block_grids import block_grid
from scipy.optimize import brentq

from pourwright.heat import (
    Dose,
    HeatCurve,
    HeatSettings,
    PourHeat,
    SkinLayer,
    StagedHeat,
    Surroundings,
    WaitRule,
    find_waits,
    kept_waits,
    s_curve,
)

AIR, HOT, K, RHO, CP, FILM, THICK = 295.0, 415.0, 0.03, 49.5, 1750.0, 2.0, 0.12
ALPHA = K / (RHO * CP)
CELLS = 48
AT_ONCE = HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0]))
BIOT = FILM * THICK / K
ROOTS = np.array([brentq(lambda v: v * np.sin(v) - BIOT * np.cos(v), i * np.pi, (i + 0.5) * np.pi) for i in range(80)])
WEIGHT = 4 * np.sin(ROOTS) / (2 * ROOTS + np.sin(2 * ROOTS))


def face_k(seconds):
    return AIR + (HOT - AIR) * float(WEIGHT * np.cos(ROOTS) @ np.exp(-(ROOTS**2) * ALPHA * seconds / THICK**2))


def core_k(seconds):
    return AIR + (HOT - AIR) * float(WEIGHT @ np.exp(-(ROOTS**2) * ALPHA * seconds / THICK**2))


def two_lifts(curve=AT_ONCE, **second):
    """A lift that stands at 415 K from the start, and one on it."""
    grid = block_grid(np.repeat([0, 1], CELLS)[None, None, :], THICK / CELLS)
    first = PourHeat("1", 1, 0.0, HOT, RHO, CP, K, 1.0, curve)
    later = replace(first, **{"name": "2", "lift": 2, "start_s": 1.0, "start_k": AIR, **second})
    skin = SkinLayer(0.004, 1800.0, 1000.0, 0.25, AIR)
    fine = HeatSettings(0.05, 0.03, 1.0, 120.0)
    return StagedHeat(grid, (first, later), skin, Surroundings(AIR, 8.0, FILM), 60.0, settings=fine)


@pytest.mark.parametrize("wait_s", [900.0, 3600.0, 10800.0])
def test_face_that_the_next_lift_lands_on(wait_s):
    (wait,) = kept_waits(two_lifts(), (wait_s,), WaitRule()).waits
    assert wait.seconds == wait_s
    assert wait.surface_under_k == pytest.approx(face_k(wait_s), abs=0.4)
    assert wait.core_k == pytest.approx(core_k(wait_s), abs=0.3)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.25])
def test_a_lift_on_a_warm_face_starts_warmer_by_its_share(share):
    found = kept_waits(two_lifts(warming=share), (1800.0,), WaitRule()).result
    began = np.flatnonzero(np.isfinite(found.mean_k[1]))[0]
    assert found.mean_k[1, began] - AIR == pytest.approx(share * (face_k(1800.0) - AIR), abs=0.15)


def test_a_lift_on_a_hot_and_a_warm_body_starts_warmer_by_its_share_of_their_mean():
    """Two thirds of it stand on foam 40 K over the air. What passes between neighbours leaves their mean as it was, and
    the equation is linear: the mean face is that of the series, begun at the mean."""
    labels = np.full((60, 1, 2 * CELLS), 2)
    labels[:20, :, :CELLS], labels[20:, :, :CELLS] = 0, 1
    grid = block_grid(labels, THICK / CELLS)
    hot = PourHeat("1a", 1, 0.0, HOT, RHO, CP, K, 1.0, AT_ONCE)
    warm = replace(hot, name="1b", start_k=AIR + 40.0)
    over = replace(hot, name="2", lift=2, start_s=1.0, start_k=AIR, warming=0.5)
    skin = SkinLayer(0.004, 1800.0, 1000.0, 0.25, AIR)
    fine = HeatSettings(0.05, 0.03, 1.0, 120.0)
    stands = StagedHeat(grid, (hot, warm, over), skin, Surroundings(AIR, 8.0, FILM), 60.0, settings=fine)
    found = kept_waits(stands, (1800.0,), WaitRule()).result
    began = np.flatnonzero(np.isfinite(found.mean_k[2]))[0]
    mean = ((HOT - AIR) + 2 * 40.0) / 3
    due = 0.5 * mean * (face_k(1800.0) - AIR) / (HOT - AIR)
    assert found.mean_k[2, began] - AIR == pytest.approx(due, abs=0.15)


@pytest.mark.parametrize("surface_under_k", [325.0, 340.0])
def test_wait_until_the_face_is_cool(surface_under_k):
    """No sooner than the series says, and no more than 8 % (the fineness of the search) later."""
    due = brentq(lambda t: face_k(t) - surface_under_k, 60.0, 1e5)
    rule = WaitRule(surface_under_k=surface_under_k, shortest_s=30.0, grain_s=30.0)
    (wait,) = find_waits(two_lifts(), rule).waits
    assert (wait.met, wait.bound) == (True, "surface under the pour")
    assert 0.98 * due <= wait.seconds <= 1.09 * due + 30.0


@pytest.mark.parametrize("centre_k", [370.0, 400.0])
def test_wait_until_the_centre_is_cool(centre_k):
    due = brentq(lambda t: core_k(t) - centre_k, 60.0, 1e6)
    rule = WaitRule(centre_k=centre_k, shortest_s=30.0, grain_s=30.0)
    (wait,) = find_waits(two_lifts(), rule).waits
    assert (wait.met, wait.bound) == (True, "centre")
    assert 0.98 * due <= wait.seconds <= 1.09 * due + 30.0


def test_never_on_foam_that_still_rises():
    """97 % of the heat is out where 3 x^2 - 2 x^3 = 0.97, x = 0.8964: 40 + 960 x = 900.5 s."""
    out = 40.0 + 960.0 * brentq(lambda x: 3 * x**2 - 2 * x**3 - 0.97, 0.5, 1.0)
    assert out == pytest.approx(900.5, abs=0.1)
    rule = WaitRule(shortest_s=20.0, grain_s=20.0)
    (wait,) = find_waits(two_lifts(s_curve(40.0, 1000.0)), rule).waits
    assert (wait.met, wait.bound) == (True, "reaction")
    assert out <= wait.seconds <= 1.09 * out + 20.0


def test_wait_that_keeps_the_time_above_a_threshold():
    """Alone the lower lift is above 390 K for as long as the series says; half as long again is allowed with one on it.

    The second lift is warm too, so that it keeps the heat of the first in: too soon on it passes the dose.
    """
    limit = 390.0
    alone = brentq(lambda t: core_k(t) - limit, 60.0, 1e6)
    hot = two_lifts(start_k=380.0)
    plan = find_waits(hot, WaitRule(doses=(Dose(limit, 1.25 * alone),), shortest_s=60.0, grain_s=60.0))
    (wait,) = plan.waits
    assert plan.alone_s[0, 0] == pytest.approx(alone, rel=0.06)
    assert (wait.met, wait.bound) == (True, "dose")
    at, sooner = (
        kept_waits(replace(hot, end_s=1e5, thresholds_k=(limit,)), (s,), WaitRule()).result.pours[0].hours_above[0]
        * 3600
        for s in (wait.seconds, 0.8 * wait.seconds)
    )
    assert at <= 1.25 * alone * 1.02 < sooner * 1.02
