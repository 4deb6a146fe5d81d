"""How the work gets at the cavity: ways down for liquid; level ceilings, their air, and the tilt that leads it out."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.access.air import OUT, air_ways
    from pourwright.access.beside import tops_near
    from pourwright.access.ceilings import Ceiling, level_ceilings
    from pourwright.access.cover import Cover, cover_of, places_on
    from pourwright.access.falls import HOSE, NONE, STRAIGHT, TUBE, Falls, bores, clearance_due, falls
    from pourwright.access.judged import FALL_CLEAR, FALL_SPREAD, FREE_FALL, HOSE_ROOM, LONGEST_FALL, UNEVEN
    from pourwright.access.led import CeilingAir, led
    from pourwright.access.tilt import Tilt, smallest_tilt
else:
    __getattr__ = offered(__name__)

__all__ = [
    "FALL_CLEAR",
    "FALL_SPREAD",
    "FREE_FALL",
    "HOSE",
    "HOSE_ROOM",
    "LONGEST_FALL",
    "NONE",
    "OUT",
    "STRAIGHT",
    "TUBE",
    "UNEVEN",
    "Ceiling",
    "CeilingAir",
    "Cover",
    "Falls",
    "Tilt",
    "air_ways",
    "bores",
    "clearance_due",
    "cover_of",
    "falls",
    "led",
    "level_ceilings",
    "places_on",
    "smallest_tilt",
    "tops_near",
]
