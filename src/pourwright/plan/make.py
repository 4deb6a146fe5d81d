"""From a job to a plan."""

from __future__ import annotations

from pourwright.plan.model import Job, Plan
from pourwright.progress import Progress, silent


def make_plan(job: Job, progress: Progress = silent) -> Plan:
    """Plan one piece."""
    raise NotImplementedError
