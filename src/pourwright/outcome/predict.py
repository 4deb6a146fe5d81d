"""All questions about the finished piece, answered together."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop, parts_for
from pourwright.lifts import Division
from pourwright.outcome.model import Outcome
from pourwright.outcome.moments import cavity_moments
from pourwright.outcome.parts import mass_parts
from pourwright.outcome.stiffness import cooling_gap, stiffness_gains
from pourwright.outcome.weight import foam_total, joint, lift_mass, skin_mass, total_mass
from pourwright.panels import Panel
from pourwright.shell import Skin


def predict(
    skin: Skin,
    panels: tuple[Panel, ...],
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    lift_plan: Division,
    *,
    loss_share: float,
    bond: float | None = None,
) -> Outcome:
    """Weight, balance, liquids to buy and stiffness of the filled piece.

    Parameters
    ----------
    panels : tuple of Panel
        Flattest panels of the skin, worst first; may be empty.
    loss_share : float
        Share of the liquids that stays in cups or is trimmed off [-], 0 to under 1.
    bond : float or None
        Share of the bond between foam and skin to count; None takes the skin material's word.

    Liquids to buy cover the high end of the foam's weight, because a shop that runs out in the middle of a pour has
    spoiled it, and what stays on the walls of the tubes that are poured through.
    """
    moments = cavity_moments(cavity, graph)
    bare = skin_mass(skin, cavity, moments)
    filled = [lift_mass(lift, cavity, moments) for lift in lift_plan.lifts]
    stages = [joint(bare, *filled[: count + 1]) for count in range(len(filled))]
    foam_kg = foam_total(lift_plan, cavity)
    whole = joint(bare, *filled)
    stays_kg = sum(pour.stays.total_kg for lift in lift_plan.lifts for pour in lift.pours if not pour.poured)
    buy = parts_for(foam, foam_kg.high / (1.0 - loss_share) + stays_kg)
    centres = np.array([stage.centre_m for stage in stages]).reshape(-1, 3)
    for array in (bare.centre_m, whole.centre_m, centres):
        array.setflags(write=False)
    return Outcome(
        foam_kg=foam_kg,
        skin_kg=bare.kg,
        total_kg=total_mass(bare.kg, lift_plan, cavity),
        liquids_a_kg=buy.a_kg,
        liquids_b_kg=buy.b_kg,
        liquids_a_m3=buy.a_m3,
        liquids_b_m3=buy.b_m3,
        loss_share=loss_share,
        centre_before_m=bare.centre_m,
        centre_of_mass_m=whole.centre_m,
        after_lift_kg=tuple(stage.kg for stage in stages),
        after_lift_centre_m=centres,
        stiffness=stiffness_gains(skin, panels, cavity, graph, foam, bond=bond),
        gap_m=cooling_gap(graph, foam),
        parts=mass_parts(skin, cavity, moments, lift_plan),
    )
