"""What a lined piece becomes: its real weight, balance and stiffness, hollow where it is hollow."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, PourFrame
from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop, parts_for
from pourwright.lifts import Check
from pourwright.outcome.lined_mass import lined_foam
from pourwright.outcome.model import Outcome, StiffnessGain
from pourwright.outcome.moments import cavity_moments
from pourwright.outcome.parts import foam_part, skin_part
from pourwright.outcome.site import Site
from pourwright.outcome.stiffness import SMALL, cooling_gap, stiffness_gains, whole_body
from pourwright.outcome.weight import Mass, joint, skin_mass
from pourwright.panels import Panel
from pourwright.ranges import Range
from pourwright.shell import Skin

if TYPE_CHECKING:
    from pourwright.lining import Lining

COATED = "coats 10 % thinner to thicker over all (our judgement), density in place with its spread"
POURED = "volume as it is modelled, density in place with its spread"


def hollow_of(cavity: Cavity, hollow: np.ndarray, volume_m3: float) -> Cavity:
    """The hollow as a cavity on the same cells."""
    return replace(cavity, fraction=hollow, volume_m3=volume_m3)


def predict_lined(
    skin: Skin,
    panels: tuple[Panel, ...],
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    lining: Lining,
    *,
    loss_share: float,
    bond: float | None = None,
) -> Outcome:
    """Weight, balance, liquids to buy and stiffness of a lined piece; arguments as for `predict`."""
    moments = cavity_moments(cavity, graph)
    inner = hollow_of(cavity, lining.region.hollow, lining.region.hollow_m3)
    coats, solid = lined_foam(cavity, graph, lining)
    foams = [("foam lining", coats, COATED), *([("foam of solid parts", solid, POURED)] if solid is not None else [])]
    bare = skin_mass(skin, cavity, moments)
    kg = Range.sum(one.kg for _, one, _ in foams)
    whole = joint(bare, *(Mass(one.kg, cavity.frame.to_shell(one.moments.middle_m())) for _, one, _ in foams))
    buy = parts_for(foam, kg.high / (1.0 - loss_share))
    centres = np.zeros((0, 3))
    for array in (bare.centre_m, whole.centre_m, centres):
        array.setflags(write=False)
    return Outcome(
        foam_kg=kg,
        skin_kg=bare.kg,
        total_kg=bare.kg + kg,
        liquids_a_kg=buy.a_kg,
        liquids_b_kg=buy.b_kg,
        liquids_a_m3=buy.a_m3,
        liquids_b_m3=buy.b_m3,
        loss_share=loss_share,
        centre_before_m=bare.centre_m,
        centre_of_mass_m=whole.centre_m,
        after_lift_kg=(),
        after_lift_centre_m=centres,
        stiffness=lined_gains(skin, panels, cavity, graph, foam, inner, lining.at_panel_m, bond=bond),
        gap_m=cooling_gap(graph, foam) * min(1.0, 2.0 * lining.thickest_m / float(np.max(graph.node_width_m))),
        parts=(
            skin_part(skin, cavity, moments),
            *(foam_part(name, 1, one.kg, (one.kg, one.kg), why, one.moments, cavity) for name, one, why in foams),
        ),
    )


def lined_gains(
    skin: Skin,
    panels: tuple[Panel, ...],
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    hollow: Cavity | None,
    thickness_m: float,
    *,
    bond: float | None = None,
) -> tuple[StiffnessGain, ...]:
    """Stiffness after over before: the whole body in bending, and the flattest panel as skin and lining together.

    A panel of skin and lining has nothing stiff behind it: it gains by bending as a thicker plate, not by resting on
    foam as a solid filling lets it. ``hollow`` None leaves the whole body out.
    """
    from pourwright.lining import lined_rigidity

    full = skin.material.foam_bonds if bond is None else bond >= 0.5
    body = whole_body(skin, cavity, graph, foam, full, hollow) if hollow is not None else None
    out = [body] if body is not None else []
    if panels:
        panel, young = panels[0], skin.material.youngs_pa.nominal
        curve = young * panel.thickness_m / panel.radius_m**2 if math.isfinite(panel.radius_m) else 0.0
        a4 = (math.pi * math.sqrt(2.0) / panel.width_m) ** 4
        bare = lined_rigidity(skin, panel, foam, 0.0, False) * a4 + curve
        loose, stuck = (
            (lined_rigidity(skin, panel, foam, thickness_m, way) * a4 + curve) / bare for way in (False, True)
        )
        words = f"Skin and lining bend as one plate where they are bonded, each by itself where they are not. {SMALL}"
        solid = stiffness_gains(skin, panels, cavity, graph, foam, bond=bond)
        for gain in [one for one in solid if one.name.endswith(("pushed in", "pulled out"))]:
            without, most = min(loose, gain.unbonded), min(stuck, gain.bonded)  # never more than filled solid
            out.append(StiffnessGain(gain.name, without, most, most if full else 1.0, words))
    return tuple(out)


def insert_in_lining(site: Site, frame: PourFrame, lining: Lining) -> tuple[Check, ...]:
    """Anchors whose inserts reach beyond the foam at their own place; the thinnest where that is not known."""
    least = min(part.thickness_m for part in lining.parts)
    over: list[tuple[float, float]] = []
    for anchor in site.anchors:
        if anchor.insert is None:
            continue
        place = anchor.spot.standing(frame, (math.nan, math.nan, math.nan))
        known = not np.isnan(place).any()
        foam = float(lining.thickness_at(frame.to_shell(place)[None])[0]) if known else least
        if anchor.insert.depth_m > foam:
            over.append((anchor.insert.depth_m, foam))
    if not over:
        return ()
    depth, foam = max(over, key=lambda one: one[0] - one[1])
    return (
        Check(
            "depth of an anchor's insert", depth, foam, "m", Verdict.UNKNOWN,
            "our judgement: an insert that ends in a hollow is not computed",
            "fill its part of the piece solid (fill.part), or make the lining there thicker than the insert is deep",
        ),
    )  # fmt: skip
