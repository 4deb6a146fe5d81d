"""The search: coarse over the sphere, closer about the best, in full for the few that are left."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from pourwright.cavity import Space
from pourwright.plan import Job, space_of
from pourwright.progress import Progress, silent
from pourwright.turn.in_full import confirm_way, confirmed, tilted_way
from pourwright.turn.judged import rates_of
from pourwright.turn.model import Confirmed, Symmetry, Turn, Way
from pourwright.turn.scene import Scene, glanced, look, scene_of
from pourwright.turn.sphere import around, distinct, first_directions, symmetry_of
from pourwright.turn.words import reasons, warnings_of

SUMMITS = 5  # best directions that are looked at more closely ...
RINGS_RAD = (0.16, 0.08, 0.04)  # ... at these angles round them: half of the first spacing, and half again
MORE = 2  # ways of least pressure that are evaluated in full as well where all others are over a limit
MUCH_LESS = 0.7  # of the least pressure seen, from which that is worth it
APART_RAD = np.radians(20.0)  # directions that count as different ways up


def find_ways(job: Job, *, confirm: int = 2, fine: bool = False, progress: Progress = silent) -> Turn:
    """Search the directions to pour a job's piece in.

    The cavity is built once, coarsely, with its real wall; every direction then looks at its surface along columns.
    Pours and hours are an estimate there (`pace`), set by the job's own way, which is evaluated in full first.

    Parameters
    ----------
    job : Job
        Its own ``up`` is looked at as well, to compare.
    confirm : int
        How many of the best are evaluated in full, at least 1: on the cells of a plan, with its short search for the
        day and formulas for the rest, as a quick plan has them.
    fine : bool
        Four times as many directions to begin with.
    progress : Progress

    Returns
    -------
    Turn
    """
    own = space_of(job, progress)
    skin, flattest = own.skin, own.panels
    scene = scene_of(job, skin, progress)
    symmetry = symmetry_of(skin, scene.irons)
    scene, drawn = _own_way(scene, own, progress)
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
    best.sort(key=_safest)
    tilted = [tilted_way(scene, one, flattest) for one in dict.fromkeys((best[0], drawn))]
    best = sorted([*best, *(one for one in tilted if one is not None)], key=_safest)
    progress("in full", 1.0)
    return Turn(
        name=job.name, place=job.place, skin=skin, ways=tuple(ways), best=tuple(best), drawn=drawn, symmetry=symmetry,
        folded=folded, cell_m=scene.cell_m, ripple_m=scene.ripple_m, rates=rates_of(job.day.price_s),
        why=reasons(best, drawn, ways), warnings=warnings_of(best, symmetry, scene.volume_m3),
    )  # fmt: skip


def _own_way(scene: Scene, own: Space, progress: Progress) -> tuple[Scene, Confirmed]:
    """The job's own way up in full, and the scene with its pace set by it."""
    progress("in full", 0.0)
    up = np.array([scene.job.up], float)
    (seen,) = glanced(scene, up)
    drawn = confirmed(scene, look(scene, up)[0], replace(own, set_in=()))
    scene = replace(scene, pace=scene.pace.set_by(seen, drawn.way.pours, drawn.way.last_h))
    return scene, replace(drawn, coarse=look(scene, up)[0])


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
    """Order of the ways evaluated in full: within limits, else the least far over; unknown is not safe; then by work.

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
