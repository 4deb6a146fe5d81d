"""Cooling of slabs against Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959.

Numbers of the classic series recomputed from the book's formulae; the roots for cooling by a film are those of its
Appendix IV, Table I (from memory). Beside them an independent numerical solution of the heat equation.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pourwright.physics import film, heat


def test_section_3_3_slab_centre():
    """Half-thickness Fourier number 0.5."""
    assert heat.slab_share(0.5 / 4) == pytest.approx(0.37078, abs=5e-6)


@pytest.mark.parametrize(
    ("share", "fourier"),
    [(0.95, 0.02488), (0.90, 0.03254), (0.50, 0.09469), (0.30, 0.14646), (0.20, 0.18755), (0.10, 0.25778)],
)
def test_section_3_3_time_to_a_share_of_the_excess(share, fourier):
    assert heat.slab_time_to_share(share, 1.0, 1.0) == pytest.approx(fourier, abs=1e-4)
    assert heat.slab_time_to_share(share, 1.0, 1.0, one_face_adiabatic=True) == pytest.approx(4 * fourier, abs=4e-4)


@pytest.mark.parametrize(
    ("thickness", "half_h", "tenth_h"), [(0.10, 0.76, 2.06), (0.15, 1.71, 4.65), (0.30, 6.83, 18.6)]
)
def test_hours_of_foam_slabs(thickness, half_h, tenth_h):
    alpha = heat.diffusivity(0.025, 48.06, 1500.0)
    assert alpha == pytest.approx(3.468e-7, rel=1e-3)
    assert heat.slab_time_to_share(0.5, thickness, alpha) / 3600 == pytest.approx(half_h, rel=0.01)
    assert heat.slab_time_to_share(0.1, thickness, alpha) / 3600 == pytest.approx(tenth_h, rel=0.01)


def test_an_hour_leaves_the_core_of_150_mm_hot():
    fourier = 3.468e-7 * 3600.0 / 0.15**2
    assert fourier == pytest.approx(0.05549, abs=1e-5)
    share = heat.slab_share(fourier)
    assert share == pytest.approx(0.733, abs=0.002)
    assert 22 + 117 * share == pytest.approx(108, abs=0.5)


def test_peak_does_not_depend_on_thickness_beyond_65_mm():
    """A slab keeps 95 % of its centre's excess for the 300 s of the reaction from this thickness on."""
    thickness = (3.468e-7 * 300.0 / heat.slab_time_to_share(0.95, 1.0, 1.0)) ** 0.5
    assert thickness == pytest.approx(0.0647, abs=0.0003)


def test_series_and_image_forms_agree_where_they_meet():
    for fourier in (0.029999, 0.030001):
        n = np.arange(60)
        long = 4 / np.pi * np.sum((-1.0) ** n / (2 * n + 1) * np.exp(-((2 * n + 1) ** 2) * np.pi**2 * fourier))
        assert heat.slab_share(fourier) == pytest.approx(long, abs=1e-10)


@pytest.mark.parametrize(
    ("biot", "roots"),
    [
        (0.1, (0.3111, 3.1731)),
        (1.0, (0.8603, 3.4256, 6.4373)),
        (10.0, (1.4289, 4.3058, 7.2281)),
        (100.0, (1.5552,)),
    ],
)
def test_appendix_4_roots(biot, roots):
    got = film._roots(biot)
    np.testing.assert_allclose(got[: len(roots)], roots, atol=5e-5)


def numerical(biot: float, times: list[float], cells: int = 400) -> tuple[np.ndarray, np.ndarray]:
    """Face and far-face excess of a slab cooled on one face, by finite volumes; unit thickness and diffusivity."""
    # Cells shrink towards the cooled face, at x = 1.
    edges = 1 - (1 - np.linspace(0, 1, cells + 1)) ** 2
    width, middle = np.diff(edges), (edges[1:] + edges[:-1]) / 2
    between = np.diff(middle)
    outer = 1 / (1 / biot + width[-1] / 2)

    def change(_t, y):
        flow = np.zeros(cells + 1)
        flow[1:-1] = -np.diff(y) / between
        flow[-1] = outer * y[-1]
        return -np.diff(flow) / width

    solved = solve_ivp(
        change, (0, times[-1]), np.ones(cells), t_eval=times, method="LSODA", rtol=1e-8, atol=1e-10, lband=1, uband=1
    )
    return outer / biot * solved.y[-1], solved.y[0]


@pytest.mark.parametrize("biot", [0.3, 5.0, 60.0])
def test_section_3_11_slab_cooled_by_a_film_against_finite_volumes(biot):
    times = [0.002, 0.02, 0.1, 0.4]
    faces, fars = numerical(biot, times)
    for time, face, far in zip(times, faces, fars, strict=True):
        got = film.slab_shares(time, 1.0, 1.0, 1.0, biot)
        assert got == pytest.approx((face, far), abs=2e-4)
    assert film.slab_time_to_face(faces[2], 1.0, 1.0, 1.0, biot) == pytest.approx(0.1, rel=2e-3)


def test_film_slab_becomes_the_plain_slab_as_the_film_grows():
    _, far = film.slab_shares(0.25, 1.0, 1.0, 1.0, 1e5)
    assert far == pytest.approx(heat.slab_share(0.25 / 4), abs=1e-4)


def test_section_2_15_contact_of_two_bodies():
    """Foam at 139 °C against polyethylene at 22 °C."""
    foam, wall = heat.effusivity(0.03, 48.06, 1800.0), heat.effusivity(0.4, 935.0, 2100.0)
    assert (foam, wall) == pytest.approx((50.9, 886.0), rel=1e-3)
    assert (139.0 * foam + 22.0 * wall) / (foam + wall) == pytest.approx(28.4, abs=0.2)
