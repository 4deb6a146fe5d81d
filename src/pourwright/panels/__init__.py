"""The flattest panels of a skin: grown over its triangles, unrolled and measured."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.panels.panels import flattest_panel, panels
    from pourwright.panels.shape import Panel, sides_m, tangent_frame
    from pourwright.panels.unroll import FlatPatch, unroll
else:
    __getattr__ = offered(__name__)

__all__ = [
    "FlatPatch",
    "Panel",
    "flattest_panel",
    "panels",
    "sides_m",
    "tangent_frame",
    "unroll",
]
