"""A piece with ribs as a whole: the space of its ribs, and what is told of them when their pours are known."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.banded.alone import by_themselves, settings_alone
    from pourwright.banded.space import RibSpace, hollow_of, space_of_ribs, whole_skin
    from pourwright.banded.told import board_of, dam_checks, insert_checks, ribbed_of
else:
    __getattr__ = offered(__name__)

__all__ = [
    "RibSpace",
    "board_of",
    "by_themselves",
    "dam_checks",
    "hollow_of",
    "insert_checks",
    "ribbed_of",
    "settings_alone",
    "space_of_ribs",
    "whole_skin",
]
