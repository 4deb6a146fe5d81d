"""All stages together; the only place where they meet."""

from pourwright.plan.make import make_plan
from pourwright.plan.model import Job, Plan

__all__ = ["Job", "Plan", "make_plan"]
