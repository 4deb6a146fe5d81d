"""What a roll is called: which way round, told by turning the piece itself."""

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from pourwright.lining import Bare, Position, Roll, Rules, stops_of
from pourwright.wording.lining import how_far

FRONT, RIGHT, UP = np.array([0.0, -1, 0]), np.array([1.0, 0, 0]), np.array([0.0, 0, 1])


def position(roll):
    return Position(1, 1, UP, roll.axis, roll, 20.0, 0.5, np.zeros(1), Bare(0.1, UP), Bare(0.05, UP))


def test_a_cradle_that_goes_back_to_a_stop_is_told_to_go_the_other_way():
    there, back = stops_of(Rules(turning="cradle", stops_rad=(math.pi / 2, -math.pi / 4)), RIGHT, UP)
    assert how_far(position(there)) == "90°, clockwise seen from the right"
    assert how_far(position(back)) == "135°, anticlockwise seen from the right"


@pytest.mark.parametrize("turn", [math.pi / 2, -math.pi / 2])
def test_clockwise_from_the_right_takes_the_front_up(turn):
    """Seen from the right the front is on the left: a hand of a clock on nine goes up. Turned by scipy's Rotation."""
    roll = Roll(RIGHT, 0.5 * math.pi, turn)
    up = roll.path(UP)[-1]  # way up in the piece's axes
    clockwise = Rotation.from_rotvec(-np.sign(turn) * math.pi / 2 * RIGHT)  # of the piece, seen from +x
    assert clockwise.apply(up) == pytest.approx(UP, abs=1e-9)
    assert ("anticlockwise" in how_far(position(roll))) == (turn < 0)
    assert (clockwise.apply(FRONT) @ UP > 0.99) == (turn > 0)


@pytest.mark.parametrize(
    ("degrees", "said"), [(360, "once round"), (720, "2 times round"), (-720, "2 times"), (540, "540°")]
)
def test_a_roll_of_two_turns_is_not_called_once_round(degrees, said):
    assert how_far(position(Roll(RIGHT, 0.5 * math.pi, math.radians(degrees)))).startswith(said)
