"""From a skin, its lifts and its foam to all results for its structure."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import PourFrame, build_cavity
from pourwright.panels import Panel, panels
from pourwright.progress import Progress, silent
from pourwright.shell import Skin
from pourwright.structure.foam import FoamBlock, foam_block
from pourwright.structure.gains import Loads, piece_gains
from pourwright.structure.mesh import SkinMesh, skin_mesh
from pourwright.structure.model import FINER, LiftBulge, PressedLift, StiffnessResult
from pourwright.structure.pressed import Under
from pourwright.structure.pressure import lift_bulge, thinner_lift
from pourwright.structure.support import resting

LAW = 1.54  # modulus with density: Roberts & Garboczi, Acta Materialia 49 (2001) 189-197, from the grade's own value
CELLS = 2500  # of foam, wanted
COARSE_1_M = 5.0  # by how much cubes overrate a hand push on foam, a metre of cube: tests/validation/test_filled_bodies
LARGEST_SKIN = 60_000  # triangles; beyond, memory would not do


@dataclass(frozen=True, eq=False)
class StructureJob:
    """A planned piece as its structure needs it."""

    skin: Skin
    frame: PourFrame
    lifts: tuple[PressedLift, ...]
    cavity_m3: float
    foam_pa: float  # modulus of the grade ...
    foam_density_kg_m3: float  # ... at this density
    foam_poisson: float
    open_density_kg_m3: float  # in place, under a free surface
    closed_density_kg_m3: float  # in place, under a cap
    gap_m: float  # that cooling opens behind an unbonded skin, at most
    bulge_share: float
    held: bool  # from outside while the foam rises
    bond: float
    anchors_m: np.ndarray  # (a, 3) standing axes
    down: tuple[float, float, float] = (0.0, 0.0, -1.0)  # in place, standing axes
    out: tuple[float, float, float] = (0.0, -1.0, 0.0)
    side_pa: float = 500.0
    triangles: int = 10_000
    pressure_triangles: int = 8_000  # for the last word
    wall_m: float | None = None
    points: int = 60
    rests: str = "auto"  # anchors, base, cradle or gunwale; auto: anchors if there are any, else as it lies


def foam_laws(job: StructureJob) -> tuple[Callable[[float], float], Callable[[float], float]]:
    """Density [kg/m3] and modulus [Pa] of the set foam at a height above the base."""

    def density(height: float) -> float:
        for lift in job.lifts:
            if lift.bottom_m <= height < lift.top_m:
                return job.closed_density_kg_m3 if lift.closes else job.open_density_kg_m3
        return job.open_density_kg_m3

    def modulus(height: float) -> float:
        return job.foam_pa * (density(height) / job.foam_density_kg_m3) ** LAW

    return density, modulus


def foam_depth(frame: PourFrame) -> float:
    """Depth of foam behind the skin [m]: a quarter of the least extent, at least 20 mm."""
    return max(0.25 * float(frame.size_m.min()), 0.02)


def under_of(job: StructureJob, mesh: SkinMesh, found: tuple[Panel, ...]) -> Under:
    """What the pressure of a piece's lifts is judged with, on a mesh of its skin and its flattest panels."""
    middles = job.frame.to_standing(np.array([p.point_m for p in found])) if found else np.zeros((0, 3))
    depth, bonds = foam_depth(job.frame), job.bond >= 0.5
    _, modulus = foam_laws(job)
    return Under(
        mesh, job.skin.material, found, middles, job.bulge_share, modulus, job.foam_poisson, depth, bonds, job.held
    )


def _bulges(job: StructureJob, progress: Progress) -> tuple[LiftBulge, ...]:
    """The skin under every lift."""
    skin, frame = job.skin, job.frame
    bulges = []
    progress("skin under pressure", 0.0)
    found = panels(skin, 16)
    under = under_of(job, skin_mesh(skin, frame, job.pressure_triangles, job.wall_m), found)
    rough: Under | None = None
    for k, lift in enumerate(job.lifts):
        bulge = lift_bulge(under, lift, thinner=False)
        if bulge.verdict == "over":  # on the mesh on which a plan looks for it
            if rough is None:
                rough = under_of(job, skin_mesh(skin, frame, job.pressure_triangles // FINER, job.wall_m), found)
            bulge = replace(bulge, thinner_m=thinner_lift(rough, lift))
        bulges.append(bulge)
        progress("skin under pressure", (k + 1) / len(job.lifts))
    return tuple(bulges)


def _foam(job: StructureJob, mesh: SkinMesh) -> FoamBlock:
    """The foam of the finished piece as cubes no finer than the skin's triangles."""
    density, modulus = foam_laws(job)
    cell = max((job.cavity_m3 / CELLS) ** (1 / 3), mesh.side_m)
    cavity = build_cavity(job.skin, job.frame, cell_m=cell, stray_void_m3=0.0)
    heights = cavity.grid.origin_m[2] + (np.arange(cavity.grid.shape[2]) + 0.5) * cavity.grid.cell_m
    return foam_block(
        cavity.grid,
        cavity.fraction / 255.0,
        np.array([modulus(float(h)) for h in heights]),
        np.array([density(float(h)) for h in heights]),
        job.foam_poisson,
    )


def solve_structure(
    job: StructureJob, pressure: bool = True, gains: bool = True, progress: Progress = silent
) -> StiffnessResult:
    """Bulge under every lift, and the gains of the finished piece.

    Raises
    ------
    PourwrightError
        The skin cannot be meshed, or the foam does not reach it.
    """
    skin, material = job.skin, job.skin.material
    _, modulus = foam_laws(job)
    bulges = _bulges(job, progress) if pressure else ()
    done: StiffnessResult = StiffnessResult(
        bulges, (), None, None, job.bond, job.gap_m, _span(job, modulus), 0, 0, math.nan, (), ()
    )
    if not gains:
        return done
    progress("stiffness", 0.0)
    mesh = skin_mesh(skin, job.frame, min(job.triangles, LARGEST_SKIN), job.wall_m)
    foam = _foam(job, mesh)
    loads = Loads(
        material.density_kg_m3,
        job.side_pa,
        job.anchors_m,
        job.bond,
        job.gap_m,
        job.down,
        job.out,
        points=job.points,
        rests=job.rests if job.rests != "auto" else "anchors" if len(job.anchors_m) else resting(skin, job.frame),
    )
    found_gains, push, shape, support, words = piece_gains(
        mesh, material.youngs_pa.high, material.poisson, foam, loads, progress
    )
    progress("stiffness", 1.0)
    return StiffnessResult(
        done.bulges,
        found_gains,
        push,
        shape,
        job.bond,
        job.gap_m,
        done.foam_pa,
        len(mesh.faces),
        len(foam.cells),
        foam.cell_m,
        (
            f"Skin: {mesh.method}. Foam: {len(foam.cells)} cubes of {foam.cell_m * 1e3:.0f} mm: it seems up to "
            f"{COARSE_1_M * foam.cell_m:.0%} too stiff.",
            *words,
            f"The bulge of the skin takes the low end of its modulus, {_modulus(material.youngs_pa.low)}; before and "
            f"after take the high end, {_modulus(material.youngs_pa.high)}, so that no gain is overstated; a softer "
            "skin moves more.",
        ),
        (),
        support.rests,
        support.words,
    )


def _modulus(pascal: float) -> str:
    return f"{pascal / 1e9:.3g} GPa ({pascal / 6894.757e3:.4g} ksi)"


def _span(job: StructureJob, modulus: object) -> tuple[float, float]:
    values = [
        job.foam_pa * (d / job.foam_density_kg_m3) ** LAW for d in (job.open_density_kg_m3, job.closed_density_kg_m3)
    ]
    return min(values), max(values)
