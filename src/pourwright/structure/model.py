"""Results for the skin under pressure, and for what the set foam adds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

RESTS = ("auto", "anchors", "base", "cradle", "gunwale")  # what may hold a finished piece
FINER = 2  # times the triangles of a plan's own rounds, for the last word on the pressure of lifts


class PressedPour(NamedTuple):
    """One pour of a lift as far as the skin feels it. SI, standing."""

    bottom_m: float
    top_m: float
    pressure_pa: float
    closes: bool
    reach_m: tuple[float, ...]  # low and high end of its space along x, and along y


@dataclass(frozen=True, slots=True)
class PressedLift:
    """A lift as far as the skin feels it; heights above the base of the standing piece."""

    number: int
    bottom_m: float
    top_m: float
    pressure_pa: float  # gauge, nominal, of its hardest pour
    closes: bool  # it meets a cap and is packed
    pours: tuple[PressedPour, ...] = ()  # only the skin round them is pressed; (): all of it between the heights

    def alone(self, pour: PressedPour) -> PressedLift:
        """One of its pours as a lift of its own."""
        return PressedLift(0, pour.bottom_m, pour.top_m, pour.pressure_pa, pour.closes, (pour,))


def pressed_lift(number: int, ends_m: tuple[float, float], closes: bool, pours: list[PressedPour]) -> PressedLift:
    """A lift of these pours, from its bottom to its top."""
    return PressedLift(number, *ends_m, hardest([pour.pressure_pa for pour in pours]), closes, tuple(pours))


def hardest(pressures_pa: list[float]) -> float:
    """The greatest of some pressures; nan where one is not known, or there is none.

    >>> hardest([4e3, 7e3]), hardest([4e3, math.nan])
    (7000.0, nan)
    """
    return math.nan if any(math.isnan(value) for value in pressures_pa) else max(pressures_pa, default=math.nan)


@dataclass(frozen=True, eq=False)
class Prop:
    """A shore against the outside of the skin."""

    point_m: np.ndarray  # (3,) standing axes, middle of its pad
    normal: np.ndarray  # (3,) out of the piece: the shore pushes against it
    force_n: float  # what it holds
    pad_m: float  # radius of its pad; half the shorter side of a board
    board_m: tuple[float, float] | None = None  # a board over a whole flat side: its level and its other edge


@dataclass(frozen=True, eq=False)
class LiftBulge:
    """How a lift bulges the skin. ``verdict``: ok, over, held (from outside) or unknown.

    With ``props``, ``propped_m`` and ``propped_pa`` are what is left once they stand, and ``passes`` whether that is
    within both limits. Where the pressure takes the skin beyond its theory, ``beyond`` says so: bulge and
    stress are not numbers then, and ``used`` is the pressure over ``stands_pa``, at which the skin is at its limit.
    """

    number: int
    pressure_pa: float
    outward_m: float  # greatest outward movement
    point_m: np.ndarray  # (3,) where, standing axes
    allowed_m: float  # there
    stress_pa: float  # greatest
    stress_limit_pa: float
    large: bool  # whether the stretch of the bulged skin was counted
    verdict: str
    props: tuple[Prop, ...] = ()
    propped_m: float = float("nan")
    propped_pa: float = float("nan")
    passes: bool = False
    thinner_m: float = float("nan")  # thickness of a lift that passes without props; nan: none found or none needed
    words: str = ""
    used: float = float("nan")  # larger share of the allowed bulge and stress, without props
    bulge_used: float = float("nan")  # the share of the allowed bulge alone
    stands_pa: float = float("nan")  # at which the first of both is reached, without props; nan: not known or not asked
    beyond: str = ""  # why bulge and stress are no figures
    hold_down_n: float = 0.0  # to keep the side on the ground flat, own weight counted in; 0: not needed or not asked


@dataclass(frozen=True, slots=True)
class Gain:
    """One load case. Movements [m] or turns [rad] before and after, under the same load.

    ``touching``: the foam only pushes, one-sided, and slides. ``bonded``: full bond, or the share the job gives.
    ``counted`` is the one that stands for this piece: without bond, weight and side pressure first close the gap that
    cooling opened; a load as small as that of bending and twist never closes it.

    A movement is nan where straight-line theory does not hold under the whole load (``fem.straight_up_to``), and
    ``beyond`` says so. ``times``, stiffness after over before, hold up to ``share`` of the load.
    """

    name: str
    unit: str  # "m" or "rad"
    load: str  # in words
    before: float
    touching: float
    bonded: float
    counted: float
    times: tuple[float, float, float]  # touching, bonded, counted
    share: float = 1.0  # of the load, up to which all movements are straight-line
    beyond: str = ""  # why some movements are no figures
    small: float = float("nan")  # ``before`` under that share of the load
    words: str = ""
    amount: float = float("nan")  # of the load, in ``amount_unit``; nan: none but its weight
    amount_unit: str = ""  # "Pa", "N" or "N m"


@dataclass(frozen=True, eq=False)
class PushMap:
    """A hand push at points all over the skin: its stiffness is force over how far the skin gives under the palm [N/m].

    What gives is the mean movement under the palm less that of the slice of the piece it is in, moved as one rigid
    body: dent and bulge of the skin. That slice's own movement, the sway of the piece on its support, stands beside it.
    Stiffness is that of a push small enough; up to which force it holds is told for each point, and the sway is nan
    where that is less than ``force_n``.
    """

    point_m: np.ndarray  # (k, 3) standing axes
    normal: np.ndarray  # (k, 3)
    before_n_m: np.ndarray  # (k,)
    touching_n_m: np.ndarray
    bonded_n_m: np.ndarray
    counted_n_m: np.ndarray  # with the gap that cooling opens, where there is no bond, under ``at_n``
    force_n: float
    palm_m: float  # radius
    sway_m: np.ndarray | None = None  # (k,) under ``force_n``, empty
    sway_filled_m: np.ndarray | None = None  # (k,) with the foam that counts
    holds_n: np.ndarray | None = None  # (k,) straight-line theory of the empty skin holds up to this force; None: all
    filled_holds_n: np.ndarray | None = None  # (k,) of the filled skin
    beyond: str = ""  # why some of it is no figure

    @property
    def worst(self) -> int:
        """Index of the softest point before."""
        return int(np.argmin(self.before_n_m))

    @property
    def gain(self) -> np.ndarray:
        """Counted over before, (k,)."""
        return np.asarray(self.counted_n_m / self.before_n_m)

    @property
    def at_n(self) -> np.ndarray:
        """The force (k,) up to which the gain is told: ``force_n``, less where the empty skin's theory ends before."""
        at = np.full(len(self.before_n_m), self.force_n)
        return at if self.holds_n is None else np.minimum(at, self.holds_n)

    @property
    def gives_m(self) -> tuple[np.ndarray, np.ndarray]:
        """How far the skin gives (k,) under ``force_n``, empty and with the foam that counts; nan: not computable."""
        out = []
        for stiff, holds in ((self.before_n_m, self.holds_n), (self.counted_n_m, self.filled_holds_n)):
            gives = self.force_n / stiff
            out.append(gives if holds is None else np.where(holds >= self.force_n, gives, np.nan))
        return out[0], out[1]


@dataclass(frozen=True, eq=False)
class Shape:
    """The skin's triangles and how they move under one load, for pictures; standing axes [m]."""

    vertices_m: np.ndarray
    faces: np.ndarray
    before_m: np.ndarray  # (n, 3) movement
    after_m: np.ndarray  # (n, 3) with the foam that counts
    load_pa: float = float("nan")  # the side pressure they are told under; nan: none


@dataclass(frozen=True, eq=False)
class StiffnessResult:
    """All results for a piece's structure; points are standing ones."""

    bulges: tuple[LiftBulge, ...]
    gains: tuple[Gain, ...]
    push: PushMap | None
    shape: Shape | None  # under the side pressure, or its own weight
    bond: float
    gap_m: float  # opened by cooling behind an unbonded skin, at most
    foam_pa: tuple[float, float]  # least and greatest modulus by lift
    triangles: int
    cells: int
    cell_m: float
    words: tuple[str, ...]  # how it was done, what is left out
    warnings: tuple[str, ...]
    rests: str = ""  # what holds it under these loads: anchors, base, cradle or gunwale
    support: str = ""  # the same in a sentence
