"""What a job may set for the computed limits. Every default is our judgement, no published source, unless said."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeatRules:
    """How heat and rise are computed and judged. SI."""

    computed: bool = True  # False: closed forms only
    cells: int = 100_000  # heat cells, at most
    rounds: int = 3  # divisions into lifts, at most
    scorch_s: float = 3600.0  # the hottest spot may be above the grade's caution temperature for so long
    centre_k: float = 333.15  # hottest core under a new lift
    centre_share: float = 0.30  # share of its rise that core may still hold
    shortest_wait_s: float = 600.0
    longest_wait_s: float = 172_800.0
    outside_film_w_m2k: float = 8.0  # EN ISO 6946: still indoor air on a vertical wall, 7.9
    inside_film_w_m2k: float = 5.0
    void_share: float = 0.005  # of a pour; less counts as filled
    between_s: float = 120.0  # from the end of one mix to the start of the next: weigh out, move on


@dataclass(frozen=True, slots=True)
class StructureRules:
    """How the skin under pressure, and what the foam adds, are computed. Nothing is, where heat is not either."""

    computed: bool = True  # False: the closed-form panels judge the pressure
    triangles: int = 4000  # of the skin, for the pressure of lifts
    rounds: int = 2  # divisions into thinner lifts, at most
    gains: bool = False  # also the stiffness of the whole piece, before and after
    gain_triangles: int = 10_000
    side_pa: float = 500.0  # side pressure for the gains
