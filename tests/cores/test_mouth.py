"""The mouth that a core goes in through: between its walls; none at all; closed by them."""

from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.cores import Cored, CoreRules, Laid, clear_m, core_checks, end_across_m
from pourwright.shell import Opening
from pourwright.wording.cores import core_lines, way_in

SQUARE = np.array([[0.0, 0, 0], [0.3, 0, 0], [0.3, 0.4, 0], [0, 0.4, 0]])


def mouth(loop_m=SQUARE):
    return Opening("opening 1", loop_m, loop_m.mean(axis=0), np.array([0.0, 0.0, 1.0]), 0.12)


def cored(mouth_m, peaks=300.0):
    rules = CoreRules("blocks", (0.12, 0.16, 0.5), 20.0, 343.15, 0.05, 0.03)
    return Cored(rules, (), (), peaks, mouth_m, 0.0)


def test_a_mouth_is_clear_between_its_walls():
    assert clear_m(mouth()) == pytest.approx(0.3, rel=1e-3)
    assert clear_m(mouth(), 0.05) == pytest.approx(0.2, rel=1e-3)
    assert clear_m(mouth(), 0.15) == pytest.approx(0.0, abs=1e-3)
    assert clear_m(mouth(), 0.2) == 0.0


def turned(flat, angle):
    c, s = np.cos(angle), np.sin(angle)
    points = np.asarray(flat) @ np.array([[c, s], [-s, c]])
    return np.column_stack([points, np.zeros(len(points))])


def test_the_largest_end_through_a_rectangle_is_the_one_between_its_walls():
    """Of sides 3 to 4 through 0.3 x 0.4 m: all of it, 0.5 m across; through walls of 50 mm 0.2 x 0.2667 m."""
    assert end_across_m(mouth(), 0.0, (0.12, 0.16)) == pytest.approx(0.5, rel=5e-3)
    assert end_across_m(mouth(), 0.05, (0.12, 0.16)) == pytest.approx(0.2 / 0.6, rel=5e-3)
    assert end_across_m(mouth(), 0.15, (0.12, 0.16)) == 0.0
    assert end_across_m(mouth(), 0.2, (0.12, 0.16)) == 0.0


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.2])
def test_an_end_that_is_longer_than_a_slot_is_wide_goes_through_it_the_long_way(angle):
    """290 x 500 mm through 300 x 1000 mm, whose largest disc is narrower than the diagonal of the end."""
    across = end_across_m(mouth(turned([[0, 0], [1, 0], [1, 0.3], [0, 0.3]], angle)), 0.0, (0.29, 0.5))
    assert across == pytest.approx(np.hypot(0.29, 0.5) * 0.3 / 0.29, rel=5e-3)
    assert across > np.hypot(0.29, 0.5)


def test_an_end_through_an_ellipse_has_its_corners_on_it():
    """Half axes p and q: (a / 2p)^2 + (b / 2q)^2 = 1 for the corners of an end that lies along them."""
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    ellipse = np.column_stack([0.5 * np.cos(turn), 0.15 * np.sin(turn)])
    due = np.hypot(0.4, 0.1) / np.hypot(0.4 / 1.0, 0.1 / 0.3)
    found = end_across_m(mouth(turned(ellipse, 0.7)), 0.0, (0.1, 0.4))
    assert 0.985 * due < found <= due * (1 + 1e-6)


def test_a_ragged_mouth_is_taken_no_wider_than_it_is():
    rough = 0.3 + 0.004 * np.random.default_rng(3).uniform(-1, 0, 900)
    turn = np.linspace(0, 2 * np.pi, 900, endpoint=False)
    found = end_across_m(
        mouth(turned(rough[:, None] * np.column_stack([np.cos(turn), np.sin(turn)]), 0.0)), 0.0, (1, 1)
    )
    assert 0.95 * 0.596 < found <= 0.6


@pytest.mark.parametrize(
    ("mouth_m", "verdict", "said", "not_said"),
    [
        (None, "unknown", "no mouth", "DOES NOT PASS"),
        (0.0, "over", "DOES NOT PASS", "no mouth"),
        (0.19, "over", "DOES NOT PASS", "no mouth"),
        (0.2, "ok", "The way on from there is not computed", "DOES NOT PASS"),
    ],
)
def test_no_mouth_a_closed_one_and_a_narrow_one_are_told_apart(mouth_m, verdict, said, not_said):
    """A core of 120 x 160 x 500 mm: its end is 200 mm across."""
    check = core_checks(cored(mouth_m))[1]
    assert check.verdict == verdict
    assert "not computed" in check.source
    assert said in way_in(cored(mouth_m))
    assert not_said not in way_in(cored(mouth_m))


@pytest.mark.parametrize(("kind", "said"), [("blocks", "1 block of "), ("bags", "1 bag of loose balls, closed")])
def test_a_single_core_is_told_of_in_the_singular(kind, said):
    rules = CoreRules(kind, (0.12, 0.16, 0.5), 20.0, 343.15, 0.05, 0.03)
    one = Laid("core 1", 1, np.zeros(3), np.array([0.12, 0.16, 0.5]))
    plan = SimpleNamespace(cores=Cored(rules, (one,), (0.0,), 300.0, 0.5, 1.0), cavity=SimpleNamespace(volume_m3=1.0))
    lines = core_lines(plan)
    assert lines[0].startswith(said)
    assert "in 1 course:" in lines[0]
    assert all(line[0].isupper() or line[0].isdigit() for line in lines)
