"""How a piece on its wall is held: by anchor, at every corner of the weights, with all anchors or without one."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.outcome.piece import GRAVITY
from pourwright.physics.statics import anchor_reactions
from pourwright.physics.wall_contact import pulls_with_wall

IN_LINE = 1e-6
"""Anchors whose pattern is narrower than this share of its length are in one line."""


@dataclass(frozen=True, eq=False)
class Hung:
    """Places in the axes of the wall [m]: from the left, up in the wall, off the wall."""

    anchors: np.ndarray  # (n, 3)
    stiffness: np.ndarray  # (n,) relative
    touching: np.ndarray  # (m, 2) where the back can bear on the wall; none where it stands off
    parts: np.ndarray  # (p, 3)
    masses: np.ndarray  # (c, p) at every corner of the weights
    tilt_rad: float

    @property
    def down_n_kg(self) -> float:
        """Weight of a kilogram up in the wall (negative)."""
        return -GRAVITY * math.cos(self.tilt_rad)

    @property
    def out_n_kg(self) -> float:
        """Weight of a kilogram out of the wall; negative where the wall leans back."""
        return -GRAVITY * math.sin(self.tilt_rad)


@dataclass(frozen=True, eq=False)
class Way:
    """One way in which the piece may be kept from turning out of the wall."""

    bears: bool
    out_n: np.ndarray | None  # (c, n) out of the wall on each anchor; negative pushes it in. None: impossible
    wall: np.ndarray | None  # (c, 3) push of the wall, its place to the right and up (nan where it does not push)
    why: str  # why it is impossible


@dataclass(frozen=True, eq=False)
class Situation:
    """The piece with all its anchors, or without one."""

    gone: int | None
    shear_n: np.ndarray | None  # (c, n, 2) right and up in the wall on each anchor; None: the piece would swing
    ways: tuple[Way, ...]

    @property
    def possible(self) -> tuple[Way, ...]:
        """The ways that balance the piece."""
        return tuple(way for way in self.ways if way.out_n is not None)

    @property
    def stays(self) -> bool:
        """Whether the piece is in balance where it is."""
        return self.shear_n is not None and bool(self.possible)


def situation(hung: Hung, gone: int | None = None) -> Situation:
    """Loads that the piece puts on its anchors, without anchor ``gone`` where one is given (its loads are 0).

    Notes
    -----
    Shear: elastic vector method, rigid body, least energy. Out of the wall two ways, each in balance by itself: nothing
    bears on the wall and the anchors pull and push alike; or the back bears where it touches the wall, which only
    pushes, and the anchors only pull.
    """
    left = np.array([k for k in range(len(hung.anchors)) if k != gone], int)
    if not len(left):
        return Situation(gone, None, (Way(False, None, None, "no anchor is left"),))
    ways = [_alone(hung, left)]
    if len(hung.touching):
        ways.append(_backed(hung, left))
    return Situation(gone, _shear(hung, left), tuple(ways))


def _shear(hung: Hung, left: np.ndarray) -> np.ndarray | None:
    places, k = _flat(hung, left), hung.stiffness[left]
    along = np.column_stack([k, k, 0 * k])
    unit = np.zeros((len(hung.parts), len(hung.anchors), 2))
    for row, (x, y, _) in enumerate(hung.parts):
        found = _balanced(places, along, [0.0, hung.down_n_kg, 0.0], [x, y, 0.0])
        if found is None:
            return None
        unit[row, left] = found[:, :2]
    return np.einsum("cp,pnd->cnd", hung.masses, unit)


def _alone(hung: Hung, left: np.ndarray) -> Way:
    places, k = _flat(hung, left), hung.stiffness[left]
    across = np.column_stack([0 * k, 0 * k, k])
    unit = np.zeros((len(hung.parts), len(hung.anchors)))
    for row, (x, y, s) in enumerate(hung.parts):
        moment = [s * -hung.down_n_kg, 0.0, 0.0]
        found = _balanced(places, across, [0.0, 0.0, hung.out_n_kg], [x, y, 0.0], moment)
        if found is None:
            return Way(False, None, None, in_line_words(hung.anchors[left]))
        unit[row, left] = found[:, 2]
    return Way(False, hung.masses @ unit, None, "")


def _backed(hung: Hung, left: np.ndarray) -> Way:
    x, y, s = hung.parts.T
    weights = hung.masses * hung.out_n_kg
    pull = weights.sum(axis=1)
    moment = np.column_stack([weights @ x, weights @ y - hung.masses @ s * hung.down_n_kg])
    try:
        pulls, pushes = pulls_with_wall(hung.anchors[left, :2], hung.stiffness[left], hung.touching, pull, moment)
    except ValueError:
        return Way(True, None, None, "an anchor would have to push, or the wall to pull")
    out = np.zeros((len(pulls), len(hung.anchors)))
    out[:, left] = pulls
    size = pushes.sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        place = np.where((size > 0)[:, None], pushes @ hung.touching / size[:, None], np.nan)
    return Way(True, out, np.column_stack([size, place]), "")


def in_line_words(places_m: np.ndarray) -> str:
    """Why anchors at places (n, 2 or 3) in the wall cannot keep the piece from turning out of it by themselves.

    >>> in_line_words(np.array([[0.0, 1.0], [2.0, 1.0]]))
    'the anchors are in one line, about which the piece would turn'
    """
    if len(places_m) == 1:
        return "the piece would turn about the one anchor"
    spread = np.linalg.svd(places_m[:, :2] - places_m[:, :2].mean(axis=0))[1]
    if spread[0] < IN_LINE:
        return "the anchors are in one place, about which the piece would turn"
    return "the anchors are in one line, about which the piece would turn"


def _flat(hung: Hung, left: np.ndarray) -> np.ndarray:
    return np.column_stack([hung.anchors[left, :2], np.zeros(len(left))])


def _balanced(
    places: np.ndarray, stiffness: np.ndarray, force: list[float], at: list[float], moment: list[float] | None = None
) -> np.ndarray | None:
    """Load of the body on the anchors, None where they cannot balance it."""
    extra = None if moment is None else np.array(moment)
    if not any(force) and (extra is None or not extra.any()):
        return np.zeros((len(places), 3))
    try:
        return -anchor_reactions(places, stiffness, np.array(force), np.array(at), extra)
    except ValueError:
        return None
