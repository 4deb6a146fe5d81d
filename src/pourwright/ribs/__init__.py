"""Foam in chosen height bands only: the piece cut at the bands, dams that foam is poured against, ways in."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.ribs.bands import Ribs, ribs_of
    from pourwright.ribs.cut import between, levelled
    from pourwright.ribs.dams import Dam, Mouth, Push, dam_of, mouths_of
    from pourwright.ribs.hollows import Hollow, WayIn, hollows_of, way_in_of
    from pourwright.ribs.judged import BOARD_DENSITY, LEAST_STRIP, REACH
    from pourwright.ribs.model import Ribbed
    from pourwright.ribs.rules import RibRules
else:
    __getattr__ = offered(__name__)

__all__ = [
    "BOARD_DENSITY",
    "LEAST_STRIP",
    "REACH",
    "Dam",
    "Hollow",
    "Mouth",
    "Push",
    "RibRules",
    "Ribbed",
    "Ribs",
    "WayIn",
    "between",
    "dam_of",
    "hollows_of",
    "levelled",
    "mouths_of",
    "ribs_of",
    "way_in_of",
]
