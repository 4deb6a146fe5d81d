"""Solid and lined side by side: weight, stiffness, hours, dose and what is bought; which of them nothing beats."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.ways.bench import Way
    from pourwright.ways.choose import Answer, least_weight, stiffest
    from pourwright.ways.compare import Ways, compare_ways
    from pourwright.ways.instead import with_lining
    from pourwright.ways.panel import LEAST_SKIN_M, Sandwich, free_wall, lightest
else:
    __getattr__ = offered(__name__)

__all__ = [
    "LEAST_SKIN_M",
    "Answer",
    "Sandwich",
    "Way",
    "Ways",
    "compare_ways",
    "free_wall",
    "least_weight",
    "lightest",
    "stiffest",
    "with_lining",
]
