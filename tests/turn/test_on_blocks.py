"""A piece tilted on blocks stands there as firmly as any that is called standing, or it is not tilted."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.turn import in_full
from pourwright.turn.model import Way

NONE = np.zeros(0)
STANDS = Way(
    up=np.array([0.0, 0.0, 1.0]), pours=1, last_h=0.0, pool_m=NONE, pool_at_m=NONE, pocket_m=NONE, pocket_at_m=NONE,
    vented=NONE, close=(), peak_pa=0.0, height_m=1.0, tip_rad=0.0, cradle_m=0.0, more_vents=0, blocks_rad=0.0, hours={},
)  # fmt: skip


def tilted(monkeypatch, tips_deg, lean_deg):
    """The tilted way of a piece that tips at so many degrees where it stands level."""
    lean = np.radians(lean_deg)
    monkeypatch.setattr(in_full, "look", lambda scene, ups: [replace(STANDS, up=ups[0])])
    monkeypatch.setattr(in_full, "confirm_way", lambda scene, way, flattest: way)
    level = replace(STANDS, tip_rad=np.radians(tips_deg))
    one = SimpleNamespace(way=level, tilted=np.array([np.sin(lean), 0.0, np.cos(lean)]))
    return in_full.tilted_way(None, one, ())


@pytest.mark.parametrize(("tips_deg", "lean_deg"), [(11.0, 4.0), (12.0, 15.0)])
def test_blocks_under_what_would_tip_on_them_are_no_way(monkeypatch, tips_deg, lean_deg):
    """At 7 degrees it would be held while worked on; past its edge it falls, which was told as 0 and not warned of."""
    assert tilted(monkeypatch, tips_deg, lean_deg) is None


def test_on_blocks_a_piece_tips_sooner_by_its_tilt(monkeypatch):
    way = tilted(monkeypatch, 25.0, 4.0)
    assert np.degrees([way.tip_rad, way.blocks_rad]) == pytest.approx([21.0, 4.0])
