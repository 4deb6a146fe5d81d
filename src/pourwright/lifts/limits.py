"""What the shop, the grade and the skin allow one pour, as numbers with their sources."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pourwright.errors import LimitError
from pourwright.foam import FoamAtShop
from pourwright.lifts.judged import GEL_HEATING, LIQUID_CONDUCTIVITY, OPEN_PRESSURE, THIN_LIFT
from pourwright.lifts.model import Pour, ShopLimits
from pourwright.physics import gas, heat, landing
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.ranges import Range
from pourwright.sources import Standing

if TYPE_CHECKING:
    from pourwright.divide.bands import Rules

COLDEST_LIQUIDS_K = 288.15  # below, liquids are outside what pour foams are made for
GRAVITY_HEAD = gas.head_pressure(1.0, 1.0)  # [Pa] of one kg/m3 over one metre


@dataclass(frozen=True, slots=True)
class LiftCap:
    """Thickest risen foam [m] and who says so."""

    thickness_m: float
    source: str
    judged: bool
    remedy: str


@dataclass(frozen=True, slots=True)
class BatchCap:
    """Most liquid [m3] of one batch: what can be mixed, and what can be poured before it creams."""

    largest_m3: float
    in_time_m3: float  # 0 or less: the mix creams before it is mixed

    @property
    def volume_m3(self) -> float:
        """The smaller of the two; a mix that creams in the cup (a failed check of its own) leaves the first."""
        return min(self.largest_m3, self.in_time_m3) if self.in_time_m3 > 0 else self.largest_m3

    @property
    def by_time(self) -> bool:
        """Whether the time is what counts."""
        return 0 < self.in_time_m3 < self.largest_m3


def lift_cap(foam: FoamAtShop, limits: ShopLimits) -> LiftCap:
    """The cap on risen foam.

    A supplier's figure with its reference replaces a grade's cap that is our judgement; against a data sheet's cap the
    lower one counts. A figure without a reference can only lower the cap.
    """
    grade = foam.grade
    cited = grade.cited.get("max_lift_m")
    words = cited.words() if cited is not None else Standing.JUDGEMENT.value if grade.max_lift_is_judgement else ""
    own, figure = grade.max_lift_m, limits.max_lift_m
    remedy = "a supplier's figure for this grade, given with its reference, replaces this judgement"
    if figure is None:
        return LiftCap(own, words, grade.max_lift_is_judgement, remedy if grade.max_lift_is_judgement else "")
    if limits.max_lift_reference and (grade.max_lift_is_judgement or figure <= own):
        return LiftCap(figure, f"{Standing.JOB.value}: {limits.max_lift_reference}", False, "")
    if figure < own:
        return LiftCap(figure, Standing.JOB.value, False, "")
    return LiftCap(own, words, grade.max_lift_is_judgement, remedy if grade.max_lift_is_judgement else "")


def surface_under_limit_k(foam: FoamAtShop, limits: ShopLimits) -> float:
    """Hottest face [K] that a pour may land on.

    The job's own figure, or the face on which the first of the liquid creams sooner by no more than the job's share.
    """
    if limits.surface_under_k is not None:
        return limits.surface_under_k
    grade, day = foam.grade, foam.conditions
    contact = landing.quickening_warmth(limits.quickening, day.parts_k, grade.cream_activation_j_mol)
    heat_j_kgk = grade.specific_heat_j_kgk
    liquid = heat.effusivity(LIQUID_CONDUCTIVITY.value, foam.liquid_density_kg_m3, heat_j_kgk)
    below = heat.effusivity(grade.conductivity_hot_w_mk, foam.open_density_kg_m3.nominal, heat_j_kgk)
    return landing.face_for_contact(contact, day.parts_k, liquid, below)


def surface_under_words(limits: ShopLimits) -> str:
    """Who says so."""
    if limits.surface_under_k is not None:
        return f"{Standing.JOB.value} (limits.surface_under)"
    return f"{Standing.JUDGEMENT.value}: liquid on it creams up to {limits.quickening:.0%} sooner"


def cooler_liquids(foam: FoamAtShop) -> str:
    """Which liquids would keep the core at or below the stop and, at its 95 % end, the emergency temperature."""
    grade = foam.grade
    warmest, today = min(grade.stop_k - foam.rise_k.nominal, grade.emergency_k - foam.rise_k.high), foam.conditions
    if warmest >= today.parts_k:  # over by what is under and around it, which the formula does not know
        degrees = f"{today.parts_k - ZERO_CELSIUS_K:.0f} °C"
        return f"liquids cooler than the {degrees} they are at: a thinner lift does not lower the peak"
    if warmest >= COLDEST_LIQUIDS_K:
        return f"liquids of {warmest - ZERO_CELSIUS_K:.0f} °C or less: a thinner lift does not lower the peak"
    return "a cooler grade, or a measured rise that is lower: a thinner lift does not lower the peak"


def batch_cap(foam: FoamAtShop, limits: ShopLimits, moving_s: float = 0.0) -> BatchCap:
    """Liquid of one batch: the largest that can be mixed, and what comes out from mixing to cream (of a head, gel)."""
    return BatchCap(limits.largest_batch_m3, in_time_m3(in_by_s(foam, limits), limits, moving_s))


def empty_s(cup_m3: float, limits: ShopLimits, moving_s: float = 0.0, rate_m3_s: float = math.inf) -> float:
    """When a cup is empty, from the start of its mixing [s]: mixed, poured, and carried from hole to hole.

    Parameters
    ----------
    cup_m3 : float
    limits : ShopLimits
    moving_s : float
        What goes by between its holes, see `moving_s`.
    rate_m3_s : float
        Of a tube that it runs down, where that is slower than it is poured.

    Examples
    --------
    >>> shop = ShopLimits(mix_s=20.0, pour_rate_m3_s=1e-4)
    >>> empty_s(2e-3, shop), empty_s(2e-3, shop, moving_s=8.0), empty_s(2e-3, shop, rate_m3_s=5e-5)
    (40.0, 48.0, 60.0)
    """
    return limits.mix_s + cup_m3 / min(limits.pour_rate_m3_s, rate_m3_s) + moving_s


def in_time_m3(by_s: float, limits: ShopLimits, moving_s: float = 0.0) -> float:
    """Liquid [m3] of the cup that is empty ``by_s`` after the start of its mixing (`empty_s`); below 0: none.

    >>> round(in_time_m3(48.0, ShopLimits(mix_s=20.0, pour_rate_m3_s=1e-4), moving_s=8.0), 9)
    0.002
    """
    return limits.pour_rate_m3_s * (by_s - limits.mix_s - moving_s)


def in_by_s(foam: FoamAtShop, limits: ShopLimits) -> float:
    """Time [s] from the start of mixing by which a mix is in."""
    return foam.gel_s if limits.fresh else foam.cream_s


def packing_of(pour: Pour, foam: FoamAtShop) -> float:
    """Packing of a pour [-]: moulded density, its foam over its whole space, over free-rise density; nan: no space."""
    if not pour.volume_m3 > 0:
        return math.nan
    return pour.foam_kg.nominal / (pour.volume_m3 * foam.free_rise_density_kg_m3.nominal)


def closing_pressure(foam: FoamAtShop) -> Range:
    """Gauge pressure [Pa] of foam held back at its packing (`packing_of`) by a cap whose holes are shut.

    Low as an open pour, nominal the gas-law bound; the high end lets the gas go on heating after the foam has set.
    Never below what an open pour is planned with. The one home of that pressure: what is judged, printed, and held by
    what closes a hole comes from it, and the computed rise may only raise it.
    """
    free = foam.free_rise_density_kg_m3.nominal
    packing = foam.closed_density_kg_m3.nominal / free
    air = foam.conditions.pressure_pa
    bound = float(gas.packed_gauge_pressure(packing, free, 1.0, atmosphere=air))
    hot = float(gas.packed_gauge_pressure(packing, free, GEL_HEATING.value, atmosphere=air))
    nominal = max(bound, OPEN_PRESSURE.value)
    return Range(OPEN_PRESSURE.value * (1 - OPEN_PRESSURE.spread), nominal, max(hot, nominal))


def open_pressure(foam: FoamAtShop, rise_m: float) -> Range:
    """Pressure [Pa] of foam that rises freely: the planning value and the head of its own mass."""
    head = foam.open_density_kg_m3.nominal * GRAVITY_HEAD * rise_m
    return Range.about(OPEN_PRESSURE.value, OPEN_PRESSURE.spread) + Range.exact(head)


def rules_of(foam: FoamAtShop, limits: ShopLimits, ripple_m: float) -> Rules:
    """The limits on the height of a lift as plain numbers.

    Raises `LimitError` for limits that no lift can keep: a figure that is not above zero or not a number.
    """
    from pourwright.divide.bands import Rules  # with its compiled loops, which no answer needs

    cap, batch = lift_cap(foam, limits), batch_cap(foam, limits)
    for name, value in (
        ("largest lift", cap.thickness_m),
        ("largest batch", batch.largest_m3),
        ("flow distance", limits.flow_distance_m),
        ("pour rate", limits.pour_rate_m3_s),
        ("number of hands", limits.hands),
        ("back-pressure at a vent", limits.vent_pressure_pa),
    ):
        if not (math.isfinite(value) and value > 0):
            raise LimitError(f"The {name} is {value}: nothing can be poured; give a figure above zero.")
    if not limits.drill_m or min(limits.drill_m) <= 0:
        raise LimitError(f"The drills for vents are {limits.drill_m}: give at least one diameter above zero.")
    return Rules(
        ripple_m=ripple_m,
        lift_m=cap.thickness_m,
        liquid_m3=limits.hands * batch.volume_m3,
        open_share=foam.open_density_kg_m3.nominal / foam.liquid_density_kg_m3,
        closed_share=foam.closed_density_kg_m3.nominal / foam.liquid_density_kg_m3,
        closing_pa=closing_pressure(foam).nominal,
        open_pa=OPEN_PRESSURE.value,
        head_pa_m=foam.open_density_kg_m3.nominal * GRAVITY_HEAD,
        flow_distance_m=limits.flow_distance_m,
        thin_m=min(THIN_LIFT.value, limits.sliver_share * cap.thickness_m),
        least_m3=limits.least_pour_m3,
        spill_m=limits.spill_m,
    )
