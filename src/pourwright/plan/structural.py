"""A planned piece as its structure needs it, and what the set foam adds to it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from pourwright.cavity import Cavity, PourFrame
from pourwright.foam import FoamAtShop
from pourwright.hanging import hanging_pose, hung_anchors
from pourwright.lifts import Lift
from pourwright.outcome import POINT_PUSH, WHOLE_BODY, Outcome, Site, StiffnessGain
from pourwright.plan.model import Job
from pourwright.progress import Progress, silent
from pourwright.shell import Skin
from pourwright.structure import Gain, PressedLift, PressedPour, StructureJob, pressed_lift, solve_structure

Way = tuple[float, float, float]

PUSH = "hand push"
STICKS = "Foam and skin pull together, as the foam sticks to this skin."
SLIDES = (
    "The foam does not stick to this skin: it only stops the skin from moving inwards, once that has moved through the "
    "gap of up to {:.3g} mm that cooling opens."
)


def pressed_lifts(lifts: Sequence[Lift]) -> tuple[PressedLift, ...]:
    """Lifts as the skin feels them, each under the pressure of its hardest pour; nan where one is not known."""
    out = []
    for lift in lifts:
        left = (p for p in lift.pours if not p.poured)
        pours = [PressedPour(p.bottom_m, p.top_m, p.peak_pressure_pa.nominal, p.closes, p.reach_m) for p in left]
        out.append(pressed_lift(lift.number, (lift.bottom_m, lift.top_m), any(p.closes for p in lift.pours), pours))
    return tuple(out)


def resting_of(asked: str, site: Site) -> str:
    """What holds the finished piece: as asked, else its anchors, a cradle for a boat, the base under its own plate.

    ``auto`` is left where the job says nothing of it: then the piece's own shape decides (``structure.resting``).
    """
    if asked != "auto":
        return asked
    if site.anchors and site.hang is not None:
        return "anchors"
    if site.boat is not None:
        return "cradle"
    return "base" if site.stand.pads_m else "auto"


def hung_frame(site: Site, skin: Skin, frame: PourFrame, rests: str) -> tuple[Way, Way, np.ndarray]:
    """Down and out of the piece in its place, and its anchors (a, 3), all in the axes it is poured in."""
    hang = site.hang
    if hang is None or not site.anchors or rests != "anchors":
        return (0.0, 0.0, -1.0), (0.0, -1.0, 0.0), np.zeros((0, 3))
    spots = hung_anchors(site.anchors, hanging_pose(skin.vertices_m, hang))
    return _turned(frame, -np.array(hang.up)), _turned(frame, np.array(hang.out)), frame.to_standing(spots)


def structure_of(
    job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, lifts: Sequence[Lift], gap_m: float = math.nan
) -> StructureJob:
    """The piece as its structure needs it; ``gap_m`` only where its gains are asked for."""
    rules, grade = job.structure, foam.grade
    rests = resting_of(rules.rests, job.site)
    down, out, anchors = hung_frame(job.site, skin, cavity.frame, rests)
    return StructureJob(
        skin=skin,
        frame=cavity.frame,
        lifts=pressed_lifts(lifts),
        cavity_m3=cavity.volume_m3,
        foam_pa=grade.compressive_modulus_pa,
        foam_density_kg_m3=grade.free_rise_density_kg_m3,
        foam_poisson=grade.poisson,
        open_density_kg_m3=foam.open_density_kg_m3.nominal,
        closed_density_kg_m3=foam.closed_density_kg_m3.nominal,
        gap_m=gap_m,
        bulge_share=job.limits.bulge_share,
        held=job.limits.held,
        bond=job.bond if job.bond is not None else float(skin.material.foam_bonds),
        anchors_m=anchors,
        down=down,
        out=out,
        side_pa=rules.side_pa,
        triangles=rules.gain_triangles,
        pressure_triangles=rules.last_triangles,
        rests=rests,
    )


def filled_gains(
    job: Job,
    skin: Skin,
    cavity: Cavity,
    foam: FoamAtShop,
    lifts: Sequence[Lift],
    closed: Outcome,
    progress: Progress = silent,
) -> tuple[StiffnessGain, ...]:
    """What the set foam adds, by finite elements on the real shape, and of the formulas what these do not answer.

    Each load its own ratio, with the load that it holds up to.

    Raises
    ------
    ShellError
        The skin cannot be meshed, or nothing holds it where the job says.
    """
    asked = structure_of(job, skin, cavity, foam, lifts, closed.gap_m)
    result = solve_structure(asked, pressure=False, progress=progress)
    why = STICKS if result.bond > 0 else SLIDES.format(1e3 * result.gap_m)
    gains: list[StiffnessGain] = []
    for gain in result.gains:
        first = () if gains else (result.support, why)
        told = " ".join(word for word in (up_to(gain), *first) if word)
        gains.append(_gain(gain.name, gain.times, told))
    push = result.push
    if push is not None:
        k = push.worst
        before = push.before_n_m[k]
        ratios = push.touching_n_m[k] / before, push.bonded_n_m[k] / before, push.counted_n_m[k] / before
        words = f"At the softest place of the empty skin, for a push of up to {metric(push.at_n[k], 'N')}. {why}"
        gains.append(_gain(PUSH, ratios, words))
    answered = {WHOLE_BODY, POINT_PUSH}
    return (*gains, *(gain for gain in closed.stiffness if gain.name not in answered))


def up_to(gain: Gain) -> str:
    """Up to which load the ratios of a gain hold, where that is not the whole; metric, "" where it is."""
    if gain.share >= 1:
        return ""
    if math.isfinite(gain.amount):
        most, whole = (metric(share * gain.amount, gain.amount_unit) for share in (gain.share, 1.0))
        return f"For up to {most} {gain.load}: under {whole} {gain.beyond}."
    return f"For up to {gain.share:.2g} times {gain.load}: under all of it {gain.beyond}."


def metric(value: float, unit: str) -> str:
    """A load in the words of a plan, with kilo from a thousand on.

    >>> metric(2612.3, "Pa"), metric(12.34, "Pa"), metric(500.0, "N")
    ('2.61 kPa', '12.3 Pa', '500 N')
    """
    return f"{value / 1e3:.3g} k{unit}" if value >= 999.5 else f"{value:.3g} {unit}"


def _gain(name: str, ratios: tuple[float, float, float], words: str) -> StiffnessGain:
    touching, bonded, counted = (float(ratio) for ratio in ratios)
    return StiffnessGain(name, touching, bonded, counted, words, method="finite elements")


def _turned(frame: PourFrame, way: np.ndarray) -> Way:
    x, y, z = (float(v) for v in frame.rotation @ (way / np.linalg.norm(way)))
    return x, y, z
