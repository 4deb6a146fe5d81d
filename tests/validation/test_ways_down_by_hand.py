"""What hands do at a hole, worked by hand: how far a stream keeps off the wall, what fits and what shuts it, and when.

The figures are the shop's own (judged, and said so where they stand); what follows from them is arithmetic.
"""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.access import clearance_due, fitted
from pourwright.lifts import Closing, ShopLimits
from pourwright.lifts.checks import moving_s
from pourwright.plugs import kind_for, plugs_of
from pourwright.ranges import Range

SHOP = ShopLimits(mix_s=20.0, pour_rate_m3_s=1e-4)


@pytest.mark.parametrize(("fall_m", "due_m"), [(0.3, 0.0), (0.5, 0.0), (1.0, 0.035), (1.6, 0.047)])
def test_a_fall_of_more_than_half_a_metre_keeps_15_mm_and_2_per_cent_of_it(fall_m, due_m):
    """15 mm and 2 % of the fall over half a metre, as the sheet of the shop has it (our judgement)."""
    assert float(clearance_due(fall_m)) == pytest.approx(due_m)


@pytest.mark.parametrize(("free_m", "hole_m"), [(0.0280, 0.040), (0.0279, 0.032), (0.0239, 0.025), (0.0200, 0.020)])
def test_a_hole_is_as_large_as_its_flange_of_8_mm_all_round_lets_it_be(free_m, hole_m):
    """Radius and 8 mm of flange within the free round, by hand."""
    sizes = (0.020, 0.025, 0.032, 0.040)
    assert fitted(np.array([0.040]), np.array([free_m]), sizes, 0.020).tolist() == [hole_m]


@pytest.mark.parametrize(
    ("cups", "hands", "moved_s"),
    [(1, 4, 0.0), (2, 4, 4.0), (2, 3, 12.0), (4, 4, 12.0)],
)
def test_people_share_a_cup_who_have_none_of_their_own(cups, hands, moved_s):
    """Four holes: with as many people as cups nobody helps, and each cup goes to its four holes by one person."""
    assert moving_s(4, cups, replace(SHOP, hands=hands)) == moved_s


@pytest.mark.parametrize(
    ("hole_m", "force_n", "kind"),
    [(0.006, 1.0, "peg"), (0.016, 39.0, "peg"), (0.020, 39.0, "bung"), (0.040, 41.0, "board"), (0.0, 1.0, "board")],
)
def test_what_shuts_a_hole_by_its_size_and_force(hole_m, force_n, kind):
    """A hand presses a bung in with some 40 N (our judgement): what pushes harder is clamped down."""
    assert kind_for(hole_m, force_n) == kind


def test_a_plug_between_two_pours_stays_in_for_the_later():
    """A hole of 40 mm from 0.20 to 0.24 m: foam up to 0.22 m presses on its lower half, the next pour on the rest."""
    tops = [0.0, 0.1, 0.22, 0.4, 0.6]
    lifts = [
        SimpleNamespace(
            number=k + 1,
            wait_s=60.0 * (k + 1),
            pours=[SimpleNamespace(name=f"{k + 1}a", bottom_m=tops[k], top_m=tops[k + 1], poured=False)],
        )
        for k in range(4)
    ]
    port = SimpleNamespace(name="P1", way="drilled", hole_m=0.04)
    force, nan = Range.exact(8.0), math.nan
    closing = Closing("P1", "2a", "", nan, nan, 0.20, math.pi / 4 * 0.04**2, force)
    (plug,) = plugs_of(SimpleNamespace(lifts=lifts, ports=[port], vents=[], closings=[closing]))
    assert (plug.out_after, plug.out_lift, plug.out_s) == ("3a", 3, 180.0)
