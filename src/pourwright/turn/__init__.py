"""Which way up to pour: directions over the sphere ranked by the work they make, the best evaluated in full."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.turn import judged
    from pourwright.turn.model import Confirmed, Symmetry, Turn, Way
    from pourwright.turn.search import find_ways
    from pourwright.turn.sphere import near_signs
    from pourwright.turn.words import direction_line, facts, stands_words
else:
    __getattr__ = offered(__name__)

__all__ = [
    "Confirmed",
    "Symmetry",
    "Turn",
    "Way",
    "direction_line",
    "facts",
    "find_ways",
    "judged",
    "near_signs",
    "stands_words",
]
