"""The packing of a shot: the least that leaves no void, the most that the fixture bears, and what is taken."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.physics import gas


@dataclass(frozen=True, slots=True)
class Window:
    """Moulded density over that of free rise. nan: not known, never to be taken as safe."""

    lowest: float  # nan: no packing that was tried fills it
    chosen: float
    highest: float
    given: bool  # chosen by the job
    closed_by: str  # why there is none; empty where lowest <= highest

    @property
    def open(self) -> bool:
        """Whether there is a packing that fills and holds."""
        return self.lowest <= self.highest


def window_of(
    needs: Iterable[tuple[str, float, float]], allowed_pa: float, foam: FoamAtShop, given: float | None = None
) -> Window:
    """The window between what fills and what holds.

    Parameters
    ----------
    needs : iterable of (name, packing, packing)
        Of each pour: its name, the packing its rise asks for (nan: not filled at any), and that of its way alone.
    allowed_pa : float
        Gauge pressure that fixture and skin bear.
    foam : FoamAtShop
    given : float, optional
        Packing that the job asks for; it is taken as it is, and judged.

    Returns
    -------
    Window
        Without a given one: the least times the spread of the grade's density, as a lot that is denser in free rise by
        so much must still fill; no more than the highest. The highest is that at which the gas, heating on in set foam,
        presses as hard as is allowed.
    """
    free = foam.free_rise_density_kg_m3.nominal
    heating = judged.GEL_HEATING.value
    highest = float(gas.packing_at_pressure(allowed_pa, free, heating, foam.conditions.pressure_pa))
    lowest, last = 1.0, ""
    for name, risen, way in needs:
        if math.isnan(risen) or math.isnan(way):
            lowest, last = math.nan, name
            break
        if max(risen, way) > lowest:
            lowest, last = max(risen, way), name
    if given is not None:
        chosen = given
    elif math.isnan(lowest):
        chosen = max(1.0, highest)
    else:
        chosen = max(1.0, min(lowest * (1 + foam.grade.density_spread), max(lowest, highest)))
    closed = ""
    if math.isnan(lowest):
        closed = f"pour {last} is not filled at any packing that was tried"
    elif lowest > highest:
        closed = f"pour {last} needs more packing than the fixture bears"
    return Window(lowest, min(chosen, 2.0), highest, given is not None, closed)
