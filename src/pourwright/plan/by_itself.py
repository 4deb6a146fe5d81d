"""Pours that pass a hottest temperature by their own heat, as thin or thick as they may be: no day changes that."""

from __future__ import annotations

from collections.abc import Sequence

from pourwright.findings import Code, Finding, finding
from pourwright.foam import FoamAtShop
from pourwright.lifts import COLDEST_LIQUIDS_K, Lift, Pour, judged


def past_stop_k(foam: FoamAtShop) -> float:
    """How far foam passes the stop temperature that loses none of its heat [K]; negative below it."""
    return foam.conditions.parts_k + foam.rise_k.nominal - foam.grade.stop_k


def pours_past_stop(foam: FoamAtShop, lifts: Sequence[Lift]) -> list[Pour]:
    """The pours over the stop temperature, where foam gets there by its own heat: no cut and no wait helps them."""
    over = [
        pour
        for lift in lifts
        for pour in lift.pours
        if any(check.name == judged.PEAK and check.verdict == "over" for check in pour.checks)
    ]
    return over if over and past_stop_k(foam) > 0 else []


def hot_by_itself(foam: FoamAtShop, lifts: Sequence[Lift]) -> list[Finding]:
    """The limbs that pass the stop temperature by their own heat, how far, and what would keep them below it."""
    pours = pours_past_stop(foam, lifts)
    if not pours:
        return []
    grade, rise_k = foam.grade, foam.rise_k.nominal
    hottest = max(pours, key=lambda pour: pour.peak_k.nominal)
    liquids_k = grade.stop_k - rise_k
    return [
        finding(
            Code.TOO_HOT_BY_ITSELF,
            *(pour.name for pour in pours),
            limbs=tuple(sorted({pour.limb for pour in pours if pour.limb})),
            hottest=hottest.name,
            peak_k=hottest.peak_k.nominal,
            stop_k=grade.stop_k,
            rise_k=rise_k,
            most_rise_k=grade.stop_k - foam.conditions.parts_k,
            liquids_k=liquids_k if liquids_k >= COLDEST_LIQUIDS_K else float("nan"),
        )
    ]
