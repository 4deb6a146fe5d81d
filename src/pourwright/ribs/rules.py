"""What a job says of ribs; nothing heavy is loaded for it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RibRules:
    """Height bands that are filled, and the board of the dams under them. SI."""

    bands_m: tuple[tuple[float, float], ...]  # bottom and top above the base of the standing piece, from the lowest up
    board_m: float  # thickness of a dam
    board_kg_m3: float
