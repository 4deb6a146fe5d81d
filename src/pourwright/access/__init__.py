"""How the work gets at the cavity: ways down for liquid; level ceilings, their air, and the tilt that leads it out."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.access.air import OUT, air_ways
    from pourwright.access.beside import tops_near
    from pourwright.access.ceilings import Ceiling, level_ceilings
    from pourwright.access.cover import Cover, cover_of, places_on
    from pourwright.access.falls import (
        HOSE,
        NONE,
        STRAIGHT,
        TUBE,
        Aims,
        Falls,
        Floors,
        beside_irons_m,
        bores,
        clearance_due,
        falls,
        floors_of,
        limb_width_m,
    )
    from pourwright.access.hole_room import (
        FRONT,
        HIDDEN,
        OTHER,
        SIDES,
        Edges,
        edges_of,
        fitted,
        inner_room_m,
        label_at,
        outward,
        side_of,
    )
    from pourwright.access.judged import (
        FALL_CLEAR,
        FALL_SPREAD,
        FLANGE_LAPS,
        FREE_FALL,
        HOSE_ROOM,
        LONGEST_FALL,
        SIDEWAYS,
        TUBE_ENDS,
        UNEVEN,
    )
    from pourwright.access.led import CeilingAir, foot_of, led
    from pourwright.access.side_holes import SidePlaces, served_from, side_edge, side_places, spout_run
    from pourwright.access.tilt import Tilt, smallest_tilt
else:
    __getattr__ = offered(__name__)

__all__ = [
    "FALL_CLEAR",
    "FALL_SPREAD",
    "FLANGE_LAPS",
    "FREE_FALL",
    "FRONT",
    "HIDDEN",
    "HOSE",
    "HOSE_ROOM",
    "LONGEST_FALL",
    "NONE",
    "OTHER",
    "OUT",
    "SIDES",
    "SIDEWAYS",
    "STRAIGHT",
    "TUBE",
    "TUBE_ENDS",
    "UNEVEN",
    "Aims",
    "Ceiling",
    "CeilingAir",
    "Cover",
    "Edges",
    "Falls",
    "Floors",
    "SidePlaces",
    "Tilt",
    "air_ways",
    "beside_irons_m",
    "bores",
    "clearance_due",
    "cover_of",
    "edges_of",
    "falls",
    "fitted",
    "floors_of",
    "foot_of",
    "inner_room_m",
    "label_at",
    "led",
    "level_ceilings",
    "limb_width_m",
    "outward",
    "places_on",
    "served_from",
    "side_edge",
    "side_of",
    "side_places",
    "smallest_tilt",
    "spout_run",
    "tops_near",
]
