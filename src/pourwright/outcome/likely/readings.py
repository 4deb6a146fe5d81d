"""What scales said; no solver is loaded for that."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cell:
    """One scale under the piece or over it; where it acts from the left and the front of the piece as it is poured."""

    kg: float
    at_m: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Weighing:
    """What scales said at one stage: 0 empty, k after lift k, FINISHED with everything on it."""

    stage: int
    cells: tuple[Cell, ...]
    error_kg: float  # by which each scale may be out either way, even between
    tare_kg: float = 0.0  # what they carried besides, acting in the middle of them

    @property
    def kg(self) -> float:
        """Of the piece."""
        return sum(cell.kg for cell in self.cells) - self.tare_kg
