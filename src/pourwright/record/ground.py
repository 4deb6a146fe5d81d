"""What a record stands on: the piece, its cavity and level graph, and the pours of the sheet that holds now."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import LevelGraph, Space, build_cavity, build_levels, pour_frame
from pourwright.cores import Laid
from pourwright.errors import ShellError
from pourwright.hanging import inserts_set_in
from pourwright.lifts import Landing, Vent
from pourwright.panels import panels
from pourwright.plan import Job, rib_space, skin_of, with_cores
from pourwright.progress import Progress, silent
from pourwright.record.model import Planned

PANELS = 16
"""The flattest panels of the skin that are looked at, as in a plan."""
SAME_VOLUME = 0.02
"""Share by which the nodes of a pour may miss its volume and still be of the same level graph; our judgement.

Thin cells of what is left may count with another node than in the whole.
"""


@dataclass(frozen=True, eq=False)
class SheetPour:
    """A pour on the sheet that holds now."""

    name: str
    poured: bool
    planned: Planned
    landings: tuple[Landing, ...]
    vents: tuple[Vent, ...]
    limit: str  # of its lift
    limb: str = ""  # of a searched day


@dataclass(frozen=True, eq=False, kw_only=True)
class CoredSpace(Space):
    """A piece with cores, and the job that has them among what is inside."""

    job: Job
    cores: tuple[Laid, ...]


def ground_of(job: Job, shell_sha256: str, progress: Progress = silent) -> Space:
    """Read the shell again and build its cavity.

    Raises
    ------
    ShellError
        The shell is not the one of the record.
    """
    skin = skin_of(job, progress)
    if skin.sha256 != shell_sha256:
        raise ShellError(f"{job.shell} is not the file this plan was made from: its content has changed; plan again.")
    job, cores = with_cores(job, progress)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cavity = build_cavity(
        skin,
        frame,
        cell_m=job.cell_m,
        memory_bytes=job.memory_bytes,
        stray_void_m3=job.stray_void_m3,
        irons=job.site.irons(frame),
        progress=progress,
    )
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m, progress=progress)
    whole = Space(skin, cavity, graph, panels(skin, PANELS), inserts_set_in(job.site, skin, frame))
    if cores:
        return CoredSpace(**vars(whole), job=job, cores=cores)
    return rib_space(job, whole, progress)


def fits(planned: Planned, graph: LevelGraph) -> bool:
    """Whether the nodes of a pour are of this level graph; not so where the job has changed since, or kept none."""
    nodes = np.array(planned.nodes, int)
    if not len(nodes) or len(nodes) != len(planned.shares) or nodes.min() < 0 or nodes.max() >= len(graph.node_level):
        return False
    volume = float((graph.node_volume_m3[nodes] * np.array(planned.shares)).sum())
    return abs(volume - planned.volume_m3) <= SAME_VOLUME * planned.volume_m3
