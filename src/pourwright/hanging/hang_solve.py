"""How a piece on its wall is held: by anchor, at every corner of the weights, with all anchors or without one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.physics.statics import anchor_reactions
from pourwright.physics.wall_contact import pulls_with_wall

NOTHING = 1e-12
"""What is below this share of what it is the difference of is nothing."""
SAME = 1e-9
"""Loads that differ by less than this share are one."""
IN_LINE = 1e-6
"""Anchors whose pattern is narrower than this share of its length are in one line."""


@dataclass(frozen=True, eq=False)
class Hung:
    """Places in the axes of the wall [m]: from the left, up in the wall, off the wall."""

    anchors: np.ndarray  # (n, 3)
    stiffness: np.ndarray  # (n,) relative
    touching: np.ndarray  # (m, 2) where the back can bear on the wall; none where it stands off
    masses: np.ndarray  # (c, p) at every corner of the weights


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


def situation(hung: Hung, wrench: np.ndarray, gone: int | None = None) -> Situation:
    """Loads that the piece puts on its anchors, without anchor ``gone`` where one is given (its loads are 0).

    Parameters
    ----------
    wrench : ndarray (c, 6)
        Force on the piece, and its moment about the origin of the axes of the wall, at every corner.

    Notes
    -----
    Shear: elastic vector method, rigid body, least energy. Out of the wall two ways, each in balance by itself: nothing
    bears on the wall and the anchors pull and push alike; or the back bears where it touches the wall, which only
    pushes, and the anchors only pull.
    """
    left = np.array([k for k in range(len(hung.anchors)) if k != gone], int)
    if not len(left):
        return Situation(gone, None, (Way(False, None, None, "no anchor is left"),))
    ways = [_alone(hung, left, wrench)]
    if len(hung.touching):
        ways.append(_backed(hung, left, wrench))
    return Situation(gone, _shear(hung, left, wrench), tuple(ways))


def _shear(hung: Hung, left: np.ndarray, wrench: np.ndarray) -> np.ndarray | None:
    k = hung.stiffness[left]
    found = _balanced(_flat(hung, left), np.column_stack([k, k, 0 * k]), wrench * [1, 1, 0, 0, 0, 1])
    if found is None:
        return None
    out = np.zeros((len(wrench), len(hung.anchors), 2))
    out[:, left] = found[:, :, :2]
    return out


def _alone(hung: Hung, left: np.ndarray, wrench: np.ndarray) -> Way:
    k = hung.stiffness[left]
    found = _balanced(_flat(hung, left), np.column_stack([0 * k, 0 * k, k]), wrench * [0, 0, 1, 1, 1, 0])
    if found is None:
        return Way(False, None, None, in_line_words(hung.anchors[left]))
    out = np.zeros((len(wrench), len(hung.anchors)))
    out[:, left] = found[:, :, 2]
    return Way(False, out, None, "")


def _backed(hung: Hung, left: np.ndarray, wrench: np.ndarray) -> Way:
    pull = wrench[:, 2]
    moment = np.column_stack([-wrench[:, 4], wrench[:, 3]])
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


def _balanced(places: np.ndarray, stiffness: np.ndarray, wrench: np.ndarray) -> np.ndarray | None:
    """Load (c, n, 3) of the body on the anchors under each wrench (c, 6), None where they cannot balance one of them.

    Solved for as few loads as all of them are made of.
    """
    origin = places.mean(axis=0)
    shifted = np.cross(origin, wrench[:, :3])
    moment = wrench[:, 3:] - shifted
    moment[np.abs(moment) < NOTHING * np.maximum(np.abs(shifted), np.abs(wrench[:, 3:]))] = 0.0
    reach = max(float(np.abs(places - origin).max()), 1e-3)
    left, size, kinds = np.linalg.svd(np.hstack([wrench[:, :3], moment / reach]), full_matrices=False)
    if size[0] == 0.0:
        return np.zeros((len(wrench), len(places), 3))
    kept = size > SAME * size[0]
    kinds[np.abs(kinds) < NOTHING] = 0.0
    try:
        unit = [-anchor_reactions(places, stiffness, w[:3], origin, reach * w[3:]) for w in kinds[kept]]
    except ValueError:
        return None
    return np.einsum("ck,knd->cnd", (left * size)[:, kept], np.array(unit))
