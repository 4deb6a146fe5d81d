"""Coats that are in the piece already: what they left by what was weighed, turned and pinned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.foam import FoamAtShop, Parts
from pourwright.lining.paths import Roll
from pourwright.lining.surface import Inside
from pourwright.lining.turning import (
    DOWN_S,
    ENOUGH,
    Before,
    Coating,
    Turned,
    Work,
    left_where_poured,
    over_its_part,
    with_rolls,
)
from pourwright.ranges import Range

PIN_REACH = 0.12
"""A reading of a pin is taken for the inside up to so much of the piece's size around it, and no farther than half way
to the next pin; our judgement, no published source."""

KEPT_LESS = 0.003
"""Rolls of the sheet are kept where they cover less by no more than this share of the inside; our judgement."""


@dataclass(frozen=True, eq=False)
class Pin:
    """What a pin found after a coat: all foam there [m], at a point (3,) in the shell file's axes."""

    point_m: np.ndarray
    thickness_m: float  # 0: bare


@dataclass(frozen=True, eq=False)
class PouredCoat:
    """A coat as it was poured and turned. SI."""

    number: int
    parts: Parts  # what was weighed
    ratio: float  # what was weighed over what was planned
    foam_m3: float  # that was planned to stay in the piece
    followed_m3: float  # foam, that on boards too, that its turning was followed with then
    spread: float  # plus or minus share of what was weighed
    film_m: float  # foam that its film is on the wall
    rolls: tuple[Roll, ...]  # one after another as they were made, not over again; the last may set the piece down
    pins: tuple[Pin, ...] = ()  # after it
    aims: tuple[int, ...] = ()  # numbers of the parts that it was for; empty: all of the inside
    left: bool = False  # it was let go over those and left there, not rolled

    @property
    def on_wall_m3(self) -> float:
        """Foam that stays in the piece."""
        return self.ratio * self.foam_m3


@dataclass(frozen=True, eq=False)
class Kept:
    """What the sheet has for the coats that are left: kept while it still does."""

    rolls: tuple[tuple[Roll, ...], ...]
    films_m: tuple[float, ...]  # foam
    coverage: float
    aims: tuple[tuple[int, ...], ...] = ()  # parts that each is for; none: all of the inside

    def of(self, aims: tuple[int, ...]) -> Kept:
        """Those for the same parts."""
        each = self.aims or ((),) * len(self.rolls)
        mine = [k for k, one in enumerate(each) if one == aims]
        return Kept(tuple(self.rolls[k] for k in mine), tuple(self.films_m[k] for k in mine), self.coverage)


@dataclass(frozen=True, eq=False)
class Begun:
    """A lining that is begun."""

    poured: tuple[PouredCoat, ...] = ()
    kept: Kept | None = None
    solid_kg: Range | None = None  # weighed into the places that are filled solid; None: not yet
    places_m: tuple[np.ndarray, ...] = ()  # (3,) each, where pins have their names already


NOTHING = Begun()


def turned_as_poured(work: Work, foam: FoamAtShop, poured: PouredCoat, before: Before) -> Turned:
    """What a coat left: its rolls followed with what was weighed, then put right by what pins found.

    What was weighed is what there is: where pins find less, the rest lies where no pin was.
    """
    expansion = foam.expansion.nominal
    liquid = poured.ratio * poured.followed_m3 / expansion
    if poured.left and poured.rolls:
        work = over_its_part(work, poured.rolls[0].axis @ work.sweeper.to_shell)
    let_go = work.sweeper.poured(work.up, work.starts_m, liquid, poured.film_m / expansion, work.begin_s)
    state, states = let_go, []
    for roll in poured.rolls:
        state = work.sweeper.rolled(state, roll, DOWN_S if roll.still else work.seconds)
        states.append(state)
    if not states:
        states = [let_go]
    after = work.after(before, states[-1])
    return Turned(
        poured.rolls, let_go, tuple(states), before, pinned(work.sweeper.inside, after, poured.pins, expansion)
    )


def pinned(inside: Inside, after: Before, pins: Sequence[Pin], expansion: float) -> Before:
    """What lies there by its pins: as much as they found around each, the rest of the liquid everywhere else.

    Parameters
    ----------
    after : Before
        By the model of the turning.
    expansion : float
        Foam over liquid.
    """
    if not pins:
        return after
    mine = around(inside, pins)
    laid, coated = after.liquid_m3.copy(), after.coated.copy()
    for k, pin in enumerate(pins):
        faces = mine == k
        there = float(laid[faces].sum()) / max(float(inside.area_m2[faces].sum()), 1e-30)
        found = pin.thickness_m / expansion
        laid[faces] = laid[faces] * (found / there) if there > 0.0 else found * inside.area_m2[faces]
        coated[faces] = (coated[faces] | (there <= 0.0)) & (found > 0.0)
    rest = mine < 0
    have, left = float(laid[rest].sum()), float(after.liquid_m3.sum() - laid[~rest].sum())
    if have > 0.0:
        laid[rest] *= max(left, 0.0) / have
    return Before(laid, coated)


def around(inside: Inside, pins: Sequence[Pin]) -> np.ndarray:
    """Which pin (n,) speaks for each face of the inside, -1 for none."""
    if not pins:
        return np.full(len(inside.area_m2), -1)
    at = np.array([pin.point_m for pin in pins], float)
    size = float(np.ptp(inside.middle_m, axis=0).max())
    far = np.linalg.norm(inside.middle_m[:, None] - at[None], axis=2)
    nearest = far.argmin(axis=1)
    between = np.linalg.norm(at[:, None] - at[None], axis=2) + np.where(np.eye(len(at)) > 0, math.inf, 0.0)
    reach = np.minimum(PIN_REACH * size, 0.5 * between.min(axis=1))
    close = far[np.arange(len(nearest)), nearest] <= reach[nearest]
    out = np.where(close & inside.counts, nearest, -1)
    for k, face in enumerate(np.where(inside.counts[:, None], far, math.inf).argmin(axis=0)):
        out[face] = k  # the face it stands on is its own, however coarse the faces are
    return out


def as_kept(work: Work, kept: Kept | None, count: int, expansion: float) -> Coating | None:
    """So many coats more with rolls and films as the sheet has them, where they still cover as much; else None.

    Coats for a part cover it or not by what else lies there: of those the caller judges.
    """
    if kept is None or not kept.rolls or count != len(kept.rolls):
        return None
    if work.aim is not None and all(roll.still for rolls in kept.rolls for roll in rolls):
        return left_where_poured(work, count)
    inside, to_coat = work.sweeper.inside, work.to_coat_m2()
    spread = float(inside.area_m2.sum()) if work.aim is None else to_coat
    surplus = [(work.wall_m3 * expansion / film - to_coat) / spread for film in kept.films_m]
    if min(surplus) <= 0.0 or any(all(roll.still for roll in rolls) for rolls in kept.rolls):
        return None
    found = with_rolls(work, surplus, kept.rolls)
    return found if work.aim is not None or found.coverage >= min(ENOUGH, kept.coverage) - KEPT_LESS else None


def followed(works: Sequence[Work], foam: FoamAtShop, poured: Sequence[tuple[int, PouredCoat]]) -> list[Work]:
    """The works with the coats that are in the piece already, one after another as they were poured.

    ``poured``: which of the works each belongs to, and the coat. What lies there counts for all of them, what is
    covered for each by its own; where a pin finds nothing none of them covers.
    """
    n = len(works[0].sweeper.inside.area_m2)
    liquid, covered = np.zeros(n), [np.zeros(n, bool) for _ in works]
    made: list[list[Turned]] = [[] for _ in works]
    for k, one in poured:
        turned = turned_as_poured(works[k], foam, one, Before(liquid, covered[k]))
        made[k].append(turned)
        liquid, covered[k] = turned.after.liquid_m3, turned.after.coated
        bare = np.isin(around(works[k].sweeper.inside, one.pins), np.flatnonzero(_nothing(one.pins)))
        covered = [mine & ~bare for mine in covered]
    return [
        replace(work, begun=tuple(mine), now=Before(liquid, now))
        for work, mine, now in zip(works, made, covered, strict=True)
    ]


def _nothing(pins: Sequence[Pin]) -> np.ndarray:
    return np.array([pin.thickness_m <= 0.0 for pin in pins], bool)


def named_places(
    inside: Inside, laid: np.ndarray, bare: Sequence[np.ndarray], named: Sequence[np.ndarray]
) -> list[np.ndarray]:
    """Places of pins: those that have a name keep it, and the largest bare place gets one where none is near."""
    if not named:
        return pin_places(inside, laid, bare)
    size = float(np.ptp(inside.middle_m, axis=0).max())
    new = [at for at in bare[:1] if min(np.linalg.norm(at - one) for one in named) > PIN_REACH * size]
    return [*named, *new]


def pin_places(inside: Inside, laid: np.ndarray, bare: Sequence[np.ndarray], count: int = 6) -> list[np.ndarray]:
    """Where to push a pin in: where foam is missing, lies thinnest and thickest by the model, then far from these.

    Parameters
    ----------
    laid : ndarray (n,)
        Share of an even lining on each face.
    bare : sequence of ndarray (3,)
        Places that stay bare, the largest first.

    Returns
    -------
    list of ndarray (3,)
        Points on the inside, ``count`` of them at most.
    """
    mine = np.flatnonzero(inside.counts)
    if not len(mine):
        return []
    some = mine[laid[mine] > 0.0]
    chosen = [np.asarray(place, float) for place in bare[:1]]
    if len(some):
        chosen += [inside.middle_m[some[np.argmin(laid[some])]], inside.middle_m[some[np.argmax(laid[some])]]]
    if not chosen:
        chosen = [inside.middle_m[mine[0]]]
    while len(chosen) < min(count, len(mine)):
        far = np.linalg.norm(inside.middle_m[mine][:, None] - np.array(chosen)[None], axis=2).min(axis=1)
        chosen.append(inside.middle_m[mine[int(np.argmax(far))]])
    return chosen[:count]


def pins_of(
    inside: Inside, laid: np.ndarray, bare: Sequence[np.ndarray], named: Sequence[np.ndarray], thickness_m: np.ndarray
) -> tuple[Pin, ...]:
    """Where to push a pin in, and what it should find, by the model; ``thickness_m`` (n,) asked for on each face."""
    places = named_places(inside, laid, bare, named)
    faces = [int(np.argmin(((inside.middle_m - place) ** 2).sum(axis=1))) for place in places]
    found = thickness_m * laid
    return tuple(Pin(place, float(found[face])) for place, face in zip(places, faces, strict=True))
