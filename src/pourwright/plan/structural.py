"""A planned piece as its structure needs it, and what the set foam adds to it."""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity import Cavity, PourFrame
from pourwright.foam import FoamAtShop
from pourwright.lifts import LiftPlan
from pourwright.outcome import Site, StiffnessGain, hanging_pose, hung_anchors
from pourwright.plan.model import Job
from pourwright.progress import Progress, silent
from pourwright.shell import Skin
from pourwright.structure import PressedLift, StructureJob, solve_structure

Way = tuple[float, float, float]

STICKS = "Foam and skin pull together, as the foam sticks to this skin."
SLIDES = "The foam does not stick to this skin: it only stops the skin from moving inwards."


def pressed_lifts(plan: LiftPlan) -> tuple[PressedLift, ...]:
    """Lifts as the skin feels them, each under the pressure of its hardest pour; nan where one is not known."""
    out = []
    for lift in plan.lifts:
        most = hardest([pour.peak_pressure_pa.nominal for pour in lift.pours if not pour.poured])
        out.append(PressedLift(lift.number, lift.bottom_m, lift.top_m, most, any(pour.closes for pour in lift.pours)))
    return tuple(out)


def hardest(pressures_pa: list[float]) -> float:
    """The greatest of some pressures; nan where one is not known, or there is none.

    >>> hardest([4e3, 7e3]), hardest([4e3, math.nan])
    (7000.0, nan)
    """
    return math.nan if any(math.isnan(value) for value in pressures_pa) else max(pressures_pa, default=math.nan)


def hung_frame(site: Site, skin: Skin, frame: PourFrame) -> tuple[Way, Way, np.ndarray]:
    """Down and out of the piece in its place, and its anchors (a, 3), all in the axes it is poured in."""
    hang = site.hang
    if hang is None or not site.anchors:
        return (0.0, 0.0, -1.0), (0.0, -1.0, 0.0), np.zeros((0, 3))
    spots = hung_anchors(site.anchors, hanging_pose(skin.vertices_m, hang))
    return _turned(frame, -np.array(hang.up)), _turned(frame, np.array(hang.out)), frame.to_standing(spots)


def structure_of(job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, plan: LiftPlan) -> StructureJob:
    """The piece as its structure needs it."""
    rules, grade = job.structure, foam.grade
    down, out, anchors = hung_frame(job.site, skin, cavity.frame)
    return StructureJob(
        skin=skin,
        frame=cavity.frame,
        lifts=pressed_lifts(plan),
        cavity_m3=cavity.volume_m3,
        foam_pa=grade.compressive_modulus_pa,
        foam_density_kg_m3=grade.free_rise_density_kg_m3,
        foam_poisson=grade.poisson,
        open_density_kg_m3=foam.open_density_kg_m3.nominal,
        closed_density_kg_m3=foam.closed_density_kg_m3.nominal,
        cooling_k=foam.rise_k.nominal,
        bow_share=job.limits.deflection_share,
        held=job.limits.supported,
        bond=job.bond if job.bond is not None else float(skin.material.foam_bonds),
        anchors_m=anchors,
        down=down,
        out=out,
        side_pa=rules.side_pa,
        triangles=rules.gain_triangles,
        pressure_triangles=rules.triangles,
    )


def filled_gains(
    job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, plan: LiftPlan, progress: Progress = silent
) -> tuple[StiffnessGain, ...]:
    """What the set foam adds, by finite elements on the real shape; each load its own ratio.

    Raises
    ------
    ShellError
        The skin cannot be meshed.
    """
    result = solve_structure(structure_of(job, skin, cavity, foam, plan), pressure=False, progress=progress)
    why = STICKS if result.bond > 0 else SLIDES
    gains = [_gain(gain.name, gain.ratios, f"{gain.words} {why}".strip()) for gain in result.gains]
    if result.push is not None:
        push, k = result.push, result.push.worst
        before = push.before_n_m[k]
        ratios = push.touching_n_m[k] / before, push.bonded_n_m[k] / before, push.counted_n_m[k] / before
        gains.append(_gain("hand push", ratios, f"At the softest place of the empty skin. {why}"))
    return tuple(gains)


def _gain(name: str, ratios: tuple[float, float, float], words: str) -> StiffnessGain:
    touching, bonded, counted = (float(ratio) for ratio in ratios)
    return StiffnessGain(name, touching, bonded, counted, words, method="finite elements")


def _turned(frame: PourFrame, way: np.ndarray) -> Way:
    x, y, z = (float(v) for v in frame.rotation @ (way / np.linalg.norm(way)))
    return x, y, z
