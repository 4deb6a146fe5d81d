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
        way_down,
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
        kept_out,
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
    from pourwright.access.keep_out import KeepOut
    from pourwright.access.led import CeilingAir, foot_of, led
    from pourwright.access.past_walls import Walls
    from pourwright.access.set_in import Before, near_any, off_things_m, set_before
    from pourwright.access.side_holes import SidePlaces, served_from, side_edge, side_places, spout_run
    from pourwright.access.spots import inside_outline, set_out, slope_side, sorted_rows
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
    "Before",
    "Ceiling",
    "CeilingAir",
    "Cover",
    "Edges",
    "Falls",
    "Floors",
    "KeepOut",
    "SidePlaces",
    "Tilt",
    "Walls",
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
    "inside_outline",
    "kept_out",
    "label_at",
    "led",
    "level_ceilings",
    "limb_width_m",
    "near_any",
    "off_things_m",
    "outward",
    "places_on",
    "served_from",
    "set_before",
    "set_out",
    "side_edge",
    "side_of",
    "side_places",
    "slope_side",
    "smallest_tilt",
    "sorted_rows",
    "spout_run",
    "tops_near",
    "way_down",
]
