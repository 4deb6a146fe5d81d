"""The cautions that every plan shows. They defer to the data sheet, local rules and licensed people."""

from __future__ import annotations

import math

from pourwright.foam import FoamAtShop, Sides
from pourwright.lifts import Division, Pour
from pourwright.shell import Skin

BY_HAND = (
    "Before mixing, the ports and vents that a pour needs are open and clear, and those that its foam would rise past "
    "are closed and held, as the plan names them. What is closed while foam rises is pressed shut from the side: "
    "nobody leans over a port or vent then.",
    "Mix exactly to the data sheet's ratio and weigh a cup test on the day; it replaces the yield and times used here.",
)
BY_MACHINE = (
    "Before the first shot every clamp is closed, and the ports and vents that it needs are open and clear. Nobody "
    "leans over a port or vent while foam rises. No clamp is opened while the part is under pressure.",
    "Check the machine's ratio and output by weighing both sides on the day, and shoot a cup for its times and "
    "density; they replace the yield and times used here.",
)
ALWAYS = (
    "The isocyanate side ({side}): gloves, eye protection, ventilation and the respirator that the safety data sheet "
    "and local rules ask for. Do not pour inside a closed shell without forced air.",
    "Large masses of foam run hot and can char or catch fire. Never pour a lift thicker than the data sheet allows, "
    "never pour onto rising or hot foam, never box in hot foam.",
    "Do not cut, drill or break a core that is still hot: air can set it alight. Keep a fire watch after a large pour "
    "and let scrap cool in small pieces outdoors.",
    "Cured foam burns. Behind a thin skin it may need a barrier under the local code: ask the authority in charge. "
    "Cover foam that sunlight could reach.",
    "Weights, pressures, stiffness, anchor, lifting and flotation figures are estimates, to be checked by a licensed "
    "engineer or the authority in charge before anyone relies on them.",
)


LARGE_POUR_M3, LARGE_LIFT_M = 0.03, 0.20
"""A pour of so much foam or so thick a lift counts as large; our judgement, no published source."""
LARGE = (
    "Large pour ({why}): what public alerts on foam in voids ask for. Keep to the quantity of each pour and to "
    "the time between them; a site plan with formwork, volumes and rates; protective equipment; watch the "
    "temperature inside; a fire watch that lasts, for hot foam has set itself alight again after hours; never new foam "
    "into foam that still rises. (Read: mine safety alert of the United States after a fire in June 2024; alert 387 "
    "of 2021 of the Queensland mines inspectorate. Quoted second-hand: a fire marshal's memo, Massachusetts 2011; "
    "a regulator's report on a fire in New South Wales, January 2025.)"
)


def _side(sides: Sides) -> str:
    """Which drum the isocyanate is in, as far as it is known."""
    letters = "; some suppliers letter the sides the other way" if sides == Sides() else ""
    return f"{sides.a}: check the drum's label{letters}"


def _large(lift_plan: Division) -> str:
    """Why a plan's pours are large; empty where none is."""
    pours = [pour for lift in lift_plan.lifts for pour in lift.pours]
    most = max((pour.volume_m3 for pour in pours), default=0.0)
    thick = max((_thick(pour) for pour in pours), default=0.0)
    if most >= LARGE_POUR_M3:
        return f"{most * 1e3:.0f} L of foam in one, {LARGE_POUR_M3 * 1e3:.0f} L or more counts"
    if thick > LARGE_LIFT_M:
        return f"foam {thick * 1e3:.0f} mm thick, more than {LARGE_LIFT_M * 1e3:.0f} mm counts"
    return ""


def _thick(pour: Pour) -> float:
    """Least of a pour's rise and of its mean width [m]: a slender leg is not thick because it is long."""
    if pour.rise_m <= 0:
        return 0.0
    return min(pour.rise_m, 2.0 * math.sqrt(pour.volume_m3 / pour.rise_m / math.pi))


def cautions_for(skin: Skin, foam: FoamAtShop, lift_plan: Division, machine: bool = False) -> tuple[str, ...]:
    """The standing cautions, and those that this skin, grade or plan brings with it."""
    large = _large(lift_plan)
    more = [LARGE.format(why=large)] if large else []
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
    own = BY_MACHINE if machine else BY_HAND
    always = (*ALWAYS[:3], *own, *ALWAYS[3:])
    return (*(words.format(side=_side(foam.grade.sides)) for words in always), *more)
