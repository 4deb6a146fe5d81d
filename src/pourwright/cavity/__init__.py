"""The space the foam fills, and how it is connected from low to high in the pour direction."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.cavity._compile import kernel
    from pourwright.cavity.apart import Apart, apart_of
    from pourwright.cavity.build import build_cavity
    from pourwright.cavity.columns import ColumnMap, nearest_skin_point, skin_above, straight_up
    from pourwright.cavity.floor import Floor, floor_of
    from pourwright.cavity.frame import PourFrame, pour_frame
    from pourwright.cavity.levels import build_levels
    from pourwright.cavity.limbs import Limb, Limbs, limbs_of
    from pourwright.cavity.looks.coarse_sweep import CoarseSweep, Ends, coarse_sweep, coarse_sweeps
    from pourwright.cavity.model import Cavity, Extremum, Grid, LevelGraph, Spared
    from pourwright.cavity.outline import free_surface, outline, region_mesh
    from pourwright.cavity.space import Space
else:
    __getattr__ = offered(__name__)

__all__ = [
    "Apart",
    "Cavity",
    "CoarseSweep",
    "ColumnMap",
    "Ends",
    "Extremum",
    "Floor",
    "Grid",
    "LevelGraph",
    "Limb",
    "Limbs",
    "PourFrame",
    "Space",
    "Spared",
    "apart_of",
    "build_cavity",
    "build_levels",
    "coarse_sweep",
    "coarse_sweeps",
    "floor_of",
    "free_surface",
    "kernel",
    "limbs_of",
    "nearest_skin_point",
    "outline",
    "pour_frame",
    "region_mesh",
    "skin_above",
    "straight_up",
]
