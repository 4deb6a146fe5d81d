"""Flow down a tube and the film left on its wall, against the equations of motion solved by scipy and finite volumes.

Sources: the Navier-Stokes equations of a full upright tube, mu (w'' + w'/r) + rho g = 0, and of a thin film that
drains, dh/dt + (rho g / mu) h^2 dh/dz = 0 (any textbook of fluid mechanics; Jeffreys 1930; both from memory).
"""

import numpy as np
import pytest
from scipy.integrate import solve_bvp, trapezoid

from pourwright.physics import draining, pouring

G = 9.80665


@pytest.mark.parametrize(("bore", "density", "viscosity"), [(0.016, 1100.0, 0.5), (0.032, 1180.0, 0.9)])
def test_flow_down_a_full_tube(bore, density, viscosity):
    """Speed across the tube from mu (w'' + w'/r) = -rho g, none at the wall, level on the axis; its integral."""
    radius = bore / 2
    r = np.linspace(0.0, radius, 201)

    def slopes(at, w):
        return np.array([w[1], np.full_like(at, -density * G / viscosity)])

    on_the_axis = np.array([[0.0, 0.0], [0.0, -1.0]])  # the term w'/r, which is singular there
    found = solve_bvp(slopes, lambda a, b: np.array([a[1], b[0]]), r, np.zeros((2, len(r))), S=on_the_axis, tol=1e-8)
    assert found.success
    flow = trapezoid(2 * np.pi * r * found.sol(r)[0], r)
    assert pouring.tube_flow(bore, density, viscosity) == pytest.approx(flow, rel=1e-3)
    speed = flow / (np.pi * radius**2)
    assert density * speed * bore / viscosity < 2000  # laminar, as is assumed


def test_film_left_on_a_draining_wall():
    """A thick film let go at once, marched by an upwind scheme until it has forgotten how it began."""
    length, density, viscosity, end = 1.0, 1100.0, 0.5, 15.0
    cells = 2000
    step = length / cells
    film = np.full(cells, 0.01)
    now = 0.0
    while now < end:
        speed = density * G / viscosity * film**2
        dt = min(0.9 * step / speed.max(), end - now)
        flux = density * G / (3 * viscosity) * film**3
        film = film - dt / step * (flux - np.concatenate([[0.0], flux[:-1]]))
        now += dt
    assert draining.drained_film(length, density, viscosity, end) == pytest.approx(film.mean(), rel=0.01)
