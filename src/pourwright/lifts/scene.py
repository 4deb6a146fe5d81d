"""What the pours of a piece are made from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pourwright.access import Ceiling, level_ceilings, limb_width_m
from pourwright.cavity import Cavity, ColumnMap, LevelGraph, Space, straight_up
from pourwright.divide.shapes import PourShape
from pourwright.foam import FoamAtShop
from pourwright.irons import Iron
from pourwright.lifts.model import Measures, Port, ShopLimits
from pourwright.lifts.mouths import asked_ports
from pourwright.lifts.skin_side import PanelStrength, UpOpenings, panel_strength, up_openings
from pourwright.ranges import Range
from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything the pours of a piece are made from."""

    skin: Skin
    cavity: Cavity
    graph: LevelGraph
    foam: FoamAtShop
    limits: ShopLimits
    columns: ColumnMap
    openings: UpOpenings
    strength: PanelStrength
    start_level: int
    made: tuple[Port, ...] = ()  # drilled holes that are there already
    set_in: tuple[Iron, ...] = ()

    @cached_property
    def ceilings(self) -> tuple[Ceiling, ...]:
        """Level ceilings."""
        return level_ceilings(self.cavity, self.columns, self.openings.of_run >= 0)

    @cached_property
    def limb_m(self) -> np.ndarray:
        """Width (nodes,) of the limb, with what stands in it."""
        return limb_width_m(self.cavity, self.graph)

    def measures(self, point_m: np.ndarray) -> Measures:
        """Tape measures of a point given in the shell file's axes."""
        left, front, base = (float(v) for v in self.cavity.frame.to_standing(point_m))
        return Measures(base, left, front)


def scene_of(
    space: Space, foam: FoamAtShop, limits: ShopLimits, start_level: int = 0, made: tuple[Port, ...] = ()
) -> Scene:
    """The scene of a piece that is full below ``start_level``; ports that the job asks for count as made."""
    skin, cavity, graph = space.skin, space.cavity, space.graph
    columns = straight_up(cavity, graph)
    openings = up_openings(skin, space.frame, cavity, graph, columns)
    strength = panel_strength(skin, space.frame, cavity, graph, space.panels, limits)
    holes = made or asked_ports(skin, cavity, limits.holes.at_m)
    return Scene(skin, cavity, graph, foam, limits, columns, openings, strength, start_level, holes, space.set_in)


@dataclass(frozen=True, eq=False)
class Band:
    """One lift while it is put together."""

    bottom: int
    top: int
    shapes: tuple[PourShape, ...]
    names: tuple[str, ...]
    limb: str = ""
    lift: int = 0  # number of its lift; 0: one more than its place among the bands

    def together(self, k: int) -> list[int]:
        """Pours of the lift that rise together with its pour ``k``, itself among them."""
        return [j for j, shape in enumerate(self.shapes) if shape.piece == self.shapes[k].piece]


def place_of(scene: Scene, point_m: np.ndarray) -> tuple[float, ...]:
    """Order of names: from the lowest up, then from left to right, then from front to back."""
    m = scene.measures(point_m)
    return (round(m.from_base_m, 9), round(m.from_left_m, 9), round(m.from_front_m, 9))


def density_of(foam: FoamAtShop, shape: PourShape) -> Range:
    """Density of a pour [kg/m3]: packed where it meets a cap, else open."""
    return foam.closed_density_kg_m3 if shape.sealed else foam.open_density_kg_m3


def read_only(array: np.ndarray) -> np.ndarray:
    """A copy that cannot be written to."""
    array = np.array(array, float)
    array.setflags(write=False)
    return array
