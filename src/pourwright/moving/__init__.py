"""From the bench to its place: turned by two hooks, on a bar, on a cradle, in a crate."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.moving.model import CRATE_BOARDS, CRATE_MORE, Bar, Chock, Crate, MoveResult, Tailing, TailStep
    from pourwright.moving.move import move
else:
    __getattr__ = offered(__name__)

__all__ = [
    "CRATE_BOARDS",
    "CRATE_MORE",
    "Bar",
    "Chock",
    "Crate",
    "MoveResult",
    "TailStep",
    "Tailing",
    "move",
]
