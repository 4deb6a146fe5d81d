"""A hollow so small that no mix turned in it stays on a wall: refused in a sentence, where it ended in a traceback."""

from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.errors import CavityError
from pourwright.lining.make import _shares


def _coat(laid, left):
    return SimpleNamespace(states=[SimpleNamespace(laid_m3=np.array(laid), left_m3=left)])


def test_a_mix_that_stays_nowhere_is_no_lining():
    inside = SimpleNamespace(counts=np.array([True, True, False]))
    with pytest.raises(CavityError, match="Give a thinner fill"):
        _shares(_coat([0.0, 0.0, 0.0], 0.0), inside)
    assert _shares(_coat([1.0, 2.0, 1.0], 1.0), inside) == (0.25, 0.25)
