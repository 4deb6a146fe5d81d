"""What a sheet says of holes: nothing is there before it is poured, and nobody has to hold what holds by itself."""

from types import SimpleNamespace as N

import numpy as np

from pourwright.lifts import Closing, ShopLimits
from pourwright.lifts.closing import _timed
from pourwright.ranges import Range
from pourwright.wording.closing import KINDS, closed_with


def pour(name, top_m, closes=False, vents=()):
    pressure = Range.exact(5e3)
    return N(
        name=name, together=(), top_m=top_m, bottom_m=0.0, closes=closes, vents=vents, nodes=np.array([3]),
        peak_pressure_pa=pressure, poured=False, landings=(),
    )  # fmt: skip


def test_liquid_is_at_no_vent_before_it_is_stirred():
    """The tip of a horn was to be pegged "from about 0 s after the start of mixing"."""
    closing = Closing("V1", "2a", "2a", np.nan, np.nan, 0.1, 3e-5, Range.exact(0.0))
    found = _timed(closing, [pour("2a", 0.3)], lambda *_: 0.0, True, ShopLimits(mix_s=25.0))
    assert found.foam_s == 25.0


def test_foam_that_fills_a_piece_up_comes_out_of_its_vents():
    """It said of the vents of a lid: no foam rises past it, and: full when foam comes out of the vents."""
    over, aside = N(name="V1", node=3), N(name="V2", node=9)
    plan = N(lifts=[N(pours=[pour("1a", 0.4, True, (over, aside))])], closings=(), ports=(), vents=())
    assert closed_with(plan, "V1") == "stays open: foam that comes out sets in it"
    assert closed_with(plan, "V2") == "stays open: no foam rises past it"


def test_what_closes_a_hole_holds_by_itself():
    assert all("held" not in words for words in KINDS.values())
    assert "strapped" in KINDS["board"]
