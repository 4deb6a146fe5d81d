"""The lightest sandwich of a stiffness, found again by the search of ``ways``: its core weighs twice what its faces do.

Of thin faces (``D = E t c^2 / 2``) and a core that only keeps them apart, ``2 rho t + rho_c c`` at a given D is least
where the core weighs twice the two faces together: H. G. Allen, Analysis and Design of Structural Sandwich Panels, 1969
(from memory). A skin and a soft lining have no such closed form here: they are held to a search over a grid.
"""

import numpy as np
import pytest
from scipy import integrate

from pourwright.ways.panel import lightest

BOUNDS = ((1e-5, 0.05), (1e-3, 1.0))


def by_integral(layers):
    """Bending stiffness of flat layers (modulus, thickness) about their own neutral plane, integrated through them."""
    edges = np.cumsum([0.0, *(t for _, t in layers)])
    middle = sum(e * (b * b - a * a) / 2 for (e, _), a, b in zip(layers, edges, edges[1:], strict=False))
    middle /= sum(e * t for e, t in layers)
    return sum(
        e * integrate.quad(lambda z: (z - middle) ** 2, a, b)[0]
        for (e, _), a, b in zip(layers, edges, edges[1:], strict=False)
    )


@pytest.mark.parametrize(("face_pa", "face_kg", "core_kg"), [(7e9, 1600.0, 40.0), (70e9, 2700.0, 60.0)])
def test_the_core_of_the_lightest_sandwich_weighs_twice_its_faces(face_pa, face_kg, core_kg):
    def rigidity(face_m, core_m):
        return by_integral([(face_pa, face_m), (1.0, core_m), (face_pa, face_m)])

    for wanted in (2e3, 2e4):
        found = lightest(rigidity, wanted, (face_kg, core_kg), 2, BOUNDS)
        assert rigidity(found.skin_m, found.foam_m) == pytest.approx(wanted, rel=1e-4)
        assert found.foam_kg_m2 / found.skin_kg_m2 == pytest.approx(2.0, rel=0.02)  # faces have some thickness


def test_skin_and_lining_of_one_face_are_the_lightest_of_a_grid():
    def rigidity(skin_m, foam_m):
        return by_integral([(7e9, skin_m), (8e6, foam_m)])

    found = lightest(rigidity, 400.0, (1600.0, 40.0), 1, ((1e-3, 0.03), (1e-3, 0.4)))
    best = np.inf
    for skin_m in np.linspace(1e-3, 0.012, 56):
        for foam_m in np.linspace(1e-3, 0.2, 100):
            if rigidity(skin_m, foam_m) >= 400.0:
                best = min(best, 1600.0 * skin_m + 40.0 * foam_m)
    assert found.kg_m2 <= best
    assert found.kg_m2 > 0.95 * best


def test_what_nothing_is_stiff_enough_for_is_not_found():
    assert lightest(lambda a, b: 1e9 * a**3, 1e12, (1600.0, 40.0), 2, BOUNDS) is None
