"""What a job may set for the computed limits. Every default is our judgement, no published source, unless said."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.structure import FINER


@dataclass(frozen=True, slots=True)
class HeatRules:
    """How heat and rise are computed and judged. SI."""

    computed: bool = True  # False: formulas only
    cells: int = 100_000  # heat cells, at most
    rounds: int = 3  # divisions into lifts, at most
    scorch_s: float = 3600.0  # any point may be above the caution temperature for so long, at the likely heat
    scorch_high_s: float = 5400.0  # the same at the 95 % end of the heat
    centre_k: float | None = None  # hottest core under a new lift; None: no such rule
    centre_share: float | None = None  # share of its rise that core may still hold; None: no such rule
    release_k: float = 333.15  # watched until every core is cooler
    shortest_wait_s: float = 600.0
    longest_wait_s: float = 172_800.0
    outside_film_w_m2k: float = 8.0  # EN ISO 6946: still indoor air on a vertical wall, 7.9
    inside_film_w_m2k: float = 2.0  # boxed-in air over a pour warms
    void_share: float = 0.005  # of a pour; less counts as filled
    between_s: float = 120.0  # from the end of one mix to the start of the next: weigh out, move on


@dataclass(frozen=True, slots=True)
class DayRules:
    """What the day is chosen by. SI; our judgement, no published source."""

    search: bool = True  # limb by limb, cuts and starts together; False: even bands, then waits
    aim: str = "hours"  # "hours" | "fewest pours" | "lightest"
    price_s: float = 600.0  # what one pour more is worth: setting up, mixing, cleaning
    share: float = 0.8  # of the time above the caution temperature that is planned with
    short_s: float = 300.0  # with every wait so much shorter the whole of that time is still kept
    least_mix_m3: float = 1e-4  # liquid that can be mixed well; a limb of less is filled along where it can be
    pours: int | None = None  # takes the day of so many pours
    start_s: float | None = None  # after midnight, when the first mix may begin; None: no clock on the wall
    end_s: float | None = None  # when the last foam of a day has risen; None: no end
    shift_s: float | None = None  # when the mornings after begin, where that is not ``start_s``: of a day half done

    @property
    def morning_s(self) -> float:
        """When work begins on the days after the first, after midnight."""
        return (self.start_s or 0.0) if self.shift_s is None else self.shift_s


@dataclass(frozen=True, slots=True)
class StructureRules:
    """How the skin under pressure, and what the foam adds, are computed. Nothing is, where heat is not either."""

    computed: bool = True  # False: the panel formulas judge the pressure
    triangles: int = 4000  # of the skin, for the pressure of lifts; twice as many for the last word
    rounds: int = 2  # divisions into thinner lifts, at most
    gains: bool = False  # also the stiffness of the whole piece, before and after
    gain_triangles: int = 10_000
    side_pa: float = 500.0  # side pressure for the gains
    rests: str = "auto"  # what holds the finished piece under them: anchors, base, cradle, gunwale; auto: by the piece

    @property
    def last_triangles(self) -> int:
        """Triangles on which the last word on the pressure of lifts is said."""
        return FINER * self.triangles
