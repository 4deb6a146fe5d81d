"""How likely the loads of a hanging piece are, beside their worst case; and whether the wall's thickness decides."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from pourwright.hanging.hang_cases import judge
from pourwright.hanging.hang_loads import Combined
from pourwright.hanging.hang_model import LoadCase
from pourwright.hanging.hang_setup import SetUp
from pourwright.hanging.hang_solve import Hung, Situation, situation
from pourwright.hanging.rule import Rule
from pourwright.outcome import (
    LikelyAnchor,
    LikelyHang,
    Piece,
    causes_of,
    corner_centres,
    corners_of_known_wall,
    drawn,
    likely_of,
    shares_of,
)

SOLVED = 1024
"""Draws that are solved for their loads."""
SMALL = 0.005
"""Shares of the variance below this are not told."""


@dataclass(frozen=True, eq=False)
class Asked:
    """What the loads are asked of."""

    piece: Piece
    against: SetUp
    hung: Hung
    names: tuple[str, ...]
    rules: tuple[tuple[Rule, ...], ...]
    loads_of: Callable[[SetUp], tuple[Combined, ...]]

    def with_masses(self, masses: np.ndarray) -> tuple[Combined, ...]:
        """Every combination of loads with other masses (c, p)."""
        centres = self.against.to_wall(corner_centres(self.piece.parts, masses))
        return self.loads_of(replace(self.against, masses=masses, centres_m=centres))


def likely_hang(asked: Asked, worst: LoadCase | None) -> LikelyHang:
    """Likely ranges of the weight, of each anchor's load, and of the use of a limit where the worst case has it."""
    parts = asked.piece.parts
    masses, causes = drawn(parts)
    kg = masses.sum(axis=1)
    few = slice(SOLVED)
    loads = asked.with_masses(masses[few])
    alone = situation(asked.hung, loads[0].wrench)
    used = None if worst is None else _used(asked, loads, worst)
    shares = shares_of(kg, causes) if used is None else shares_of(used, causes[few])
    # What a scale leaves open hangs together: no cause then has a share of its own.
    names = () if parts[0].swings else causes_of(parts).names
    found = sorted(zip(names, (float(s) for s in shares), strict=False), key=lambda one: -one[1])
    return LikelyHang(
        kg=likely_of(kg),
        anchors=tuple(_anchor(name, k, alone) for k, name in enumerate(asked.names) if alone.shear_n is not None),
        utilisation=None if used is None else likely_of(used),
        shares=tuple(one for one in found if one[1] >= SMALL),
        wall_known=_wall_known(asked, worst),
    )


def _anchor(name: str, k: int, alone: Situation) -> LikelyAnchor:
    assert alone.shear_n is not None
    pulls = [np.maximum(way.out_n[:, k], 0.0) for way in alone.possible if way.out_n is not None]
    shear = likely_of(np.linalg.norm(alone.shear_n[:, k], axis=1))
    return LikelyAnchor(name, shear, likely_of(np.max(pulls, axis=0)) if pulls else None)


def _used(asked: Asked, loads: tuple[Combined, ...], worst: LoadCase) -> np.ndarray | None:
    """Greatest share of a limit at every draw, under the loads and without the anchor of the worst case."""
    one = next(load for load in loads if load.name == worst.combination)
    gone = asked.names.index(worst.gone) if worst.gone else None
    return _shares_of_limits(asked, one, gone)


def _shares_of_limits(asked: Asked, one: Combined, gone: int | None) -> np.ndarray | None:
    judged = judge(situation(asked.hung, one.wrench, gone), one, asked.names, asked.rules)
    rows = [
        row / rule.limit
        for mine, values in zip(asked.rules, judged.values, strict=True)
        for rule, row in zip(mine, values, strict=True)
        if not math.isnan(rule.limit) and not np.isnan(row).any()
    ]
    return np.asarray(np.max(rows, axis=0)) if rows else None


def _wall_known(asked: Asked, worst: LoadCase | None) -> float:
    """Greatest use over every case were the wall as expected; nan where no limit is passed as it is."""
    if worst is None or not worst.utilisation > 1.0:
        return math.nan
    loads = asked.with_masses(corners_of_known_wall(asked.piece.parts))
    ways = [None, *range(len(asked.names))]
    found = [_shares_of_limits(asked, one, gone) for one in loads for gone in ways]
    return max((float(used.max()) for used in found if used is not None), default=math.nan)
