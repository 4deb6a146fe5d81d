"""A band that begins where the skin closes: no board can be cut for it, and that is said in a sentence."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from pourwright.errors import CavityError
from pourwright.ribs import dams


def test_where_nothing_passes_the_skin_no_dam_is_made(monkeypatch):
    grid = SimpleNamespace(cell_m=0.01, origin_m=np.zeros(3))
    cut = SimpleNamespace(name="dam 1", height_m=0.2, shape=shapely.box(0, 0, 0.004, 0.3))
    monkeypatch.setattr(dams, "outline", lambda *_: cut.shape)
    with pytest.raises(CavityError, match="No board closes dam 1"):
        dams._shape(cut, SimpleNamespace(board_m=0.009), SimpleNamespace(grid=grid), SimpleNamespace(levels=100))
