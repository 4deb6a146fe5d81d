"""The search: coarse over the sphere, closer about the best, in full for the few that are left."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

<<<<<<< HEAD
from pourwright.cavity import (
    Cavity,
    CoarseSweep,
    PourFrame,
    build_cavity,
    build_levels,
    coarse_sweeps,
    pour_frame,
    region_mesh,
)
from pourwright.errors import CavityError
from pourwright.foam import FoamAtShop, at_conditions
from pourwright.lifts import closing_pressure, judged, open_pressure, plan_lifts, rules_of
=======
>>>>>>> 76cbe18 (wip: turn counts with the short search of the day)
from pourwright.plan import Job, skin_of
from pourwright.progress import Progress, silent
from pourwright.shell import Panel, panels
from pourwright.turn.in_full import confirm_way
from pourwright.turn.judged import rates_of
from pourwright.turn.model import Confirmed, Symmetry, Turn, Way
from pourwright.turn.scene import Scene, glanced, look, scene_of
from pourwright.turn.sphere import around, distinct, first_directions, symmetry_of
from pourwright.turn.words import reasons, warnings_of

SUMMITS = 5  # best directions that are looked at more closely ...
RINGS_RAD = (0.16, 0.08, 0.04)  # ... at these angles round them: half of the first spacing, and half again
MORE = 2  # ways of least pressure that are seen in full as well where all others are over a limit
MUCH_LESS = 0.7  # of the least pressure seen, from which that is worth it
APART_RAD = np.radians(20.0)  # directions that count as different ways up


<<<<<<< HEAD
@dataclass(frozen=True, eq=False)
class Scene:
    """What all directions share: the cavity's surface and what is checked against it."""

    job: Job
    skin: Skin
    foam: FoamAtShop
    vertices_m: np.ndarray  # of the cavity, shell file's axes
    faces: np.ndarray
    stance: Stance
    cell_m: float
    ripple_m: float
    lift_m: float
    pour_m3: float
    volume_m3: float  # inside that surface


def find_ways(job: Job, *, confirm: int = 3, fine: bool = False, progress: Progress = silent) -> Turn:
=======
def find_ways(job: Job, *, confirm: int = 2, fine: bool = False, progress: Progress = silent) -> Turn:
>>>>>>> 76cbe18 (wip: turn counts with the short search of the day)
    """Search the directions to pour a job's piece in.

    The cavity is built once, coarsely, with its real wall; every direction then looks at its surface along columns.
    Pours and hours are an estimate there (`pace`), set by the job's own way, which is seen in full first.

    Parameters
    ----------
    job : Job
        Its own ``up`` is looked at as well, to compare.
    confirm : int
<<<<<<< HEAD
        How many of the best are seen in full, at least 1: cavity, level graph and division on the cells of a plan, with
        formulas for heat and rise.
=======
        How many of the best are seen in full, at least 1: on the cells of a plan, with its short search for the day and
        formulas for the rest, as a quick plan has them.
>>>>>>> 76cbe18 (wip: turn counts with the short search of the day)
    fine : bool
        Four times as many directions to begin with.
    progress : Progress

    Returns
    -------
    Turn
    """
    skin = skin_of(job, progress)
    scene = scene_of(job, skin, progress)
    symmetry = symmetry_of(skin)
    flattest = panels(skin, 16)
    scene, drawn = _own_way(scene, flattest, progress)
    ways, folded = search(scene, symmetry, fine, progress)
    chosen = _apart(ways, symmetry, max(1, confirm))
    best = []
    for k, way in enumerate(chosen):
        progress("in full", k / len(chosen))
        same = float(np.linalg.norm(symmetry.fold(way.up) - symmetry.fold(drawn.way.up))) < 1e-6
        best.append(drawn if same else confirm_way(scene, way, flattest))
    if not any(one is drawn for one in best):
        best.append(drawn)
    if all(one.over for one in best):  # the least pressure may still be within what the skin stands
        for way in _apart(sorted(ways, key=lambda way: (round(way.peak_pa), _rank(way))), symmetry, MORE):
            if way.peak_pa > MUCH_LESS * min(one.coarse.peak_pa for one in best):
                break
            if _is_new(way, [one.way for one in best], symmetry):
                best.append(confirm_way(scene, way, flattest))
            if not best[-1].over:
                break
    progress("in full", 1.0)
    best.sort(key=_safest)
    return Turn(
        name=job.name, place=job.place, skin=skin, ways=tuple(ways), best=tuple(best), drawn=drawn, symmetry=symmetry,
        folded=folded, cell_m=scene.cell_m, ripple_m=scene.ripple_m, rates=rates_of(job.day.price_s),
        why=reasons(best, drawn, ways), warnings=warnings_of(best, symmetry, scene.volume_m3),
    )  # fmt: skip


<<<<<<< HEAD
def scene_of(job: Job, skin: Skin, progress: Progress = silent) -> Scene:
    """Cavity, once and coarse, and the limits every direction is checked against."""
    frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    cavity = _coarse(job, skin, frame, progress)
    cell = cavity.grid.cell_m
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m)
    foam = at_conditions(job.grade, job.conditions)
    ripple = max(RIPPLE_CELLS * cell, job.limits.ripple_m or 0.0)
    rules = rules_of(foam, job.limits, ripple)
    stance = stance_of(skin, cavity, graph, foam, job.site.stand.contact_m)
    vertices, faces = region_mesh(cavity, graph, np.arange(len(graph.node_level)))
    pour = rules.liquid_m3 / rules.open_share
    inside = float(trimesh.Trimesh(vertices, faces, process=False).volume)
    return Scene(job, skin, foam, vertices, faces, stance, cell, ripple, rules.lift_m, pour, inside)


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
                progress=progress,
            )
        except CavityError:
            if times == FINER[-1]:
                raise
    raise AssertionError("never reached")
=======
def _own_way(scene: Scene, flattest: tuple[Panel, ...], progress: Progress) -> tuple[Scene, Confirmed]:
    """The job's own way up in full, and the scene with its pace set by it."""
    progress("in full", 0.0)
    up = np.array([scene.job.up], float)
    (seen,) = glanced(scene, up)
    drawn = confirm_way(scene, look(scene, up)[0], flattest)
    scene = replace(scene, pace=scene.pace.set_by(seen, drawn.way.pours, drawn.way.last_h))
    return scene, replace(drawn, coarse=look(scene, up)[0])
>>>>>>> 76cbe18 (wip: turn counts with the short search of the day)


def search(scene: Scene, symmetry: Symmetry, fine: bool, progress: Progress = silent) -> tuple[list[Way], int]:
    """All directions looked at, best first, and how many were folded away."""
    ups, folded = first_directions(fine, symmetry)
    ways = look(scene, ups, progress)
    for ring in RINGS_RAD:
        ring = ring / 2 if fine else ring
        ways.sort(key=_rank)
        summits = _apart(ways, symmetry, SUMMITS)
        more = symmetry.fold(np.vstack([around(way.up, ring) for way in summits]))
        more = distinct(more, 0.4 * ring, np.array([way.up for way in ways]))
        if len(more):
            ways += look(scene, more, progress)
    ways.sort(key=_rank)
    return ways, folded


def _rank(way: Way) -> tuple[float, tuple[float, ...]]:
    return round(way.work_h, 9), tuple(-np.round(way.up, 9))


def _safest(one: Confirmed) -> tuple[bool, int, bool, bool, float, tuple[float, ...]]:
    """Order of the ways seen in full: within limits, else the least far over; unknown is not safe; then by work.

    How far over counts in steps of a tenth of it: less is not told apart.
    """
    far = round(math.log(max(one.worst, 1.0)) / math.log(1.1))
    return bool(one.over), far, bool(one.unknown), not one.kept, *_rank(one.way)


def _apart(ways: list[Way], symmetry: Symmetry, count: int) -> list[Way]:
    """The best of them that are different ways up, mirror images counted as the same."""
    out: list[Way] = []
    for way in ways:
        if _is_new(way, out, symmetry):
            out.append(way)
        if len(out) == count:
            break
    return out


def _is_new(way: Way, others: list[Way], symmetry: Symmetry) -> bool:
    images = np.einsum("kij,j->ki", symmetry.turns, way.up)
    return all(float((images @ other.up).max()) < np.cos(APART_RAD) for other in others)
<<<<<<< HEAD


def look(scene: Scene, ups: np.ndarray, progress: Progress = silent) -> list[Way]:
    """Each of the directions ``ups`` (k, 3), coarsely."""
    seen = coarse_sweeps(
        scene.vertices_m, scene.faces, ups, cell_m=scene.cell_m, ripple_m=scene.ripple_m, lift_m=scene.lift_m,
        pour_m3=scene.pour_m3, progress=progress,
    )  # fmt: skip
    return [_way(scene, one) for one in seen]


def _way(scene: Scene, seen: CoarseSweep) -> Way:
    usable = [o for o in scene.skin.openings if o.normal @ seen.up >= judged.LOOKS_UP.value]
    close = tuple(o.name for o in scene.skin.openings if o.normal @ seen.up < judged.LOOKS_UP.value)
    vented = np.zeros(len(seen.pockets), bool)
    for opening in usable:
        vented |= _at_opening(opening.loop_m, opening.centroid_m, opening.normal, seen.pockets.point_m, scene.cell_m)
    rise = seen.thickest_m
    peak = open_pressure(scene.foam, rise).nominal
    if not vented.all():
        peak = max(peak, closing_pressure(scene.foam).nominal)
    height, tip, cradle = stand_on(scene.stance, seen.up)
    way = Way(
        seen.up, seen.lifts, rise, seen.pools.depth_m, seen.pools.point_m, seen.pockets.depth_m,
        seen.pockets.point_m, vented, close, peak, height, tip, cradle, {},
    )  # fmt: skip
    return with_hours(way, float(np.ptp(scene.stance.corner_m, axis=0).max()))


def _at_opening(
    loop_m: np.ndarray, centre_m: np.ndarray, normal: np.ndarray, points_m: np.ndarray, cell_m: float
) -> np.ndarray:
    """Which points lie under the cap of an opening, within the coarse look's three cells and its outline."""
    side = np.eye(3)[int(np.argmin(np.abs(normal)))]
    x = np.cross(normal, side)
    x = x / np.linalg.norm(x)
    y = np.cross(normal, x)
    plane = np.column_stack([(loop_m - centre_m) @ x, (loop_m - centre_m) @ y])
    lid = shapely.make_valid(shapely.Polygon(plane)).buffer(cell_m)
    away = points_m - centre_m
    near = np.abs(away @ normal) <= 3.0 * cell_m
    return near & shapely.contains_xy(lid, away @ x, away @ y)


def with_hours(way: Way, length_m: float) -> Way:
    """The way with its work by parts; ``length_m`` is the longest side of the piece."""
    deep = float(way.pool_m[1:].sum() + way.pocket_m[~way.vented].sum())
    amount = {
        "lifts": float(way.lifts),
        "pools beyond the first": float(max(0, len(way.pool_m) - 1)),
        "drilled vents": float(way.drilled),
        "openings to close": float(len(way.close)),
        "cradle": 1.0 if way.cradle_m > 0 else 0.0,
        "peak pressure": way.peak_pa / 1e3,
        "depth of pools and pockets": deep / length_m,
        "height on the bench": way.height_m,
    }
    return replace(way, hours={name: amount[name] * rate.value for name, rate in TERMS.items()})


def confirm_way(scene: Scene, way: Way, flattest: tuple[Panel, ...]) -> Confirmed:
    """A way up in full, on the cells of a plan."""
    job, skin = scene.job, scene.skin
    frame = pour_frame(skin.vertices_m, way.up, np.asarray(job.front))
    cavity = build_cavity(
        skin, frame, cell_m=job.cell_m, memory_bytes=job.memory_bytes, stray_void_m3=job.stray_void_m3
    )
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m)
    plan = plan_lifts(skin, frame, cavity, graph, scene.foam, job.limits, flattest)
    pours = [pour for lift in plan.lifts for pour in lift.pours]
    open_at = [k for k, pocket in enumerate(graph.pockets) if _open(pocket.node, plan.vents)]
    vented = np.zeros(len(graph.pockets), bool)
    vented[open_at] = True
    checks = [check for pour in pours for check in pour.checks]
    full = replace(
        way,
        lifts=len(plan.lifts),
        thickest_m=max((pour.rise_m for pour in pours), default=0.0),
        pool_m=np.array([pool.persistence_m for pool in graph.pools]),
        pool_at_m=np.array([pool.point_m for pool in graph.pools]).reshape(-1, 3),
        pocket_m=np.array([pocket.persistence_m for pocket in graph.pockets]),
        pocket_at_m=np.array([pocket.point_m for pocket in graph.pockets]).reshape(-1, 3),
        vented=vented,
        peak_pa=max((pour.peak_pressure_pa.nominal for pour in pours), default=way.peak_pa),
    )
    return Confirmed(
        way=with_hours(full, float(np.ptp(scene.stance.corner_m, axis=0).max())),
        coarse=way,
        cell_m=cavity.grid.cell_m,
        volume_m3=cavity.volume_m3,
        ports=sum(port.way == "drilled" for port in plan.ports),
        over=tuple(sorted({check.name for check in checks if check.verdict == "over"})),
        worst=max((check.value / max(check.limit, 1e-12) for check in checks if check.verdict == "over"), default=0.0),
        unknown=tuple(sorted({check.name for check in checks if check.verdict == "unknown"})),
    )


def _open(node: int, vents: tuple[object, ...]) -> bool:
    """Whether a pocket leaves by an opening: its vent says so."""
    return any(getattr(vent, "node", -1) == node and getattr(vent, "way", "") == "opening" for vent in vents)
=======
>>>>>>> 76cbe18 (wip: turn counts with the short search of the day)
