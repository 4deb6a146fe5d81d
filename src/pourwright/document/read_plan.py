"""From a plan's folder to the piece that the installer's questions are asked of; nothing is planned again."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.document.model import PlanDocument
from pourwright.document.surface_file import shell_file, surface_there
from pourwright.document.write_site import part_from, site_from
from pourwright.errors import FileError, ShellError, UsageError
from pourwright.outcome import (
    Anchor,
    FoamChamber,
    FoamSolid,
    Piece,
    Site,
    SkinSolid,
    Surface,
    item_parts,
    within_a_band,
)
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.sanitising import MEMORY_BYTES, MEMORY_BYTES_PER_TRIANGLE
from pourwright.shell import Skin, SkinKind, SkinMaterial, WallBand, WallGauge, WallRegion, skin_material

_CARRIES = ("youngs_modulus_pa", "poisson", "design_stress_pa")


def piece_of(plan: PlanDocument, site: Site | None = None) -> Piece:
    """The planned piece, with the plan's own site or another one.

    Raises
    ------
    FileError
        The plan was made before masses were kept in it.
    UsageError
        An item of ``site`` has the name of one of the plan's masses.
    """
    if not plan.outcome.parts:
        raise FileError("this plan holds no record of its masses: plan the piece again.")
    site = site if site is not None else site_from(plan.site)
    own = tuple(part_from(block) for block in plan.outcome.parts)
    taken = {part.name for part in own}
    for item in site.items:
        if item.name in taken:
            raise UsageError(f"the item {item.name!r} has the name of a part of the piece itself: call it otherwise")
    frame = PourFrame(np.array(plan.frame.rotation), np.array(plan.frame.offset_m), np.array(plan.frame.size_m))
    foam, fill = plan.foam, plan.fill
    return Piece(
        name=plan.piece.name,
        place=plan.piece.place,
        frame=frame,
        parts=own + item_parts(site.items, own[0], plan.shell.area_m2, frame),
        site=site,
        foam=FoamSolid(
            grade=foam.grade,
            volume_m3=_foam_volume(plan),
            density_kg_m3=_density_in_place(plan),
            compressive_pa=_value(plan, "compressive_strength_pa"),
            shear_pa=_value(plan, "shear_strength_pa"),
            grade_density_kg_m3=_value(plan, "free_rise_density_kg_m3"),
            grade_modulus_pa=_value(plan, "compressive_modulus_pa"),
            poisson=_value(plan, "poisson"),
            chambers=_foam_chambers(plan),
            held=_inserts_in_foam(plan, site),
            hollow_m3=fill.hollow_m3 if fill is not None and fill.style in ("lining", "ribs") else 0.0,
        ),
        skin_title=plan.shell.material.title,
        skin_kg_m3=plan.shell.material.values["density_kg_m3"].value or math.nan,
        enclosed_m3=plan.shell.enclosed_m3,
        area_m2=plan.shell.area_m2,
        open_ends=len(plan.shell.openings),
        skin=_skin_solid(plan),
        bands=bands_of(plan),
        regions=regions_of(plan),
        gauge=gauge_of(plan),
        lined=plan.lined,
    )


def bands_of(plan: PlanDocument) -> tuple[WallBand, ...]:
    """How thick the skin is at which height of the shell file; none where the mesh shows both faces."""
    return tuple(
        WallBand(
            band.name,
            -math.inf if band.from_m is None else band.from_m,
            math.inf if band.to_m is None else band.to_m,
            band.thickness_m,
            band.spread,
        )
        for band in plan.shell.bands
    )


def regions_of(plan: PlanDocument) -> tuple[WallRegion, ...]:
    """Parts of the skin with a wall of their own."""
    return tuple(
        WallRegion(
            region.name,
            region.thickness_m,
            region.spread,
            region.low_m,
            region.high_m,
            region.along,
            -math.inf if region.from_m is None else region.from_m,
            math.inf if region.to_m is None else region.to_m,
        )
        for region in plan.shell.regions
    )


def gauge_of(plan: PlanDocument) -> WallGauge | None:
    """Measured walls."""
    found = plan.shell.gauge
    if found is None:
        return None
    return WallGauge(found.source, np.array(found.points_m, float), np.array(found.thickness_m), found.spread)


def _inserts_in_foam(plan: PlanDocument, site: Site) -> bool:
    """Whether every insert ends in foam; in the hollow of a lining nothing is known of what holds it."""
    if plan.fill is not None and plan.fill.ribs is not None:
        return all(_in_a_rib(plan, anchor) for anchor in site.anchors if anchor.insert is not None)
    depth = max((anchor.insert.depth_m for anchor in site.anchors if anchor.insert is not None), default=0.0)
    if plan.fill is not None and (len(plan.fill.parts) > 1 or any(place.asked for place in plan.fill.solid)):
        if site.anchors == site_from(plan.site).anchors:
            return not any(
                check.name == "depth of an anchor's insert" and check.verdict == "unknown" for check in plan.checks
            )
        return depth <= min((part.thickness_m for part in plan.fill.parts), default=0.0)  # of others: the thinnest
    return plan.fill is None or plan.fill.thickness_m is None or depth <= plan.fill.thickness_m


def _in_a_rib(plan: PlanDocument, anchor: Anchor) -> bool:
    """Whether the insert of an anchor and its head lie at the height of one rib."""
    if anchor.insert is None or plan.fill is None or plan.fill.ribs is None:
        return True
    frame = PourFrame(np.array(plan.frame.rotation), np.array(plan.frame.offset_m), np.array(plan.frame.size_m))
    place = anchor.spot.standing(frame, (math.nan, math.nan, math.nan))
    if np.isnan(place).any():  # measured on the wall only, as the piece hangs: see `insert_checks`
        return False
    height = float(place[2])
    return within_a_band(plan.fill.ribs.bands_m, height, anchor.insert)


def _foam_volume(plan: PlanDocument) -> Range:
    """Foam in place; its high end is all the room there is, for water takes what foam leaves."""
    cavity, fill = plan.cavity, plan.fill
    if fill is None or fill.style == "solid":
        return Range(cavity.volume_low_m3, cavity.volume_m3, cavity.volume_high_m3)
    foam = plan.outcome.foam_kg
    low = foam.low / foam.nominal if foam.low and foam.nominal else 0.0
    room = cavity.volume_high_m3 + (fill.hollow_m3 if fill.ribs is not None else 0.0)  # of ribs the cavity is their own
    return Range(fill.foam_m3 * low, fill.foam_m3, room)


def _foam_chambers(plan: PlanDocument) -> tuple[FoamChamber, ...]:
    """Foam chamber by chamber where the cavity is filled solid."""
    if plan.fill is not None and plan.fill.style != "solid":
        return ()
    return tuple(FoamChamber(part.volume_m3, np.array(part.centroid_m)) for part in plan.cavity.parts)


def surface_of(plan: PlanDocument, folder: Path, shell: Path | None = None, progress: Progress = silent) -> Surface:
    """The outside face, as it was kept beside the plan; else read again from the shell file, see ``skin_of``.

    A shell file that is named, or that lies where it did when the plan was written, must be the one of the plan.
    """
    kept = surface_there(folder, plan.shell.sha256, plan.shell.file, plan.shell.place, shell)
    if kept is not None:
        return kept
    # Only the surface is asked for; every weight is in the plan.
    skin = skin_of(plan, folder, skin_material("grp"), shell, progress)
    outside = ~skin.void_face
    return Surface(skin.vertices_m, skin.faces[outside], skin.cap_opening[outside] >= 0, skin.faces[skin.void_face])


def skin_of(
    plan: PlanDocument,
    folder: Path,
    material: SkinMaterial,
    shell: Path | None = None,
    progress: Progress = silent,
) -> Skin:
    """The skin, read again from the shell file and checked against the hash in the plan.

    Parameters
    ----------
    plan : PlanDocument
    folder : Path
        Of the plan.
    material : SkinMaterial
        To give it.
    shell : Path, optional
        The shell file where it is now; without it where it was when the plan was written, or in the plan's folder.

    Raises
    ------
    UsageError
        It is not there.
    ShellError
        It is not the file the plan was made from.
    """
    there = shell_file(folder, plan.shell.file, plan.shell.place, shell)
    if there is None:
        raise UsageError(
            f"the shell file {plan.shell.file} is not where it was when this plan was written: give --shell FILE, "
            "or put it into the plan's folder"
        )
    from pourwright.shell import (  # with all that reads meshes: only for answers that need the shape
        LocalWalls,
        load_skin,
    )

    skin = load_skin(
        there,
        unit=plan.shell.unit,
        material=material,
        bands=bands_of(plan),
        local=LocalWalls(regions_of(plan), gauge_of(plan)),
        kind=SkinKind(plan.shell.kind),
        memory_bytes=max(MEMORY_BYTES, 2 * MEMORY_BYTES_PER_TRIANGLE * plan.shell.triangles),  # it was allowed once
        progress=progress,
    )
    if skin.sha256 != plan.shell.sha256:
        raise ShellError(
            f"{there} is not the file this plan was made from (its content has changed): plan the piece again, or "
            "give --shell FILE"
        )
    return skin


def _value(plan: PlanDocument, name: str) -> float:
    cited = plan.foam.values.get(name)
    return math.nan if cited is None or cited.value is None else cited.value


def _skin_solid(plan: PlanDocument) -> SkinSolid | None:
    """The skin as it carries what is fixed to it; None where the plan does not say enough."""
    block = plan.shell.material
    found = [cited.value if (cited := block.values.get(name)) is not None else None for name in _CARRIES]
    stiff, poisson, design = (math.nan if value is None else value for value in found)
    gauge = gauge_of(plan)
    spreads = [*(band.spread for band in bands_of(plan)), *(region.spread for region in regions_of(plan))]
    spread = max([*spreads, 0.0 if gauge is None else gauge.spread], default=0.0)
    return None if math.isnan(stiff) else SkinSolid(stiff, poisson, design, block.foam_bonds, spread)


def _density_in_place(plan: PlanDocument) -> Range:
    """Of all foam together: each end by its own weights over the nominal cavity; a lining's by the spread of a coat."""
    foam = [part_from(block) for block in plan.outcome.parts if block.kind == "foam"]
    coat = plan.foam.open_density_kg_m3
    if plan.fill is not None and plan.lined and coat.low and coat.nominal and coat.high:
        mean = sum(part.kg.nominal for part in foam) / plan.fill.foam_m3
        return Range(mean * coat.low / coat.nominal, mean, mean * coat.high / coat.nominal)
    share = plan.cavity.volume_m3
    high, low = plan.cavity.volume_high_m3 / share, plan.cavity.volume_low_m3 / share
    # With the wall at its thinnest a part weighs its density times the largest cavity.
    return Range(
        sum(part.thin_kg.low for part in foam) / high / share,
        sum(part.kg.nominal for part in foam) / share,
        sum(part.thick_kg.high for part in foam) / low / share,
    )
