"""The piece afloat: hydrostatics, states afloat and flooded, flotation."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.water.afloat import CrushDepth, FloatResult, Reserve, afloat, foam_volume, heels_too_far
    from pourwright.water.flotation import MODIFIED, Flotation, SubmergedWeight, swamped_loads
    from pourwright.water.hull import Hull, hull_of
    from pourwright.water.hydrostatics import Floating, float_body
    from pourwright.water.regions import Allowance, FoamRegion
    from pourwright.water.settle import FloatingBody, Rest, settle
    from pourwright.water.state import Filling, FloatState
    from pourwright.water.under import Submerged, submerged
else:
    __getattr__ = offered(__name__)

__all__ = [
    "MODIFIED",
    "Allowance",
    "CrushDepth",
    "Filling",
    "FloatResult",
    "FloatState",
    "Floating",
    "FloatingBody",
    "Flotation",
    "FoamRegion",
    "Hull",
    "Reserve",
    "Rest",
    "Submerged",
    "SubmergedWeight",
    "afloat",
    "float_body",
    "foam_volume",
    "heels_too_far",
    "hull_of",
    "settle",
    "submerged",
    "swamped_loads",
]
