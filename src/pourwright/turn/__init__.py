"""Which way up to pour: directions searched over the sphere, ranked by the work they make, the best seen in full."""

from pourwright.turn import judged
from pourwright.turn.model import Confirmed, Symmetry, Turn, Way
from pourwright.turn.search import find_ways
from pourwright.turn.sphere import near_signs
from pourwright.turn.words import direction_line, facts, stands_words

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
