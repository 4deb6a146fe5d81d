"""What is not known of the masses as a few independent causes: the wall, two densities, each item."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

import numpy as np

from pourwright.outcome.balance import loose_groups
from pourwright.outcome.parts import Loose, Part

WALL, SKIN, FOAM = 0, 1, 2
NAMES = ("thickness of the wall", "density of the skin", "density of the foam")
EVEN = 1.0 / math.sqrt(3.0)
"""Standard deviation of an even (rectangular) spread over its half-width: JCGM 100:2008, 4.3.7."""
TWICE = 2.0
"""Standard deviations of the ends of what a scale has told: coverage factor for about 95 %, JCGM 100:2008, 6.3.3."""
LEAST = 0.1
"""Of a mass that any one cause leaves at least, whatever a scale shows: our judgement, no source."""
DRAWS = 16384


@dataclass(frozen=True, eq=False)
class Causes:
    """Masses as they follow from their causes, each -1 at its low, 0 as expected, +1 at its high.

    ``own`` (p,) is the cause beside the wall that a part has, -1 for none; ``table`` (p, 3, 3) its mass with the wall
    thin, expected, thick and that cause low, expected, high.
    """

    names: tuple[str, ...]
    own: np.ndarray
    table: np.ndarray

    def masses(self, at: np.ndarray) -> np.ndarray:
        """Masses (c, p) at causes (c, n); straight between and beyond the ends."""
        wall = _shares(at[:, WALL])
        out = np.empty((len(at), len(self.own)))
        for k, cause in enumerate(self.own):
            mine = _shares(at[:, cause]) if cause >= 0 else _shares(np.zeros(len(at)))
            out[:, k] = np.einsum("ci,ij,cj->c", wall, self.table[k], mine)
        return out

    def slopes(self, at: np.ndarray) -> np.ndarray:
        """Change of the masses (p, n) with each cause at one point (n,); the mean of both sides of a kink."""
        up, down = self.sides(at)
        return 0.5 * (up + down)

    def sides(self, at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The same to the high and to the low side by themselves."""
        step, here = 1e-4 * np.eye(len(at)), self.masses(at[None])[0]
        return (self.masses(at + step) - here).T / 1e-4, (here - self.masses(at - step)).T / 1e-4

    def slopes_at(self, at: np.ndarray, of_mass: np.ndarray) -> np.ndarray:
        """Change (c, n) of one sum of masses ``of_mass`` (p,) with each cause, at points (c, n)."""
        steps = 1e-4 * np.eye(at.shape[1])
        sums = [(self.masses(at + step) - self.masses(at - step)) @ of_mass / 2e-4 for step in steps]
        return np.asarray(np.column_stack(sums))

    @property
    def floors(self) -> np.ndarray:
        """Ends (2, n), never within -1 and 1, at which a cause leaves some mass a tenth; infinite where none does."""
        ends = np.tile(np.array([[-math.inf], [math.inf]]), (1, len(self.names)))
        for table, own in zip(self.table, self.own, strict=True):
            if table[1, 1] > 0.0:
                for cause, three in ((WALL, table[:, 1]), (int(own), table[1])):
                    for end, way in ((0, 0), (1, 2)):
                        share = 1.0 - three[way] / three[1]
                        if share > 0.0 and cause >= 0:
                            far = (2 * end - 1) * max((1.0 - LEAST) / share, 1.0)
                            ends[end, cause] = min(ends[1, cause], far) if end else max(ends[0, cause], far)
        return ends


def _shares(at: np.ndarray) -> np.ndarray:
    return np.column_stack([np.maximum(-at, 0.0), 1.0 - np.abs(at), np.maximum(at, 0.0)])


def causes_of(parts: tuple[Part, ...]) -> Causes:
    """The causes behind the ranges of parts; those that are nothing's cause are there too, and move nothing."""
    groups = loose_groups(parts)
    own = np.full(len(parts), -1)
    for number, group in enumerate(groups, FOAM + 1):
        own[group] = number
    table = np.zeros((len(parts), 3, 3))
    for k, part in enumerate(parts):
        if part.kind in ("skin", "foam"):
            own[k] = SKIN if part.kind == "skin" else FOAM
            thin, thick = (np.array([w.low, w.nominal, w.high]) for w in (part.thin_kg, part.thick_kg))
            ratio = 0.5 * (thin / max(thin[1], 1e-300) + thick / max(thick[1], 1e-300))
            table[k] = thin, part.kg.nominal * ratio, thick
        elif own[k] >= 0:
            table[k] = np.array([part.kg.low, part.kg.nominal, part.kg.high])
        else:
            table[k] = part.kg.nominal
    names = tuple(" and ".join(parts[k].name for k in group) for group in groups)
    return Causes((*NAMES, *names), own, table)


def drawn(parts: tuple[Part, ...], count: int = DRAWS) -> tuple[np.ndarray, np.ndarray]:
    """Masses (count, p) and their causes (count, n), spread as likely as they are.

    Notes
    -----
    Each cause is even (rectangular) between its low and expected and between its expected and high, half the chance
    each: nothing but its ends is known (JCGM 100:2008, 4.3.7). Where the piece was weighed the causes are normal about
    what the scale told, within the ends that the job gives. The points are those of an even sequence, the same every
    time.

    >>> from pourwright.ranges import Range
    >>> kg, at = Range.about(10.0, 0.1), np.zeros(3)
    >>> part = Part("lamp", "item", 0, kg, kg, kg, "", at, np.zeros((3, 3)))
    >>> masses, _ = drawn((part,), 1024)
    >>> float(masses.mean().round(2)), float(masses.std().round(2))
    (10.0, 0.58)
    """
    if parts and parts[0].swings:
        from scipy.special import ndtri  # slow to load

        points = even_points(count, len(parts[0].swings))
        told = np.array([swing.told for swing in parts[0].swings])
        at = np.where(told, ndtri(points) / TWICE, 2.0 * points - 1.0)
        ups, downs = (
            np.array([[getattr(s, way) for s in part.swings] for part in parts]) for way in ("up_kg", "down_kg")
        )
        at = at[_within(parts[0].loose[0], at)]
        nominal = np.array([part.kg.nominal for part in parts])
        masses = nominal + np.maximum(at, 0.0) @ ups.T + np.minimum(at, 0.0) @ downs.T
        return np.clip(masses, *np.array([part.bounds_kg for part in parts]).T), at
    causes = causes_of(parts)
    at = 2.0 * even_points(count, len(causes.names)) - 1.0
    return causes.masses(at), at


def _within(loose: Loose, swings: np.ndarray) -> np.ndarray:
    """Numbers (count,) of the draws (count, n) that stay within the causes' ends, in turn as often as is due.

    What is normal between ends is drawn by leaving out what lies beyond them.
    """
    causes = loose.at + swings @ loose.moves.T
    good = np.flatnonzero(((causes >= loose.ends[0] - 1e-9) & (causes <= loose.ends[1] + 1e-9)).all(axis=1))
    return np.resize(good, len(swings)) if len(good) else np.arange(len(swings))


def even_points(count: int, ways: int) -> np.ndarray:
    """Points (count, ways) that fill the unit cube evenly, Sobol's; ``count`` a power of two.

    >>> even_points(4, 1)[:, 0].tolist()
    [0.125, 0.625, 0.875, 0.375]
    """
    from scipy.stats import qmc  # slow to load

    points = qmc.Sobol(ways, scramble=False).random(count)
    return np.asarray(points + 0.5 / count)


def corners_of_known_wall(parts: tuple[Part, ...]) -> np.ndarray:
    """Masses (c, p) as by ``corner_masses``, but with the wall exactly as thick as expected."""
    if parts and parts[0].swings:
        return np.column_stack([part.known_wall_kg for part in parts])
    causes = causes_of(parts)
    signs = _signs(len(causes.names) - 1)
    return causes.masses(np.column_stack([np.zeros(len(signs)), signs]))


def _signs(count: int) -> np.ndarray:
    return np.array([(0.0,) * count, *product((-1.0, 1.0), repeat=count)])
