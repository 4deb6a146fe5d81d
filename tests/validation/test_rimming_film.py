"""The most that a turning wall carries round, against the steady film equation solved angle by angle.

H. K. Moffatt, Journal de Mecanique 16 (1977) 651-673 (from memory): the flux q = U h - (g / 3 nu) cos(theta) h^3 is the
same all round; the largest q with a film at every angle carries 4.44 R sqrt(nu U / g) of liquid per width. The cubic is
solved by bisection; what the program gives is that load over the girth, rounded to 1/sqrt(2).
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from pourwright.physics.rimming import most_turned_film


def test_the_most_a_turning_wall_carries_is_that_of_the_film_equation():
    nu, speed, g = 0.002, 0.12, 9.80665
    scale = np.sqrt(nu * speed / g)
    angles = np.linspace(0, 2 * np.pi, 4001)[:-1]
    most = speed * scale * 2 / 3 * (1 - 1e-9)

    def film(theta):
        pull = g * np.cos(theta) / (3 * nu)
        top = np.sqrt(speed / (3 * pull)) if pull > 1e-12 else 10 * scale  # where the flux of a rising wall is largest
        return brentq(lambda h: speed * h - pull * h**3 - most, 0.0, top)

    mean = np.mean([film(theta) for theta in angles])
    assert most_turned_film(nu, speed) == pytest.approx(mean, rel=0.005)
    assert 2 * np.pi * mean / scale == pytest.approx(4.44, rel=2e-3)
