"""What the pours of a plan do to the cores among them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Space
from pourwright.cores.floating import Rising, most_uplift_n
from pourwright.cores.mouth import end_across_m, rim_m
from pourwright.cores.rules import CoreRules, Laid
from pourwright.foam import FoamAtShop
from pourwright.lifts import Pour
from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class Cored:
    """Cores as they lie, and what the pours do to them."""

    rules: CoreRules
    laid: tuple[Laid, ...]
    uplift_n: tuple[float, ...]  # of each, its own weight taken off; nan where no pour was found round it
    hottest_k: float  # foam round them, high end; nan: not computed
    mouth_m: float | None  # across the largest end of their shape that goes in; 0: walls close it; None: no mouth
    saved_kg: float  # against foam in their place

    @property
    def volume_m3(self) -> float:
        """Of all of them."""
        return len(self.laid) * self.rules.volume_m3


def cored(
    rules: CoreRules, found: tuple[Laid, ...], space: Space, foam: FoamAtShop, pours: Sequence[Pour],
    peak_k: Mapping[str, float],
) -> Cored:  # fmt: skip
    """What pours do to cores; ``peak_k`` is the hottest of each at the high end of its heat, where it is known."""
    cavity, graph = space.cavity, space.graph
    owner = np.full(len(graph.node_level) + 1, -1)
    for number, pour in enumerate(pours):
        owner[pour.nodes + 1] = number
    rising = [_rising(pour, graph) for pour in pours]
    uplift, touched = [], set()
    for one in found:
        beside = _beside(one, cavity, graph, owner)
        touched |= beside
        area = float(np.prod(one.high_m[:2] - one.low_m[:2]))
        push = [most_uplift_n(rising[k], float(one.low_m[2]), float(one.high_m[2]), area, rules.kg.low) for k in beside]
        uplift.append(max(push, default=math.nan))
    peaks = [peak_k.get(pours[k].name, math.nan) for k in sorted(touched)]
    volume = len(found) * rules.volume_m3
    return Cored(
        rules=rules, laid=found, uplift_n=tuple(uplift), hottest_k=_hottest_k(peaks, rules.limit_k),
        mouth_m=_mouth_m(space.skin, rules),
        saved_kg=volume * foam.closed_density_kg_m3.nominal - len(found) * rules.kg.nominal,
    )  # fmt: skip


def _rising(pour: Pour, graph: LevelGraph) -> Rising:
    level = graph.node_level[pour.nodes]
    held = np.bincount(level, graph.node_volume_m3[pour.nodes] * pour.shares, graph.levels)
    mine = np.flatnonzero(held > 0)
    parts = pour.parts
    kg = parts.a_kg + parts.b_kg
    return Rising(kg, kg / parts.total_m3, pour.bottom_m, graph.level_m[mine + 1], np.cumsum(held[mine]))


def _beside(one: Laid, cavity: Cavity, graph: LevelGraph, owner: np.ndarray) -> set[int]:
    """Pours that have a cell within two cells of a core."""
    grid = cavity.grid
    low = np.floor((one.low_m - grid.origin_m) / grid.cell_m).astype(int) - 2
    high = np.ceil((one.high_m - grid.origin_m) / grid.cell_m).astype(int) + 2
    low, high = np.maximum(low, 0), np.minimum(high, grid.shape)
    there = graph.label[tuple(slice(a, b) for a, b in zip(low, high, strict=True))]
    return {int(k) for k in np.unique(owner[np.unique(there)]) if k >= 0}


def _hottest_k(peaks_k: Sequence[float], limit_k: float) -> float:
    """nan where one that is not known may be the hottest; not where one that is known is over the limit already."""
    known = max((peak for peak in peaks_k if not math.isnan(peak)), default=math.nan)
    return known if len(peaks_k) and (known > limit_k or not any(map(math.isnan, peaks_k))) else math.nan


def _mouth_m(skin: Skin, rules: CoreRules) -> float | None:
    """Of the mouth that lets in most."""
    if not skin.openings:
        return None
    best, (a, b, _) = 0.0, sorted(rules.size_m)
    for opening in skin.openings:
        if float(np.linalg.norm(np.ptp(opening.loop_m, axis=0))) > best:
            best = max(best, end_across_m(opening, rim_m(opening, skin), (a, b)))
    return best
