"""Foam that coats the inside and leaves the rest hollow: where it is, how it is turned, what stays bare."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.lining.bare import bare_places
    from pourwright.lining.chambers import Chamber, SolidPlace
    from pourwright.lining.make import Shop, line
    from pourwright.lining.model import Bare, Coat, Lining, Position
    from pourwright.lining.positions import cover, directions, rocked
    from pourwright.lining.push import lined_rigidity
    from pourwright.lining.region import Region, hollow_shares, region_of
    from pourwright.lining.rules import TURNINGS, Rules, Turning
    from pourwright.lining.surface import Inside, inside_of
else:
    __getattr__ = offered(__name__)

__all__ = [
    "TURNINGS",
    "Bare",
    "Chamber",
    "Coat",
    "Inside",
    "Lining",
    "Position",
    "Region",
    "Rules",
    "Shop",
    "SolidPlace",
    "Turning",
    "bare_places",
    "cover",
    "directions",
    "hollow_shares",
    "inside_of",
    "line",
    "lined_rigidity",
    "region_of",
    "rocked",
]
