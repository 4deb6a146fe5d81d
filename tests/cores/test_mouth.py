"""The mouth that a core goes in through: between its walls; none at all; closed by them."""

import numpy as np
import pytest

from pourwright.cores import Cored, CoreRules, core_checks
from pourwright.cores.judged import clear_m
from pourwright.shell import Opening
from pourwright.wording.cores import way_in

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
