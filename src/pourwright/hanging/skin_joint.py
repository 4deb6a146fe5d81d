"""The skin where an insert goes through it: a plate bonded to it takes what the insert brings, by finite elements."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from pourwright.errors import ShellError
from pourwright.hanging.rule import SUSTAINED, Rule, unknown_rule
from pourwright.hanging.traced import Traced
from pourwright.outcome import FoamSolid, Insert, SkinSolid
from pourwright.sources import Cited, Standing

SKIN_FOR_GOOD = Cited(
    0.5,
    "-",
    Standing.JUDGEMENT,
    note="share of the skin's design stress that it bears for good: that of glass laminate is a long-term limit "
    "already, that of other skins is not known to be one",
)
FOAM_CREEP = Cited(
    7.0,
    "-",
    Standing.MEMORY,
    "EN 14509",
    "creep coefficient of sandwich panels with a core of rigid foam, 100,000 h",
    note="movement under a load for good is 1 + 7 times that of its first minute",
)
FLAT = Cited(
    20.0, "deg", Standing.JUDGEMENT, note="slant of the skin to the wall up to which the rod is taken as square to it"
)
Axial = Callable[[np.ndarray, np.ndarray], np.ndarray]
NAME = "skin round the insert"


def skin_rules(
    insert: Insert, skin: SkinSolid | None, foam: FoamSolid, traced: Traced, others: int
) -> tuple[Rule, ...]:
    """What the skin at an insert is checked against; each part is held to all that the insert brings.

    ``others`` is how many other anchors there are: all are taken to stand as near as the nearest, under the same load.
    """
    why = _not_known(insert, skin, foam, traced)
    if why:
        return (unknown_rule(NAME, *why),)
    assert skin is not None
    assert insert.plate_m is not None
    from pourwright.structure import Fixing, fixing_stress

    given = (skin.wall_m, skin.youngs_pa, skin.poisson)
    reach = min(traced.edge_m, 10.0)
    soon = Fixing(*given, foam.modulus_pa, foam.poisson, traced.foam_depth_m, insert.plate_m, reach)
    late = Fixing(
        *given, foam.modulus_pa / (1.0 + FOAM_CREEP.value), foam.poisson, traced.foam_depth_m, insert.plate_m, reach
    )
    try:
        stresses = [fixing_stress(one) for one in (soon, late)]
    except ShellError as error:
        return (unknown_rule(NAME, str(error), "a smaller plate, or the anchor farther from the edge"),)
    arm = traced.arm_m
    near = 1.0 + others * max(one.of_neighbour(traced.neighbour_m, insert.plate_m) for one in stresses)

    def stress(shear: np.ndarray, out: np.ndarray) -> np.ndarray:
        ways = [one.pull * np.abs(out) + one.moment * arm * shear + one.shear * shear for one in stresses]
        return near * np.max(ways, axis=0)

    def pressure(shear: np.ndarray, out: np.ndarray) -> np.ndarray:
        ways = [one.foam_pull * np.abs(out) + one.foam_moment * arm * shear for one in stresses]
        return near * np.max(ways, axis=0)

    how = (
        f"rigid plate of {1e3 * insert.plate_m:.0f} mm bonded to flat skin on bonded foam, finite elements, all of the "
        f"insert's load on it with {1e3 * arm:.0f} mm of arm, foam as in its first minute and crept "
        f"({FOAM_CREEP.words()})"
    )
    group = "" if near < 1.005 else f", times {near:.2f} for the anchors beside it"
    weak = SUSTAINED.value * foam.crushing_pa
    return (
        Rule(
            NAME,
            "Pa",
            SKIN_FOR_GOOD.value * skin.design_pa,
            f"{how}{group}; {SKIN_FOR_GOOD.value:g} of the skin's design stress ({SKIN_FOR_GOOD.words()})",
            "a wider plate, less gap, or more anchors",
            stress,
        ),
        Rule("foam behind the plate", "Pa", weak, f"{how}{group}", "a wider plate, or more anchors", pressure),
        _bond(insert, arm),
    )


def _not_known(insert: Insert, skin: SkinSolid | None, foam: FoamSolid, traced: Traced) -> tuple[str, str] | None:
    """Why nothing is known of the skin at this insert, and what to do."""
    designed = "have the joint between insert and skin designed"
    if traced.opening:
        return (
            "the rod goes in by an opening: the skin hangs on the foam, and how it is held there is not known",
            "have what holds the skin on its foam looked at",
        )
    if insert.plate_m is None:
        return (
            "the insert goes through the skin and no plate on it is given",
            f"give insert.skin_plate, the diameter of a plate bonded to the skin, or {designed}",
        )
    if skin is None or math.isnan(skin.wall_m + skin.youngs_pa + skin.design_pa):
        return "no thickness, modulus or design stress of the skin is known here", designed
    if math.degrees(traced.slant_rad) > FLAT.value:
        return (
            f"the skin slants {math.degrees(traced.slant_rad):.0f} degrees to the wall, more than {FLAT.value:g} "
            f"({FLAT.words()})",
            f"an anchor where the skin is flatter to the wall, or {designed}",
        )
    if not skin.foam_bonds:
        return "foam does not bond to this skin, so a pull on the plate lifts the skin off it", designed
    if not foam.held or math.isnan(foam.modulus_pa + foam.compressive_pa) or not traced.foam_depth_m > 0:
        return "no foam is known behind this plate", designed
    if traced.neighbour_m < insert.plate_m:
        return f"the plates of two anchors {1e3 * traced.neighbour_m:.0f} mm apart overlap", "smaller plates"
    return None


def _bond(insert: Insert, arm: float) -> Rule:
    """Glue between plate and skin: pull and moment across it as even and as linear, shear along it even."""
    name = "bond of the plate to the skin"
    assert insert.plate_m is not None
    area, bending = math.pi * insert.plate_m**2 / 4, math.pi * insert.plate_m**3 / 32
    if insert.bond_pa is None:
        return unknown_rule(
            name, "no strength of the bond is given", "give insert.skin_bond, what its glue may bear for good"
        )
    return Rule(
        name,
        "Pa",
        insert.bond_pa,
        "strength given in the job; plate rigid, stress across the bond linear, along it even, as one sum",
        "a wider plate",
        lambda shear, out: np.abs(out) / area + arm * shear / bending + shear / area,
    )
