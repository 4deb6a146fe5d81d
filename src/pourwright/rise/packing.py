"""How much foam a closing pour needs, and how large its vents must be."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.errors import UsageError
from pourwright.rise.foam import RisingFoam
from pourwright.rise.model import Outlet, OutletFlow, RiseResult, RiseSettings, Rooms
from pourwright.rise.simulate import simulate_rise

_FREE_VENT_M = 0.03  # holes that hold no air back, for finding how much air there is


@dataclass(frozen=True, eq=False)
class PackingNeed:
    """Least foam with which a pour leaves no void."""

    reached: bool  # False: short even at the most packing tried; then the figures are those of that
    mass_kg: float
    packing: float  # moulded density, the mass over the whole space, over that of free rise
    result: RiseResult


def packing_to_fill(
    rooms: Rooms,
    foam: RisingFoam,
    *,
    outlets: tuple[Outlet, ...] = (),
    covered: bool = False,
    free_rise_density_kg_m3: float | None = None,
    most: float = 1.7,
    within: float = 0.002,
    settings: RiseSettings | None = None,
) -> PackingNeed:
    """Least packing with which the pour fills its space.

    Parameters
    ----------
    rooms, foam, outlets, covered, settings
        As for `simulate_rise`.
    free_rise_density_kg_m3 : float, optional
        Density of the foam in free rise, in a cup, that packing counts on [kg/m3]; default that of ``foam``. In a piece
        ``foam`` is denser than that where it has a dense layer at the skin.
    most : float
        Largest packing tried [-].
    within : float
        The packing is found to within this [-], from above.

    Returns
    -------
    PackingNeed
        A space that cannot be filled is a finding (``reached`` false), not an error.
    """
    if not most > 1:
        raise UsageError(f"the most packing to try must be above 1, got {most:g}")
    free = foam.free_density_kg_m3 if free_rise_density_kg_m3 is None else free_rise_density_kg_m3
    just = float(np.dot(rooms.graph.node_volume_m3[np.asarray(rooms.nodes)], rooms.shares)) * free

    def run(packing: float) -> RiseResult:
        return simulate_rise(rooms, packing * just, foam, outlets=outlets, covered=covered, settings=settings)

    low, high, best = 0.95, most, run(most)
    if best.short:
        return PackingNeed(False, most * just, most, best)
    while high - low > within:
        middle = 0.5 * (low + high)
        trial = run(middle)
        if trial.short:
            low = middle
        else:
            high, best = middle, trial
    return PackingNeed(True, high * just, high, best)


def vent_flows(
    rooms: Rooms,
    mass_kg: float,
    foam: RisingFoam,
    outlets: tuple[Outlet, ...],
    *,
    covered: bool = False,
    settings: RiseSettings | None = None,
) -> tuple[OutletFlow, ...]:
    """Air that leaves by each outlet if none of them holds it back: from it the size of hole each needs.

    A hole that is too small slows the foam itself, so that its own air flow says too little; here every hole counts
    with 30 mm until the foam reaches it. Parameters as for `simulate_rise`; ``foam_kg`` of the answer is that of the
    wide holes and means nothing for the real ones.
    """
    wide = tuple(replace(o, hole_m=max(o.hole_m, _FREE_VENT_M)) for o in outlets)
    result = simulate_rise(rooms, mass_kg, foam, outlets=wide, covered=covered, settings=settings)
    return tuple(replace(flow, outlet=own) for flow, own in zip(result.outlets, outlets, strict=True))
