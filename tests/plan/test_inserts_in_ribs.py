"""An insert that is not known to end in a rib is unknown: also where its place is measured on the wall only."""

import numpy as np
import pytest

from pourwright.banded import insert_checks
from pourwright.cavity import pour_frame
from pourwright.outcome import Anchor, Insert, Site, Spot
from pourwright.ribs import RibRules

FRAME = pour_frame(np.array([[0, 0, 0], [1, 1, 2.0]]), np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))


@pytest.mark.parametrize(
    ("spot", "known"),
    [
        (Spot(from_left_m=0.5, from_base_m=1.0), False),
        (Spot(from_left_m=0.5, from_front_m=0.9, from_base_m=1.0), True),
        (Spot(from_left_m=0.5, from_front_m=0.9, from_base_m=0.2), False),
    ],
)
def test_an_insert_is_taken_to_be_in_a_rib_only_where_its_height_is_known(spot, known):
    site = Site(anchors=(Anchor("A", spot, insert=Insert(0.03, 0.2)),))
    checks = insert_checks(site, RibRules(((0.7, 1.3),), 0.009, 600.0), FRAME)
    assert (checks == ()) is known
