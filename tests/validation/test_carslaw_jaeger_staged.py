"""The staged heat computation against H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., Oxford 1959.

The series are written out here (sections named beside each, from memory); they do not use the project's own formulae.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from block_grids import block_grid
from scipy.optimize import brentq
from scipy.special import erfc, j1, jn_zeros

from pourwright.heat import (
    FineCells,
    HeatCurve,
    HeatSettings,
    PourHeat,
    SkinLayer,
    StagedHeat,
    Surroundings,
    heat_grid,
    simulate,
)

AIR, HOT = 300.0, 400.0
K, RHO, CP = 0.03, 48.06, 1800.0
ALPHA = K / (RHO * CP)
HELD = Surroundings(AIR, 1e9, 1e9)  # faces held at the air's temperature
SKIN = SkinLayer(0.004, 1800.0, 1000.0, 0.25, AIR)
FINE = HeatSettings(0.05, 0.03, 1.0, 300.0)
AT_ONCE = HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0]))


def _hot(**changes: object) -> PourHeat:
    return replace(PourHeat("1", 1, 0.0, HOT, RHO, CP, K, 0.0, AT_ONCE), **changes)  # type: ignore[arg-type]


def _share(kelvin: float) -> float:
    return (kelvin - AIR) / (HOT - AIR)


def _slab(half_fo: float) -> float:
    """Section 3.3: centre of a slab of half-thickness l, faces at zero; half_fo = alpha t / l^2."""
    n = np.arange(60)
    return float(np.sum(4 * (-1.0) ** n / ((2 * n + 1) * np.pi) * np.exp(-((2 * n + 1) ** 2) * np.pi**2 * half_fo / 4)))


def test_slab_series_of_this_file_gives_the_printed_value():
    assert _slab(0.5) == pytest.approx(0.37078, abs=5e-6)


def test_slab_with_both_faces_held():
    """Section 3.3, at Fo = 0.5 on the half-thickness: 0.37078."""
    n, half = 41, 0.1
    grid = block_grid(np.zeros((1, 1, n), int), 2 * half / n, air=("z-", "z+"))
    end = 0.5 * half**2 / ALPHA
    result = simulate(StagedHeat(grid, (_hot(),), SKIN, HELD, end, settings=FINE))
    assert _share(result.core_k[0, -1]) == pytest.approx(0.37078, rel=1e-3)


def test_slab_with_one_adiabatic_face_is_half_of_a_slab_twice_as_thick():
    n, thick = 40, 0.1
    grid = block_grid(np.zeros((1, 1, n), int), thick / n, air=("z+",))
    for fo in (0.2, 0.5, 1.0):
        result = simulate(StagedHeat(grid, (_hot(),), SKIN, HELD, fo * thick**2 / ALPHA, settings=FINE))
        assert _share(result.core_k[0, -1]) == pytest.approx(_slab(fo), rel=2e-3)


def test_slab_cooled_by_an_air_film():
    """Section 3.11: x tan x = L (here h l / k); 8 W/(m2 K) on 0.15 m of foam, face and far side after half an hour."""
    n, thick, film, time = 60, 0.15, 8.0, 1800.0
    biot = film * thick / K
    x = np.array([brentq(lambda v: v * np.sin(v) - biot * np.cos(v), i * np.pi, (i + 0.5) * np.pi) for i in range(200)])
    weight = 4 * np.sin(x) / (2 * x + np.sin(2 * x)) * np.exp(-(x**2) * ALPHA * time / thick**2)
    # The same face once as foam in an opening, once as the bare top of a pour.
    sides = {"opening": block_grid(np.zeros((1, 1, n), int), thick / n, air=("z+",))}
    sides["bare top"] = block_grid(np.append(np.zeros(n, int), -2)[None, None, :], thick / n)
    for name, grid in sides.items():
        films = Surroundings(AIR, film, 1.0) if name == "opening" else Surroundings(AIR, 1.0, film)
        result = simulate(StagedHeat(grid, (_hot(),), SKIN, films, time, settings=FINE))
        assert _share(result.core_k[0, -1]) == pytest.approx(weight.sum(), abs=1e-3), name
        mean = float(np.sum(weight * np.sin(x) / x))
        assert _share(result.mean_k[0, -1]) == pytest.approx(mean, rel=2e-3), name
    assert _share(result.top_k[0, -1]) == pytest.approx(float(weight @ np.cos(x)), rel=0.02)
    assert result.top_k[0, -1] == result.top_mean_k[0, -1]


def test_heat_that_a_slab_has_lost():
    """Section 3.3: mean 8 / pi^2 sum exp(-(2n+1)^2 pi^2 Fo / 4) / (2n+1)^2 on the half-thickness; the rest is lost."""
    n, half, fo = 41, 0.1, 0.5
    grid = block_grid(np.zeros((1, 1, n), int), 2 * half / n, air=("z-", "z+"))
    result = simulate(StagedHeat(grid, (_hot(),), SKIN, HELD, fo * half**2 / ALPHA))
    odd = 2 * np.arange(60) + 1
    mean = float(8 / np.pi**2 * np.sum(np.exp(-(odd**2) * np.pi**2 * fo / 4) / odd**2))
    whole = RHO * CP * 2 * half * grid.cell_m**2 * (HOT - AIR)
    assert result.lost_j == pytest.approx((1 - mean) * whole, rel=5e-3)
    assert result.stored_j == pytest.approx(-(1 - mean) * whole, rel=3e-3)


def _ball(radius: float, cell: float, shift: float) -> np.ndarray:
    n = int(2 * radius / cell) + 6
    axis = (np.arange(n) + 0.5 - n / 2 + shift) * cell
    r = np.sqrt(axis[:, None, None] ** 2 + axis[None, :, None] ** 2 + axis[None, None, :] ** 2)
    fine = np.zeros((n, n, n))
    for part in (-3 / 8, -1 / 8, 1 / 8, 3 / 8):  # shares from the distance, averaged over part of the cell
        fine += np.clip(0.5 + (radius - r) / cell + part * 0.5, 0, 1) / 4
    return np.rint(255 * fine).astype(np.uint8)


@pytest.mark.parametrize("fo", [0.02, 0.1, 0.3])
def test_sphere_with_its_surface_held(fo):
    """Section 9.3: centre 2 sum (-1)^(n+1) exp(-n^2 pi^2 Fo); at Fo = 0.1 it is 0.70710. Mean 6/pi^2 sum exp(...)/n^2.

    The sphere lies askew in its cells: this is also the check of the surface's area and depth on the staircase.
    """
    radius, cell = 0.2, 0.01
    share = _ball(radius, cell, 0.137)
    grid = heat_grid(FineCells(share, (share > 0).astype(np.int32), np.array([0]), np.zeros(3), cell))
    grid = replace(grid, surface_opening=np.zeros_like(grid.surface_opening))
    result = simulate(StagedHeat(grid, (_hot(),), SKIN, HELD, fo * radius**2 / ALPHA, settings=FINE))
    n = np.arange(1, 200)
    centre = 2 * np.sum((-1.0) ** (n + 1) * np.exp(-(n**2) * np.pi**2 * fo))
    mean = 6 / np.pi**2 * np.sum(np.exp(-(n**2) * np.pi**2 * fo) / n**2)
    assert _share(result.core_k[0, -1]) == pytest.approx(centre, rel=4e-3)
    assert _share(result.mean_k[0, -1]) == pytest.approx(mean, rel=6e-3)


def _bar(radius: float, cell: float, shift: float) -> np.ndarray:
    """Shares of one slice of a round bar, by counting points."""
    n, parts = int(2 * radius / cell) + 6, 10
    along = ((np.arange(n * parts) + 0.5) / parts - n / 2 + shift) * cell
    inside = np.hypot(along[:, None], along[None, :]) < radius
    return np.asarray(np.rint(255 * inside.reshape(n, parts, n, parts).mean((1, 3)))).astype(np.uint8)


@pytest.mark.parametrize("fo", [0.02, 0.1, 0.3])
def test_cylinder_with_its_surface_held(fo):
    """Section 7.6: centre 2 sum exp(-b^2 Fo) / (b J1(b)), mean 4 sum exp(-b^2 Fo) / b^2, b the roots of J0.

    A bar long enough that its ends, which are held as well, are not felt in the middle; it lies askew in its cells.
    """
    radius, cell, length = 0.1, 0.005, 130
    slab = _bar(radius, cell, 0.137)
    share = np.repeat(slab[:, :, None], length, axis=2)
    label = np.where(share > 0, 1 + (np.arange(length) // (length // 5))[None, None, :], 0).astype(np.int32)
    grid = heat_grid(FineCells(share, label, np.arange(5), np.zeros(3), cell), factor=1)
    grid = replace(grid, surface_opening=np.zeros_like(grid.surface_opening))
    pours = tuple(_hot(name=f"{k}") for k in range(5))
    result = simulate(StagedHeat(grid, pours, SKIN, HELD, fo * radius**2 / ALPHA, settings=FINE))
    roots = jn_zeros(0, 60)
    centre = 2 * np.sum(np.exp(-(roots**2) * fo) / (roots * j1(roots)))
    mean = 4 * np.sum(np.exp(-(roots**2) * fo) / roots**2)
    assert _share(result.core_k[2, -1]) == pytest.approx(centre, rel=4e-3)
    assert _share(result.mean_k[2, -1]) == pytest.approx(mean, rel=6e-3)


def test_two_thick_bodies_take_the_contact_temperature_of_their_effusivities():
    """Section 2.15: (e1 T1 + e2 T2)/(e1 + e2), and erfc profiles on either side, while neither is warm through."""
    n, cell, time = 120, 0.001, 300.0
    k2, rho2 = 0.06, 160.0
    grid = block_grid((np.arange(2 * n) >= n).astype(int)[None, None, :], cell)
    pours = (_hot(), _hot(name="2", conductivity_w_mk=k2, density_kg_m3=rho2))
    start = np.pad(np.where(np.arange(2 * n) < n, HOT, AIR)[None, None, :].astype(float), 1)
    e1, e2 = (K * RHO * CP) ** 0.5, (k2 * rho2 * CP) ** 0.5
    face = (e1 * HOT + e2 * AIR) / (e1 + e2)
    result = simulate(StagedHeat(grid, pours, SKIN, HELD, time, settings=FINE, start_field_k=start))
    # Hottest of the cold body is its first cell, half a cell from the face.
    depth = 0.5 * cell / (2 * (k2 / (rho2 * CP) * time) ** 0.5)
    assert result.core_k[1, -1] == pytest.approx(AIR + (face - AIR) * erfc(depth), abs=0.05)
    # Heat that crossed: 2 k2 (face - AIR) sqrt(t / (pi alpha2)), from the slope of the erfc profile.
    crossed = 2 * k2 * (face - AIR) * (time / (np.pi * k2 / (rho2 * CP))) ** 0.5
    gained = (result.mean_k[1, -1] - AIR) * rho2 * CP * n * cell
    assert gained == pytest.approx(crossed, rel=2e-3)


def test_two_half_lifts_hot_on_hot_are_one_thick_lift():
    """Four times the time of one alone (section 3.3: time goes with the square of the thickness)."""
    n, half = 20, 0.15
    one = block_grid(np.zeros((1, 1, n), int), half / n, air=("z-", "z+"))
    two = block_grid((np.arange(2 * n) >= n).astype(int)[None, None, :], half / n, air=("z-", "z+"))
    end = 0.1 * half**2 / ALPHA
    alone = simulate(StagedHeat(one, (_hot(),), SKIN, HELD, end, settings=FINE))
    stacked = simulate(StagedHeat(two, (_hot(), _hot(name="2")), SKIN, HELD, 4 * end, settings=FINE))
    assert _share(alone.core_k[0, -1]) == pytest.approx(_slab(0.4), rel=5e-3)
    assert stacked.core_k[:, -1] == pytest.approx(alone.core_k[0, -1], rel=1e-4)


def test_thin_skin_insulated_outside_comes_to_the_mixing_temperature():
    """0.1 m of foam at 139 °C and 5 mm of laminate (1800 kg/m3, 1000 J/(kg K)) at 22 °C share their heat: 79.3 °C.

    Heat balance of two bodies; the lumped skin of section 1.9 (contact with a well-stirred fluid) is the same thing.
    """
    n, thick = 20, 0.1
    grid = block_grid(np.zeros((1, 1, n), int), thick / n, skin=("z-",))
    skin = SkinLayer(0.005, 1800.0, 1000.0, 0.25, 295.15)
    hot = _hot(start_k=412.15)
    result = simulate(StagedHeat(grid, (hot,), skin, Surroundings(295.15, 1e-9), 48 * 3600.0))
    equal = (RHO * CP * thick * 139 + 9000 * 22) / (RHO * CP * thick + 9000)
    assert equal == pytest.approx(79.3, abs=0.1)
    assert result.skin_k[0, -1] - 273.15 == pytest.approx(equal, abs=0.05)
    assert result.core_k[0, -1] - 273.15 == pytest.approx(equal, abs=0.05)
    assert result.skin_peak_k <= result.skin_k[0, -1] + 1e-6  # it never overshoots


def test_slab_against_a_lumped_body():
    """Section 3.13 (slab in contact with a well-stirred body, no heat lost): roots of tan b = -b c, c = body / slab.

    Both end at 1/(1 + c) of the excess; checked on the way there, for a skin that holds about as much as the foam.
    """
    n, thick = 60, 0.1
    foam_heat = RHO * CP * thick
    skin = SkinLayer(0.005, 1800.0, 1000.0, 1e6, AIR)
    c = 9000.0 / foam_heat
    roots = np.array(
        [brentq(lambda b: np.sin(b) + b * c * np.cos(b), (i + 0.5) * np.pi, (i + 1) * np.pi) for i in range(300)]
    )
    grid = block_grid(np.zeros((1, 1, n), int), thick / n, skin=("z-",))
    for time in (1800.0, 7200.0, 20_000.0):
        fo = ALPHA * time / thick**2
        # Slab at 1, body at 0. Norm of cos(b x) with the body's point mass: 1/2 + sin(2b)/(4b) + c cos(b)^2.
        weight = (np.sin(roots) / roots) / (0.5 + np.sin(2 * roots) / (4 * roots) + c * np.cos(roots) ** 2)
        body = 1 / (1 + c) + float(np.sum(weight * np.cos(roots) * np.exp(-(roots**2) * fo)))
        result = simulate(StagedHeat(grid, (_hot(),), skin, Surroundings(AIR, 1e-9), time, settings=FINE))
        assert _share(result.skin_k[0, -1]) == pytest.approx(body, abs=2e-3)
