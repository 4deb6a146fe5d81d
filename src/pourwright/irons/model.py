"""The shapes that things inside a piece have: round rods, flat or square bars, boxes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

LOOKED = 180
"""Directions in plan in which a thing is measured, a degree apart; our judgement."""
SLENDER = 3.0
"""A thing so much longer than it is wide is a rod or bar, with heat led along it: our judgement."""


@dataclass(frozen=True, slots=True)
class Metal:
    """What a thing inside holds of heat, and how it leads it; per volume of its outline.

    Without heat (0) nothing is counted as taken up: the careful side for the core.
    """

    heat_j_m3k: float = 0.0
    conductivity_w_mk: float = 50.0


@dataclass(frozen=True, eq=False)
class Iron:
    """A straight prism in the standing piece: about ``middle_m``, along the rows of ``axes``, ``half_m`` either way.

    The first axis is its length. ``round`` ones are cylinders of radius ``half_m[1]``. Arrays read-only.
    """

    name: str
    middle_m: np.ndarray  # (3,) standing
    axes: np.ndarray  # (3, 3) unit rows: along, across, across
    half_m: np.ndarray  # (3,)
    round: bool
    metal: Metal = field(default_factory=Metal)

    def __post_init__(self) -> None:
        """Nothing of it is changed after."""
        for array in (self.middle_m, self.axes, self.half_m):
            array.setflags(write=False)

    @property
    def volume_m3(self) -> float:
        """Of the whole of it, wherever it stands."""
        a, b, c = (2.0 * float(v) for v in self.half_m)
        return a * 0.25 * np.pi * b * c if self.round else a * b * c

    @property
    def thin_m(self) -> float:
        """Least measure across."""
        return 2.0 * float(self.half_m.min())

    @property
    def course(self) -> int:
        """Which of its axes heat is led along: the long one of a rod or bar; -1 of a block or plate.

        >>> rod("rod", [0, 0, 0], [0, 0, 1], 0.02).course, box("plate", [0, 0, 0], [0.2, 0.1, 0.005]).course
        (0, -1)
        """
        wide, long = np.argsort(self.half_m, kind="stable")[1:].tolist()
        return long if self.half_m[long] >= SLENDER * self.half_m[wide] else -1

    @property
    def section_m2(self) -> float:
        """Area across what it is longest along.

        >>> round(rod("rod", [0, 0, 0], [0, 0, 1], 0.02).section_m2, 8)
        0.00031416
        """
        return self.volume_m3 / (2.0 * float(self.half_m.max()))

    @property
    def across_m(self) -> float:
        """Least measure across in plan: what a hose that goes down beside it has to go round.

        >>> plate = box("plate", [0, 0, 0], [0.2, 0.1, 0.005])
        >>> round(plate.across_m, 6), round(plate.thin_m, 6)
        (0.1, 0.005)
        """
        turn = np.linspace(0.0, np.pi, LOOKED, endpoint=False)
        level = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(LOOKED)])
        along = np.abs(level @ self.axes.T)
        if self.round:
            half = along[:, 0] * self.half_m[0] + np.sqrt(np.maximum(1.0 - along[:, 0] ** 2, 0.0)) * self.half_m[1]
        else:
            half = along @ self.half_m
        return 2.0 * float(half.min())

    @property
    def deep_m(self) -> float:
        """Volume over surface, its ends too [m]: how thick the metal is behind each part of its surface.

        >>> round(rod("rod", [0, 0, 0], [0, 0, 1], 0.02).deep_m, 6)
        0.00495
        """
        a, b, c = (2.0 * float(v) for v in self.half_m)
        face = np.pi * b * (a + 0.5 * b) if self.round else 2.0 * (a * b + b * c + a * c)
        return float(self.volume_m3 / face)

    def corners_m(self) -> np.ndarray:
        """The eight corners (8, 3) of the box round it, standing."""
        signs = np.array([[a, b, c] for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)], float)
        return np.asarray(self.middle_m + (signs * self.half_m) @ self.axes)

    def points_m(self, step_m: float) -> np.ndarray:
        """Points (n, 3) all through the box round it, no farther than ``step_m`` apart, standing."""
        counts = [int(np.ceil(2.0 * half / step_m)) for half in self.half_m]
        sides = [half * ((2 * np.arange(n) + 1) / n - 1.0) for half, n in zip(self.half_m, counts, strict=True)]
        inside = np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1).reshape(-1, 3)
        return np.asarray(self.middle_m + inside @ self.axes)

    def away_m(self, points_m: np.ndarray) -> np.ndarray:
        """Distance (...,) of standing points (..., 3) from its surface [m], below 0 inside it.

        >>> rod("rod", [0, 0, 0], [0, 0, 1], 0.02).away_m(np.array([[0.03, 0, 0.5], [0, 0, 1.1]])).round(6).tolist()
        [0.02, 0.1]
        """
        local = np.abs((points_m - self.middle_m) @ self.axes.T)
        if self.round:
            local = np.stack([local[..., 0], np.hypot(local[..., 1], local[..., 2])], axis=-1)
            over = local - self.half_m[:2]
        else:
            over = local - self.half_m
        outside = np.linalg.norm(np.maximum(over, 0.0), axis=-1)
        return np.asarray(outside + np.minimum(over.max(axis=-1), 0.0))


def rod(name: str, start: object, end: object, diameter_m: float, metal: Metal | None = None) -> Iron:
    """A round rod from ``start`` to ``end`` (3,), standing metres.

    >>> round(rod("rod", [0, 0, 0], [0, 0, 2], 0.02).volume_m3, 8)
    0.00062832
    """
    return _along(name, start, end, (diameter_m, diameter_m), True, metal)


def bar(name: str, start: object, end: object, wide_m: float, deep_m: float, metal: Metal | None = None) -> Iron:
    """A bar of rectangular section; its ``wide_m`` side lies level, of an upright bar from left to right."""
    return _along(name, start, end, (wide_m, deep_m), False, metal)


def box(name: str, corner: object, other: object, metal: Metal | None = None) -> Iron:
    """A box between two opposite corners, its sides along width, depth and height of the standing piece.

    >>> round(box("ballast", [0, 0, 0], [0.2, -0.1, 0.05]).volume_m3, 9)
    0.001
    """
    a, b = np.asarray(corner, float), np.asarray(other, float)
    axes = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    half = 0.5 * np.abs(b - a)[[2, 0, 1]]
    return Iron(name, 0.5 * (a + b), axes, half, False, metal or Metal())


def _along(
    name: str, start: object, end: object, across: tuple[float, float], is_round: bool, metal: Metal | None
) -> Iron:
    a, b = np.asarray(start, float), np.asarray(end, float)
    length = float(np.linalg.norm(b - a))
    along = (b - a) / length
    level = np.cross([0.0, 0.0, 1.0], along)
    size = float(np.linalg.norm(level))
    level = level / size if size > 1e-6 else np.array([1.0, 0.0, 0.0])
    level -= (level @ along) * along
    level /= np.linalg.norm(level)
    axes = np.stack([along, level, np.cross(along, level)])
    half = 0.5 * np.array([length, *across])
    return Iron(name, 0.5 * (a + b), axes, half, is_round, metal or Metal())
