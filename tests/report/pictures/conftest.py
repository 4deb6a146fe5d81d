"""Cameras and bodies for picture tests."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.cavity import pour_frame
from pourwright.draw.view import view_of


@pytest.fixture
def box_view():
    """Camera for a box of the given width, depth and height in metres, standing as it is in its file."""

    def make(*size, rows=0):
        corners = np.array([[x, y, z] for x in (0, size[0]) for y in (0, size[1]) for z in (0, size[2])], float)
        return view_of(pour_frame(corners, np.array([0.0, 0, 1]), np.array([0.0, -1, 0])), corners, rows)

    return make
