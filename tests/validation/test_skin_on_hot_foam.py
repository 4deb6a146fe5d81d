"""scipy, an independent integrator: a thin skin on a thick body of hot foam, in slices of 0.2 mm and up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pourwright.physics.warm_skin import inner_face_peak_over_air, skin_over_air

FILM, FOAM_K, DENSITY, HEAT = 8.0, 0.025, 48.0, 1700.0
EFFUSIVITY = math.sqrt(FOAM_K * DENSITY * HEAT)
SLICES = np.diff(np.r_[0.0, 0.2e-3 * np.cumsum(1.03 ** np.arange(160))])


def marched(hot, start, skin_heat, times):
    """The same by finite volumes and an implicit integrator: skin (k,) at ``times``."""
    middle = np.cumsum(SLICES) - SLICES / 2
    conduct = FOAM_K / np.diff(middle)

    def slope(_, y):
        skin, foam = y[0], y[1:]
        into = FOAM_K * (foam[0] - skin) / middle[0]
        flow = np.concatenate([[-into], conduct * (foam[:-1] - foam[1:]), [0.0]])
        return np.concatenate([[(into - FILM * skin) / skin_heat], (flow[:-1] - flow[1:]) / (DENSITY * HEAT * SLICES)])

    first = np.r_[start, np.full(len(SLICES), hot)]
    return solve_ivp(slope, (0, times[-1]), first, "BDF", t_eval=times, rtol=1e-6, atol=1e-6).y[0]


@pytest.mark.parametrize(("skin_heat", "start"), [(8600.0, 0.0), (3000.0, -4.0), (20e3, 3.0)])
def test_skin_follows_the_numerical_solution(skin_heat, start):
    times = np.geomspace(20.0, 8000.0, 25)
    found = marched(130.0, start, skin_heat, times)
    told = [skin_over_air(t, 130.0, start, EFFUSIVITY, skin_heat, FILM)[0] for t in times]
    assert told == pytest.approx(found, abs=0.05)
    peak = inner_face_peak_over_air(130.0, start, EFFUSIVITY, skin_heat, FILM, 0.0, 20.0)
    assert found.max() - 0.05 <= peak <= found.max() + 0.2  # the list of times may miss the top


def test_what_heats_the_skin_is_what_it_takes_up_and_gives_away():
    """q = C x' + h x, x' by a difference."""
    given = 130.0, 2.0, EFFUSIVITY, 8600.0, FILM
    (low, _), (x, flow), (high, _) = (skin_over_air(t, *given) for t in (499.0, 500.0, 501.0))
    assert flow == pytest.approx(8600.0 * (high - low) / 2 + FILM * x, rel=1e-4)
    assert inner_face_peak_over_air(*given, 0.0125, 500.0) >= x + 0.0125 * flow


def test_energy_is_kept_without_a_film():
    """No heat leaves: the skin ends as warm as the foam, and starts where it was."""
    assert skin_over_air(1e-9, 130.0, 7.0, EFFUSIVITY, 8600.0, 1e-9)[0] == pytest.approx(7.0, abs=1e-3)
    assert skin_over_air(1e9, 130.0, 7.0, EFFUSIVITY, 8600.0, 1e-9)[0] == pytest.approx(130.0, rel=0.01)
