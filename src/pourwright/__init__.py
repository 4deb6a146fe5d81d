"""Pourwright plans the staged backfill of a hollow shell with two-part pour-in-place rigid polyurethane foam."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pourwright.plan import Job, Plan, make_plan

__all__ = ["Job", "Plan", "__version__", "make_plan"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """The planner's names on first use: importing a formula stays free of the heavy libraries."""
    if name in {"Job", "Plan", "make_plan"}:
        from pourwright import plan

        return getattr(plan, name)
    raise AttributeError(f"module 'pourwright' has no attribute {name!r}")
