"""Loads of a hanging piece beside its weight, and how they are put together; every pressure and factor is the job's."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from pourwright.errors import UsageError
from pourwright.hanging.hang_sets import LoadSet
from pourwright.outcome import GRAVITY, Combination, Load, Silhouette

WAYS = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "in": (0.0, 1.0, 0.0),
    "out": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
"""Where a load pushes: right, back to the wall and up of the reader who faces it."""
MOST = 80
"""Combinations that a named set may make of the job's loads."""


@dataclass(frozen=True, eq=False)
class Applied:
    """One force on the piece at every corner of the weights, in the axes of the wall."""

    name: str
    at_m: np.ndarray  # (c, 3)
    force_n: np.ndarray  # (c, 3)

    def times(self, factor: float, name: str = "") -> Applied:
        """The same force times a factor."""
        return Applied(name or self.name, self.at_m, factor * self.force_n)


@dataclass(frozen=True, eq=False)
class Combined:
    """Forces that act together; the weight is the first of them."""

    name: str
    applied: tuple[Applied, ...]
    reference: str

    @property
    def wrench(self) -> np.ndarray:
        """Force and moment about the origin of the axes of the wall (c, 6)."""
        force = np.sum([one.force_n for one in self.applied], axis=0)
        moment = np.sum([np.cross(one.at_m, one.force_n) for one in self.applied], axis=0)
        return np.hstack([force, moment])


@dataclass(frozen=True, eq=False)
class Shape:
    """What loads need to know of the hanging piece. Points right, back, up as the reader faces the wall."""

    size_m: np.ndarray  # (3,)
    views: tuple[Silhouette, ...]
    area_m2: float  # of the outside
    skin_m: np.ndarray  # (3,) middle of the skin
    to_wall: np.ndarray  # (3, 3) to the axes of the wall ...
    shift_m: np.ndarray  # (3,) ... less this
    spots: tuple[np.ndarray | None, ...]  # of each load, (3,)


def weight_of(masses: np.ndarray, centres_m: np.ndarray, shape: Shape) -> Applied:
    """Weight of the piece ``masses`` (c, p) at its centres of mass (c, 3) in the axes of the wall."""
    down = shape.to_wall @ np.array(WAYS["down"])
    return Applied("weight", centres_m, GRAVITY * masses.sum(axis=1)[:, None] * down)


def applied(load: Load, spot: np.ndarray | None, weight: Applied, shape: Shape) -> Applied:
    """A load as a force at every corner of the weights."""
    way = np.array(WAYS[load.way])
    if load.acceleration is not None:
        size = load.acceleration * np.linalg.norm(weight.force_n, axis=1)[:, None]
        return Applied(load.name, weight.at_m, size * (shape.to_wall @ way))
    if load.pressure_pa is not None:
        area, at = _seen(load.way, shape)
        force = load.pressure_pa * area * way
    elif load.areal_kg_m2 is not None:
        at, force = shape.skin_m, load.areal_kg_m2 * shape.area_m2 * GRAVITY * np.array(WAYS["down"])
    else:
        assert spot is not None
        at = spot
        force = load.force_n * way if load.force_n is not None else (load.kg or 0.0) * GRAVITY * np.array(WAYS["down"])
    place = shape.to_wall @ at - shape.shift_m
    rows = len(weight.at_m)
    return Applied(load.name, np.tile(place, (rows, 1)), np.tile(shape.to_wall @ force, (rows, 1)))


def _seen(way: str, shape: Shape) -> tuple[float, np.ndarray]:
    """Area that a pressure pushes on, and the middle of it."""
    front, side, top = shape.views
    middle = 0.5 * shape.size_m
    if way in ("in", "out"):
        return front.area_m2, np.array([front.across_m, middle[1], front.along_m])
    if way in ("left", "right"):
        return side.area_m2, np.array([middle[0], side.across_m, side.along_m])
    return top.area_m2, np.array([top.across_m, top.along_m, middle[2]])


def combined(
    loads: tuple[Load, ...], asked: tuple[Combination, ...], named: LoadSet | None, weight: Applied, shape: Shape
) -> tuple[Combined, ...]:
    """Everything that acts together, the weight alone first.

    Without combinations of the job and without a named set, each load acts with the weight, both times 1.

    Raises
    ------
    UsageError
        A named set makes too many combinations of these loads.
    """
    forces = {load.name: applied(load, spot, weight, shape) for load, spot in zip(loads, shape.spots, strict=True)}
    chosen = asked or (set_of(loads, named) if named is not None else plainly(loads))
    out = [Combined("", (weight,), "no factor: the weight alone")]
    for one in chosen:
        parts = [forces[name].times(factor) for name, factor in one.loads]
        out.append(Combined(one.name, (weight.times(one.weight), *parts), one.reference))
    return tuple(out)


def plainly(loads: tuple[Load, ...]) -> tuple[Combination, ...]:
    """Each load with the weight, without factors."""
    return tuple(
        Combination(f"{load.name}, no factors", 1.0, ((load.name, 1.0),), "no factors given") for load in loads
    )


def set_of(loads: tuple[Load, ...], named: LoadSet) -> tuple[Combination, ...]:
    """Combinations of a named set: of each kind of load at most one at a time, every one leading in turn.

    >>> from pourwright.hanging.hang_sets import SETS
    >>> wind = Load("gale", "wind", "out", pressure_pa=500.0)
    >>> [(c.name, c.weight, c.loads) for c in set_of((wind,), SETS["en-1990"])]  # doctest: +NORMALIZE_WHITESPACE
    [('en-1990: weight x 1.35', 1.35, ()),
     ('en-1990: weight x 1.35 + gale x 1.5', 1.35, (('gale', 1.5),)),
     ('en-1990: weight x 1 + gale x 1.5', 1.0, (('gale', 1.5),))]
    """
    kinds = list(dict.fromkeys(load.kind for load in loads))
    groups = [[None, *(load for load in loads if load.kind == kind)] for kind in kinds]
    out: dict[tuple[float, tuple[tuple[str, float], ...]], Combination] = {}
    for chosen in product(*groups):
        together = [load for load in chosen if load is not None]
        for weight, factors in named.of([load.kind for load in together]):
            pairs = tuple((load.name, f) for load, f in zip(together, factors, strict=True) if f)
            words = " + ".join([f"weight x {weight:g}", *(f"{name} x {f:g}" for name, f in pairs)])
            out.setdefault((weight, pairs), Combination(f"{named.name}: {words}", weight, pairs, named.reference))
        if len(out) > MOST:
            raise UsageError(
                f"hang.combinations = {named.name!r} makes more than {MOST} combinations of these loads: "
                "give [[combination]] for those that count"
            )
    return tuple(out.values())
