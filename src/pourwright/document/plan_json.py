"""From a plan to ``plan.json``: the same plan gives the same bytes."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from pourwright.document.model import (
    SCHEMA,
    AfterLiftDoc,
    BandDoc,
    CavityDoc,
    CavityPartDoc,
    ExtremumDoc,
    FindingDoc,
    FoamDoc,
    FrameDoc,
    GaugeDoc,
    LiquidsDoc,
    MaterialDoc,
    OpeningDoc,
    OutcomeDoc,
    PieceDoc,
    PlanDocument,
    RegionDoc,
    ShellDoc,
    ShopDoc,
    StructureRulesDoc,
)
from pourwright.document.model_access import BoardDoc, PlugDoc
from pourwright.document.model_parts import CitedDoc, LikelyDoc
from pourwright.document.reflect import block_of, blocks_of
from pourwright.document.rounding import rounded
from pourwright.document.values import celsius, point, range_block
from pourwright.document.write_access import ceiling_block, tilt_block
from pourwright.document.write_computed import computed_block, rules_block
from pourwright.document.write_day import day_block, limb_blocks
from pourwright.document.write_fill import fill_block
from pourwright.document.write_lifts import Seconds, check_block, lift_block, port_block, unfilled_block, vent_block
from pourwright.document.write_shot import fixture_block, series_block
from pourwright.document.write_site import site_block
from pourwright.lifts import surface_under_limit_k
from pourwright.outcome import one_cups
from pourwright.plainfile import real
from pourwright.plaintext import escaped_json
from pourwright.plan import LinedPlan
from pourwright.plugs import plugs_of
from pourwright.wording.asks import asks_of
from pourwright.wording.closing import boards_on
from pourwright.wording.findings import sentences
from pourwright.wording.lifts import caution_lines, warning_lines
from pourwright.wording.status import status_of

if TYPE_CHECKING:
    from pourwright.cavity import Extremum
    from pourwright.plan import Plan
    from pourwright.sources import Cited


def plan_document(plan: Plan, files: Sequence[str] = (), folder: Path | str | None = None) -> PlanDocument:
    """The document of a plan.

    Parameters
    ----------
    plan : Plan
    files : sequence of str
        Names of the other files in the plan's folder.
    folder : path, optional
        That folder, so that the plan can say where its shell file lies from there.

    Returns
    -------
    PlanDocument
        SI; NaN and infinity as None.
    """
    lifts = plan.lift_plan
    return PlanDocument(
        schema_=SCHEMA,
        status=status_of(plan),
        asks=asks_of(plan),
        piece=PieceDoc(name=plan.job.name, place=plan.job.place),
        frame=FrameDoc(
            rotation=[point(row) for row in plan.frame.rotation],
            offset_m=point(plan.frame.offset_m),
            size_m=point(plan.frame.size_m),
            up=point(plan.up),
        ),
        shell=_shell(plan, folder),
        cavity=_cavity(plan),
        foam=_foam(plan),
        shop=_shop(plan),
        lifts=[lift_block(lift, lifts, plan.foam, _seconds(plan), one_cups(plan.warnings)) for lift in lifts.lifts],
        ports=[port_block(port, lifts.closings) for port in lifts.ports],
        vents=[vent_block(vent, lifts.closings) for vent in lifts.vents],
        objective=lifts.objective,
        day=day_block(plan),
        limbs=limb_blocks(plan),
        fill=fill_block(plan),
        fixture=fixture_block(plan),
        series=series_block(plan),
        unreached_m3=lifts.unreached_m3,
        unfilled=[unfilled_block(space) for space in lifts.unfilled],
        plugs=blocks_of(PlugDoc, plugs_of(lifts)),
        boards=blocks_of(BoardDoc, boards_on(plan)),
        ceilings=[ceiling_block(one, plan.frame) for one in lifts.ceilings],
        tilt=tilt_block(lifts.tilt, plan.frame),
        outcome=_outcome(plan),
        checks=[check_block(check) for check in plan.checks],
        warnings=warning_lines(plan),
        cautions=caution_lines(plan),
        assumed=list(plan.job.assumed),
        site=site_block(plan.job.site),
        computed=None if isinstance(plan, LinedPlan) else computed_block(plan),
        provenance=dict(sorted(plan.provenance.items())),
        files=list(files),
    )


def _seconds(plan: Plan) -> Seconds:
    """How long a weight takes out of one cup or one head."""
    if plan.job.machine is not None:
        return plan.job.machine.seconds_of
    flow = plan.job.limits.pour_rate_m3_s * plan.foam.liquid_density_kg_m3
    return lambda kg: kg / flow


def plan_json(plan: Plan, files: Sequence[str] = (), folder: Path | str | None = None) -> str:
    """The text of ``plan.json``, ending in a line break; arguments as for `plan_document`."""
    tree = rounded(plan_document(plan, files, folder).model_dump(mode="python", by_alias=True))
    return escaped_json(json.dumps(tree, indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def _place(shell: Path, folder: Path | str | None) -> str:
    """Path of the shell file from the plan's folder; empty where there is none (other drive, no folder)."""
    if folder is None:
        return ""
    try:
        return Path(os.path.relpath(real(shell), real(Path(folder)))).as_posix()
    except (OSError, ValueError):
        return ""


def _shell(plan: Plan, folder: Path | str | None) -> ShellDoc:
    skin = plan.skin
    return ShellDoc(
        file=skin.source,
        place=_place(plan.job.shell, folder),
        sha256=skin.sha256,
        unit=skin.unit,
        kind=skin.kind.value,
        kind_reason=skin.kind_reason,
        triangles=skin.triangles,
        watertight=bool(skin.watertight),
        area_m2=skin.area_m2,
        enclosed_m3=skin.enclosed_m3,
        material=MaterialDoc(
            name=skin.material.name,
            title=skin.material.title,
            foam_bonds=skin.material.foam_bonds,
            values=_cited(skin.material.cited),
        ),
        bands=blocks_of(BandDoc, skin.bands),
        regions=blocks_of(RegionDoc, skin.regions),
        gauge=None if skin.gauge is None else block_of(GaugeDoc, skin.gauge),
        openings=blocks_of(OpeningDoc, skin.openings),
        findings=blocks_of(FindingDoc, skin.findings),
    )


def _cavity(plan: Plan) -> CavityDoc:
    cavity = plan.cavity
    return block_of(
        CavityDoc,
        cavity,
        cell_m=cavity.grid.cell_m,
        ripple_m=plan.graph.ripple_m,
        pools=_extrema(plan.graph.pools),
        pockets=_extrema(plan.graph.pockets),
        parts=_apart(plan),
    )


def _apart(plan: Plan) -> list[CavityPartDoc]:
    from pourwright.cavity import apart_of  # only where a plan is written

    apart = apart_of(plan.graph)
    middles = plan.frame.to_shell(apart.centroid_m)
    return [
        CavityPartDoc(volume_m3=float(volume), centroid_m=point(middle))
        for volume, middle in zip(apart.volume_m3, middles, strict=True)
    ]


def _extrema(extrema: Iterable[Extremum]) -> list[ExtremumDoc]:
    return [block_of(ExtremumDoc, extremum, from_base_m=float(extremum.point_standing_m[2])) for extremum in extrema]


def _foam(plan: Plan) -> FoamDoc:
    foam = plan.foam
    return block_of(
        FoamDoc,
        foam,
        grade=foam.grade.name,
        title=foam.grade.title,
        part_a=foam.grade.sides.a,
        part_b=foam.grade.sides.b,
        values=_cited(foam.grade.cited),
        air_c=celsius(foam.conditions.air_k),
        parts_c=celsius(foam.conditions.parts_k),
        skin_c=celsius(foam.conditions.skin_k),
        air_pressure_pa=foam.conditions.pressure_pa,
        rise_k=LikelyDoc(low=foam.rise_k.low, likely=foam.rise_k.nominal, high=foam.rise_k.high),
        notes=list(sentences(foam.notes)),
    )


def _shop(plan: Plan) -> ShopDoc:
    limits = plan.job.limits
    rules = plan.job.structure
    return block_of(
        ShopDoc,
        limits,
        surface_under_c=celsius(surface_under_limit_k(plan.foam, limits)),
        heat=rules_block(plan.job.heat),
        bond=plan.job.bond,
        structure=block_of(StructureRulesDoc, rules, triangles=rules.last_triangles),
    )


def _outcome(plan: Plan) -> OutcomeDoc:
    outcome = plan.outcome
    return block_of(
        OutcomeDoc,
        outcome,
        liquids=LiquidsDoc(
            part_a_l=outcome.liquids_a_m3 * 1e3,
            part_b_l=outcome.liquids_b_m3 * 1e3,
            part_a_kg=outcome.liquids_a_kg,
            part_b_kg=outcome.liquids_b_kg,
            loss_share=outcome.loss_share,
        ),
        after_lift=[
            AfterLiftDoc(number=lift.number, total_kg=range_block(total), centre_of_mass_m=point(centre))
            for lift, total, centre in zip(
                plan.lift_plan.lifts, outcome.after_lift_kg, np.atleast_2d(outcome.after_lift_centre_m), strict=True
            )
        ],
    )


def _cited(cited: dict[str, Cited]) -> dict[str, CitedDoc]:
    return {
        name: block_of(
            CitedDoc,
            value,
            standing=value.standing.value,
            source=f"{value.source}, {value.locator}" if value.source and value.locator else value.source,
        )
        for name, value in sorted(cited.items())
    }
