"""Labels: never over one another, in order, inside the column while they fit."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from pourwright.draw.ink import Pen
from pourwright.draw.labels import Label, apart, sides, spread, thinned
from pourwright.draw.paint import PAPER

boxes = st.lists(st.tuples(st.floats(-500, 1500), st.floats(10, 80)), min_size=1, max_size=30)


@given(boxes, st.floats(0, 20))
def test_boxes_never_overlap_and_keep_their_order(drawn, gap):
    drawn = sorted(drawn)
    wanted, heights = (np.array(v) for v in zip(*drawn, strict=True))
    tops = spread(wanted, heights, 0.0, 1000.0, gap)
    assert (np.diff(tops) >= heights[:-1] + gap - 1e-6).all()
    assert tops[0] >= -1e-9
    if heights.sum() + gap * (len(heights) - 1) <= 1000.0:
        assert tops[-1] + heights[-1] <= 1000.0 + 1e-6


@given(boxes)
def test_boxes_that_are_clear_already_stay(drawn):
    heights = np.array([h for _, h in drawn])
    wanted = np.r_[0.0, np.cumsum(heights + 5.0)[:-1]]
    assert np.allclose(spread(wanted, heights, 0.0, 1e6, 5.0), wanted)


def test_spread_is_the_least_squares_stack():
    """Three boxes of 10 wanted at 0, 0, 0: the best stack is centred on the wish."""
    assert spread(np.zeros(3), np.full(3, 10.0), -100.0, 100.0, 0.0).tolist() == [-10.0, 0.0, 10.0]


def test_labels_go_to_the_nearer_side_and_are_shared_out():
    labels = [Label((float(x), float(y)), f"{x}") for x, y in ((1, 5), (2, 1), (9, 2))]
    left, right = sides(labels, 5.0)
    assert [label.head for label in left] == ["2", "1"]
    assert [label.head for label in right] == ["9"]
    left, right = sides([Label((1.0, float(k)), str(k)) for k in range(20)], 5.0)
    assert abs(len(left) - len(right)) <= 4


def test_thinning_keeps_the_ends():
    labels = [Label((0.0, float(k)), str(k)) for k in range(100)]
    kept = thinned(labels, 12)
    assert len(kept) == 12
    assert (kept[0].head, kept[-1].head) == ("0", "99")
    assert thinned(labels, 100) == labels


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), min_size=1, max_size=12))
def test_signs_part(points):
    out = apart(np.array(points), 5.0, rounds=400)
    far = np.linalg.norm(out[:, None] - out[None], axis=-1) + 1e9 * np.eye(len(out))
    assert far.min() > 4.0


@given(st.integers(3, 60), st.integers(2, 12), st.integers(0, 59))
def test_the_words_of_a_drawn_measure_are_never_left_out(count, keep, which):
    labels = [Label((0.0, float(k)), str(k), fixed=k == which % count) for k in range(count)]
    kept = thinned(labels, keep)
    assert str(which % count) in [label.head for label in kept]
    assert len(kept) <= max(keep, 3)
    assert [label.anchor[1] for label in kept] == sorted(label.anchor[1] for label in kept)


def test_in_a_crowd_of_lifts_a_long_tick_has_its_height_written(box_view):
    view = box_view(0.6, 0.6, 0.9)
    pen = Pen(Image.new("RGB", (view.width, view.height), PAPER), view)
    rule = pen.rule(view.window[0] - 40, 0.5, view.window[0], "base to top of this lift")
    crowd = [Label((300.0, pen.level(0.01 * k)), f"{10 * k} mm", side="left") for k in range(90)]
    written = pen.labels([rule, *crowd])
    assert len(written) < 91  # there is no room for all
    assert rule in written
