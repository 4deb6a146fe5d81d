"""The skin of a job: its shell file read as the job says."""

from __future__ import annotations

from pourwright.plan.model import Job
from pourwright.progress import Progress, silent
from pourwright.shell import LocalWalls, Skin, load_skin


def skin_of(job: Job, progress: Progress = silent) -> Skin:
    """The skin in the job's shell file, within the job's memory.

    Raises
    ------
    PourwrightError
        As `load_skin`.
    """
    return load_skin(
        job.shell,
        unit=job.unit,
        material=job.material,
        bands=job.bands,
        local=LocalWalls(job.regions, job.gauge),
        kind=job.kind,
        memory_bytes=job.memory_bytes,
        progress=progress,
    )
