"""Pours of less liquid than mixes well: told, and mixed in one cup where hands reach both in time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pourwright import units
from pourwright.findings import Code
from pourwright.lifts import ShopLimits
from pourwright.outcome import small_mixes
from pourwright.wording.findings import sentence

LIMITS = ShopLimits(mix_s=25.0, pour_rate_m3_s=2.5e-5)


@pytest.fixture
def lift(stool_plan):
    """``lift(limb=mL of liquid, ...)``: one lift, a pour in each limb."""
    like = stool_plan.lift_plan.lifts[0]
    pour = like.pours[0]

    def made(**limbs):
        def one(k, limb, ml):
            share = ml * 1e-6 / (pour.batch.a_m3 + pour.batch.b_m3)
            return replace(pour, name=f"1{'abc'[k]}", limb=limb, batch=pour.batch.times(share), batches=1, after=())

        return replace(like, pours=tuple(one(k, *pair) for k, pair in enumerate(limbs.items())))

    return made


def test_a_pour_too_small_to_mix_well_is_told(lift):
    (found,) = small_mixes([lift(L1=60.0, L2=400.0)], LIMITS, 1e-4, 42.0)
    assert (found.code, found.subject) == (Code.SMALL_MIX, ("1a",))
    assert "60 mL of liquid, less than the 100 mL that mix well; it fills all of a limb" in sentence(found)
    assert "(2.0" in units.in_both(sentence(found))
    assert not small_mixes([lift(L1=101.0, L2=400.0)], LIMITS, 1e-4, 42.0)


def test_two_small_pours_share_a_cup_that_is_empty_before_it_creams(lift):
    arms = [lift(L1=55.0, L2=55.0, L3=400.0)]
    (found,) = small_mixes(arms, LIMITS, 1e-4, 42.0)
    assert (found.code, found.subject) == (Code.ONE_CUP, ("1a", "1b"))
    values = dict(found.values)
    assert values["takes_s"] == pytest.approx(25.0 + 110.0 / 25.0 + 4.0)  # mixed, poured, carried to the next hole
    assert "110 mL in all" in sentence(found)
    late = small_mixes(arms, LIMITS, 1e-4, values["takes_s"] - 0.1)
    assert [one.code for one in late] == [Code.SMALL_MIX, Code.SMALL_MIX]


def test_two_that_are_too_little_together_too_are_told_one_by_one(lift):
    found = small_mixes([lift(L1=30.0, L2=40.0)], LIMITS, 1e-4, 42.0)
    assert [one.code for one in found] == [Code.SMALL_MIX, Code.SMALL_MIX]


def test_pours_of_two_lifts_share_no_cup(lift):
    found = small_mixes([lift(L1=55.0), lift(L1=55.0)], LIMITS, 1e-4, 42.0)
    assert [one.code for one in found] == [Code.SMALL_MIX, Code.SMALL_MIX]
    assert "the cuts of this day leave it no more" in sentence(found[0])
