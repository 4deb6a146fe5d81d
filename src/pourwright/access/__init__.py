"""How the work gets at the cavity: level ceilings and the air under them, with the tilt that would lead it out."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.access.air import OUT, air_ways
    from pourwright.access.beside import tops_near
    from pourwright.access.ceilings import Ceiling, level_ceilings
    from pourwright.access.cover import Cover, cover_of, places_on
    from pourwright.access.judged import UNEVEN
    from pourwright.access.led import CeilingAir, led
    from pourwright.access.tilt import Tilt, smallest_tilt
else:
    __getattr__ = offered(__name__)

__all__ = [
    "OUT",
    "UNEVEN",
    "Ceiling",
    "CeilingAir",
    "Cover",
    "Tilt",
    "air_ways",
    "cover_of",
    "led",
    "level_ceilings",
    "places_on",
    "smallest_tilt",
    "tops_near",
]
