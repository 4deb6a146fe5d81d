"""From a plan to ``plan.json``: the same plan gives the same bytes."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from pydantic import ValidationError

from pourwright.document.model import (
    SCHEMA,
    AfterLiftDoc,
    BandDoc,
    CavityDoc,
    ExtremumDoc,
    FindingDoc,
    FoamDoc,
    FrameDoc,
    LiquidsDoc,
    MaterialDoc,
    OpeningDoc,
    OutcomeDoc,
    PieceDoc,
    PlanDocument,
    ShellDoc,
    ShopDoc,
    StiffnessDoc,
    StructureRulesDoc,
)
from pourwright.document.model_parts import CitedDoc, LikelyDoc
from pourwright.document.renamed import with_new_keys
from pourwright.document.replacement import plan_bytes
from pourwright.document.rounding import rounded
from pourwright.document.values import celsius, known, point, range_block
from pourwright.document.write_computed import computed_block, rules_block
from pourwright.document.write_day import day_block, limb_blocks
from pourwright.document.write_lifts import check_block, lift_block, port_block, unfilled_block, vent_block
from pourwright.document.write_site import part_block, site_block
from pourwright.errors import FileError
from pourwright.lifts import surface_under_limit_k
from pourwright.plainfile import real
from pourwright.plaintext import escaped_json
from pourwright.wording.findings import sentences
from pourwright.wording.lifts import warning_lines
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
        lifts=[lift_block(lift, lifts.closings, plan.foam) for lift in lifts.lifts],
        ports=[port_block(port, lifts.closings) for port in lifts.ports],
        vents=[vent_block(vent, lifts.closings) for vent in lifts.vents],
        objective=lifts.objective,
        day=day_block(plan),
        limbs=limb_blocks(plan),
        unreached_m3=lifts.unreached_m3,
        unfilled=[unfilled_block(space) for space in lifts.unfilled],
        outcome=_outcome(plan),
        checks=[check_block(check) for check in plan.checks],
        warnings=warning_lines(plan),
        cautions=list(plan.cautions),
        assumed=list(plan.job.assumed),
        site=site_block(plan.job.site),
        computed=computed_block(plan, plan.computed) if plan.computed is not None else None,
        provenance=dict(sorted(plan.provenance.items())),
        files=list(files),
    )


def plan_json(plan: Plan, files: Sequence[str] = (), folder: Path | str | None = None) -> str:
    """The text of ``plan.json``, ending in a line break; arguments as for `plan_document`."""
    tree = rounded(plan_document(plan, files, folder).model_dump(mode="python", by_alias=True))
    return escaped_json(json.dumps(tree, indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def read_plan_json(path: Path | str) -> PlanDocument:
    """A plan made earlier.

    Parameters
    ----------
    path : path
        ``plan.json``, or the folder that holds it.

    Raises
    ------
    FileError
        It cannot be read, or is no plan of this schema.

    Changes nothing. Where a killed program has begun to change the folder to another plan, that is the plan.
    """
    path = Path(path)
    if path.is_dir():
        path = path / "plan.json"
    try:
        return _document(plan_bytes(path))
    except OSError as error:
        raise FileError(
            f"{path} cannot be read ({error.strerror or error}): give a folder that holds a plan."
        ) from None
    except ValidationError:
        raise FileError(f"{path} is not a plan in the schema {SCHEMA}: make the plan again.") from None


def _document(data: bytes) -> PlanDocument:
    """A plan as it is written today, or by the version before, whose keys had other names."""
    try:
        return PlanDocument.model_validate_json(data)
    except ValidationError as error:
        if error.errors(include_url=False)[0]["type"] == "json_invalid":
            raise
        return PlanDocument.model_validate_json(json.dumps(with_new_keys(json.loads(data))))


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
        bands=[
            BandDoc(
                name=band.name,
                from_m=known(band.from_m),
                to_m=known(band.to_m),
                thickness_m=band.thickness_m,
                spread=band.spread,
            )
            for band in skin.bands
        ],
        openings=[
            OpeningDoc(name=o.name, centroid_m=point(o.centroid_m), normal=point(o.normal), area_m2=o.area_m2)
            for o in skin.openings
        ],
        findings=[FindingDoc(severity=f.severity, name=f.name, words=f.words) for f in skin.findings],
    )


def _cavity(plan: Plan) -> CavityDoc:
    cavity = plan.cavity
    return CavityDoc(
        volume_m3=cavity.volume_m3,
        volume_low_m3=cavity.volume_low_m3,
        volume_high_m3=cavity.volume_high_m3,
        volume_uncertainty_m3=cavity.volume_uncertainty_m3,
        cell_m=cavity.grid.cell_m,
        stray_voids=cavity.stray_voids,
        stray_voids_m3=cavity.stray_voids_m3,
        stray_void_limit_m3=cavity.stray_void_limit_m3,
        method=cavity.method,
        ripple_m=plan.graph.ripple_m,
        pools=_extrema(plan.graph.pools),
        pockets=_extrema(plan.graph.pockets),
    )


def _extrema(extrema: Iterable[Extremum]) -> list[ExtremumDoc]:
    return [
        ExtremumDoc(
            point_m=point(extremum.point_m),
            from_base_m=float(extremum.point_standing_m[2]),
            persistence_m=extremum.persistence_m,
            essential=bool(extremum.essential),
        )
        for extremum in extrema
    ]


def _foam(plan: Plan) -> FoamDoc:
    foam = plan.foam
    return FoamDoc(
        grade=foam.grade.name,
        title=foam.grade.title,
        part_a=foam.grade.sides.a,
        part_b=foam.grade.sides.b,
        values=_cited(foam.grade.cited),
        air_c=celsius(foam.conditions.air_k),
        parts_c=celsius(foam.conditions.parts_k),
        skin_c=celsius(foam.conditions.skin_k),
        air_pressure_pa=foam.conditions.pressure_pa,
        free_rise_density_kg_m3=range_block(foam.free_rise_density_kg_m3),
        open_density_kg_m3=range_block(foam.open_density_kg_m3),
        closed_density_kg_m3=range_block(foam.closed_density_kg_m3),
        expansion=range_block(foam.expansion),
        cream_s=foam.cream_s,
        gel_s=foam.gel_s,
        tack_free_s=foam.tack_free_s,
        rise_end_s=foam.rise_end_s,
        rise_k=LikelyDoc(low=foam.rise_k.low, likely=foam.rise_k.nominal, high=foam.rise_k.high),
        notes=list(sentences(foam.notes)),
    )


def _shop(plan: Plan) -> ShopDoc:
    limits = plan.job.limits
    rules = plan.job.structure
    return ShopDoc(
        max_lift_m=limits.max_lift_m,
        max_lift_reference=limits.max_lift_reference,
        largest_batch_m3=limits.largest_batch_m3,
        hands=limits.hands,
        mix_s=limits.mix_s,
        pour_rate_m3_s=limits.pour_rate_m3_s,
        flow_distance_m=limits.flow_distance_m,
        surface_under_c=celsius(surface_under_limit_k(plan.foam, limits)),
        held=limits.held,
        bulge_share=limits.bulge_share,
        vent_pressure_pa=limits.vent_pressure_pa,
        drill_m=list(limits.drill_m),
        sliver_share=limits.sliver_share,
        least_pour_m3=limits.least_pour_m3,
        spill_m=limits.spill_m,
        heat=rules_block(plan.job.heat),
        bond=plan.job.bond,
        structure=StructureRulesDoc(
            triangles=rules.last_triangles,
            gain_triangles=rules.gain_triangles,
            side_pa=rules.side_pa,
            rests=rules.rests,
        ),
    )


def _outcome(plan: Plan) -> OutcomeDoc:
    outcome = plan.outcome
    return OutcomeDoc(
        foam_kg=range_block(outcome.foam_kg),
        skin_kg=range_block(outcome.skin_kg),
        total_kg=range_block(outcome.total_kg),
        liquids=LiquidsDoc(
            part_a_l=outcome.liquids_a_m3 * 1e3,
            part_b_l=outcome.liquids_b_m3 * 1e3,
            part_a_kg=outcome.liquids_a_kg,
            part_b_kg=outcome.liquids_b_kg,
            loss_share=outcome.loss_share,
        ),
        centre_before_m=point(outcome.centre_before_m),
        centre_of_mass_m=point(outcome.centre_of_mass_m),
        after_lift=[
            AfterLiftDoc(number=lift.number, total_kg=range_block(total), centre_of_mass_m=point(centre))
            for lift, total, centre in zip(
                plan.lift_plan.lifts, outcome.after_lift_kg, np.atleast_2d(outcome.after_lift_centre_m), strict=True
            )
        ],
        stiffness=[
            StiffnessDoc(
                name=gain.name,
                unbonded=known(gain.unbonded),
                bonded=known(gain.bonded),
                counted=known(gain.counted),
                words=gain.words,
                method=gain.method,
            )
            for gain in outcome.stiffness
        ],
        gap_m=known(outcome.gap_m),
        parts=[part_block(part) for part in outcome.parts],
    )


def _cited(cited: dict[str, Cited]) -> dict[str, CitedDoc]:
    return {
        name: CitedDoc(
            value=known(value.value),
            unit=value.unit,
            standing=value.standing.value,
            source=f"{value.source}, {value.locator}" if value.source and value.locator else value.source,
            note=value.note,
            spread=known(value.spread),
        )
        for name, value in sorted(cited.items())
    }
