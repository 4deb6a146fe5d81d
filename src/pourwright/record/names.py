"""Names of pours are for life: one that is still the same pour keeps its name, a new one gets one never used before."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.findings import with_names
from pourwright.lifts import Division, Lift
from pourwright.record.ground import fits
from pourwright.record.model import Planned

SAME_POUR = 0.5
"""A pour is the old one if it has more than this share of either's volume in common with it; our judgement."""


@dataclass(frozen=True, eq=False)
class Names:
    """Pours of the sheet before that may come back, every name that was ever used, and which lifts are begun."""

    old: Mapping[str, Planned]
    used: frozenset[str]
    after: int  # the highest number of a lift that is begun


def renamed(plan: Division, names: Names, graph: LevelGraph) -> Division:
    """A new division, numbered from 1, with numbers and names that nobody can take for another pour.

    A pour that is still the same one keeps its name, and its lift the number, as long as the numbers go up with the
    lifts. From the first lift on that is not an old one all get numbers that were never used.

    Parameters
    ----------
    plan : Division
        In nodes of ``graph``.
    names : Names
    graph : LevelGraph
        Of the whole cavity.
    """
    same = _same(plan, names, graph)
    lifts = _lifts(plan, names, same)
    pours = _pours(plan, names, same, lifts)
    every = {**pours, **{str(old): str(new) for old, new in lifts.items()}}

    def one(lift: Lift) -> Lift:
        mine = tuple(
            replace(
                pour,
                name=pours[pour.name],
                lift=lifts[lift.number],
                together=tuple(pours[name] for name in pour.together),
                after=tuple(pours[name] for name in pour.after),
            )
            for pour in lift.pours
        )
        ordered = tuple(sorted(mine, key=lambda pour: order_of(pour.name)))
        return replace(lift, number=lifts[lift.number], pours=ordered)

    return replace(
        plan,
        lifts=tuple(one(lift) for lift in plan.lifts),
        warnings=tuple(with_names(found, every) for found in plan.warnings),
    )


def order_of(name: str) -> tuple[int, int, str]:
    """Sorts names as a sheet lists them.

    >>> sorted(["10a", "2aa", "2b"], key=order_of)
    ['2b', '2aa', '10a']
    """
    digits = number_of(name)
    letters = name.lstrip("0123456789")
    return digits, len(letters), letters


def number_of(name: str) -> int:
    """The lift in the name of a pour."""
    found = re.match(r"\d+", name)
    return int(found[0]) if found else 0


def letters(k: int) -> str:
    """a, b, ... z, aa, ab, ...

    >>> letters(0), letters(25), letters(26)
    ('a', 'z', 'aa')
    """
    return chr(97 + k) if k < 26 else letters(k // 26 - 1) + chr(97 + k % 26)


def _same(plan: Division, names: Names, graph: LevelGraph) -> dict[str, str]:
    """For pours of the division that are an old one, its name."""
    volume = graph.node_volume_m3
    old = {}
    for name, planned in names.old.items():
        if fits(planned, graph):
            share = np.zeros(len(volume))
            share[np.array(planned.nodes)] = planned.shares
            old[name] = share
    pairs = []
    for pour in (pour for lift in plan.lifts for pour in lift.pours):
        for name, share in old.items():
            common = float((volume[pour.nodes] * np.minimum(pour.shares, share[pour.nodes])).sum())
            whole = max(float((volume * share).sum()), pour.volume_m3)
            if common > SAME_POUR * whole:
                pairs.append((-round(common / whole, 9), pour.name, name))
    found: dict[str, str] = {}
    for _, pour_name, name in sorted(pairs):  # the best first; pours that meet have much in common with each other
        if pour_name not in found and name not in found.values():
            found[pour_name] = name
    return found


def _lifts(plan: Division, names: Names, same: Mapping[str, str]) -> dict[int, int]:
    """Numbers of the lifts of a division."""
    fresh = max([names.after, *(number_of(name) for name in names.used)]) + 1
    last, old = names.after, True
    out = {}
    for lift in plan.lifts:
        numbers = {names.old[same[pour.name]].lift for pour in lift.pours if pour.name in same}
        old = old and len(numbers) == 1 and min(numbers) > last
        if old:
            last = min(numbers)
        else:
            last, fresh = fresh, fresh + 1
        out[lift.number] = last
    return out


def _pours(plan: Division, names: Names, same: Mapping[str, str], lifts: Mapping[int, int]) -> dict[str, str]:
    """Names of the pours of a division."""
    out: dict[str, str] = {}
    taken = set(names.used)
    for lift in plan.lifts:
        number = lifts[lift.number]
        for pour in lift.pours:
            name = same.get(pour.name, "")
            if not name or names.old[name].lift != number or name in out.values():
                free = (f"{number}{letters(k)}" for k in range(len(taken) + 1))
                name = next(other for other in free if other not in taken)
            out[pour.name] = name
            taken.add(name)
    return out
