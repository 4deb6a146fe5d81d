"""The cautions that every plan shows. They defer to the data sheet, local rules and licensed people."""

from __future__ import annotations

from pourwright.foam import FoamAtShop
from pourwright.lifts import LiftPlan
from pourwright.shell import Skin

ALWAYS = (
    "Part A is an isocyanate: gloves, eye protection, ventilation and the respirator that the safety data sheet and "
    "local rules ask for. Do not pour inside a closed shell without forced air.",
    "Large masses of foam run hot and can char or catch fire. Never pour a lift thicker than the data sheet allows, "
    "never pour onto rising or hot foam, never box in hot foam.",
    "Do not cut, drill or break a core that is still hot: air can set it alight. Keep a fire watch after a large pour "
    "and let scrap cool in small pieces outdoors.",
    "Before mixing, the ports and vents that a pour needs are open and clear, and those that its foam would rise past "
    "are closed and held, as the plan names them. What is closed while foam rises is held with a board from the side: "
    "nobody leans over a port or vent then.",
    "Mix exactly to the data sheet's ratio and weigh a cup test on the day; it replaces the yield and times used here.",
    "Cured foam burns. Behind a thin skin it may need a barrier under the local code: ask the authority in charge. "
    "Cover foam that sunlight could reach.",
    "Weights, pressures, stiffness, anchor, lifting and flotation figures are estimates, to be checked by a licensed "
    "engineer or the authority in charge before anyone relies on them.",
)


def cautions_for(skin: Skin, foam: FoamAtShop, lift_plan: LiftPlan) -> tuple[str, ...]:
    """The standing cautions, and those that this skin, grade or plan brings with it."""
    more = []
    if foam.grade.max_lift_is_judgement and any(
        check.name == "lift thickness" for lift in lift_plan.lifts for pour in lift.pours for check in pour.checks
    ):
        more.append(
            "No public standard for poured lifts was found; the lift thickness used here is our judgement. "
            "The supplier's figure wins wherever it is lower."
        )
    if not skin.material.foam_bonds:
        more.append(
            f"Foam does not stick to untreated {skin.material.title.lower()}. Expect a gap after cooling and a way in "
            "for water; close ports and vents watertight where the piece floats."
        )
    return (*ALWAYS, *more)
