"""What stands in the cavity before the first pour: irons, rods, boxes, and the room they take from the foam."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.irons.model import Iron, Metal, bar, box, rod
    from pourwright.irons.room import Taken, nearest_m, taken_out, upright_m
else:
    __getattr__ = offered(__name__)

__all__ = ["Iron", "Metal", "Taken", "bar", "box", "nearest_m", "rod", "taken_out", "upright_m"]
