"""Pours of so little liquid that it does not mix well: which share a cup, and which cannot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from pourwright.findings import Code, Finding, finding
from pourwright.lifts import Lift, Pour, ShopLimits, judged


def small_mixes(lifts: Iterable[Lift], limits: ShopLimits, least_m3: float, cream_s: float) -> tuple[Finding, ...]:
    """A warning of every pour whose mix is less than what mixes well.

    Parameters
    ----------
    lifts : iterable of Lift
    limits : ShopLimits
    least_m3 : float
        Liquid that mixes well [m3].
    cream_s : float
        From the start of mixing until it creams [s].

    Returns
    -------
    tuple of Finding
        Those of one lift that can be poured out of one cup before it creams are told to be mixed together.
    """
    lifts = tuple(lifts)
    pours = [pour for lift in lifts for pour in lift.pours]
    found = []
    for lift in lifts:
        little = [p for p in lift.pours if not p.poured and _liquid_m3(p) < least_m3]
        if len(little) > 1 and _one_cup(little, limits, least_m3, cream_s):
            total_m3 = sum(_liquid_m3(p) for p in little)
            names = [p.name for p in little]
            took_s = one_cup_empty_s(little, limits)
            found.append(
                finding(Code.ONE_CUP, *names, total_m3=total_m3, least_m3=least_m3, takes_s=took_s, cream_s=cream_s)
            )
            continue
        for one in little:
            whole = sum(p.limb == one.limb for p in pours) == 1 and bool(one.limb)
            found.append(
                finding(Code.SMALL_MIX, one.name, liquid_m3=_liquid_m3(one), least_m3=least_m3, whole_limb=float(whole))
            )
    return tuple(found)


def one_cups(warnings: Iterable[Finding]) -> Mapping[str, tuple[str, ...]]:
    """Pours that are poured out of one cup, itself among them and in their order, by the name of each of them."""
    return {name: one.subject for one in warnings if one.code is Code.ONE_CUP for name in one.subject}


def _liquid_m3(pour: Pour) -> float:
    return pour.batch.a_m3 + pour.batch.b_m3


def one_cup_empty_s(pours: Sequence[Pour], limits: ShopLimits) -> float:
    """From the start of mixing until one cup of some pours is empty [s]."""
    liquid_s = sum(_liquid_m3(p) for p in pours) / limits.pour_rate_m3_s
    holes = sum(max(len(p.landings), 1) for p in pours)
    return limits.mix_s + liquid_s + (holes - 1) * judged.MOVE_ON.value


def _one_cup(pours: Sequence[Pour], limits: ShopLimits, least_m3: float, cream_s: float) -> bool:
    """Whether one cup of them is enough to mix well, and poured out before it creams."""
    total_m3 = sum(_liquid_m3(p) for p in pours)
    fits = least_m3 <= total_m3 <= limits.largest_batch_m3 and all(p.batches == 1 for p in pours)
    return fits and not any(p.after or p.together for p in pours) and one_cup_empty_s(pours, limits) <= cream_s
