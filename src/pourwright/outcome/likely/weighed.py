"""What scales teach of a piece: its wall, its densities and its items, by Bayes; and the piece as it is known then."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pourwright.outcome.balance import corner_masses, parts_at
from pourwright.outcome.likely.causes import EVEN, FOAM, SKIN, TWICE, WALL, Causes, causes_of
from pourwright.outcome.likely.possible import brought_back, vertices
from pourwright.outcome.likely.readings import Weighing
from pourwright.outcome.parts import FINISHED, Loose, Part, Swing
from pourwright.outcome.piece import FoamSolid, Piece
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

UNEVEN = Cited(
    0.025,
    "-",
    Standing.JUDGEMENT,
    note="share of the piece's width by which an uneven wall may shift the middle of its skin: 10 % thicker on one "
    "side and thinner on the other shift a third of that over half the width, and more where mass lies far out",
)
STEPS = 25
MOST_TOLD = 3
"""Weighings whose weight the corners heed: empty, the last, and the one between them with the best scale."""
SAME = 1e-9
"""A cause whose variance falls by less than this share was told nothing of."""
WORTH = 0.02
"""The same for what is worth telling."""


@dataclass(frozen=True, slots=True)
class LearntCause:
    """A cause as it is known now: -1 low, 0 expected, +1 high of what was taken for it; ends two deviations."""

    name: str
    low: float
    middle: float
    high: float
    ends: tuple[float, float]  # by which share the mass behind it was taken to be less and more; 0 for the wall

    def share(self, at: float) -> float:
        """By which share the mass behind it is more (less: below 0) there."""
        return at * self.ends[1 if at > 0 else 0]


@dataclass(frozen=True, slots=True)
class LearntWeight:
    """One weighing beside what was expected of it, before any weighing."""

    weighing: Weighing
    expected: Range
    centre_m: tuple[float, float] | None  # that the scales show; None: they do not

    @property
    def fits(self) -> bool:
        """Whether the reading lies within everything that was taken as possible."""
        out = self.weighing.error_kg * math.sqrt(len(self.weighing.cells))
        return self.expected.low - out <= self.weighing.kg <= self.expected.high + out


@dataclass(frozen=True, eq=False)
class Learnt:
    """What weighings taught."""

    weights: tuple[LearntWeight, ...]
    causes: tuple[LearntCause, ...]  # those that were told of
    shift_m: tuple[float, float]  # of the middle of the skin, to the right and to the back; 0 where no centre was shown
    even: bool  # whether an uneven wall may explain that shift
    likely: bool  # whether the readings go together with each other and with what was taken, 95 times of 100


@dataclass(frozen=True, eq=False)
class _Told:
    """Readings (m,) = of_mass (m, p) @ masses + of_shift (m, 2) @ shift * skin, and their covariance."""

    readings: np.ndarray
    of_mass: np.ndarray
    of_shift: np.ndarray
    noise: np.ndarray
    weights: tuple[int, ...]  # rows that are weights


@dataclass(frozen=True, eq=False)
class _Known:
    """What is known of the causes: where they are taken, their covariance, and the box that they stay in."""

    at: np.ndarray  # (n,)
    spread: np.ndarray  # (n, n)
    shift: np.ndarray  # (2,) of the middle of the skin
    likely: bool
    ends: np.ndarray  # (2, n)


def weighed_piece(piece: Piece, weighings: tuple[Weighing, ...]) -> tuple[Piece, Learnt | None]:
    """The piece as it is known after weighings, and what they taught; as it was without any.

    Notes
    -----
    The causes of the masses (wall, two densities, items) are independent, each with the standard deviation of an even
    spread (JCGM 100:2008, 4.3.7), and the middle of the skin may be off by an uneven wall. They are taken as normal,
    which gives the conjugate update in closed form for readings that are straight in them; a weight is a product of
    wall and density, so it is repeated at the point found until that stands (Gauss and Newton). Each scale errs by
    itself, evenly within ``error_kg``. Scales at known places show the centre of mass as well, along the line or over
    the plane that they span.

    The causes stay within what the job gives as long as the readings can be had within it: where the update would leave
    it, the most likely point within it is taken. Corners are those of the job's own ends, cut off where a weight would
    be more than two standard deviations from what is known of it now; where the centre lies cuts off none.
    """
    if not weighings:
        return piece, None
    causes = causes_of(piece.parts)
    told = _told(piece, weighings)
    now = _known(piece, causes, told)
    parts = _parts(piece, causes, told, now)
    ends = [_ends(now, k) for k in range(len(now.at))]
    weights = tuple(_weight(piece, one) for one in weighings)
    told_of = tuple(
        LearntCause(name, *ends[k], _shares(causes, k))
        for k, name in enumerate(causes.names)
        if now.spread[k, k] < (1.0 - WORTH) * EVEN**2
    )
    shift = now.shift
    even = bool((np.abs(shift) <= UNEVEN.value * piece.frame.size_m[:2]).all())
    known = replace(
        piece,
        parts=parts,
        foam=_foam(piece.foam, ends[WALL], ends[FOAM]),
        skin_kg_m3=piece.skin_kg_m3 * _skin_factor(causes, now.at),
        **_walls(piece, float(now.at[WALL])),
    )
    return known, Learnt(weights, told_of, (float(shift[0]), float(shift[1])), even, now.likely)


def _walls(piece: Piece, at: float) -> dict[str, Any]:
    """Walls as thick as they are taken now, each by its own spread."""
    gauge = piece.gauge
    return {
        "bands": tuple(replace(band, thickness_m=band.thickness_m * (1.0 + at * band.spread)) for band in piece.bands),
        "regions": tuple(replace(one, thickness_m=one.thickness_m * (1.0 + at * one.spread)) for one in piece.regions),
        "gauge": None if gauge is None else replace(gauge, thickness_m=gauge.thickness_m * (1.0 + at * gauge.spread)),
    }


def _shares(causes: Causes, cause: int) -> tuple[float, float]:
    """By which share a cause beside the wall makes its mass less and more."""
    mine = causes.table[causes.own == cause][:, 1].sum(axis=0) if cause != WALL else np.ones(3)
    return float(1.0 - mine[0] / mine[1]), float(mine[2] / mine[1] - 1.0)


def _weight(piece: Piece, one: Weighing) -> LearntWeight:
    masses = corner_masses(parts_at(piece.parts, one.stage)).sum(axis=1)
    way, _ = _ways(one)
    centre = None
    if len(way) == 2:
        kg, at = np.array([c.kg for c in one.cells]), np.array([c.at_m for c in one.cells], float)
        middle = at.mean(axis=0)
        found = middle + (kg @ (at - middle)) / one.kg
        centre = (float(found[0]), float(found[1]))
    return LearntWeight(one, Range.of_rows(masses), centre)


def _ways(one: Weighing) -> tuple[np.ndarray, np.ndarray]:
    """Directions (k, 2) along which the scales show the centre, and their places (c, 2) from the middle of them."""
    if any(cell.at_m is None for cell in one.cells) or len(one.cells) < 2:
        return np.zeros((0, 2)), np.zeros((len(one.cells), 2))
    at = np.array([cell.at_m for cell in one.cells], float)
    at = at - at.mean(axis=0)
    _, size, ways = np.linalg.svd(at, full_matrices=False)
    return ways[size > 1e-3 * max(float(size[0]), 1e-9)], at


def _told(piece: Piece, weighings: tuple[Weighing, ...]) -> _Told:
    centres = piece.frame.to_standing(np.array([part.centre_m for part in piece.parts]))[:, :2]
    readings: list[float] = []
    of_mass, of_shift, noise, weights = [], [], [], list[int]()
    for one in weighings:
        ways, at = _ways(one)
        there = np.array([one.stage == FINISHED or 0 <= part.after_lift <= one.stage for part in piece.parts], float)
        kg = np.array([cell.kg for cell in one.cells])
        sums = np.vstack([np.ones(len(kg)), ways @ at.T])
        weights.append(len(readings))
        readings += [one.kg, *(ways @ at.T @ kg)]
        middle = np.zeros(2)
        if len(ways):
            middle = np.array([cell.at_m for cell in one.cells], float).mean(axis=0)
        of_mass += [there, *(there * ((centres - middle) @ way) for way in ways)]
        of_shift += [np.zeros(2), *ways]
        noise.append(sums @ sums.T * (one.error_kg * EVEN) ** 2)
    size = len(readings)
    whole, row = np.zeros((size, size)), 0
    for block in noise:
        whole[row : row + len(block), row : row + len(block)] = block
        row += len(block)
    return _Told(np.array(readings), np.array(of_mass), np.array(of_shift), whole, tuple(weights))


def _known(piece: Piece, causes: Causes, told: _Told) -> _Known:
    """Where the causes are taken to be, and how far from there they may be."""
    count = len(causes.names)
    prior = np.array([*[EVEN**2] * count, *((UNEVEN.value * EVEN * piece.frame.size_m[:2]) ** 2)])
    given = np.tile(np.array([[-1.0], [1.0]]), (1, count))
    state, spread, distance = _posterior(piece, causes, told, prior, None)
    if (np.abs(state[:count]) > 1.0).any():
        within, spread_within, _ = _posterior(piece, causes, told, prior, given)
        rows = list(told.weights)
        off = np.abs(told.readings - told.of_mass @ causes.masses(within[None, :count])[0])[rows]
        if (off <= TWICE * np.sqrt(np.diag(told.noise)[rows])).all():
            state, spread = within, spread_within
        else:
            floors = causes.floors
            state, spread, _ = _posterior(piece, causes, told, prior, floors)
            size = TWICE * np.sqrt(np.diag(spread)[:count])
            reach = np.array([np.minimum(-1.0, state[:count] - size), np.maximum(1.0, state[:count] + size)])
            given = np.array([np.maximum(reach[0], floors[0]), np.minimum(reach[1], floors[1])])
    from scipy.special import chdtri  # slow to load, and only what was weighed has a use for it

    fits = distance <= float(chdtri(len(told.readings), 0.05))
    return _Known(np.clip(state[:count], *given), spread[:count, :count], state[count:], fits, given)


def _posterior(
    piece: Piece, causes: Causes, told: _Told, prior: np.ndarray, within: np.ndarray | None
) -> tuple[np.ndarray, np.ndarray, float]:
    """Causes and the shift of the skin's middle (n + 2,), their covariance, and how far off the readings are.

    ``prior`` (n + 2,) are their variances before; ``within`` (2, n) holds the causes to a box.
    """
    skin = np.array([part.kind == "skin" for part in piece.parts], float)
    count = len(causes.names)
    state, slopes = np.zeros(count + 2), np.zeros((len(told.readings), count + 2))
    gain, distance = slopes.T, 0.0
    for step in range(STEPS):
        masses = causes.masses(state[None, :count])[0]
        slopes[:, :count] = told.of_mass @ causes.slopes(state[:count])
        slopes[:, count:] = told.of_shift * (skin @ masses)
        expected = told.of_mass @ masses + slopes[:, count:] @ state[count:]
        together = slopes * prior @ slopes.T + told.noise
        gain = np.linalg.solve(together, slopes * prior).T
        off = told.readings - expected + slopes @ state
        if step == 0:
            distance = float(off @ np.linalg.solve(together, off))
        state = gain @ off if within is None else _held(slopes, off, told.noise, prior, within)
    spread = np.diag(prior) - gain @ slopes * prior
    return state, 0.5 * (spread + spread.T), distance


def _held(slopes: np.ndarray, off: np.ndarray, noise: np.ndarray, prior: np.ndarray, within: np.ndarray) -> np.ndarray:
    """The most likely state within a box."""
    from scipy.optimize import lsq_linear  # slow to load

    root = np.linalg.cholesky(noise)
    rows = np.vstack([np.diag(prior**-0.5), np.linalg.solve(root, slopes)])
    due = np.concatenate([np.zeros(len(prior)), np.linalg.solve(root, off)])
    open_ends = np.tile(np.array([[-math.inf], [math.inf]]), (1, len(prior) - within.shape[1]))
    return np.asarray(lsq_linear(rows, due, bounds=np.hstack([within, open_ends]), tol=1e-12).x)


def _heeded(piece: Piece, told: _Told) -> np.ndarray:
    """Sums of masses (m, p) that were weighed and that the corners heed: the first, the last and the best between."""
    rows = {tuple(told.of_mass[row]): told.noise[row, row] for row in told.weights}
    order = sorted(rows, key=sum)
    between = sorted(order[1:-1], key=lambda row: rows[row])[: MOST_TOLD - 2]
    return np.array([row for row in order if row in between or row in (order[0], order[-1])])


def _parts(piece: Piece, causes: Causes, told: _Told, now: _Known) -> tuple[Part, ...]:
    """Masses as they are known now, moving together as the scales leave it open."""
    lower = np.linalg.cholesky(now.spread + 1e-18 * np.eye(len(now.at)))
    heard = np.array([now.spread[k, k] < (1.0 - SAME) * EVEN**2 for k in range(len(now.at))])
    # Each column is a cause by itself: the first moves all that hangs together with it, the next what is left.
    columns = lower * np.where(heard, TWICE, 1.0 / EVEN)
    ups, downs = (side @ columns for side in causes.sides(now.at))
    loose = (Loose(now.at, columns, now.ends),)
    of_mass = _heeded(piece, told)
    box = causes.masses(vertices(now.ends, now.at, np.zeros((0, len(now.at))), np.zeros(0)))
    corners = _corners(causes, now, of_mass, now.ends)
    pinned = now.ends.copy()
    pinned[:, WALL] = now.at[WALL]
    alike = _corners(causes, now, of_mass, pinned)
    along = piece.frame.rotation[:2].T @ now.shift
    out = []
    for k, part in enumerate(piece.parts):
        kg = Range(float(corners[:, k].min()), float(corners[0, k]), float(corners[:, k].max()))
        swings = tuple(Swing(*one) for one in zip(ups[k].tolist(), downs[k].tolist(), heard.tolist(), strict=True))
        centre = part.centre_m + along if part.kind == "skin" else part.centre_m
        narrowed = kg.high - kg.low < 2.0 * _half(part)
        out.append(
            replace(
                part,
                kg=kg,
                thin_kg=kg,
                thick_kg=kg,
                swings=swings,
                corners_kg=tuple(corners[:, k].tolist()),
                known_wall_kg=tuple(alike[:, k].tolist()),
                bounds_kg=(float(box[:, k].min()), float(box[:, k].max())),
                loose=loose,
                centre_m=np.asarray(centre),
                why=f"{part.why}; narrowed by the scale" if narrowed else part.why,
            )
        )
    return tuple(out)


def _corners(causes: Causes, now: _Known, of_mass: np.ndarray, ends: np.ndarray) -> np.ndarray:
    """Masses (c, p) at every corner of what is possible still within ``ends``, first where they are taken to be."""
    masses = causes.masses(now.at[None])
    slopes = of_mass @ causes.slopes(now.at)
    half = TWICE * np.sqrt(np.einsum("mn,nk,mk->m", slopes, now.spread, slopes))
    points = vertices(ends, now.at, slopes, half)
    points = brought_back(causes, points, ends, now.at, of_mass, half)
    found = np.vstack([masses, causes.masses(points)])
    return np.where(causes.table[:, 1, 1] < 0.0, found, np.maximum(found, 0.0))


def _half(part: Part) -> float:
    return 0.5 * (part.kg.high - part.kg.low) * (1.0 - SAME)


def _ends(now: _Known, cause: int) -> tuple[float, float, float]:
    middle, size = float(now.at[cause]), TWICE * math.sqrt(max(float(now.spread[cause, cause]), 0.0))
    low, high = (float(end) for end in now.ends[:, cause])
    return max(middle - size, low), middle, min(middle + size, high)


def _along(value: Range, at: tuple[float, float, float]) -> Range:
    """A range where a cause that ran from -1 to +1 over it is known better."""
    low, middle, high = (
        value.nominal + (value.high - value.nominal if one > 0 else value.nominal - value.low) * one for one in at
    )
    low, middle, high = (max(one, 0.0) for one in (min(low, middle), middle, max(high, middle)))
    return Range(low, middle, high)


def _foam(foam: FoamSolid, wall: tuple[float, float, float], density: tuple[float, float, float]) -> FoamSolid:
    room = (-wall[2], -wall[1], -wall[0])  # a thicker wall leaves less of it
    return replace(foam, volume_m3=_along(foam.volume_m3, room), density_kg_m3=_along(foam.density_kg_m3, density))


def _skin_factor(causes: Causes, at: np.ndarray) -> float:
    """Density of the skin over what was taken for it."""
    of_skin = np.flatnonzero(causes.own == SKIN)
    if not len(of_skin):
        return 1.0
    only = np.zeros((2, len(at)))
    only[1, SKIN] = at[SKIN]
    without, with_it = causes.masses(only)[:, of_skin[0]]
    return float(with_it / without) if without > 0 else 1.0
