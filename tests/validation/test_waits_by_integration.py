"""Peak, wait and the face under the next lift by formulas, against the heat equation integrated by scipy.

Method of lines on even cells with an implicit integrator (BDF), written from the heat equation alone. The foam of one
pour stands at its peak when it has risen; the same rules are asked of the integrated temperatures.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits
from pourwright.lifts.limits import surface_under_limit_k
from pourwright.lifts.thermal import heat_of
from pourwright.physics import landing

DENSITY, HEAT, CONDUCTIVITY, FILM = 49.5, 1750.0, 0.030, 2.0  # foam in place; over a pour inside a shell
SHOP_K = 295.3722222
RISE_END_S = 300.0
CELLS = 240


def cooled(thick, below, above, until, seconds=400 * 3600.0):
    """Time in which ``until(field)`` [share of the excess, lowest cell first] is met, and the field then.

    ``below``, ``above``: film on each face [W/(m2 K)]; 0 insulated, inf held at the air's temperature.
    """
    size = thick / CELLS
    pull = [1 / (0.5 * size / CONDUCTIVITY + 1 / h) if h else 0.0 for h in (below, above)]
    rate = CONDUCTIVITY / (DENSITY * HEAT * size**2)

    def change(_t, x):
        flow = np.diff(x) * rate
        out = np.r_[flow, 0.0] - np.r_[0.0, flow]
        out[0] -= pull[0] * x[0] / (DENSITY * HEAT * size)
        out[-1] -= pull[1] * x[-1] / (DENSITY * HEAT * size)
        return out

    def met(_t, x):
        return until(x)

    met.terminal = True
    near = sum(np.eye(CELLS, k=k) for k in (-1, 0, 1))
    solved = solve_ivp(
        change, (0.0, seconds), np.ones(CELLS), "BDF", events=met, rtol=1e-8, atol=1e-10, jac_sparsity=near
    )
    return float(solved.t_events[0][0]), solved.y_events[0][0]


def face_of(x, film, thick):
    """Share of the excess that the upper face itself shows: half a cell of foam, then the film."""
    return x[-1] / (1 + film * 0.5 * thick / CELLS / CONDUCTIVITY)


def foam_of(rise_k=128.0, **changes):
    grade = replace(load_grade("rigid-3"), heat_j_kg=rise_k * HEAT, specific_heat_j_kgk=HEAT, **changes)
    return at_conditions(replace(grade, conductivity_hot_w_mk=CONDUCTIVITY), Conditions(SHOP_K, SHOP_K, SHOP_K))


@pytest.mark.parametrize("on_foam", [True, False])
@pytest.mark.parametrize(("thick", "wide"), [(0.10, 0.5), (0.16, 0.5), (0.20, 0.12)])
def test_time_to_a_tenth_of_the_rise(thick, wide, on_foam):
    """The centre by its height (warm foam under it lets no heat through) or by its width, whichever is faster."""
    over_height, _ = cooled(thick, 0.0 if on_foam else np.inf, np.inf, lambda x: x.max() - 0.1)
    over_width, _ = cooled(wide, np.inf, np.inf, lambda x: x.max() - 0.1)
    found = heat_of(foam_of(), DENSITY, thick, wide, on_foam, 400.0)
    assert found.hot_s == pytest.approx(min(over_height, over_width), rel=2e-3)
    assert found.peak_k.nominal == pytest.approx(SHOP_K + 128.0)


@pytest.mark.parametrize("on_foam", [True, False])
@pytest.mark.parametrize("surface_under_k", [316.0, 335.0])
@pytest.mark.parametrize("rise_k", [118.0, 140.0])
def test_wait_until_the_core_is_out_of_danger_and_the_face_is_cool(rise_k, surface_under_k, on_foam):
    """After the rise: the face below the landing limit; the centre as far below 150 °C as the peak is above it."""
    thick, peak = 0.16, SHOP_K + rise_k
    face_s, _ = cooled(
        thick if on_foam else 0.5 * thick, 0.0, FILM,
        lambda x: face_of(x, FILM, thick if on_foam else 0.5 * thick) - (surface_under_k - SHOP_K) / rise_k,
    )  # fmt: skip
    core_s = 0.0
    if peak > 423.15:
        share = (2 * 423.15 - peak - SHOP_K) / rise_k
        core_s, _ = cooled(thick, 0.0 if on_foam else np.inf, np.inf, lambda x: x.max() - share)
    found = heat_of(foam_of(rise_k, rise_sd_k=1.0, stop_k=480.0), DENSITY, thick, 1.0, on_foam, surface_under_k)
    assert found.wait_s == pytest.approx(RISE_END_S + max(face_s, core_s), rel=0.01)
    assert found.surface_under_k <= surface_under_k + 0.05
    if face_s > core_s:
        assert found.surface_under_k == pytest.approx(surface_under_k, abs=0.1)


def test_a_face_that_would_lift_the_hot_end_over_the_emergency_is_waited_for():
    """Likely heat 20 K under the stop, its hot end 1 K under 200 °C: the face may warm the next lift by 1 K only."""
    foam = foam_of(127.0, rise_sd_k=25.4, stop_k=443.15)
    room = 473.15 - (SHOP_K + foam.rise_k.high)
    assert 0.5 < room < 1.5
    found = heat_of(foam, DENSITY, 0.16, 1.0, True, 400.0)
    # Heat that crosses in the cream time from a deep body of foam into liquid that holds its face at its own warmth.
    taken, _ = crossed(found.surface_under_k - SHOP_K, 40.0)
    assert taken / (DENSITY * 0.16 * HEAT) <= room * 1.01
    assert taken / (DENSITY * 0.16 * HEAT) == pytest.approx(room, rel=0.02)


def crossed(excess_k, seconds, deep=0.05, cells=1000):
    """Heat [J/m2] out of a deep body whose face is held ``excess_k`` below it, and what is left far down."""
    size = deep / cells
    rate = CONDUCTIVITY / (DENSITY * HEAT * size**2)

    def change(_t, x):
        flow = np.diff(x) * rate
        out = np.r_[flow, 0.0] - np.r_[0.0, flow]
        out[0] -= 2 * rate * x[0]
        return out

    near = sum(np.eye(cells, k=k) for k in (-1, 0, 1))
    end = solve_ivp(change, (0, seconds), np.full(cells, excess_k), "BDF", rtol=1e-8, atol=1e-9, jac_sparsity=near)
    return float((excess_k - end.y[:, -1]).sum() * size * DENSITY * HEAT), float(end.y[-1, -1])


@pytest.mark.parametrize("seconds", [20.0, 40.0, 90.0])
def test_warmth_that_fresh_foam_takes_from_the_lift_below(seconds):
    taken, deep = crossed(60.0, seconds)
    assert deep == pytest.approx(60.0, abs=1e-3)
    effusivity = (CONDUCTIVITY * DENSITY * HEAT) ** 0.5
    layer = 0.15 * DENSITY * HEAT
    assert 60.0 * landing.contact_warming(effusivity, seconds, layer) == pytest.approx(taken / layer, rel=3e-3)


def test_a_face_at_the_landing_limit_quickens_the_liquid_by_a_quarter():
    """Liquid (0.2 W/(m K), 1155 kg/m3) on foam at the limit: both integrated to their face, which it keeps.

    There cream comes in three quarters of its time by Arrhenius' law (33 kJ/mol).
    """
    limit = surface_under_limit_k(
        at_conditions(load_grade("rigid-3"), Conditions(SHOP_K, SHOP_K, SHOP_K)), ShopLimits()
    )
    cells, size = 400, 2e-5
    conductivity = np.repeat([0.030, 0.2], cells)
    capacity = np.repeat([DENSITY * HEAT, 1155.0 * HEAT], cells)
    between = 2 / (1 / conductivity[1:] + 1 / conductivity[:-1]) / size

    def change(_t, x):
        flow = between * np.diff(x)
        return (np.r_[flow, 0.0] - np.r_[0.0, flow]) / (capacity * size)

    near = sum(np.eye(2 * cells, k=k) for k in (-1, 0, 1))
    start = np.repeat([limit, SHOP_K], cells)
    x = solve_ivp(change, (0, 2.0), start, "BDF", rtol=1e-9, atol=1e-9, jac_sparsity=near).y[:, -1]
    foam, liquid = x[cells - 1], x[cells]
    contact = (0.030 * foam + 0.2 * liquid) / 0.230
    quicker = np.exp(33e3 / 8.314462618 * (1 / contact - 1 / SHOP_K))
    assert quicker == pytest.approx(0.75, abs=0.005)
