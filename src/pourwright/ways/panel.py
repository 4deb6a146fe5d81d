"""A flat panel of skin and foam at a stiffness that is asked for: which thickness of each weighs least together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from scipy.optimize import brentq, minimize_scalar

from pourwright.foam import FoamAtShop
from pourwright.lining import lined_rigidity
from pourwright.panels import Panel
from pourwright.shell import Skin

LEAST_SKIN_M = 0.001
"""No skin is offered thinner: it dents and prints through. Our judgement."""


@dataclass(frozen=True, slots=True)
class Sandwich:
    """Skin and foam of a panel."""

    skin_m: float  # of one face
    foam_m: float
    skin_kg_m2: float  # of all faces
    foam_kg_m2: float

    @property
    def kg_m2(self) -> float:
        """Of both."""
        return self.skin_kg_m2 + self.foam_kg_m2


def lightest(
    rigidity: Callable[[float, float], float], wanted: float, kg_m3: tuple[float, float], faces: int,
    bounds_m: tuple[tuple[float, float], tuple[float, float]],
) -> Sandwich | None:  # fmt: skip
    """The lightest panel whose bending stiffness is ``wanted``.

    Parameters
    ----------
    rigidity : callable
        Of skin and foam thickness [m] to bending stiffness [N m]; it rises with both.
    wanted : float [N m]
    kg_m3 : (skin, foam)
    faces : int
        Skins of the panel: 1, or 2 with foam between them.
    bounds_m : ((least, most) of the skin, (least, most) of the foam)

    Returns
    -------
    Sandwich or None
        None where nothing within the bounds is so stiff.

    Notes
    -----
    For each thickness of foam the skin that is just enough is found, then the foam for which both weigh least; of one
    minimum between its bounds, which a skin that is stiffer and heavier by far than its foam has.
    """
    (thin, thick), (least, most) = bounds_m

    def skin(foam_m: float) -> float:
        if rigidity(thin, foam_m) >= wanted:
            return thin
        if rigidity(thick, foam_m) < wanted:
            return thick * (1.0 + wanted / max(rigidity(thick, foam_m), 1e-12))  # far too heavy: never the lightest
        return float(brentq(lambda t: rigidity(t, foam_m) - wanted, thin, thick, xtol=1e-9))

    def kg_m2(foam_m: float) -> float:
        return faces * kg_m3[0] * skin(foam_m) + kg_m3[1] * foam_m

    found = float(minimize_scalar(kg_m2, bounds=(least, most), method="bounded", options={"xatol": 1e-7}).x)
    best = min((found, least, most), key=kg_m2)
    if skin(best) > thick:
        return None
    return Sandwich(skin(best), best, faces * kg_m3[0] * skin(best), kg_m3[1] * best)


def free_wall(skin: Skin, panel: Panel, foam: FoamAtShop, lining_m: float, most_m: float) -> tuple[Sandwich, Sandwich]:
    """The panel as it is lined, and the lightest as stiff one with its skin free too, foam bonded to it.

    Parameters
    ----------
    panel : Panel
    lining_m : float
        Of the lining it has now [m].
    most_m : float
        The thickest lining there is room for [m].
    """

    def rigidity(skin_m: float, foam_m: float) -> float:
        return lined_rigidity(skin, replace(panel, thickness_m=skin_m), foam, foam_m, True)

    kg_m3 = skin.material.density_kg_m3, foam.open_density_kg_m3.nominal
    now = Sandwich(panel.thickness_m, lining_m, kg_m3[0] * panel.thickness_m, kg_m3[1] * lining_m)
    bounds = (min(LEAST_SKIN_M, panel.thickness_m), 4.0 * panel.thickness_m), (0.0, max(most_m, lining_m))
    found = lightest(rigidity, rigidity(panel.thickness_m, lining_m), kg_m3, 1, bounds)
    return now, found if found is not None and found.kg_m2 < now.kg_m2 else now
