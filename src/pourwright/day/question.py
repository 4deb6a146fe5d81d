"""What a day is asked for, and what was found."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Limbs
from pourwright.day.body import Heat, Slabs, Source
from pourwright.day.front import undominated
from pourwright.day.model import Allowed, Day, Hinder, Work
from pourwright.day.offers import Offers
from pourwright.heat import SkinLayer, Surroundings


@dataclass(frozen=True, eq=False)
class Choice:
    """What was found for a piece.

    ``front`` holds the best day of every number of pours that was tried, from the fewest up; ``shown`` says for which
    of them there is a reason.
    """

    limbs: Limbs
    slabs: Slabs
    front: tuple[Day, ...]
    chosen: int  # index in ``front``
    busy_s: tuple[float, ...]  # how long one person is at each pour of the chosen day, in its order
    stray: tuple[np.ndarray, ...]  # nodes of loose spaces too small for a pour
    marches: int  # of the search
    cells: int  # of the search
    fine_cells: int  # of the last word; 0 where it was not asked for
    words: tuple[str, ...]
    offers: Offers | None = None  # what would shorten the day; None: not asked
    hinders: Hinder | None = None  # where the chosen day is over what heat allows; None: nowhere, or not asked

    @property
    def day(self) -> Day:
        """The chosen day."""
        return self.front[self.chosen]

    @property
    def shown(self) -> tuple[int, ...]:
        """Indices in ``front`` of the days that are not dominated, and of the chosen one."""
        return undominated(self.front, self.chosen)


@dataclass(frozen=True, slots=True)
class Weighs:
    """What foam weighs in a day."""

    open_kg_m3: float  # under a free surface
    closed_kg_m3: float  # of the last pour of a limb that nothing lies on: held back by the skin over it
    layer_kg_m2: float  # of the dense layer at a free surface, over the foam in it


@dataclass(frozen=True, eq=False)
class Question:
    """What a day is asked for."""

    cavity: Cavity
    graph: LevelGraph
    source: Source
    skin: SkinLayer
    air: Surroundings
    work: Work
    allowed: Allowed
    least_m3: float  # foam that is worth a pour of its own
    stray_m3: float  # a loose space smaller than that stays empty
    spill_m: float
    thin_m: float  # no pour is cut thinner, where slabs and limb allow
    weighs: Weighs
    tall_m: np.ndarray  # (nodes,) thickness that other limits allow through each node
    apart: tuple[tuple[int, int, tuple[int, ...]], ...] = ()
    """Levels: no pour reaches from below the first to above the second; of limbs with these nodes, (): of all."""
    aim: str = "hours"  # "hours" | "fewest pours" | "lightest"
    measured: tuple[tuple[str, Heat], ...] = ()  # what a measurement might show, in words, and the heat known then
    own: tuple[int, ...] = ()  # limbs with these nodes are not filled along with others, however small
    pours: int | None = None  # takes the day of so many pours from the front
    start_level: int = 0
