"""From a job file, or from a shell file and a few words, to a ``Job``."""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import ValidationError

from pourwright.errors import JobError, UsageError
from pourwright.foam import Conditions, CupTest, FoamGrade, refit_from_cup, with_rise
from pourwright.intake.grade import grade_of
from pourwright.intake.heat_table import CupTable, HeatTable
from pourwright.intake.holes_table import hole_rules
from pourwright.intake.jobfile import JobFile
from pourwright.intake.machine import by_machine
from pourwright.intake.piece import MATERIAL_FIELDS, PieceTable
from pourwright.intake.problems import as_typed, assumed_in, job_error
from pourwright.intake.renamed import with_new_names
from pourwright.intake.shop import LimitsTable, ShopTable
from pourwright.intake.site import site_of
from pourwright.intake.toml_text import read_toml
from pourwright.intake.wall import WallTable, measured_in, regions_of
from pourwright.lifts import ShopLimits
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plainfile import real
from pourwright.plaintext import shown_line
from pourwright.plan import HeatRules, Job
from pourwright.shell import (
    SkinKind,
    SkinMaterial,
    WallBand,
    WallGauge,
    check_bands,
    custom_material,
    material_names,
    skin_material,
)
from pourwright.sources import Cited, Standing

FLAGS = ("caution", "stop", "emergency")


def read_job(path: Path | str, overrides: Mapping[str, object] | None = None) -> Job:
    """The job in a job file.

    Parameters
    ----------
    path : path
        A TOML file; the shell file it names must lie in its folder or below it.
    overrides : mapping, optional
        Values that replace those of the file, by dotted key: ``{"wall.thickness": "6 mm"}``.

    Returns
    -------
    Job
        SI inside, with what was assumed in words.

    Raises
    ------
    UsageError
        The file cannot be read or is no TOML.
    JobError
        A key is missing, unknown or out of range; the error names it.
    """
    path = Path(path)
    tables = _override(read_toml(path), overrides or {})
    named, told = with_new_names(tables)
    asked = _validated(named)
    return _job(asked, _shell_path(path, asked.piece.shell), tables, told, real(path).parent)


def job_from_shell(shell: Path | str, overrides: Mapping[str, object]) -> Job:
    """The job for a shell file with everything else given by dotted keys or taken by default.

    Parameters
    ----------
    shell : path
        Any path.
    overrides : mapping
        As for `read_job`; ``foam.grade`` is needed.

    Raises
    ------
    JobError
        As for `read_job`.
    """
    shell = Path(shell)
    if "\0" in str(shell):
        raise UsageError(f"{str(shell)!r} is not a path: give the path of a shell file.")
    tables = _override({"piece": {"shell": shell.name}}, overrides)
    if tables["piece"]["shell"] != shell.name:
        raise JobError("piece.shell", tables["piece"]["shell"], "the shell file is given already")
    tables["piece"]["shell"] = "shell"  # the file's own name may be longer or odder than a job file would hold
    named, told = with_new_names(tables)
    return _job(_validated(named), shell, tables, told, shell.parent)


def _validated(tables: dict[str, Any]) -> JobFile:
    try:
        return JobFile.model_validate(tables)
    except ValidationError as error:
        raise job_error(error, JobFile) from None


def _override(tables: dict[str, Any], overrides: Mapping[str, object]) -> dict[str, Any]:
    tables = copy.deepcopy(tables)
    for key, value in overrides.items():
        parts = key.split(".")
        if len(parts) == 1 and isinstance(value, dict):
            tables[key] = value  # a whole table in place of the job's
            continue
        if len(parts) < 2 or len(parts) > 4 or not all(parts):
            raise JobError(key, value, "name the key by table and key, like wall.thickness")
        at = tables
        for part in parts[:-1]:
            at = at.setdefault(part, {})
            if not isinstance(at, dict):
                raise JobError(key, value, f"{part} is not a table in the job file")
        if parts == ["wall", "thickness"]:
            at.pop("band", None)  # one thickness replaces the bands
            at.pop("map", None)
        if parts == ["wall", "map"]:
            at.pop("band", None)  # and what was measured replaces both
            at.pop("thickness", None)
        if parts[0] == "foam" and parts[1:] in (["grade"], ["density"]):
            at.pop("density" if parts[1] == "grade" else "grade", None)  # one replaces the other
        at[parts[-1]] = value
    return tables


def _shell_path(job_file: Path, said: str) -> Path:
    """The shell file of a job: in the job file's folder or below, symbolic links followed."""
    key = "piece.shell"
    inside = "it must lie in the job file's folder or below it: put it there and give its name"
    if Path(said).is_absolute() or ".." in Path(said).parts or "\\" in said or ":" in said:
        raise JobError(key, said, inside)
    folder = real(job_file).parent
    try:
        shell = real(folder / said)
        if not shell.is_relative_to(folder):
            raise JobError(key, said, f"it leads out of the folder; {inside}")
        if not shell.is_file():
            raise JobError(key, said, "there is no such file beside the job file")
    except (OSError, RuntimeError):  # a circle of links, a name too long for the file system
        raise JobError(key, said, "it cannot be followed to a file: give a plain file name") from None
    return shell


def _job(asked: JobFile, shell: Path, tables: Mapping[str, Any], told: tuple[str, ...], folder: Path) -> Job:
    try:
        return _made(asked, shell, told, folder)
    except JobError as error:
        raise as_typed(error, tables) from None


def _made(asked: JobFile, shell: Path, told: tuple[str, ...], folder: Path) -> Job:
    piece = asked.piece
    assumed = [*assumed_in(asked), *asked.fill.assumed(), *told]
    if piece.name is None:
        assumed.insert(0, "named after the shell file")
    kind = SkinKind(piece.kind) if piece.kind else None
    grade, grade_words = grade_of(asked.foam)
    test = _cup(asked)
    if test is not None:
        grade = _refitted(grade, test)
    grade = _with_flags(grade, asked.heat)
    if asked.heat.rise is not None:
        grade = with_rise(grade, asked.heat.rise, 0.0, Cited(0.0, "K", Standing.JOB, "heat.rise", note="no spread"))
    gauge = measured_in(asked.wall, folder)
    job = Job(
        name=piece.name or _printable(shell.stem),
        place=piece.place,
        shell=shell,
        unit=piece.unit,
        kind=kind,
        material=_material(piece, assumed),
        bands=_bands(asked.wall, kind, assumed, gauge),
        regions=regions_of(asked.wall),
        gauge=gauge,
        grade=grade,
        up=piece.up,
        front=piece.front,
        conditions=_conditions(asked.shop),
        limits=replace(
            _limits(asked.shop, asked.limits, held=piece.support == "held"),
            holes=hole_rules(asked.holes, asked.port, asked.keep_out),
        ),
        cell_m=asked.grid.cell,
        memory_bytes=asked.grid.memory,
        stray_void_m3=asked.grid.stray_void,
        loss_share=asked.loss.share,
        bond=asked.foam.bond,
        site=site_of(asked),
        heat=_heat(asked),
        day=asked.day.rules(),
        fill=asked.fill.rules(),
        structure=asked.structure.rules(),
        cup=test,
        assumed=(*assumed, *grade_words),
    )
    return by_machine(job, asked)


def _printable(text: str) -> str:
    return shown_line(text)[:80] or "piece"


def _material(piece: PieceTable, assumed: list[str]) -> SkinMaterial:
    if piece.material not in material_names():
        raise JobError("piece.material", piece.material, f"must be one of {', '.join(material_names())}")
    material = skin_material(piece.material)
    own = piece.material_values
    if own is None:
        return material
    if own.short_term_stress is not None:
        if own.design_stress is not None:
            said = "it is the earlier name of design_stress: give one of them"
            raise JobError("piece.material_values.short_term_stress", own.short_term_stress, said)
        own = own.model_copy(update={"design_stress": own.short_term_stress})
        assumed.append("material_values.short_term_stress read as design_stress, its name now")
    values = {field: value for key, field in MATERIAL_FIELDS.items() if (value := getattr(own, key)) is not None}
    return custom_material(material, values, own.reference)


def _bands(
    wall: WallTable | None, kind: SkinKind | None, assumed: list[str], gauge: WallGauge | None
) -> tuple[WallBand, ...]:
    if wall is not None and gauge is not None:
        return check_bands([WallBand("wall", -math.inf, math.inf, float(np.mean(gauge.thickness_m)), wall.spread)])
    if wall is None or (wall.thickness is None and not wall.band):
        if wall is not None and wall.model_fields_set:
            raise JobError("wall.thickness", None, "give it, or bands of height as [[wall.band]], or wall.map")
        if kind in (SkinKind.OUTSIDE, SkinKind.OPEN):
            needs = f'give it, or bands or wall.map: a shell of kind "{kind.value}" does not show its wall'
            raise JobError("wall.thickness", None, needs)
        return ()
    if wall.thickness is not None:
        if wall.band:
            raise JobError("wall.band", len(wall.band), "give either wall.thickness or bands, not both")
        return check_bands([WallBand("wall", -math.inf, math.inf, wall.thickness, wall.spread)])
    bands = [
        WallBand(
            band.name,
            -math.inf if not band.start else band.start,
            math.inf if band.end is None else band.end,
            band.thickness,
            wall.spread if band.spread is None else band.spread,
        )
        for band in wall.band
    ]
    return check_bands(bands)


def _conditions(shop: ShopTable) -> Conditions:
    return Conditions(
        air_k=shop.air,
        parts_k=shop.air if shop.parts is None else shop.parts,
        skin_k=shop.air if shop.skin is None else shop.skin,
        pressure_pa=shop.pressure,
    )


def _cup(asked: JobFile) -> CupTest | None:
    return None if asked.cup is None else cup_of(asked.cup, asked.shop.pressure)


def cup_of(cup: CupTable, pressure_pa: float) -> CupTest:
    """The cup test of a [cup] table; ``pressure_pa`` is the air's where the table has none."""
    return CupTest(
        parts_k=cup.parts,
        air_k=cup.parts if cup.air is None else cup.air,
        pressure_pa=pressure_pa if cup.pressure is None else cup.pressure,
        cream_s=cup.cream,
        gel_s=cup.gel,
        tack_free_s=cup.tack_free,
        rise_end_s=cup.rise_end,
        mass_kg=cup.weight,
        height_m=cup.height,
        area_m2=cup.section,
        density_kg_m3=cup.density,
        peaks_k=tuple(cup.peaks) if cup.peak is None else (cup.peak, *cup.peaks),
        across_m=cup.across,
        instrument=cup.instrument,
        reference=cup.reference,
    )


_CUP_KEYS = {
    "mass_kg": "weight",
    "height_m": "height",
    "area_m2": "section",
    "density_kg_m3": "density",
    "peaks_k": "peaks",
    "across_m": "across",
}


def _refitted(grade: FoamGrade, test: CupTest) -> FoamGrade:
    """The grade with the cup test in it; a refusal names the job's key."""
    try:
        return refit_from_cup(grade, test)
    except JobError as error:
        table, _, field = error.key.partition(".")
        raise JobError(
            f"{table}.{_CUP_KEYS.get(field, field.removesuffix('_s'))}" if field else table, error.given, error.allowed
        ) from None


def _with_flags(grade: FoamGrade, heat: HeatTable) -> FoamGrade:
    """The grade with the job's own temperatures of caution, stop and emergency."""
    given = {f"{name}_k": value for name in FLAGS if (value := getattr(heat, name)) is not None}
    cited = {name: Cited(value, "K", Standing.JOB, f"heat.{name.removesuffix('_k')}") for name, value in given.items()}
    out = replace(grade, cited={**grade.cited, **cited}, **given)
    for lower, upper in pairwise(FLAGS):
        low, high = getattr(out, f"{lower}_k"), getattr(out, f"{upper}_k")
        if low > high:
            name, other, word = (lower, high, "above") if f"{lower}_k" in given else (upper, low, "below")
            raise JobError(
                f"heat.{name}", f"{given[f'{name}_k'] - ZERO_CELSIUS_K:g} °C",
                f"must not lie {word} {upper if name == lower else lower}, which is {other - ZERO_CELSIUS_K:g} °C",
            )  # fmt: skip
    return out


def _heat(asked: JobFile) -> HeatRules:
    heat = asked.heat
    return HeatRules(
        computed=heat.computed,
        cells=heat.cells,
        rounds=heat.rounds,
        scorch_s=heat.scorch,
        scorch_high_s=heat.scorch_high,
        centre_k=heat.centre,
        centre_share=heat.centre_share,
        release_k=heat.release,
        shortest_wait_s=heat.shortest_wait,
        longest_wait_s=heat.longest_wait,
        outside_film_w_m2k=heat.outside_film,
        inside_film_w_m2k=heat.inside_film,
        void_share=heat.void,
        between_s=asked.shop.between,
    )


def _limits(shop: ShopTable, limits: LimitsTable, *, held: bool) -> ShopLimits:
    if limits.lift is not None and limits.lift_reference is None:
        raise JobError(
            "limits.lift_reference", None, "a lift of your own is taken only with where the supplier's figure stands"
        )
    if limits.lift is None and limits.lift_reference is not None:
        raise JobError("limits.lift", None, "give the lift that limits.lift_reference stands for")
    return ShopLimits(
        max_lift_m=limits.lift,
        max_lift_reference=limits.lift_reference or "",
        largest_batch_m3=shop.largest_batch,
        hands=shop.hands,
        mix_s=shop.mix,
        pour_rate_m3_s=shop.pour_rate,
        flow_distance_m=limits.flow_distance,
        surface_under_k=limits.surface_under,
        quickening=limits.quickening,
        held=held,
        bulge_share=limits.bulge,
        vent_pressure_pa=limits.vent_pressure,
        drill_m=tuple(sorted(set(limits.vent_drill))),
        ripple_m=limits.ripple,
        sliver_share=limits.sliver,
        least_pour_m3=limits.least_pour,
        spill_m=limits.spill,
    )
