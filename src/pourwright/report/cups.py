"""Cups of a pour that several people pour at the same time: one for each, weighed for the holes that are theirs."""

from __future__ import annotations

from fractions import Fraction

from pourwright import units
from pourwright.foam import Parts
from pourwright.lifts import Landing, Pour, ShopLimits, at_once_of, pourers
from pourwright.outcome import one_cups
from pourwright.plan import Plan

BY_EYE = tuple(sorted({Fraction(part, whole) for whole in (2, 3, 4, 8) for part in range(whole + 1)}))
"""Shares of a cup that are judged by eye: halves, thirds, quarters and eighths; our judgement."""
Cup = tuple[Landing, ...]


def cups_of(pour: Pour, limits: ShopLimits) -> tuple[Cup, ...]:
    """Holes of each person's cup, of about the same weight; none where every cup goes round all of them.

    Nobody shares out a cup that creams: who pours at the same time mixes at the same time.
    """
    people = pourers(len(pour.landings), at_once_of(pour), limits)
    if limits.fresh or pour.batches > 1 or people < 2:
        return ()
    mine: list[list[int]] = [[] for _ in range(people)]
    for k in sorted(range(len(pour.landings)), key=lambda k: -pour.landings[k].kg):
        min(mine, key=lambda cup: sum(pour.landings[j].kg for j in cup)).append(k)
    return tuple(tuple(pour.landings[k] for k in sorted(cup)) for cup in sorted(mine, key=min))


def shared_cup(plan: Plan, pour: Pour) -> tuple[Pour, ...]:
    """Pours that are poured out of one cup, this one among them, in their order; none where it has cups of its own."""
    names = one_cups(plan.warnings).get(pour.name)
    if names is None:
        return ()
    return tuple(one for lift in plan.lift_plan.lifts for one in lift.pours if one.name in names)


def share_of_shared(mates: tuple[Pour, ...], pour: Pour, landing: Landing) -> str:
    """How much of a cup that several pours share goes in at a hole of one of them."""
    if pour is mates[-1] and landing is pour.landings[-1]:
        return "the rest of the cup, "
    return f"{share_words(landing.kg / sum(mate.parts.total_kg for mate in mates), landing.kg, 'the cup')}, "


def weighed_for(pour: Pour, cup: Cup) -> Parts:
    """What is weighed into one person's cup: what goes in at its holes, and what stays in its tubes."""
    share = sum(one.kg for one in cup) / sum(one.kg for one in pour.landings)
    left_kg = sum(one.tube.left_kg for one in cup if one.tube is not None)
    return pour.parts.times(share + left_kg / pour.parts.total_kg)


def cup_words(pour: Pour, cups: tuple[Cup, ...], landing: Landing, heads: tuple[str, str]) -> str:
    """Which cup goes in at a hole: with its weights where it is named first, and how much of it."""
    number, cup = next((k, cup) for k, cup in enumerate(cups, 1) if landing in cup)
    first, last = landing is cup[0], landing is cup[-1]
    parts = weighed_for(pour, cup)
    weights = f" ({heads[0]} {units.mass(parts.a_kg)}, {heads[1]} {units.mass(parts.b_kg)})" if first else ""
    if len(cup) == 1:
        return f"cup {number}{weights}, "
    if last:
        return f"the rest of cup {number}, "
    share = share_words(landing.kg / sum(one.kg for one in cup), landing.kg, "it" if first else f"cup {number}")
    return f"cup {number}{weights}, {share}, " if first else f"{share}, "


def share_words(share: float, kg: float, cup: str) -> str:
    """How much of a cup goes in at a hole: nobody weighs it while it creams.

    >>> share_words(0.34, 0.5, "the cup"), share_words(5 / 7, 0.7, "the cup"), share_words(0.99, 1.2, "cup 2")
    ('about 1/3 of the cup', 'about 3/4 of the cup', 'nearly all of cup 2')
    """
    part = min(BY_EYE, key=lambda one: abs(one - share))
    if part == 0:
        return f"{units.mass(kg)} of {cup}"
    return f"nearly all of {cup}" if part == 1 else f"about {part} of {cup}"
