"""The piece on its wall: pose, rods traced through it, loads on every anchor, checks, places for anchors."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.hanging.hang import hang
    from pourwright.hanging.hang_model import AnchorLoad, CaseForce, CombinedUse, HangResult, LoadCase, OneGone
    from pourwright.hanging.hang_sets import set_names
    from pourwright.hanging.pose import HangingPose, hanging_pose, hung_anchors, hung_point
    from pourwright.hanging.set_in import inserts_set_in
    from pourwright.hanging.suggest import Suggestion, suggest
    from pourwright.hanging.traced import insert_spans
else:
    __getattr__ = offered(__name__)

__all__ = [
    "AnchorLoad",
    "CaseForce",
    "CombinedUse",
    "HangResult",
    "HangingPose",
    "LoadCase",
    "OneGone",
    "Suggestion",
    "hang",
    "hanging_pose",
    "hung_anchors",
    "hung_point",
    "insert_spans",
    "inserts_set_in",
    "set_names",
    "suggest",
]
