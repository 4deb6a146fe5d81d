"""Foam that comes out at many vents, a little at each, is told."""

from types import SimpleNamespace

from pourwright.wording.computed import rise_lines


def test_two_grams_at_three_vents_are_told_with_the_vents_they_come_out_at():
    vents = [SimpleNamespace(name=f"V{k}", foam_kg=0.0007, foam_from_s=100.0 + k) for k in (1, 2, 3)]
    rise = SimpleNamespace(voids=(), surplus_kg=0.0021, vents=vents)
    (line,) = rise_lines(rise)
    assert "V1, V2, V3" in line
