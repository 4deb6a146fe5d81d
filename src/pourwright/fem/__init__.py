"""Thin shells by finite elements: arrays in and out, no project types.

A model of triangles (``ShellModel``) gives a sparse stiffness matrix and load vectors; ``Factor`` solves it for many
loads; ``equilibrium`` finds rest where panels stretch as they bulge or lean on foam that only pushes; ``skin_stress``
reads the stress. Accuracy on published problems: docs/verification_shell.md.
"""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.fem.equilibrium import (
        TURN_RAD,
        Contact,
        Equilibrium,
        Guide,
        TurnsTooFarError,
        equilibrium,
        greatest_turn,
        springs,
    )
    from pourwright.fem.factor import Factor
    from pourwright.fem.model import UNKNOWNS, ShellModel
    from pourwright.fem.straight import LEFT_OUT, NextTerms, straight_up_to
    from pourwright.fem.stress import SkinStress, principal, skin_stress, von_mises
else:
    __getattr__ = offered(__name__)

__all__ = [
    "LEFT_OUT",
    "TURN_RAD",
    "UNKNOWNS",
    "Contact",
    "Equilibrium",
    "Factor",
    "Guide",
    "NextTerms",
    "ShellModel",
    "SkinStress",
    "TurnsTooFarError",
    "equilibrium",
    "greatest_turn",
    "principal",
    "skin_stress",
    "springs",
    "straight_up_to",
    "von_mises",
]
