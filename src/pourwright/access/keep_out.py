"""A region that the job keeps free of holes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A region where no hole may be: where all that is given holds. Lengths in m."""

    box_m: tuple[tuple[float, float, float], tuple[float, float, float]] | None = None  # low, high corner, shell axes
    from_base_m: float = -float("inf")  # heights of the standing piece
    to_base_m: float = float("inf")
    face: str = ""  # "front", "hidden" or "other"; "": any
