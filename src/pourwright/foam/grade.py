"""A foam grade as its data sheet gives it, and the shop it is poured in."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.findings import Finding
from pourwright.ranges import Range
from pourwright.sources import Cited


@dataclass(frozen=True, slots=True)
class Sides:
    """What the drums of the two liquids are called.

    Suppliers do not letter the sides alike (common practice, no source). Here part A is the isocyanate side and part B
    the resin side, whatever the drums say; a job may give the drums' own words (``foam.part_a``, ``foam.part_b``).
    """

    a: str = "part A"  # isocyanate
    b: str = "part B"  # resin: polyol with catalysts and what blows the foam

    @property
    def heads(self) -> tuple[str, str]:
        """The same as headings.

        >>> Sides().heads, Sides("iso", "PU-4 Resin").heads
        (('Part A', 'Part B'), ('Iso', 'PU-4 Resin'))
        """
        return self.a[:1].upper() + self.a[1:], self.b[:1].upper() + self.b[1:]


@dataclass(frozen=True, slots=True)
class FoamGrade:
    """A two-part rigid foam at its reference temperature. SI; ``cited`` holds the source of each field by name."""

    name: str  # "rigid-3"
    title: str
    free_rise_density_kg_m3: float
    density_spread: float  # plus or minus share, hand mixing
    part_a_density_kg_m3: float  # isocyanate
    part_b_density_kg_m3: float  # resin
    mix_a_by_volume: float  # parts of A ...
    mix_b_by_volume: float  # ... to parts of B
    reference_temperature_k: float
    cream_s: float
    gel_s: float
    tack_free_s: float
    rise_end_s: float
    cream_activation_j_mol: float
    gel_activation_j_mol: float
    density_per_k: float  # relative change of free-rise density per kelvin of the liquids (negative)
    heat_j_kg: float  # of reaction, likely
    heat_sd_j_kg: float  # standard deviation
    specific_heat_j_kgk: float
    specific_heat_sd_j_kgk: float
    rise_sd_k: float  # standard deviation of the adiabatic rise, which is likely heat over likely specific heat
    conductivity_w_mk: float  # fresh, at room temperature
    conductivity_hot_w_mk: float  # for cool-down
    compressive_strength_pa: float
    compressive_modulus_pa: float
    poisson: float
    shear_strength_pa: float
    tensile_strength_pa: float
    max_lift_m: float  # risen foam
    max_lift_is_judgement: bool
    packing: float  # moulded (mean over the space filled) / free-rise density where a closed cap holds foam
    open_packing: float  # the same under a free surface (dense skin at the wall)
    caution_k: float  # core temperature flags
    stop_k: float
    emergency_k: float
    cited: dict[str, Cited]
    sides: Sides = Sides()


@dataclass(frozen=True, slots=True)
class Conditions:
    """The shop on the day."""

    air_k: float
    parts_k: float  # temperature of the liquids; rules yield and times
    skin_k: float
    pressure_pa: float = 101325.0


@dataclass(frozen=True, slots=True)
class FoamAtShop:
    """A grade at the conditions of the shop: what one pour does today. Times from the start of mixing."""

    grade: FoamGrade
    conditions: Conditions
    free_rise_density_kg_m3: Range
    open_density_kg_m3: Range  # in place, under a free surface
    closed_density_kg_m3: Range  # in place, held by a cap
    liquid_density_kg_m3: float
    expansion: Range  # volume of free-rise foam per volume of liquid
    cream_s: float
    gel_s: float
    tack_free_s: float
    rise_end_s: float
    rise_k: Range  # adiabatic rise: likely, with the ends that hold 95 %
    notes: tuple[Finding, ...]  # e.g. colder than the reference: denser and slower


@dataclass(frozen=True, slots=True)
class Parts:
    """Liquids of one pour or batch."""

    a_kg: float
    b_kg: float
    a_m3: float
    b_m3: float

    @property
    def total_kg(self) -> float:
        """Both parts [kg]."""
        return self.a_kg + self.b_kg

    @property
    def total_m3(self) -> float:
        """Both parts before mixing [m3]."""
        return self.a_m3 + self.b_m3

    def times(self, share: float) -> Parts:
        """As many times of each.

        >>> Parts(0.2, 0.1, 0.0002, 0.0001).times(0.5)
        Parts(a_kg=0.1, b_kg=0.05, a_m3=0.0001, b_m3=5e-05)
        """
        return Parts(self.a_kg * share, self.b_kg * share, self.a_m3 * share, self.b_m3 * share)

    def plus(self, more: Parts) -> Parts:
        """Both together."""
        return Parts(self.a_kg + more.a_kg, self.b_kg + more.b_kg, self.a_m3 + more.a_m3, self.b_m3 + more.b_m3)
