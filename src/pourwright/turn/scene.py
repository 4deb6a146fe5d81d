"""What all directions share, and one of them seen coarsely."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
import trimesh

from pourwright.cavity import (
    Cavity,
    CoarseSweep,
    LevelGraph,
    PourFrame,
    Space,
    build_cavity,
    build_levels,
    coarse_sweeps,
    pour_frame,
    region_mesh,
)
from pourwright.day import too_hot_at_once
from pourwright.errors import CavityError
from pourwright.irons import Iron
from pourwright.lifts import closing_pressure, judged, lift_cap, open_pressure, rules_of
from pourwright.plan import Case, History, Job, history_of, question_of
from pourwright.progress import Progress, silent
from pourwright.shell import Opening, Skin
from pourwright.turn.judged import rates_of
from pourwright.turn.model import Way
from pourwright.turn.pace import Pace
from pourwright.turn.standing import Stance, stance_of, stand_on

CELLS_ALONG = 112  # along the longest side of the piece, for the coarse look
FINER = (1, 2, 4)
RIPPLE_CELLS = 3.0
NONE = np.zeros((0, 3))


@dataclass(frozen=True, eq=False)
class Scene:
    """What all directions share: the cavity's surface and what is checked against it."""

    job: Job
    skin: Skin
    history: History
    vertices_m: np.ndarray  # of the cavity, shell file's axes
    faces: np.ndarray
    stance: Stance
    cell_m: float
    ripple_m: float
    lift_m: float  # tallest band: a supplier's figure; inf where there is none and the day is searched
    pour_m3: float  # most foam of one pour
    volume_m3: float  # inside that surface
    pace: Pace
    irons: tuple[Iron, ...]  # what stands inside


def scene_of(job: Job, skin: Skin, progress: Progress = silent) -> Scene:
    """Cavity, once and coarse, and the limits every direction is checked against."""
    frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    cavity = _coarse(job, skin, frame, progress)
    cell = cavity.grid.cell_m
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m)
    history = history_of(job)
    foam = history.foam
    ripple = max(RIPPLE_CELLS * cell, job.limits.ripple_m or 0.0)
    rules = rules_of(foam, job.limits, ripple)
    stance = stance_of(skin, cavity, graph, foam, job.site.stand.contact_m)
    vertices, faces = region_mesh(cavity, graph, np.arange(len(graph.node_level)))
    pour = rules.liquid_m3 / (max(rules.open_share, rules.closed_share) if job.day.search else rules.open_share)
    inside = float(trimesh.Trimesh(vertices, faces, process=False).volume)
    searched = job.day.search and lift_cap(foam, job.limits).judged
    pace = (
        _pace(job, skin, cavity, graph, history) if job.day.search else Pace(job.heat.shortest_wait_s / 3600, NONE, 1)
    )
    tallest = math.inf if searched else rules.lift_m
    return Scene(job, skin, history, vertices, faces, stance, cell, ripple, tallest, pour, inside, pace, cavity.irons)


def _pace(job: Job, skin: Skin, cavity: Cavity, graph: LevelGraph, history: History) -> Pace:
    """Shortest waits, and where the piece is too hot when it is poured at once: the same any way up."""
    asked = question_of(Case(job, Space(skin, cavity, graph), history), ())
    spots, cell = too_hot_at_once(cavity, graph, asked.source, asked.skin, asked.air, asked.allowed)
    return Pace(asked.work.shortest_wait_s / 3600.0, _frozen(cavity.frame.to_shell(spots)), cell)


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array


def irons_in(job: Job, skin: Skin, frame: PourFrame) -> tuple[Iron, ...]:
    """What stands inside the piece as the job stands it up, as it lies when the piece stands in ``frame``."""
    own = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    return tuple(
        replace(
            iron,
            middle_m=frame.to_standing(own.to_shell(iron.middle_m)),
            axes=iron.axes @ own.rotation @ frame.rotation.T,
        )
        for iron in job.site.irons(own)
    )


def _coarse(job: Job, skin: Skin, frame: PourFrame, progress: Progress) -> Cavity:
    """The cavity on coarse cells; on finer ones where it is too thin for them."""
    for times in FINER:
        cell = float(frame.size_m.max()) / (CELLS_ALONG * times)
        try:
            return build_cavity(
                skin,
                frame,
                cell_m=cell,
                memory_bytes=job.memory_bytes,
                stray_void_m3=job.stray_void_m3,
                irons=irons_in(job, skin, frame),
                progress=progress,
            )
        except CavityError:
            if times == FINER[-1]:
                raise
    raise AssertionError("never reached")


def look(scene: Scene, ups: np.ndarray, progress: Progress = silent) -> list[Way]:
    """Each of the directions ``ups`` (k, 3), coarsely."""
    return [_way(scene, one) for one in glanced(scene, ups, progress)]


def glanced(scene: Scene, ups: np.ndarray, progress: Progress = silent) -> list[CoarseSweep]:
    """Their columns alone."""
    return coarse_sweeps(
        scene.vertices_m, scene.faces, ups, cell_m=scene.cell_m, ripple_m=scene.ripple_m, lift_m=scene.lift_m,
        pour_m3=scene.pour_m3, progress=progress,
    )  # fmt: skip


def _way(scene: Scene, seen: CoarseSweep) -> Way:
    usable = [o for o in scene.skin.openings if o.normal @ seen.up >= judged.LOOKS_UP.value]
    close = tuple(o.name for o in scene.skin.openings if o.normal @ seen.up < judged.LOOKS_UP.value)
    vented = np.zeros(len(seen.pockets), bool)
    for opening in usable:
        vented |= _at_opening(opening, seen.pockets.point_m, scene.cell_m)
    pours, foam = scene.pace.pours(seen), scene.history.foam
    peak = open_pressure(foam, min(seen.thickest_m, seen.height_m / max(1, pours))).nominal
    if not vented.all():
        peak = max(peak, closing_pressure(foam).nominal)
    height, tip, cradle = stand_on(scene.stance, seen.up)
    way = Way(
        seen.up, pours, scene.pace.hours(seen), seen.pools.depth_m, seen.pools.point_m, seen.pockets.depth_m,
        seen.pockets.point_m, vented, close, peak, height, tip, cradle, 0, 0.0, {},
    )  # fmt: skip
    return with_hours(scene, way)


def _at_opening(opening: Opening, points_m: np.ndarray, cell_m: float) -> np.ndarray:
    """Which points lie under the cap of an opening, within the coarse look's three cells and its outline."""
    lid, x, y = _lid(opening, cell_m)
    away = points_m - opening.centroid_m
    near = np.abs(away @ opening.normal) <= 3.0 * cell_m
    return near & shapely.contains_xy(lid, away @ x, away @ y)


@lru_cache(maxsize=32)
def _lid(opening: Opening, cell_m: float) -> tuple[shapely.Geometry, np.ndarray, np.ndarray]:
    """The outline of an opening in its plane, a cell wider, and the plane's axes."""
    normal = opening.normal
    side = np.eye(3)[int(np.argmin(np.abs(normal)))]
    x = np.cross(normal, side)
    x = x / np.linalg.norm(x)
    y = np.cross(normal, x)
    loop = opening.loop_m - opening.centroid_m
    lid = shapely.make_valid(shapely.Polygon(np.column_stack([loop @ x, loop @ y]))).buffer(cell_m)
    shapely.prepare(lid)
    return lid, x, y


def with_hours(scene: Scene, way: Way) -> Way:
    """The way with its work by parts."""
    length_m = float(np.ptp(scene.stance.corner_m, axis=0).max())
    deep = float(way.pool_m[1:].sum() + way.pocket_m[~way.vented].sum())
    amount = {
        "hours to the last pour": way.last_h,
        "pours": float(way.pours),
        "pools beyond the first": float(max(0, len(way.pool_m) - 1)),
        "drilled vents": float(way.drilled),
        "openings to close": float(len(way.close)),
        "cradle": 1.0 if way.cradle_m > 0 else 0.0,
        "blocks under a tilt": 1.0 if way.blocks_rad > 0 else 0.0,
        "peak pressure": way.peak_pa / 1e3,
        "depth of pools and pockets": deep / length_m,
        "height on the bench": way.height_m,
    }
    return replace(
        way, hours={name: amount[name] * rate.value for name, rate in rates_of(scene.job.day.price_s).items()}
    )
