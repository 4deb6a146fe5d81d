"""Coats that are in the piece already: what they left by what was weighed, turned and pinned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.foam import FoamAtShop, Parts
from pourwright.lining.paths import Roll
from pourwright.lining.surface import Inside
from pourwright.lining.turning import DOWN_S, ENOUGH, Before, Coating, Turned, Work, with_rolls
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


@dataclass(frozen=True, eq=False)
class Begun:
    """A lining that is begun."""

    poured: tuple[PouredCoat, ...] = ()
    kept: Kept | None = None
    solid_kg: Range | None = None  # weighed into the places that are filled solid; None: not yet
    places_m: tuple[np.ndarray, ...] = ()  # (3,) each, where pins have their names already

    @property
    def on_wall_m3(self) -> float:
        """Foam that is in the piece."""
        return math.fsum(one.on_wall_m3 for one in self.poured)


NOTHING = Begun()


def turned_as_poured(work: Work, foam: FoamAtShop, poured: PouredCoat, before: Before) -> Turned:
    """What a coat left: its rolls followed with what was weighed, then put right by what pins found.

    What was weighed is what there is: where pins find less, the rest lies where no pin was.
    """
    expansion = foam.expansion.nominal
    liquid = poured.ratio * poured.followed_m3 / expansion
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
    """So many coats more with rolls and films as the sheet has them, where they still cover as much; else None."""
    if kept is None or count != len(kept.rolls):
        return None
    inside = work.sweeper.inside
    surplus = [
        (work.wall_m3 * expansion / film - inside.to_coat_m2) / float(inside.area_m2.sum()) for film in kept.films_m
    ]
    if min(surplus) <= 0.0:
        return None
    found = with_rolls(work, surplus, kept.rolls)
    return found if found.coverage >= min(ENOUGH, kept.coverage) - KEPT_LESS else None


def begun_of(work: Work, foam: FoamAtShop, poured: Sequence[PouredCoat]) -> Work:
    """The same work with coats that are in the piece already."""
    for one in poured:
        work = replace(work, begun=(*work.begun, turned_as_poured(work, foam, one, work.first())))
    return work


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
