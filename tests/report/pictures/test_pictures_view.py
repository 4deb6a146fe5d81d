"""The camera: true to scale, looking down, the piece inside its window."""

import numpy as np
import pytest

from pourwright.draw.ink import BARS, Pen
from pourwright.draw.view import FINE, WIDTH, elevation_deg


@pytest.mark.parametrize("size", [(0.6, 0.4, 2.2), (2.9, 1.3, 0.6), (0.01, 0.01, 0.01), (30.0, 1.0, 0.2)])
def test_the_piece_stands_inside_its_window_and_the_window_inside_the_canvas(box_view, size):
    view = box_view(*size)
    corners = np.array([[x, y, z] for x in (0, size[0]) for y in (0, size[1]) for z in (0, size[2])])
    seen = view.standing(corners)
    left, top, right, bottom = view.window
    assert left <= seen[:, 0].min()
    assert seen[:, 0].max() <= right
    assert top <= seen[:, 1].min()
    assert seen[:, 1].max() <= bottom
    plot = view.plot
    assert left >= plot[0] - 4 * FINE
    assert right <= plot[2] + 4 * FINE
    assert view.width == WIDTH * FINE


def test_axes_are_a_right_handed_set_and_up_is_up(box_view):
    view = box_view(1.0, 1.0, 1.0)
    assert np.allclose(view.axes @ view.axes.T, np.eye(3))
    assert np.linalg.det(view.axes) == pytest.approx(1.0)
    low, high = view.standing(np.array([[0.5, 0.5, 0.0], [0.5, 0.5, 1.0]]))
    assert low[0] == pytest.approx(high[0])  # plumb lines are upright
    assert low[1] - high[1] == pytest.approx(view.rise)


def test_what_is_nearer_to_the_reader_is_deeper_towards_the_viewer(box_view):
    view = box_view(1.0, 1.0, 1.0)
    front, back = view.standing(np.array([[0.5, 0.0, 0.5], [0.5, 1.0, 0.5]]))
    assert front[2] > back[2]
    assert front[1] > back[1]  # seen from above, the front lies lower


def test_flat_pieces_are_seen_from_higher_up():
    assert elevation_deg(np.array([3.0, 1.0, 0.3])) > elevation_deg(np.array([1.0, 1.0, 0.8]))
    assert elevation_deg(np.array([3.0, 1.0, 0.3])) < 31.0


def test_scale_bars_are_true(box_view):
    from PIL import Image

    view = box_view(1.3, 0.4, 0.9)
    pen = Pen(Image.new("RGB", (view.width, view.height), (250, 248, 243)), view)
    pen.scale_bar()
    pixels = np.asarray(pen.image)
    for k, (sizes, unit_m, _) in enumerate(BARS):
        row = pixels[view.height - (84 - 26 * k) * FINE + 5 * FINE, :, 0] < 100
        ends = np.flatnonzero(np.diff(row.astype(int)))
        quarter = ends[1] - ends[0]  # the first of four parts is dark
        assert min(abs(quarter - 0.25 * size * unit_m * view.scale) for size in sizes) <= 3
        assert row[ends[0] + 1 + 2 * quarter + quarter // 2]  # the third is dark too
