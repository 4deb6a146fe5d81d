"""The elevation of the wall: every height and width that is to be taped is on the paper, however many there are."""

import re

import numpy as np
import pytest
from lxml import etree

from pourwright.answers.hang_template import OnWall, wall_svg


@pytest.mark.parametrize("count", [3, 6, 7, 9, 14])
def test_every_measure_is_on_the_paper_however_many_heights_there_are(made, lump, count):
    piece, _ = made([lump(10.0, (0.0, 0.0, 0.0))])
    ring = np.array([[0.0, 0], [900, 0], [900, 1200], [0, 1200], [0, 0]])
    at = np.column_stack([np.linspace(60, 840, count), np.linspace(55, 1145, count)])
    root = etree.fromstring(
        wall_svg(piece, OnWall((ring,), tuple(f"A{k}" for k in range(count)), at, (0.0,) * count)).encode()
    )
    _, _, wide, high = (float(v) for v in root.get("viewBox").split())
    texts = root.findall(".//{*}text")
    for text in texts:
        assert 2.0 <= float(text.get("x")) <= wide
        assert 2.0 <= float(text.get("y")) <= high
    for path in root.findall(".//{*}path"):
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.get("d")):
            assert 0.0 <= float(x) <= wide
            assert 0.0 <= float(y) <= high
    for text in texts:
        if text.get("transform"):  # it reads upwards
            assert float(text.get("y")) - 0.6 * float(text.get("font-size")) * len(text.text) >= 0.0
    turned = sorted(float(text.get("x")) for text in texts if text.get("transform"))
    assert len(turned) == count
    assert np.diff(turned).min() > 3.0  # no two of them over one another
