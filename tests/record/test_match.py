"""Which node of the whole cavity a node of what is left lies in."""

from types import SimpleNamespace

import numpy as np

from pourwright.record.rest import _match


def graph(label):
    label = np.asarray(label, np.int32)
    return SimpleNamespace(label=label, node_level=np.zeros(label.max(), np.int32))


def test_a_thin_cell_of_another_node_does_not_move_what_is_left():
    """The last cell of the only node left is thin and counted, in the whole cavity, with the node above."""
    share = np.array([[[255, 40]], [[255, 90]], [[255, 120]]], np.uint8)
    whole, left = graph([[[1, 2]], [[1, 2]], [[1, 2]]]), graph([[[1, 1]], [[1, 1]], [[1, 1]]])
    assert _match(whole, left, share).tolist() == [0]


def test_the_larger_share_decides():
    share = np.array([[[255]], [[255]], [[128]]], np.uint8)
    assert _match(graph([[[1]], [[2]], [[2]]]), graph([[[1]], [[1]], [[1]]]), share).tolist() == [1]
