"""The space the foam fills, and how it is connected from low to high in the pour direction."""

from pourwright.cavity.build import build_cavity
from pourwright.cavity.frame import PourFrame, pour_frame
from pourwright.cavity.levels import build_levels
from pourwright.cavity.model import Cavity, Extremum, Grid, LevelGraph

__all__ = ["Cavity", "Extremum", "Grid", "LevelGraph", "PourFrame", "build_cavity", "build_levels", "pour_frame"]
