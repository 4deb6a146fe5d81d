"""A rib for which there is no board, or no hole for its hose: that is said in a sentence, and no place is made up."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from pourwright.errors import CavityError
from pourwright.ribs import WayIn, dams
from pourwright.wording.ribs import _way_in


def test_where_nothing_passes_the_skin_no_dam_is_made(monkeypatch):
    grid = SimpleNamespace(cell_m=0.01, origin_m=np.zeros(3))
    cut = SimpleNamespace(name="dam 1", height_m=0.2, shape=shapely.box(0, 0, 0.004, 0.3))
    monkeypatch.setattr(dams, "outline", lambda *_: cut.shape)
    with pytest.raises(CavityError, match="No board closes dam 1"):
        dams._shape(cut, SimpleNamespace(board_m=0.009), SimpleNamespace(grid=grid), SimpleNamespace(levels=100))


@pytest.mark.parametrize(("found", "said"), [(True, "is poured with a hose"), (False, "was found that is clear")])
def test_a_hole_that_was_not_found_is_not_told_as_one_to_drill(found, said):
    way = WayIn(1, "R1", "top of rib 1", "", np.array([0.1, 0.2, 0.3]), 0.04, found)
    words = _way_in(SimpleNamespace(frame=SimpleNamespace(to_standing=lambda at: at)), way)
    assert said in words
    assert ("by hand" in words) is not found
