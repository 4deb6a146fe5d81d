"""Coats that are in the piece already: what was weighed, turned and pinned, and what the next coats make of it."""

from dataclasses import replace

import numpy as np
import pytest
from lined_ball import as_poured, lined_ball

from pourwright.findings import Code, note
from pourwright.lining import Kept, Pin, around, rolls_of
from pourwright.wording.findings import sentence


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    return lined_ball(tmp_path_factory.mktemp("ball"))


def kept(lining, after):
    left = range(after, len(lining.coats))
    rolls = rolls_of(lining)
    return Kept(tuple(rolls[k] for k in left), tuple(lining.coats[k].film_m for k in left), lining.coverage)


def test_a_coat_that_went_as_planned_leaves_the_others_as_they_were(ball):
    lining, again = ball
    found = again(as_poured(lining, 1), kept=kept(lining, 1))
    assert [coat.poured for coat in found.coats] == [True] + [False] * (len(lining.coats) - 1)
    for new, old in zip(found.coats, lining.coats, strict=True):
        assert new.parts.total_kg == pytest.approx(old.parts.total_kg, rel=1e-6)
        assert new.thickness_m == pytest.approx(old.thickness_m, rel=1e-6)
    assert found.coverage == pytest.approx(lining.coverage, abs=1e-9)
    assert np.allclose(found.laid, lining.laid)


def test_after_the_last_coat_nothing_is_poured_but_what_is_missing_by_a_tenth_or_more(ball):
    lining, again = ball
    full = [as_poured(lining, k + 1) for k in range(len(lining.coats))]
    assert all(coat.poured for coat in again(*full).coats)
    short = [*full[:-1], replace(full[-1], ratio=0.4)]
    found = again(*short)
    assert not found.coats[-1].poured
    lacks = 0.6 * lining.coats[-1].foam_m3
    assert found.coats[-1].foam_m3 == pytest.approx(lacks, rel=1e-6)


def test_fewer_rolls_leave_more_bare(ball):
    lining, again = ball
    all_of_it = again(*[as_poured(lining, k + 1) for k in range(len(lining.coats))])
    few = again(*[as_poured(lining, k + 1, rolls=1) for k in range(len(lining.coats))])
    assert few.coverage < all_of_it.coverage - 0.05
    assert few.bare[0].share > 0.01


def test_pins_speak_for_what_is_nearest_to_them_only(ball):
    lining, _ = ball
    pins = [Pin(np.array(at), 0.03) for at in ([0.395, 0, 0], [0.37, 0.14, 0], [-0.395, 0, 0])]
    mine = around(lining.inside, pins)
    for k, pin in enumerate(pins):
        far = np.linalg.norm(lining.inside.middle_m[mine == k] - pin.point_m, axis=1)
        assert len(far)
        assert far.max() <= 0.12 * 0.8


def test_a_record_of_coats_is_told_of_as_a_note():
    told = note(Code.COATS_AS_RECORDED)
    assert "weighed, turned and pinned" in sentence(told)
