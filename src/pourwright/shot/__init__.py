"""A closed cavity filled in one shot by a machine: its packing, the way of the foam in it, what each port gets."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.shot.chambers import Chambers, chambers_of
    from pourwright.shot.flow import Flow, Knit, PortReach, at_density, flow_of
    from pourwright.shot.machine import Machine, MeasuredShot, PortShot, shots_of
    from pourwright.shot.scale import ScaleWeight, scale_weight
    from pourwright.shot.tilts import TiltStage, tilt_stages
    from pourwright.shot.window import Window, window_of
else:
    __getattr__ = offered(__name__)

__all__ = [
    "Chambers",
    "Flow",
    "Knit",
    "Machine",
    "MeasuredShot",
    "PortReach",
    "PortShot",
    "ScaleWeight",
    "TiltStage",
    "Window",
    "at_density",
    "chambers_of",
    "flow_of",
    "scale_weight",
    "shots_of",
    "tilt_stages",
    "window_of",
]
