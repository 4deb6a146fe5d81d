"""Cards of flat pieces: seen from above, all of a picture within its paper, nothing over anything else."""

from dataclasses import replace
from types import SimpleNamespace as N

import numpy as np
import pytest

from pourwright.cavity import pour_frame
from pourwright.draw.card_words import CARD_MM, FLAT_MM, RIM_MM
from pourwright.draw.cards import _laid, is_flat
from pourwright.draw.view import close_view

BOAT = np.array([[x, y, z] for x in (0.0, 2.9) for y in (0.0, 1.34) for z in (0.0, 0.65)])


def framed(points):
    return pour_frame(points, np.array([0.0, 0.0, 1.0]), np.array([0.0, -1.0, 0.0]))


def test_from_above_left_is_left_and_the_front_is_below():
    frame = framed(BOAT)
    view = close_view(frame, BOAT, 1000.0, above=True)
    (x0, y0, _), (x1, _, _), (_, y1, _), (_, _, low) = view.shell(
        np.array([[0.0, 0.0, 0.65], [2.9, 0.0, 0.65], [0.0, 1.34, 0.65], [0.0, 0.0, 0.0]])
    )
    assert x0 < x1
    assert y0 > y1  # pixels count down
    assert (x1 - x0) / 2.9 == pytest.approx((y0 - y1) / 1.34)
    assert low < view.shell(np.array([0.0, 0.0, 0.65]))[2]  # the top is nearer
    assert view.width / view.height == pytest.approx(2.9 / 1.34, rel=0.02)


def test_flat_is_what_is_much_wider_than_high(stool_plan):
    assert not is_flat(stool_plan)
    boat = replace(stool_plan, frame=framed(BOAT), skin=replace(stool_plan.skin, vertices_m=BOAT))
    assert is_flat(boat)


@pytest.mark.parametrize("size", [CARD_MM, FLAT_MM])
@pytest.mark.parametrize("shapes", [((2000, 400), (2000, 900)), ((400, 900), (400, 900)), ((900, 800), (300, 800))])
def test_two_sights_lie_apart_on_the_paper_to_one_scale(size, shapes):
    sights = [N(stage=N(view=N(width=wide, height=high))) for wide, high in shapes]
    columns = (18.0, 12.0)
    placed, how = _laid(sights, columns, size)
    boxes = [
        (*one.at_mm, one.at_mm[0] + one.mm * w, one.at_mm[1] + one.mm * h)
        for one, (w, h) in zip(placed, shapes, strict=True)
    ]
    assert placed[0].mm == placed[1].mm
    for left, top, right, foot in boxes:
        assert columns[0] + RIM_MM - 1e-6 <= left < right <= size[0] - columns[1] - RIM_MM + 1e-6
        assert RIM_MM - 1e-6 <= top < foot <= size[1] - RIM_MM + 1e-6
    first, second = boxes
    assert second[0] > first[2] if how == "beside" else second[1] > first[3]
