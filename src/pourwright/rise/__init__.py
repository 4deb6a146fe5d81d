"""Foam rising along the level graph: level, pressure, short fills, vents and surplus."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.rise.foam import GELLED_VISCOSITY_PA_S, THICKENING, RisingFoam, rising_foam, simple_foam
    from pourwright.rise.model import GELLED, Outlet, OutletFlow, RiseResult, RiseSettings, Rooms, Void
    from pourwright.rise.packing import PackingNeed, packing_to_fill, vent_flows
    from pourwright.rise.simulate import simulate_rise
else:
    __getattr__ = offered(__name__)

__all__ = [
    "GELLED",
    "GELLED_VISCOSITY_PA_S",
    "THICKENING",
    "Outlet",
    "OutletFlow",
    "PackingNeed",
    "RiseResult",
    "RiseSettings",
    "RisingFoam",
    "Rooms",
    "Void",
    "packing_to_fill",
    "rising_foam",
    "simple_foam",
    "simulate_rise",
    "vent_flows",
]
