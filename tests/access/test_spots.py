"""Rows told apart are those that numpy tells apart."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as npst

from pourwright.access import sorted_rows

SHAPES = st.tuples(st.integers(1, 40), st.integers(1, 9))


@given(npst.arrays(np.int64, SHAPES, elements=st.integers(-3, 3) | st.integers(-(2**40), 2**40)))
def test_rows_are_sorted_and_told_apart_as_numpy_does_by_rows(rows):
    keys, group = sorted_rows(rows)
    expected, of = np.unique(rows, axis=0, return_inverse=True)
    assert np.array_equal(keys, expected)
    assert np.array_equal(group, of.ravel())
