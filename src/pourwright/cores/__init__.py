"""Light cores in a cavity: where they fit under foam, how they float while it is liquid."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.cores.checks import core_checks
    from pourwright.cores.courses import Cells, laid, laid_in
    from pourwright.cores.floating import HELD_FROM, Rising, most_uplift_n
    from pourwright.cores.judged import Cored, cored
    from pourwright.cores.mouth import clear_m, end_across_m, rim_m
    from pourwright.cores.rules import BALLS_PACK, BALLS_POURED, COVER, EPS_LIMIT, GAP, CoreRules, Laid, passes
else:
    __getattr__ = offered(__name__)

__all__ = [
    "BALLS_PACK",
    "BALLS_POURED",
    "COVER",
    "EPS_LIMIT",
    "GAP",
    "HELD_FROM",
    "Cells",
    "CoreRules",
    "Cored",
    "Laid",
    "Rising",
    "clear_m",
    "core_checks",
    "cored",
    "end_across_m",
    "laid",
    "laid_in",
    "most_uplift_n",
    "passes",
    "rim_m",
]
