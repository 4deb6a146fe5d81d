"""How stiff a piece gets by foam in bands only."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop
from pourwright.outcome.lined import hollow_of
from pourwright.outcome.model import StiffnessGain
from pourwright.outcome.stiffness import WHOLE_BODY, stiffness_gains, whole_body
from pourwright.panels import Panel
from pourwright.shell import Skin

NO_FOAM = (
    "Part of this panel has no foam behind it: it is counted as bare. The ribs shorten it, which makes it stiffer and "
    "is not computed."
)


def ribbed_gains(
    skin: Skin, panels: tuple[Panel, ...], cavity: Cavity, graph: LevelGraph, foam: FoamAtShop, hollow: np.ndarray,
    bands_m: tuple[tuple[float, float], ...], *, bond: float | None = None,
) -> tuple[StiffnessGain, ...]:  # fmt: skip
    """Stiffness after over before: the whole body with its hollows, the flattest panel only where a band covers it.

    Parameters
    ----------
    cavity, graph : Cavity, LevelGraph
        Of the whole piece.
    hollow : ndarray (nx, ny, nz) uint8
        Share of each cell that stays without foam.
    bands_m : tuple of (bottom, top)
        Above the base.
    """
    full = skin.material.foam_bonds if bond is None else bond >= 0.5
    volume = float(hollow.sum(dtype=np.int64)) / 255.0 * cavity.grid.cell_m**3
    body = whole_body(skin, cavity, graph, foam, full, hollow_of(cavity, hollow, volume))
    out = [body] if body is not None else []
    if panels:
        height = cavity.frame.to_standing(panels[0].outline_m)[:, 2]
        covered = any(low <= height.min() and height.max() <= high for low, high in bands_m)
        solid = [one for one in stiffness_gains(skin, panels, cavity, graph, foam, bond=bond) if one.name != WHOLE_BODY]
        out += solid if covered else [StiffnessGain(one.name, 1.0, 1.0, 1.0, NO_FOAM) for one in solid]
    return tuple(out)
