"""Which rolls, in which order, and how thick a film: as few as cover the inside before the mix gels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.lining.paths import Roll
from pourwright.lining.sweeping import State, Sweeper

ENOUGH = 0.985
"""Share of the inside from which no roll is added: a little more than is asked of the piece."""
SURPLUS = (0.1, 0.15, 0.2, 0.3, 0.4, 0.55, 0.75, 1.0, 1.5)
"""Liquid beyond the film on all of the inside that is looked at, as a share of it: what is left in pools at the end."""
FIRST = 5
"""Place in `SURPLUS` that is tried first."""


@dataclass(frozen=True, eq=False)
class Work:
    """What is to be coated, from where, and how long a mix lasts."""

    sweeper: Sweeper
    starts_m: Sequence[np.ndarray]
    up: np.ndarray  # (3,) of the standing piece, shell axes
    wall_m3: float  # liquid of a coat on the wall, its boards apart
    begin_s: float  # the mix is in the piece
    seconds: float  # of a roll
    most: int  # rolls before it gels

    def covers(self, state: State) -> float:
        """Share of the inside that holds a whole film."""
        weight = np.where(self.sweeper.inside.counts, self.sweeper.inside.area_m2, 0.0)
        return float(weight @ self.sweeper.coated(state)) / float(weight.sum())

    def poured(self, surplus: float) -> State:
        """The mix when it is let go."""
        film = self.film_m(surplus)
        liquid = film * float(self.sweeper.inside.area_m2.sum()) * (1.0 + surplus)
        return self.sweeper.poured(self.up, self.starts_m, liquid, film, self.begin_s)

    def film_m(self, surplus: float) -> float:
        """The film that leaves so much liquid, as a share of the film on everything, when all is coated."""
        inside = self.sweeper.inside
        return self.wall_m3 / (inside.to_coat_m2 + surplus * float(inside.area_m2.sum()))

    def turned(self, rolls: Sequence[Roll], surplus: float) -> list[State]:
        """States after each roll; the rolls over again, from the first, until it gels."""
        state, out = self.poured(surplus), []
        for k in range(self.most if rolls else 0):
            state = self.sweeper.rolled(state, rolls[k % len(rolls)], self.seconds)
            out.append(state)
        return out


@dataclass(frozen=True, eq=False)
class Turned:
    """A sequence and what it does."""

    rolls: tuple[Roll, ...]
    surplus: float
    states: tuple[State, ...]  # after each roll, those over again too
    coverage: float


def turned(work: Work, offered: Sequence[Roll], hint: Sequence[Roll] = ()) -> Turned:
    """The thickest film found with which some rolls cover `ENOUGH` of the inside, and the fewest of these rolls.

    Rolls are added that coat most (greedy), then what is spare is left out and the order that moves the piece less is
    taken where it covers as well. Greedy covers take at most ``1 + ln n`` times the fewest; V. Chvatal, Mathematics of
    Operations Research 4 (1979) 233-235 (from memory). Without enough, the sequence that covers most.

    Parameters
    ----------
    offered : sequence of Roll
        What hands or frame can do.
    hint : sequence of Roll
        Tried first: what served a lining like it.
    """
    best: Turned | None = None
    for k in (*range(FIRST, len(SURPLUS), 2), len(SURPLUS) - 1):
        rolls = _reached(work, hint, SURPLUS[k]) or _greedy(work, offered, SURPLUS[k])
        found = _done(work, rolls, SURPLUS[k])
        if best is None or found.coverage > best.coverage + 1e-3:
            best = found
        if found.coverage >= ENOUGH:
            return _plainer(work, _leaner(work, found, k))
    if best is None:
        raise AssertionError("never reached")
    return best


def stopped(work: Work, rolls: Sequence[Roll]) -> Turned:
    """A cradle's stops before the mix gels, with the thickest film that covers what any surplus covers."""
    rolls = rolls[: work.most]
    tried = [_done(work, rolls, surplus) for surplus in SURPLUS]
    most = max(one.coverage for one in tried)
    return next(one for one in tried if one.coverage >= min(ENOUGH, most - 0.002))


def _done(work: Work, rolls: Sequence[Roll], surplus: float) -> Turned:
    states = work.turned(rolls, surplus)
    return Turned(tuple(rolls), surplus, tuple(states), work.covers(states[-1]) if states else 0.0)


def _reached(work: Work, hint: Sequence[Roll], surplus: float) -> tuple[Roll, ...]:
    hint = hint[: work.most]
    return tuple(hint) if hint and _done(work, hint, surplus).coverage >= ENOUGH else ()


def _greedy(work: Work, offered: Sequence[Roll], surplus: float) -> tuple[Roll, ...]:
    state, out = work.poured(surplus), []
    for _ in range(work.most):
        tried = [work.sweeper.rolled(state, roll, work.seconds) for roll in offered]
        share = [round(work.covers(one), 6) for one in tried]
        pick = max(range(len(tried)), key=lambda k: (share[k], -tried[k].moved_rad, -k))
        state = tried[pick]
        out.append(offered[pick])
        if share[pick] >= ENOUGH:
            break
    return tuple(out)


def _leaner(work: Work, found: Turned, place: int) -> Turned:
    """The same rolls with a thicker film."""
    for surplus in reversed(SURPLUS[:place]):
        less = _done(work, found.rolls, surplus)
        if less.coverage < ENOUGH:
            break
        found = less
    return found


def _plainer(work: Work, found: Turned) -> Turned:
    """Fewer rolls, then less movement, while enough is covered."""
    k = len(found.rolls) - 1
    while k >= 0 and len(found.rolls) > 1:
        less = _done(work, found.rolls[:k] + found.rolls[k + 1 :], found.surplus)
        found = less if less.coverage >= ENOUGH else found
        k -= 1
    for k in range(len(found.rolls) - 1):
        rolls = list(found.rolls)
        rolls[k], rolls[k + 1] = rolls[k + 1], rolls[k]
        other = _done(work, rolls, found.surplus)
        if other.coverage >= ENOUGH and other.states[-1].moved_rad < found.states[-1].moved_rad - 0.1:
            found = other
    return found
