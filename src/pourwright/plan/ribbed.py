"""The plan of a piece with ribs: its bands planned as vessels open at the top, then told of the whole piece."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Space, Spared, build_cavity, build_levels, straight_up
from pourwright.errors import CavityError
from pourwright.findings import Verdict
from pourwright.lifts import Check, judged
from pourwright.outcome import Item, board_item, cavity_moments, ribbed_gains, within_a_band
from pourwright.plan.judge import checked
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.made import Plan, RibbedPlan
from pourwright.plan.model import Job
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.ribs import (
    LEAST_STRIP,
    REACH,
    Dam,
    Push,
    Ribbed,
    RibRules,
    Ribs,
    dam_of,
    hollows_of,
    mouths_of,
    ribs_of,
    way_in_of,
)
from pourwright.shell import Skin
from pourwright.sources import Standing

OFF_MIDDLE = 1e-3
"""Of a cell: a plane so near the middles of cells is moved by twice that, a hundredth of a millimetre."""
LEAST_BATTENS_M = 0.10
"""Battens nearer together than this are a plank: a thicker board is due; our judgement."""


def by_formulas_of_skin(job: Job) -> Job:
    """A job of ribs with its skin by formulas: finite elements of a skin that ends at cuts would be those of a ring."""
    if job.fill.ribs is None:
        return job
    return replace(job, structure=replace(job.structure, computed=False, gains=False))


@dataclass(frozen=True, eq=False, kw_only=True)
class RibSpace(Space):
    """What the ribs of a piece take: its skin ends at their cuts, its cavity knows what stays hollow."""

    whole: Space
    ribs: Ribs


def whole_skin(space: Space) -> Skin:
    """The skin of the piece itself."""
    return space.whole.skin if isinstance(space, RibSpace) else space.skin


def rib_space(job: Job, whole: Space, progress: Progress = silent) -> Space:
    """The ribs of a piece as a space of their own, on the same cells; the whole of it where the job asks for none.

    Raises
    ------
    CavityError
        As `ribs_of`; or a band holds less than a cell.
    """
    rules, cell = job.fill.ribs, whole.cavity.grid.cell_m
    if rules is None:
        return whole
    for low, high in rules.bands_m:
        if high - low < 4.0 * cell:
            raise CavityError(
                f"The band from {1e3 * low:.4g} mm to {1e3 * high:.4g} mm is thinner than four cells of "
                f"{1e3 * cell:.4g} mm: give a smaller grid.cell or thicker fill.bands."
            )
    found = ribs_of(whole.skin, whole.frame, replace(rules, bands_m=_off_middles(rules.bands_m, whole.cavity)))
    cavity = build_cavity(
        found.skin, whole.frame, cell_m=cell, memory_bytes=job.memory_bytes, stray_void_m3=job.stray_void_m3,
        irons=job.site.irons(whole.frame), progress=progress,
    )  # fmt: skip
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m, progress=progress)
    cavity = replace(cavity, spared=_spared(whole, cavity, graph), taken=whole.cavity.taken)
    return RibSpace(skin=found.skin, cavity=cavity, graph=graph, panels=whole.panels, whole=whole, ribs=found)


def _off_middles(bands_m: tuple[tuple[float, float], ...], cavity: Cavity) -> tuple[tuple[float, float], ...]:
    """The bands with no plane in the middles of cells, where a cell would be on both sides of it."""
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])

    def off(height: float) -> float:
        middle = abs((height - base) / cell % 1.0 - 0.5) < OFF_MIDDLE
        return height + 2.0 * OFF_MIDDLE * cell if middle else height

    return tuple((off(low), off(high)) for low, high in bands_m)


def _spared(whole: Space, cavity: Cavity, graph: LevelGraph) -> Spared:
    all_of, own = cavity_moments(whole.cavity, whole.graph), cavity_moments(cavity, graph)
    volume = max(whole.cavity.volume_m3 - cavity.volume_m3, 0.0)
    share = volume / whole.cavity.volume_m3
    low, high = (share * v for v in (whole.cavity.volume_low_m3, whole.cavity.volume_high_m3))
    first = all_of.first_m4.sum(axis=0) - own.first_m4.sum(axis=0)
    second = all_of.second_m5.sum(axis=0) - own.second_m5.sum(axis=0)
    for array in (first, second):
        array.setflags(write=False)
    return Spared(volume, low, high, first, second)


def hollow_of(found: RibSpace) -> np.ndarray:
    """Share (nx, ny, nz) uint8 of each cell of the piece that stays hollow."""
    whole, own = found.whole.cavity.fraction.astype(np.int16), found.cavity.fraction.astype(np.int16)
    return np.clip(whole - own, 0, 255).astype(np.uint8)


def with_ribs(plan: Plan, found: RibSpace) -> RibbedPlan:
    """A plan of the ribs as a plan of the whole piece: skin, weight, stiffness, dams, checks."""
    job, rules = plan.job, plan.job.fill.ribs
    if rules is None:
        raise ValueError("a job without ribs")
    whole, cavity = found.whole, found.cavity
    dams = _dams(rules, found, plan.lift_plan)
    columns = straight_up(whole.cavity, whole.graph)
    tops = [cut for cut in found.ribs.cuts if cut.top]
    up = job.site.hang.up if job.site.hang is not None else job.site.stand.up
    hollow = hollow_of(found)
    ribbed = Ribbed(
        rules=rules, dams=dams,
        ways_in=tuple(way_in_of(cut, n, whole, columns, rules) for n, cut in enumerate(tops, start=1)),
        hollows=hollows_of(whole.skin, whole.cavity, hollow, cavity.frame.up if up is None else np.array(up)),
        foam_m3=cavity.volume_m3, hollow_m3=cavity.spared.volume_m3 if cavity.spared is not None else 0.0,
        coverage=found.ribs.coverage,
    )  # fmt: skip
    gains = ribbed_gains(
        whole.skin, whole.panels, whole.cavity, whole.graph, plan.foam, hollow, rules.bands_m, bond=job.bond
    )
    outcome = replace(plan.outcome, stiffness=gains)
    site = replace(job.site, items=(*job.site.items, *(_board(dam, rules) for dam in dams)))
    own = vars(plan) | {
        "job": replace(job, site=site), "skin": whole.skin, "outcome": outcome,
        "checks": (*plan.checks, *dam_checks(ribbed), *_inserts(job, found)),
    }  # fmt: skip
    return RibbedPlan(**own, ribbed=ribbed)


def _board(dam: Dam, rules: RibRules) -> Item:
    middle = dam.shape.representative_point()
    return board_item(
        f"board of {dam.name}", (middle.x, middle.y, dam.height_m - 0.5 * rules.board_m), dam.kg, rules.board_kg_m3
    )


def _dams(rules: RibRules, found: RibSpace, lift_plan: LiftPlan) -> tuple[Dam, ...]:
    whole, pours = found.whole, [pour for lift in lift_plan.lifts for pour in lift.pours]
    cell = whole.cavity.grid.cell_m
    out = []
    for rib, (low, high) in enumerate(rules.bands_m, start=1):
        cuts = [cut for cut in found.ribs.cuts if cut.rib == rib and not cut.top]
        mine = [pour for pour in pours if low - cell <= pour.bottom_m < high]
        lowest = [pour for pour in mine if pour.bottom_m < low + 2.0 * cell] or mine
        if not mine or not cuts:
            continue
        pressure = Range(*(max(getattr(p.peak_pressure_pa, end) for p in lowest) for end in ("low", "nominal", "high")))
        push = Push(pressure, Range.sum(pour.foam_kg for pour in mine))
        total = sum(cut.shape.area for cut in cuts)
        out += [
            dam_of(cut, rules, whole.cavity, whole.graph, push, mouths_of(whole.skin), cut.shape.area / total)
            for cut in cuts
        ]
    return tuple(out)


def dam_checks(found: Ribbed) -> tuple[Check, ...]:
    """Whether dams get in, whether hands reach them, whether the board bears what lies on it."""
    if not found.dams:
        return ()
    rules = found.rules
    across = math.hypot(LEAST_STRIP.value, rules.board_m)
    mouths = min(dam.mouth_m for dam in found.dams)
    reach = max((dam.reach_m for dam in found.dams), default=math.nan)
    span = min(dam.span_m for dam in found.dams)
    closed = mouths <= 0
    why = f"{LEAST_STRIP.standing.value}: strips no narrower, end first; that they turn inside is not computed"
    other = (
        "pour against a closed bag of film or a blown-up tube in place of the board, or set the dam before the shell "
        "is closed"
    )
    return (
        checked(judged.DAM_MOUTH, across, math.nan if closed else mouths, "m", why, "" if mouths >= across else other),
        checked(judged.DAM_REACH, math.nan if closed else reach, REACH.value, "m", REACH.standing.value,
                "a mouth nearer by, a band nearer to the mouth, or set the dam before the shell is closed"),
        checked(judged.BOARD_STRIP, LEAST_BATTENS_M, span, "m",
                f"{Standing.MEMORY.value}: plywood; a strip between two battens under all that lies on the dam",
                "a thicker board (fill.board), or a lower rib"),
    )  # fmt: skip


def _inserts(job: Job, found: RibSpace) -> tuple[Check, ...]:
    """Anchors whose inserts end where no rib is: what holds them there is not computed."""
    frame, bands = found.whole.frame, job.fill.ribs.bands_m if job.fill.ribs is not None else ()
    bare = []
    for anchor in job.site.anchors:
        if anchor.insert is None:
            continue
        if not within_a_band(bands, float(anchor.spot.standing(frame)[2]), anchor.insert):
            bare.append(anchor.insert.depth_m)
    if not bare:
        return ()
    return (
        Check(
            "depth of an anchor's insert", max(bare), 0.0, "m", Verdict.UNKNOWN,
            "our judgement: an insert outside of a rib has no foam round it",
            "set fill.bands so that the anchor and its head lie within one, or fill the piece solid",
        ),
    )  # fmt: skip
