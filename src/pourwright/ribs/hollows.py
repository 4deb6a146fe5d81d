"""What stays hollow between ribs, its drain and breather; the hole through which a rib is poured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import find_objects, label

from pourwright.access import FRONT, HIDDEN, side_of, side_places
from pourwright.cavity import Cavity, ColumnMap, Space, nearest_skin_point, skin_above
from pourwright.lifts import judged
from pourwright.ribs.bands import Cut
from pourwright.ribs.rules import RibRules
from pourwright.shell import Skin

IN = 128
"""Share of a cell, of 255, from which it counts: half."""
LEAST_SHARE = 1e-3
"""Of the cavity: a hollow that holds less is not told of; our judgement."""
OVER_M = 0.06
"""So far above a rib's top a place for the hose is sought by hand where none is found clear of the ribs; our
judgement."""


@dataclass(frozen=True, eq=False)
class Hollow:
    """One hollow that stays. Shell file's axes."""

    volume_m3: float
    middle_m: np.ndarray  # (3,)
    bottom_m: float  # above the base
    top_m: float
    drain_m: np.ndarray  # (3,) on the skin, lowest as it will stand or hang
    breather_m: np.ndarray  # (3,) highest


@dataclass(frozen=True, eq=False)
class WayIn:
    """How the hose gets over a rib: through a mouth straight above, or a hole in the side."""

    rib: int
    name: str  # "R1"
    over: str  # name of the open top
    opening: str  # "": a hole is drilled
    point_m: np.ndarray  # (3,) on the skin or in the opening, shell axes
    hole_m: float  # 0: an opening
    found: bool = True  # False: no place clear of the ribs; ``point_m`` is the nearest skin


def hollows_of(skin: Skin, cavity: Cavity, hollow: np.ndarray, up: np.ndarray) -> tuple[Hollow, ...]:
    """The hollows of a piece, largest first; ``hollow`` (nx, ny, nz) uint8 the share of each cell without foam.

    ``up`` (3,): which way is up when the piece hangs or stands at last, shell axes.
    """
    found, count = label(hollow >= IN)
    cell = cavity.grid.cell_m
    out = []
    for k, box in enumerate(find_objects(found, count), start=1):
        mine = found[box] == k
        volume = float(hollow[box][mine].sum(dtype=np.int64)) / 255.0 * cell**3
        if volume < LEAST_SHARE * cavity.volume_m3:
            continue
        cells = np.argwhere(mine) + [part.start for part in box]
        points = cavity.frame.to_shell(cavity.grid.centres(cells))
        height = points @ up
        ends = [points[height <= height.min() + cell], points[height >= height.max() - cell]]
        low, high = cells[:, 2].min(), cells[:, 2].max() + 1
        drain, breather = (_out(skin, one) for one in ends)
        base = float(cavity.grid.origin_m[2])
        out.append(Hollow(volume, _middle(points), base + low * cell, base + high * cell, drain, breather))
    return tuple(sorted(out, key=lambda one: -one.volume_m3))


def _out(skin: Skin, points: np.ndarray) -> np.ndarray:
    """The place on the skin that is nearest to one of the points: beside a hollow, not through the foam under it."""
    feet, _, away = nearest_skin_point(skin, points)
    return np.asarray(feet[int(np.argmin(np.round(away, 6)))])


def _middle(points: np.ndarray) -> np.ndarray:
    """Of some points the one nearest their middle."""
    return np.asarray(points[np.argmin(np.linalg.norm(points - points.mean(axis=0), axis=1))])


def way_in_of(cut: Cut, number: int, space: Space, columns: ColumnMap, rules: RibRules) -> WayIn:
    """The hole for the hose over an open top: a mouth straight above it, or the side of the piece off the front."""
    skin, cavity = space.skin, space.cavity
    spot = cut.shape.representative_point()
    above = np.array([[spot.x, spot.y, cut.height_m]])
    exits, face, opening = skin_above(skin, cavity.frame, above)
    free = not any(low >= cut.height_m for low, _ in rules.bands_m)
    if free and face[0] >= 0 and opening[0] >= 0:
        return WayIn(cut.rib, f"R{number}", cut.name, skin.openings[int(opening[0])].name, exits[0], 0.0)
    found = _side(cut, space, columns, rules)
    over = above + np.array([0.0, 0.0, OVER_M])
    at = nearest_skin_point(skin, cavity.frame.to_shell(over))[0][0] if found is None else found
    return WayIn(cut.rib, f"R{number}", cut.name, "", at, judged.PORT_HOLE.value, found is not None)


def _side(cut: Cut, space: Space, columns: ColumnMap, rules: RibRules) -> np.ndarray | None:
    skin, cavity, graph = space.skin, space.cavity, space.graph
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])
    level = round((cut.height_m - base) / cell)
    next_m = min((low for low, _ in rules.bands_m if low >= cut.height_m), default=np.inf)
    plan = cavity.grid.origin_m[:2] + (columns.column + 0.5) * cell
    shapely.prepare(cut.shape)
    runs = np.flatnonzero((columns.low <= level) & (columns.high > level) & shapely.contains_xy(cut.shape, plan))
    if not len(runs):
        return None
    places = side_places(skin, cavity, graph, columns, [(runs, level)], judged.PORT_HOLE.value)
    height = cavity.frame.to_standing(places.point_m)[:, 2] if len(places.point_m) else np.zeros(0)
    good = np.flatnonzero((height > cut.height_m) & (height < next_m - rules.board_m - 0.5 * judged.PORT_HOLE.value))
    if not len(good):
        return None
    side = side_of(places.normal[good])
    order = np.lexsort((height[good], side != HIDDEN, side == FRONT))
    return np.asarray(places.point_m[good[order[0]]])
