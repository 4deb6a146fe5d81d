"""Structure: the skin under rise pressure, and what the set foam adds, by finite elements on the real shape.

``lift_bulge`` answers how far the skin bulges under a lift and where to prop it; ``piece_gains`` compares the piece
before and after; ``solve_structure`` does both. Foam is a solid of cubes (``FoamBlock``) joined to the skin
(``Filled``).
"""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.structure.filled import Filled
    from pourwright.structure.fixing import Fixing, FixingStress, fixing_stress
    from pourwright.structure.foam import FoamBlock, Joint, foam_block, join
    from pourwright.structure.gains import Loads, piece_gains
    from pourwright.structure.mesh import SkinMesh, even_mesh, skin_mesh
    from pourwright.structure.model import (
        FINER,
        RESTS,
        Gain,
        LiftBulge,
        PressedLift,
        PressedPour,
        Prop,
        PushMap,
        Shape,
        StiffnessResult,
        pressed_lift,
    )
    from pourwright.structure.pressed import Under, bed, stands_in
    from pourwright.structure.pressure import HARDLY_THINNER, higher_start, lift_bulge, limit_pressure, thinner_lift
    from pourwright.structure.solve import StructureJob, solve_structure, under_of
    from pourwright.structure.support import Support, resting, support_of
else:
    __getattr__ = offered(__name__)

__all__ = [
    "FINER",
    "HARDLY_THINNER",
    "RESTS",
    "Filled",
    "Fixing",
    "FixingStress",
    "FoamBlock",
    "Gain",
    "Joint",
    "LiftBulge",
    "Loads",
    "PressedLift",
    "PressedPour",
    "Prop",
    "PushMap",
    "Shape",
    "SkinMesh",
    "StiffnessResult",
    "StructureJob",
    "Support",
    "Under",
    "bed",
    "even_mesh",
    "fixing_stress",
    "foam_block",
    "higher_start",
    "join",
    "lift_bulge",
    "limit_pressure",
    "piece_gains",
    "pressed_lift",
    "resting",
    "skin_mesh",
    "solve_structure",
    "stands_in",
    "support_of",
    "thinner_lift",
    "under_of",
]
