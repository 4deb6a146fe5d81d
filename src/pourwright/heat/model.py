"""What a staged heat computation is given and what it answers."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from pourwright.heat.curve import HeatCurve
from pourwright.heat.grid import HeatGrid
from pourwright.irons import Iron
from pourwright.physics import heat

# Judgements, no published source: in a job each is a named value that can be set.
SCORCH_THRESHOLDS_K = (423.15, 443.15, 473.15)  # 150, 170, 200 °C: caution, stop, emergency
# EN ISO 6946 reckons still indoor air at 2.5 (convection) + 5.4 (radiation) W/(m2 K) on a vertical wall.
STILL_AIR_FILM_W_M2K = 8.0
# Over a fresh surface inside a shell the air is boxed in and warms: our judgement, no published source; low is the
# careful side, because the surface then stays warm longer. Short waits work because this face cools.
INSIDE_FILM_W_M2K = 2.0


@dataclass(frozen=True, eq=False)
class PourHeat:
    """The foam of one pour as a heat source and a conductor. SI; times from the start of the job."""

    name: str
    lift: int  # pours of one lift are poured in one round; lifts are numbered upwards in the order they are poured
    start_s: float  # when its mixing starts; it fills its cells from then on
    start_k: float  # temperature of the mixed parts
    density_kg_m3: float  # in place
    specific_heat_j_kgk: float  # mean over the rise and the cooling
    conductivity_w_mk: float  # hot value
    heat_j_kg: float  # of reaction, per kg of mixed liquids
    curve: HeatCurve  # share of the heat given off against time from ``start_s``
    warming: float = 0.0  # share of the mean excess of the faces it lands on that it starts warmer by

    @property
    def adiabatic_rise_k(self) -> float:
        """Rise of a core that keeps its heat [K]: heat over specific heat."""
        return float(heat.adiabatic_rise(self.heat_j_kg, self.specific_heat_j_kgk))


@dataclass(frozen=True, eq=False)
class SkinLayer:
    """The skin as a lumped layer behind each piece of the grid's surface.

    ``thickness_m`` is one number or an array (surfaces,) in the order of ``HeatGrid.surface_cell``. One temperature
    through the thickness (its middle), half of the wall's resistance on either side; no heat along the skin.
    Good while ``film * thickness / conductivity`` is well below one (5 mm of laminate in still air: 0.2).
    """

    thickness_m: float | np.ndarray
    density_kg_m3: float
    specific_heat_j_kgk: float
    conductivity_w_mk: float
    start_k: float


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Air outside and inside; films are convection and radiation together [W/(m2 K)]."""

    air_k: float
    outside_film_w_m2k: float = STILL_AIR_FILM_W_M2K  # skin to the shop, and foam in an opening to the shop
    inside_film_w_m2k: float = INSIDE_FILM_W_M2K  # top of a pour to the air above it in the cavity


@dataclass(frozen=True, slots=True)
class HeatSettings:
    """How finely time is cut. The defaults keep the error of time below 0.3 K (tests hold them to it)."""

    curve_share: float = 0.05  # heat curve passed in one step, at most
    growth: float = 0.08  # step as a share of the time since the last pour started
    first_step_s: float = 4.0
    longest_step_s: float = 900.0


@dataclass(frozen=True, eq=False)
class StagedHeat:
    """A staged cooling problem. Pour ``i`` fills the cells of ``grid`` whose ``pour`` is ``i``.

    ``pours`` stand in the order they are poured (``start_s`` never falls). ``end_s`` is when the account ends.
    ``start_field_k`` (grid's shape) replaces the pours' start temperatures cell by cell where given. Where the grid
    has the surface of a thing inside, its metal is a layer as thick as its volume over its surface: it takes heat from
    the foam beside it and gives none to the air through the skin. A rod or bar leads heat along itself, is even across,
    and gives what it leads to where it is bare still to the air inside; blocks and plates lead none along.
    """

    grid: HeatGrid
    pours: tuple[PourHeat, ...]
    skin: SkinLayer
    surroundings: Surroundings
    end_s: float
    thresholds_k: tuple[float, ...] = SCORCH_THRESHOLDS_K
    settings: HeatSettings = field(default_factory=HeatSettings)
    start_field_k: np.ndarray | None = None
    irons: tuple[Iron, ...] = ()  # what `HeatGrid.surface_iron` counts

    def with_rise(self, rise_k: float) -> StagedHeat:
        """The same job with another adiabatic rise in every pour; the specific heat stays."""
        pours = tuple(replace(p, heat_j_kg=rise_k * p.specific_heat_j_kgk) for p in self.pours)
        return replace(self, pours=pours)

    def with_starts(self, start_s: tuple[float, ...]) -> StagedHeat:
        """The same job with other starts, one a pour [s]."""
        pours = tuple(replace(p, start_s=s) for p, s in zip(self.pours, start_s, strict=True))
        return replace(self, pours=pours)


@dataclass(frozen=True, eq=False)
class PourTemperatures:
    """What one pour goes through. Points standing, metres; times from the start of the job."""

    name: str
    start_s: float
    peak_k: float  # hottest point, whole account
    peak_s: float
    peak_point_m: np.ndarray  # (3,)
    hours_above: tuple[float, ...]  # of the cell that is above longest, one a threshold
    volume_above_m3: tuple[float, ...]  # ever above, one a threshold
    skin_peak_k: float  # inner face of the skin along this pour; nan where it touches no skin
    skin_peak_s: float
    skin_peak_point_m: np.ndarray  # (3,)
    top_peak_k: float  # hottest the free top got before it was covered; nan where it has none
    across_m: float = float("nan")  # width of the limb whose own solution gives the peak; nan: the grid does


@dataclass(frozen=True, eq=False)
class HeatResult:
    """Temperatures of a staged job. Histories are (pours, times), nan before a pour and where nothing is to see."""

    pours: tuple[PourTemperatures, ...]
    thresholds_k: tuple[float, ...]
    time_s: np.ndarray  # (times,)
    core_k: np.ndarray  # hottest cell of each pour
    mean_k: np.ndarray  # mean over its heat capacity
    top_k: np.ndarray  # hottest point of its free top: where the next lift lands
    top_mean_k: np.ndarray  # area mean of it
    skin_k: np.ndarray  # hottest point of the skin's inner face along it
    released_j: float  # heat of reaction
    stored_j: float  # in foam and skin over their starts
    lost_j: float  # to the air
    cells: int
    cell_m: float
    steps: int
    stages: int  # evaluations of the whole field: the cost

    @property
    def energy_residual(self) -> float:
        """(released - stored - lost) over the larger of released and lost; the losses are summed apart."""
        scale = max(abs(self.released_j), abs(self.lost_j), 1e-300)
        return (self.released_j - self.stored_j - self.lost_j) / scale

    @property
    def peak_k(self) -> float:
        """Hottest spot of the job."""
        return max(p.peak_k for p in self.pours)

    @property
    def skin_peak_k(self) -> float:
        """Hottest the skin gets; nan where no foam touches skin."""
        peaks = [p.skin_peak_k for p in self.pours if p.skin_peak_k == p.skin_peak_k]
        return max(peaks) if peaks else float("nan")
