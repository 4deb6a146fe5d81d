"""What a rise is given and what it answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pourwright.cavity import LevelGraph


class Rooms(NamedTuple):
    """What a pour fills: nodes of a level graph (k,), its share of each (k,) from 0 to 1, and where its liquid lands.

    ``start_node`` is of the graph; None: the lowest of the pour.
    """

    graph: LevelGraph
    nodes: np.ndarray
    shares: np.ndarray
    start_node: int | None = None


@dataclass(frozen=True, slots=True)
class Outlet:
    """A way out of a pour's space, at a node of the level graph: air leaves by it, and foam once the node is full."""

    name: str
    node: int
    hole_m: float  # diameter of each hole; of an opening, that of a round one of its area
    holes: int = 1
    length_m: float = 0.0  # thickness of the wall the hole goes through

    @property
    def area_m2(self) -> float:
        """Open area [m2]."""
        return self.holes * np.pi / 4 * self.hole_m**2


@dataclass(frozen=True, slots=True)
class RiseSettings:
    """Limits and constants of a rise. Where no source is named: our judgement, no published source."""

    vent_pressure_pa: float = 100.0  # back-pressure allowed at a vent, for the size of hole it needs
    discharge: float = 0.61  # of a sharp-edged hole (ISO 5167-2, from memory)
    air_density_kg_m3: float = 1.2
    void_share: float = 0.002  # of the pour's space; less counts as filled
    share_step: float = 0.004  # of the whole expansion, most in one step
    time_step_s: float = 4.0  # most
    foam_leaves: bool = True  # False: every hole is shut as foam shows at it; air leaves by it until then


GELLED, BELOW = "gelled on the way", "below its level"
"""Why space stays empty: foam has a way to it and its air leaves; or it is open above, and the next lift fills it."""


@dataclass(frozen=True, eq=False)
class Void:
    """Space of the pour that foam does not fill. Standing metres."""

    node: int  # its largest node
    point_m: np.ndarray  # (3,) centroid of that node
    volume_m3: float
    bottom_m: float
    top_m: float
    # `BELOW`, `GELLED`, "trapped air", "air leaves too slowly", "too little foam", "no way for the foam"
    reason: str
    neck_node: int  # narrowest node the foam had to pass on the way, -1 where there is none
    neck_m: float  # its hydraulic diameter, nan where there is none

    @property
    def lasting(self) -> bool:
        """Whether no later lift fills it from above."""
        return self.reason != BELOW


@dataclass(frozen=True, eq=False)
class OutletFlow:
    """What passes one outlet."""

    outlet: Outlet
    air_m3_s: np.ndarray  # (times,)
    air_peak_m3_s: float
    air_peak_s: float
    hole_needed_m: float  # of each of its holes, so that the peak passes at the allowed back-pressure
    back_pressure_pa: float  # with the hole it has, at the peak
    foam_kg: float  # surplus that comes out
    foam_m3: float  # the same, as it will have risen outside
    foam_from_s: float  # when it starts; nan if never


@dataclass(frozen=True, eq=False)
class RiseResult:
    """One pour from mixing to the end of its rise. Node arrays follow ``nodes``; pressures are gauge. Read-only."""

    nodes: np.ndarray  # (k,) graph nodes
    time_s: np.ndarray  # (times,)
    foam_m3: np.ndarray  # (times,) inside the pour's space
    level_m: np.ndarray  # (times,) height of the foam's highest front above the base
    pressure_pa: np.ndarray  # (times,) highest of all nodes
    filled_share: np.ndarray  # (k,) at the end
    filled_s: np.ndarray  # (k,) when the node was full, nan if never
    speed_m_s: np.ndarray  # (k,) fastest through its section
    drop_pa: np.ndarray  # (k,) largest drop through its section
    node_peak_pa: np.ndarray  # (k,)
    node_peak_s: np.ndarray  # (k,)
    peak_pa: float
    peak_s: float
    peak_point_m: np.ndarray  # (3,) standing
    gel_s: float
    at_gel_pa: float  # highest of all nodes when the foam gels: later pressure is in part held by the foam itself
    voids: tuple[Void, ...]  # largest first
    void_m3: float  # all space not filled, small ones included
    short: bool  # a void that no later lift fills, larger than the share that counts as filled
    density_kg_m3: float  # of the foam in the pour's space, mean over what it fills
    above_kg: float  # foam that rose over the top of the pour into the space above
    outlets: tuple[OutletFlow, ...]
    mass_kg: float
    mass_residual: float  # (poured - inside - out) / poured
    steps: int

    def level_peaks(self, node_level: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Levels the pour reaches, the peak pressure on the skin in each [Pa], and when [s].

        ``node_level`` (graph nodes,) is that of the level graph.
        """
        levels = np.asarray(node_level)[self.nodes]
        found = np.unique(levels)
        best = np.array([np.flatnonzero(levels == v)[np.argmax(self.node_peak_pa[levels == v])] for v in found])
        return found, self.node_peak_pa[best], self.node_peak_s[best]
