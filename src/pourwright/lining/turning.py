"""Which rolls, coat by coat, and how thick a film; later coats are aimed at what is bare and thin by then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from pourwright.lining.paths import Roll
from pourwright.lining.sweeping import State, Sweeper

ENOUGH = 0.992
"""Share of the inside that is sought: more than is asked of the piece, by the hundredth or so that an independent trial
with particles falls short of a plan. Our judgement."""
SURPLUS = (0.1, 0.2, 0.3, 0.4, 0.55, 0.75, 1.0, 1.5)
"""Liquid beyond the film on all of the inside that is looked at, as a share of it: what is left in pools at the end."""
FIRST = 4
"""Place in `SURPLUS` that is tried first; our judgement."""
KEPT = 3
"""Beginnings of a coat that are followed side by side, the best by then; our judgement."""
NEAR = 0.02
"""Where one beginning covers less than enough by more than this share, others are not followed; our judgement."""
DOWN_S = 5.0
"""To set a piece down the way up that is chosen for it, after the last roll and before the mix gels; our judgement."""
THIN = 0.02
"""Share of what is coated that may be thinner than the lining is called at its thinnest; our judgement."""
SHARP = 3.0
"""What more foam is worth falls by e with each third of an even coat that lies there already; our judgement."""


@dataclass(frozen=True, eq=False)
class Before:
    """What earlier coats left on the inside."""

    liquid_m3: np.ndarray  # (n,) on each face, pools too
    coated: np.ndarray  # (n,) bool: holds a whole film of one of them


ABOVE_M = 0.01
"""A hose ends so far over what its mix is poured onto; our judgement."""
LACKING = -0.5
"""Foam that earlier coats left out counts up to so much of an even coat, all that one coat makes up. Our judgement."""


@dataclass(frozen=True, eq=False)
class Aim:
    """What of the inside further coats are for."""

    faces: np.ndarray  # (n,) bool
    due_m3: np.ndarray  # (n,) liquid that they were to leave on each face


@dataclass(frozen=True, eq=False)
class Work:
    """What is to be coated, from where, and how long a mix lasts."""

    sweeper: Sweeper
    starts_m: Sequence[np.ndarray]
    up: np.ndarray  # (3,) of the piece as the mix is let go, shell axes
    wall_m3: float  # liquid of a coat on the wall, its boards apart
    begin_s: float  # the mix is in the piece
    seconds: float  # of a roll
    most: int  # rolls before it gels
    downs: Sequence[Roll] = ()  # ways up that it can be set down in after them, in the time that is left
    begun: tuple[Turned, ...] = ()  # coats of these that are in the piece already
    now: Before | None = None  # what lies there as the next of them is mixed, and what of them covers; None: nothing
    target_m3: float = 0.0  # liquid on the wall of the whole lining; 0: so many coats of ``wall_m3`` as there are
    aim: Aim | None = None  # what of the inside these coats are for; None: all of it

    def first(self) -> Before:
        """What lies there before those of these coats that are left."""
        n = len(self.sweeper.inside.area_m2)
        return Before(np.zeros(n), np.zeros(n, bool)) if self.now is None else self.now

    def even_m(self, coats: int) -> float:
        """Liquid on the wall of the whole lining, were it even."""
        return (self.target_m3 or coats * self.wall_m3) / self.to_coat_m2()

    def mine(self) -> np.ndarray:
        """Faces (n,) bool that these coats are for."""
        counts = self.sweeper.inside.counts
        return counts if self.aim is None else counts & self.aim.faces

    def weight(self) -> np.ndarray:
        """Share (n,) of what is to be coated that each face is; boards none."""
        area = np.where(self.mine(), self.sweeper.inside.area_m2, 0.0)
        return np.asarray(area / area.sum())

    def to_coat_m2(self) -> float:
        """Area that these coats are for."""
        return float(self.sweeper.inside.area_m2[self.mine()].sum())

    def due_m3(self) -> np.ndarray | float:
        """Liquid (n,) that coats before these were to leave on each face."""
        return 0.0 if self.aim is None else self.aim.due_m3

    def covers(self, coated: np.ndarray) -> float:
        """Share of the inside that faces (n,) bool make."""
        return float(self.weight() @ coated)

    def poured(self, surplus: float) -> State:
        """The mix when it is let go."""
        film = self.film_m(surplus)
        area = float(self.sweeper.inside.area_m2.sum()) if self.aim is None else self.to_coat_m2()
        liquid = film * area * (1.0 + surplus)
        return self.sweeper.poured(self.up, self.starts_m, liquid, film, self.begin_s)

    def film_m(self, surplus: float) -> float:
        """The film that leaves so much liquid, as a share of the film on everything, when all is coated."""
        if self.aim is not None:
            return self.wall_m3 / (self.to_coat_m2() * (1.0 + surplus))
        inside = self.sweeper.inside
        return self.wall_m3 / (inside.to_coat_m2 + surplus * float(inside.area_m2.sum()))

    def turned(self, rolls: Sequence[Roll], poured: State) -> list[State]:
        """States after each roll; the rolls over again, from the first, until it gels; set down last."""
        state, out = poured, list[State]()
        rolling = [roll for roll in rolls if not roll.still]
        for k in range(self.most if rolling else 0):
            state = self.sweeper.rolled(state, rolling[k % len(rolling)], self.seconds)
            out.append(state)
        for roll in [roll for roll in rolls if roll.still and out]:
            state = self.sweeper.rolled(state, roll, DOWN_S)
            out.append(state)
        return out

    def after(self, before: Before, last: State) -> Before:
        """With one coat more."""
        laid = before.liquid_m3 + last.laid_m3 + self.sweeper.standing(last)
        return Before(laid, before.coated | self.sweeper.coated(last))

    def worth(self, before: Before, laid_m3: np.ndarray) -> float:
        """The less the thinner it lies: bare places count most, thin ones more than thick ones.

        Of coats for a part less by the share of their mix that lies elsewhere.
        """
        even = self.wall_m3 / self.to_coat_m2() * self.sweeper.inside.area_m2
        have = np.maximum((before.liquid_m3 - self.due_m3()) / even, LACKING)
        worth = 1.0 - float(self.weight() @ np.exp(-SHARP * (have + laid_m3 / even)))
        if self.aim is None:
            return worth
        return worth - float(laid_m3[~self.mine()].sum()) / self.wall_m3


@dataclass(frozen=True, eq=False)
class Turned:
    """The rolls of one coat and what they do."""

    rolls: tuple[Roll, ...]  # the last may set the piece down
    poured: State  # the mix when it was let go
    states: tuple[State, ...]  # after each roll
    before: Before
    after: Before


@dataclass(frozen=True, eq=False)
class Coating:
    """All coats of one way of turning."""

    coats: tuple[Turned, ...]
    coverage: float  # share of the inside with a whole film of any coat
    thinnest: float  # of an even lining, what all but `THIN` of what is coated holds
    last: Before  # what lies there after all of them


def as_it_is(work: Work) -> Coating:
    """What the coats that are in the piece already make, without one more."""
    return _coating(work, ())


def coated(work: Work, offered: Sequence[Roll], count: int, hint: Sequence[Sequence[Roll]] = ()) -> Coating:
    """Rolls for each of so many coats, with the film that covers enough and lies most evenly.

    The rolls of a coat are sought by following the best few beginnings (`KEPT`), each coat knowing what those before
    it left and where their pools set. From a middling film on, thinner ones are looked at until `ENOUGH` is covered.
    Without enough, the one that covers most.

    Parameters
    ----------
    offered : sequence of Roll
        What hands or frame can do.
    hint : sequence of sequences of Roll
        Tried first: what served a lining like it, coat by coat.
    """
    best: Coating | None = None
    for surplus in SURPLUS[FIRST:] if hint else ():
        best = with_rolls(work, [surplus] * count, hint)
        if best.coverage >= ENOUGH:
            return best
    for surplus in SURPLUS[FIRST if work.aim is None else 0 :]:
        found = _at(work, offered, surplus, count)
        best = found if best is None else max(best, found, key=_rank)
        if best.coverage >= ENOUGH:
            return best
    if best is None:
        raise AssertionError("never reached")
    return best


def _at(work: Work, offered: Sequence[Roll], surplus: float, count: int) -> Coating:
    found = _sought(work, offered, surplus, count, 1)
    if ENOUGH - NEAR <= found.coverage < ENOUGH:
        found = max(found, _sought(work, offered, surplus, count, KEPT), key=_rank)
    return found


def left_where_poured(work: Work, count: int) -> Coating:
    """So many coats let go over the middle of what they are for, lying level underneath, and left to set there."""
    lying = over_its_part(work)
    stay = Roll(work.sweeper.to_shell @ lying.up, 0.0, 0.0)
    before, out = work.first(), list[Turned]()
    for _ in range(count):
        let_go = lying.poured(SURPLUS[FIRST])
        states = (work.sweeper.rolled(let_go, stay, DOWN_S),)
        out.append(Turned((stay,), let_go, states, before, work.after(before, states[-1])))
        before = out[-1].after
    return _coating(work, out)


def over_its_part(work: Work, up: np.ndarray | None = None) -> Work:
    """The same, its mix let go over the middle of what it is for, which lies level underneath; ``up`` (3,): or not."""
    inside, mine = work.sweeper.inside, work.mine()
    weight = inside.area_m2[mine] / inside.area_m2[mine].sum()
    looks, middle = weight @ inside.normal[mine], weight @ inside.middle_m[mine]
    level = -looks / max(float(np.linalg.norm(looks)), 1e-9) if up is None else up
    onto = inside.middle_m[mine][int(np.argmin(((inside.middle_m[mine] - middle) ** 2).sum(axis=1)))]
    return replace(work, up=level, starts_m=(onto + ABOVE_M * level,))


def better(work: Work, one: Coating, other: Coating, less: float = 0.0) -> Coating:
    """The one of two ways to lay the same coats whose foam is worth more; the first may be worth a little less."""
    first = work.first()

    def worth(coating: Coating) -> float:
        return work.worth(first, coating.last.liquid_m3 - first.liquid_m3)

    return one if worth(one) >= worth(other) - less else other


def stopped(work: Work, rolls: Sequence[Roll], count: int) -> Coating:
    """A cradle's stops before the mix gels, the same for each coat, with the film that does best."""
    rolls = rolls[: work.most]
    return max((with_rolls(work, [surplus] * count, [rolls]) for surplus in SURPLUS), key=_rank)


def without(work: Work, found: Coating, coat: int, roll: int) -> np.ndarray:
    """What a coat covers (n,) bool with one of its rolls left out, of what it covers with all of them."""
    mine = found.coats[coat]
    rest = mine.rolls[:roll] + mine.rolls[roll + 1 :]
    rolling = sum(not one.still for one in mine.rolls)
    less = replace(work, most=len(rest) - sum(one.still for one in rest)) if rolling == work.most else work
    states = less.turned(rest, mine.poured)
    return work.sweeper.coated(states[-1]) if states else np.zeros(len(work.sweeper.inside.area_m2), bool)


def _rank(one: Coating) -> tuple[float, float]:
    return round(min(one.coverage, ENOUGH), 3), round(one.thinnest, 4)


def with_rolls(work: Work, surplus: Sequence[float], rolls: Sequence[Sequence[Roll]]) -> Coating:
    """Coats with given rolls, over again where there are fewer."""
    before, out = work.first(), list[Turned]()
    for k, share in enumerate(surplus):
        mine, poured = tuple(rolls[k % len(rolls)]), work.poured(share)
        states = work.turned(mine, poured)
        after = work.after(before, states[-1])
        out.append(Turned(mine, poured, tuple(states), before, after))
        before = after
    return _coating(work, out)


def _sought(work: Work, offered: Sequence[Roll], surplus: float, count: int, kept: int) -> Coating:
    before, out = work.first(), list[Turned]()
    for _ in range(count):
        out.append(_best_coat(work, offered, surplus, before, kept))
        before = out[-1].after
    return _coating(work, out)


def _coating(work: Work, more: Sequence[Turned]) -> Coating:
    coats = (*work.begun, *more)
    last, inside = more[-1].after if more else work.first(), work.sweeper.inside
    even = work.even_m(len(coats))
    mine = last.coated & work.mine()
    thick = (last.liquid_m3 - work.due_m3()) / (even * inside.area_m2)
    return Coating(coats, work.covers(last.coated), min(thin_end(thick[mine], inside.area_m2[mine]), 1.0), last)


def thin_end(thick: np.ndarray, area_m2: np.ndarray, share: float = THIN) -> float:
    """What all but a share of an area holds at least; 0 of nothing.

    >>> thin_end(np.array([3.0, 1.0, 2.0]), np.array([1.0, 0.5, 1.0]), 0.5)
    2.0
    """
    if not len(thick):
        return 0.0
    order = np.argsort(thick, kind="stable")
    sum_m2 = np.cumsum(area_m2[order])
    return float(thick[order][np.searchsorted(sum_m2, share * sum_m2[-1])])


@dataclass(frozen=True, eq=False)
class _Begun:
    """A coat after some of its rolls."""

    worth: float
    states: tuple[State, ...]
    rolls: tuple[Roll, ...]


def _best_coat(work: Work, offered: Sequence[Roll], surplus: float, before: Before, kept: int) -> Turned:
    poured = work.poured(surplus)
    begun = [_Begun(0.0, (), ())]
    for n in range(work.most):
        tried = []
        for one in begun:
            stands = n + 1 == work.most  # after it the mix gels where it is
            tried += work.sweeper.each(partial(_with_one_more, work, before, one, poured, stands), offered)
        tried.sort(key=lambda one: (-one.worth, one.states[-1].moved_rad))
        begun = _different(tried, kept)
    best = begun[0]
    ends = [best, *work.sweeper.each(partial(_with_one_more, work, before, best, poured, True), work.downs)]
    best = max(ends, key=lambda one: (one.worth, -one.states[-1].moved_rad))
    return Turned(best.rolls, poured, best.states, before, work.after(before, best.states[-1]))


def _with_one_more(work: Work, before: Before, one: _Begun, poured: State, stands: bool, roll: Roll) -> _Begun:
    """A beginning with one roll more; ``stands``: what is in pools then sets there."""
    now = one.states[-1] if one.states else poured
    state = work.sweeper.rolled(now, roll, DOWN_S if roll.still else work.seconds)
    laid = state.laid_m3 + work.sweeper.standing(state) if stands else state.laid_m3
    return _Begun(round(work.worth(before, laid), 5), (*one.states, state), (*one.rolls, roll))


def _different(tried: Sequence[_Begun], kept: int) -> list[_Begun]:
    """The best few that differ in what they are worth: rolls in another order often do the same."""
    out: list[_Begun] = []
    for one in tried:
        if all(one.worth != other.worth for other in out):
            out.append(one)
        if len(out) == kept:
            break
    return out
