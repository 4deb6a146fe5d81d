"""Solid and lined side by side: weight, stiffness, hours, dose and what is bought; which of them nothing beats."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.ways.choose import Answer, least_weight, stiffest
    from pourwright.ways.compare import Way, Ways, compare_ways
else:
    __getattr__ = offered(__name__)

__all__ = ["Answer", "Way", "Ways", "compare_ways", "least_weight", "stiffest"]
