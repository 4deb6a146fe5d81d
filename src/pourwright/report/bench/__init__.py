"""Drawings for the bench: the set-out of what is buried, and the blocks under a tilted piece."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.report.bench.set_out import EDGE_MM, set_out_svg
    from pourwright.report.bench.wedges import wedged, wedges_svg
else:
    __getattr__ = offered(__name__)

__all__ = ["EDGE_MM", "set_out_svg", "wedged", "wedges_svg"]
