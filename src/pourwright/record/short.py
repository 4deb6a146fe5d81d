"""An extra pour in the room that a lift left which ended far short, before the next lift would take all of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Space
from pourwright.findings import Code, finding
from pourwright.lifts import Landing
from pourwright.plan import Job
from pourwright.progress import Progress, silent
from pourwright.record.fill import Filled
from pourwright.record.ground import SheetPour, fits, ground_of
from pourwright.record.model import Planned, Record
from pourwright.record.names import letters, number_of
from pourwright.record.reach import landed
from pourwright.record.replan import Replanned, names_used, planned_again
from pourwright.sources import Cited, Standing

MUCH = Cited(
    0.25,
    "-",
    Standing.JUDGEMENT,
    note="share of a pour by which the room that a short one left under it makes it much larger",
)


@dataclass(frozen=True, eq=False)
class Gap:
    """Room that a pour which is in was to fill and did not, and that the pour over it would take."""

    over: str
    left_by: tuple[str, ...]
    nodes: np.ndarray  # of the level graph
    shares: np.ndarray
    volume_m3: float
    more: float  # share of what the pour over it was to fill


def replan(
    job: Job,
    record: Record,
    progress: Progress = silent,
    sheet: Sequence[SheetPour] = (),
    ground: Space | None = None,
) -> Replanned:
    """Plan the lifts that are left, as `planned_again`, with an extra pour where a lift ended far short and that helps.

    Notes
    -----
    Where the room that a short pour left makes the one over it larger by `MUCH`, the rest is planned a second time
    with that room as a pour of its own, if a hole leads there. Of both the one with fewer limits exceeded or unknown
    is taken; by formulas, which know of no time at temperature, the extra pour. Pours from there on get new names.
    """
    space = ground if ground is not None else ground_of(job, record.shell_sha256, progress)
    plain = planned_again(job, record, progress, sheet, space)
    gaps = gaps_of(plain.filled, space.graph, job.limits.least_pour_m3)
    if not gaps:
        return plain
    enough = job.heat.computed and _wrong(plain) == (0, 0)
    with_extra = None if enough else _parted(sheet, gaps, record, space)
    if with_extra is not None:
        names = (*record.names, *sorted(names_used(record, sheet)))
        again = planned_again(job, record.model_copy(update={"names": names}), progress, with_extra.sheet, space)
        if not job.heat.computed or _wrong(again) < _wrong(plain):
            new = tuple(name for pair in with_extra.renamed.items() for name in pair)
            said = finding(Code.SHORT_MADE_UP, *with_extra.extra, by=with_extra.left_by, renamed=new)
            return replace(again, plan=replace(again.plan, warnings=(said, *again.plan.warnings)))
    told = tuple(finding(Code.SHORT_TAKEN_ON, gap.over, by=gap.left_by, more=gap.more) for gap in gaps)
    return replace(plain, plan=replace(plain.plan, warnings=(*told, *plain.plan.warnings)))


def _wrong(made: Replanned) -> tuple[int, int]:
    """Limits exceeded, and limits unknown."""
    return len(made.plan.over_limit), len(made.plan.not_known)


def gaps_of(filled: Filled, graph: LevelGraph, least_m3: float) -> tuple[Gap, ...]:
    """Room of recorded pours that pours to come would take besides their own, where it is much of one.

    Parameters
    ----------
    filled : Filled
    graph : LevelGraph
    least_m3 : float
        Less is no pour [m3].
    """
    begun = {space.planned.lift for space in filled.spaces.values()}
    highest = max(begun, default=0)
    out = []
    for name, space in filled.pending.items():
        if not fits(space.planned, graph) or space.planned.lift <= highest:
            continue
        more = ~np.isin(space.nodes, np.array(space.planned.nodes))
        by = [
            n for n, one in filled.spaces.items() if np.isin(space.nodes[more], np.array(one.planned.nodes, int)).any()
        ]
        volume = float((graph.node_volume_m3[space.nodes] * space.shares)[more].sum())
        share = volume / max(space.planned.volume_m3, 1e-9)
        if by and volume >= least_m3 and share >= MUCH.value:
            out.append(Gap(name, tuple(by), space.nodes[more], space.shares[more], volume, share))
    return tuple(out)


@dataclass(frozen=True, eq=False)
class _Parted:
    """A sheet with the extra pours, which pours left their room, and the new names of those that come after."""

    sheet: tuple[SheetPour, ...]
    extra: tuple[str, ...]
    left_by: tuple[str, ...]
    renamed: dict[str, str]


def _parted(sheet: Sequence[SheetPour], gaps: Sequence[Gap], record: Record, space: Space) -> _Parted | None:
    """The sheet with each gap as a lift before the one that would take it; None where no hole leads to a gap."""
    by_name = {pour.name: pour for pour in sheet}
    made: dict[int, list[tuple[Gap, Landing]]] = {}
    for gap in gaps:
        holes = [x for name in (*gap.left_by, gap.over) if name in by_name for x in by_name[name].landings]
        found = next((at for x in holes if (at := _landing(x, gap, space.cavity, space.graph)) is not None), None)
        if found is not None:
            made.setdefault(by_name[gap.over].planned.lift, []).append((gap, found))
    if not made:
        return None
    first = min(made)
    left = [pour for pour in sheet if not pour.poured and pour.planned.lift >= first]
    number = max(number_of(name) for name in names_used(record, sheet)) + 1
    new, extra, renamed = list[SheetPour](), list[str](), dict[str, str]()
    for lift in sorted({pour.planned.lift for pour in left}):
        for k, (gap, landing) in enumerate(made.get(lift, ())):
            extra.append(f"{number}{letters(k)}")
            new.append(_extra(extra[-1], number, gap, landing, by_name[gap.over], space.graph))
        number += lift in made
        for pour in (one for one in left if one.planned.lift == lift):
            renamed[pour.name] = f"{number}{pour.name.lstrip('0123456789')}"
            planned = pour.planned.model_copy(update={"lift": number})
            new.append(replace(pour, name=renamed[pour.name], planned=planned))
        number += 1
    by = tuple(dict.fromkeys(name for pairs in made.values() for gap, _ in pairs for name in gap.left_by))
    return _Parted((*(pour for pour in sheet if pour not in left), *new), tuple(extra), by, renamed)


def _landing(one: Landing, gap: Gap, cavity: Cavity, graph: LevelGraph) -> Landing | None:
    """Where liquid through a hole lands in a gap; None where it does not, or the hole lies in it."""
    top = float(graph.level_m[graph.node_level[gap.nodes].max() + 1])
    if one.measures.from_base_m - 0.5 * one.port.hole_m < top:
        return None
    found = landed(one, gap.nodes, cavity, graph)
    return None if found is None else replace(found, kg=1.0)


def _extra(name: str, lift: int, gap: Gap, landing: Landing, over: SheetPour, graph: LevelGraph) -> SheetPour:
    """The extra pour, with the vents of the pour over it."""
    level = graph.node_level[gap.nodes]
    x, y, z = (float(v) for v in landing.point_m)
    planned = Planned(
        lift=lift,
        bottom_m=float(graph.level_m[level.min()]),
        top_m=float(graph.level_m[level.max() + 1]),
        closes=False,
        part_a_kg=0.0,
        part_b_kg=0.0,
        seed_m=(x, y, z),
        ports=(landing.port.name,),
        vents=over.planned.vents,
        volume_m3=gap.volume_m3,
        nodes=tuple(int(node) for node in gap.nodes),
        shares=tuple(float(share) for share in gap.shares),
    )
    return SheetPour(name, False, planned, (landing,), over.vents, over.limit, over.limb)
