"""The heat cells of a division, and what they may be off by."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Space
from pourwright.heat import (
    FineCells,
    HeatGrid,
    HeatResult,
    Narrow,
    PourTemperatures,
    StagedHeat,
    cell_error,
    heat_grid,
    limb_error,
)
from pourwright.lifts import Division, Pour
from pourwright.shell import Skin


def pours_of(plan: Division) -> list[Pour]:
    """All pours in the order they are named."""
    return [pour for lift in plan.lifts for pour in lift.pours]


def owners(graph: LevelGraph, plan: Division, order: list[str]) -> np.ndarray:
    """Number (nodes,) in ``order`` of the pour with the largest share of each node, -1 for none."""
    owner = np.full(len(graph.node_level), -1)
    most = np.zeros(len(owner))
    for pour in pours_of(plan):
        mine = pour.shares > most[pour.nodes]
        owner[pour.nodes[mine]] = order.index(pour.name)
        most[pour.nodes[mine]] = pour.shares[mine]
    return owner


def rims_of(skin: Skin, cavity: Cavity) -> tuple[np.ndarray, ...]:
    """Rims of the openings, standing."""
    return tuple(cavity.frame.to_standing(opening.loop_m) for opening in skin.openings)


def grid_of(space: Space, plan: Division, order: list[str], cells: int) -> HeatGrid:
    """Heat cells, each given to the pour with the largest share of its node."""
    rims = rims_of(space.skin, space.cavity)
    return heat_grid(_fine(space, plan, order), openings=rims, irons=space.cavity.irons, target_cells=cells)


def _fine(space: Space, plan: Division, order: list[str]) -> FineCells:
    cavity, graph = space.cavity, space.graph
    owned = owners(graph, plan, order)
    return FineCells(cavity.fraction, graph.label, owned, cavity.grid.origin_m, cavity.grid.cell_m)


def faces_under(grid: HeatGrid, pours: int) -> np.ndarray:
    """Area (pours,) [m2] of the faces that each pour lands on: of its cells that stand on those of an earlier one.

    Cells at the skin count by what they hold.
    """
    below, above = grid.pour[:, :, :-1], grid.pour[:, :, 1:]
    lands = (below >= 0) & (above > below)
    held = 0.5 * (grid.share[:, :, :-1][lands] + grid.share[:, :, 1:][lands])
    return np.bincount(above[lands], weights=held, minlength=pours) * grid.cell_m**2


def off_k(
    space: Space,
    plan: Division,
    problem: StagedHeat,
    on_grid: HeatResult,
    hottest: PourTemperatures,
    places: tuple[Narrow, ...],
) -> float:
    """How far the peak of the hottest pour may be off by its cells [K]: halved round it, or across its limb."""
    order = [pour.name for pour in problem.pours]
    number = order.index(hottest.name)
    if hottest.across_m == hottest.across_m:
        mine = (p for p in places if p.pour == number and hottest.across_m in (p.width_m, p.diameter_m))
        return limb_error(problem, on_grid, next(mine))
    until_s = hottest.peak_s - hottest.start_s
    rims = rims_of(space.skin, space.cavity)
    fine = _fine(space, plan, order)
    return cell_error(fine, problem, number, hottest.peak_point_m, until_s, openings=rims)
