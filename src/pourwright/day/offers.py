"""What would shorten the day, or make one that keeps the limits: each found for the chosen cuts, none guessed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from pourwright.day.body import Heat
from pourwright.day.model import Work
from pourwright.day.search import Found

# All our judgement, no published source.
WORTH_S = 600.0  # a change that saves less is not worth a line
COOLER_K = 20.0  # how much lower the rise of another foam is taken
NARROW_K = 2.0  # how closely the highest rise that keeps the limit is sought
LEAST_SHARE = 0.3  # of the rise; a grade of less heat than that is not looked for

COOLER_LIQUIDS_K = 5.0  # how much cooler liquids are taken
BLOWN_W_M2K = 10.0  # film of an open face that air is blown over


class Mend(Protocol):
    """The day found under another shop and another heat; it starts from the given one."""

    def __call__(
        self, work: Work, heat: Heat, found: Found, *, cooler_k: float = 0.0, inside_w_m2k: float | None = None
    ) -> Found:
        """``cooler_k``: of the liquids; ``inside_w_m2k``: film of an open face, where it is another."""
        ...


@dataclass(frozen=True, slots=True)
class Offer:
    """One change of shop or grade and the day that comes of it, on the cells of the search."""

    change: str
    hours: float
    pours: int
    kept: bool


@dataclass(frozen=True, slots=True)
class Offers:
    """The day as it is, what changes would make of it, and those that make nothing of it.

    Where the day that is taken keeps its limits it is that one; else what is found on the cells of the search.
    """

    hours: float
    pours: int
    kept: bool
    worth: tuple[Offer, ...]
    nothing: tuple[str, ...]
    measured: tuple[Offer, ...]  # what a measurement would make of it, by what it shows
    keeps_to_k: float  # highest rise [K] with which these pours keep the limit at some waits; nan: kept, or not found


def offers_of(found: Found, work: Work, heat: Heat, measured: tuple[tuple[str, Heat], ...], mend: Mend) -> Offers:
    """What a second person, a larger batch and a grade of less heat would make of a day.

    Parameters
    ----------
    found : Found
        The day taken. Where it keeps the limits it is what changes are held against, and no other; a change is of
        worth only if it gains on what a new search in the same shop would make of the day, too.
    work : Work
    heat : Heat
        That it is planned with.
    measured : tuple of (str, Heat)
        What a measurement might show, and the heat that would be planned with then.
    mend : callable
        Finds a day with another `Work` and another `Heat`, from the given one.
    """
    again = mend(work, heat, found)
    base = found if found.kept else again
    least = min(_cost(one, work) for one in (base, again) if one.kept or not base.kept)
    cooler = _less(heat, max(LEAST_SHARE, 1.0 - COOLER_K / heat.rise_k))
    changes = {
        "one more pair of hands": (replace(work, hands=work.hands + 1), heat),
        "a batch of twice the size": (replace(work, batch_m3=2 * work.batch_m3), heat),
        f"a foam whose rise is {COOLER_K:.0f} K lower": (work, cooler),
    }
    worth, nothing = [], []
    for change, (shop, other) in changes.items():
        new = mend(shop, other, base)
        if new.kept and (not base.kept or _cost(new, work) < least - WORTH_S):
            worth.append(Offer(change, _hours(new), len(new.stretches), new.kept))
        else:
            nothing.append(change)
    if not base.kept:  # what would help besides
        for change, new in (
            (f"liquids {COOLER_LIQUIDS_K:.0f} K cooler", mend(work, heat, base, cooler_k=COOLER_LIQUIDS_K)),
            ("air blown over the open face of every lift", mend(work, heat, base, inside_w_m2k=BLOWN_W_M2K)),
        ):
            if new.kept:
                worth.append(Offer(change, _hours(new), len(new.stretches), True))
            else:
                nothing.append(change)
    shown = []
    for words, known in measured:
        new = mend(work, known, base)
        shown.append(Offer(words, _hours(new), len(new.stretches), new.kept))
    keeps = np.nan if base.kept else _keeps_to(base, work, heat, mend)
    return Offers(
        _hours(base), len(base.stretches), base.kept, tuple(worth), tuple(nothing), tuple(shown), float(keeps)
    )


def _hours(found: Found) -> float:
    return float(found.timed.start_s.max()) / 3600.0


def _cost(found: Found, work: Work) -> float:
    return float(found.timed.start_s.max()) + work.price_s * len(found.stretches)


def _less(heat: Heat, share: float) -> Heat:
    return Heat(share * heat.rise_k, share * heat.high_k)


def _keeps_to(base: Found, work: Work, heat: Heat, mend: Mend) -> float:
    low, high = LEAST_SHARE, 1.0
    if not mend(work, _less(heat, low), base).kept:
        return np.nan
    while (high - low) * heat.rise_k > NARROW_K:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if mend(work, _less(heat, middle), base).kept else (low, middle)
    return low * heat.rise_k
