"""From skin to cavity: occupancy, the wall cut away, stray voids dropped, volume with its uncertainty."""

from __future__ import annotations

import numpy as np

from pourwright.cavity._inside import find_inside
from pourwright.cavity._pieces import drop_stray_voids
from pourwright.cavity._shares import STEP, Walls, carve, join_walls
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import nearest_many
from pourwright.cavity.chambers import STRAY_CELLS, STRAY_SHARE, keep_apart
from pourwright.cavity.frame import PourFrame
from pourwright.cavity.grid import make_grid
from pourwright.cavity.model import Cavity, Grid
from pourwright.errors import CavityError
from pourwright.irons import Iron, taken_out
from pourwright.progress import Progress, silent
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell import Skin


def _deepest_m(inside: np.ndarray, walls: Walls, cell_m: float) -> float:
    """Largest depth [m] of the cell centres inside (every n-th of them where there are many)."""
    where = np.flatnonzero(inside)
    where = where[:: max(1, len(where) // 50_000)]
    points = np.column_stack(np.unravel_index(where, inside.shape)).astype(float)
    if not len(points):
        return 0.0
    depth = np.full(len(points), np.inf)
    for s, wall in enumerate(walls.wall):
        if wall <= 0:  # caps do not count
            continue
        d, hit, foot = np.empty(len(points)), np.empty(len(points), np.int64), np.empty((len(points), 3))
        nearest_many(
            walls.boxes[walls.box_at[s] : walls.box_at[s + 1]],
            walls.triangles[walls.triangle_at[s] : walls.triangle_at[s + 1]],
            int(walls.first_leaf[s]),
            points,
            d,
            hit,
            foot,
            0,
            len(points),
        )
        depth = np.minimum(depth, d)
    return float(depth.max()) * cell_m


def _total(fraction: np.ndarray) -> int:
    """Sum of all shares, in 255ths of a cell."""
    return sum(run_spans(lambda a, b: int(fraction[a:b].sum(dtype=np.int64)), spans(len(fraction), 32)))


def _refuse(inside: np.ndarray, walls: Walls, grid: Grid) -> CavityError:
    if not inside.any():
        return CavityError(
            f"No cell of {grid.cell_m * 1e3:.4g} mm has its middle inside the shell: it has no inside, or the cell is "
            "too coarse; check the mesh or give a smaller cell."
        )
    if not walls.wall.any():
        return CavityError(
            f"The void of the shell holds no more than stray voids at a cell of {grid.cell_m * 1e3:.4g} mm: "
            "give a smaller cell."
        )
    thinnest = walls.wall[walls.wall > 0].min() * grid.cell_m
    deepest = _deepest_m(inside, walls, grid.cell_m)
    return CavityError(
        f"A wall of {thinnest * 1e3:.4g} mm leaves no cavity to fill: the deepest point of the shell lies "
        f"{deepest * 1e3:.4g} mm under its skin; check the unit of the mesh and give a thinner wall."
    )


def build_cavity(
    skin: Skin,
    frame: PourFrame,
    *,
    cell_m: float | None = None,
    memory_bytes: int = MEMORY_BYTES,
    stray_void_m3: float | None = None,
    irons: tuple[Iron, ...] = (),
    apart: bool = False,
    progress: Progress = silent,
) -> Cavity:
    """The space the foam will fill.

    For an outside skin (closed, or open with its rims capped) a point belongs to the cavity when it lies inside the
    capped surface and at least the wall thickness from the skin; caps do not count, so that at an opening the foam
    reaches up to the cap. The thickness is that of the skin point (its height on the file's z axis), not of the point
    inside: skin triangles are cut where a band ends. For a wall with both faces the cavity is the inside of its voids.

    Cells near the offset surface are weighed by the share that a plane at their exact distance from the triangles
    cuts off, so the volume converges with the square of the cell.

    Parameters
    ----------
    skin : Skin
    frame : PourFrame
        Which way is up; the grid's axes are those of the standing piece.
    cell_m : float, optional
        Edge of a cell [m]; chosen by ``choose_cell`` if not given.
    memory_bytes : int
        What the grid and its labels may take [byte]; checked before anything is allocated.
    stray_void_m3 : float, optional
        Loose pieces that hold less [m3] are dropped and counted. Default: the larger of 64 cells and 1e-5 of all.
    irons : tuple of Iron
        What stands in the cavity before the first pour; its room is taken out.
    apart : bool
        Whether chambers that run together in the cells are refused.
    progress : Progress

    Returns
    -------
    Cavity
        ``volume_low_m3`` and ``volume_high_m3`` take together, as a sum: the wall thicker and thinner by its spread
        (area of the cavity times thickness times spread, second order left out), and the cell error: a plane taken at
        the depth of a cell's centre instead of the mean depth over the cell is wrong by the Laplacian of the depth
        times the cell squared / 24, which adds up to the second derivative of the volume by the wall thickness;
        twice that is taken, and at least 1e-5 of the volume. For a dirty mesh the cells whose side is in doubt are
        added.

    Raises
    ------
    CavityError
        If the grid does not fit in memory, the wall leaves no cavity, or chambers run together that are to be apart.
    """
    grid = make_grid(skin, frame, cell_m, memory_bytes)
    progress("occupancy", 0.0)
    inside = find_inside(skin, frame, grid)
    fraction, doubted, words = inside.fraction, inside.doubted, inside.words
    loose = np.array([s.wall * s.spread for s in inside.surfaces])  # cells by which each wall may be out
    progress("occupancy", 1.0)
    walls = join_walls([(s.triangles, s.wall) for s in inside.surfaces])
    del inside  # the tree has its own copy of the triangles
    sums = carve(fraction, walls, lambda done: progress("distance", done))
    taken = taken_out(irons, fraction, grid.origin_m, grid.cell_m)
    progress("pieces", 0.0)
    cell3 = grid.cell_m**3
    found = _total(fraction) / 255.0
    least = max(STRAY_CELLS, STRAY_SHARE * found) if stray_void_m3 is None else stray_void_m3 / cell3
    stray_voids, stray_cells = drop_stray_voids(fraction, least)
    volume = _total(fraction) / 255.0 * cell3
    if volume <= 0:
        raise _refuse(find_inside(skin, frame, grid).fraction, walls, grid)
    if apart:
        keep_apart(skin, frame, grid, fraction, least)
    by_wall = cell3 * float((sums[:, 0] - sums[:, 1]) @ loose) / (2 * STEP)  # area times what the wall may be out
    by_dirt = doubted * cell3
    bend = float(sums[:, 2].sum()) / STEP**2 * grid.cell_m
    by_cell = max(2.0 * abs(bend) * grid.cell_m**2 / 24.0, 1e-5 * volume)
    fraction.setflags(write=False)
    progress("pieces", 1.0)
    return Cavity(
        grid=grid,
        frame=frame,
        fraction=fraction,
        volume_m3=volume,
        volume_low_m3=max(0.0, volume - by_wall - by_cell - by_dirt),
        volume_high_m3=volume + by_wall + by_cell + by_dirt,
        stray_voids=stray_voids,
        stray_voids_m3=stray_cells * cell3,
        stray_void_limit_m3=least * cell3,
        doubt_m3=by_dirt,
        irons=irons,
        taken=taken,
        method=f"{words}; exact distance to triangles near the wall; plane cuts of cells",
    )
