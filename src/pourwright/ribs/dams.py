"""Boards that foam is poured against: their outline, what pushes on them, how they get in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pourwright.cavity import Cavity, LevelGraph, outline
from pourwright.cores import clear_m, rim_m
from pourwright.errors import CavityError
from pourwright.panels import sides_m
from pourwright.physics.constants import STANDARD_GRAVITY
from pourwright.physics.fixture import strip_span
from pourwright.ranges import Range
from pourwright.ribs.bands import Cut
from pourwright.ribs.judged import BENDS, BOARD_DENSITY, BOARD_PA, BOARD_POISSON, JOINT, LEAST_STRIP
from pourwright.ribs.rules import RibRules
from pourwright.shell import Opening, Skin


@dataclass(frozen=True, eq=False)
class Mouth:
    """A mouth of the piece, with the diameter of the largest disc that passes it."""

    opening: Opening
    clear_m: float


def mouths_of(skin: Skin) -> tuple[Mouth, ...]:
    """Every mouth of a piece, the wall round it taken off."""
    return tuple(Mouth(one, clear_m(one, rim_m(one, skin))) for one in skin.openings)


@dataclass(frozen=True, eq=False)
class Push:
    """What the pours of a rib do to its dams."""

    pressure_pa: Range  # of the pours that lie on them, at its greatest
    kg: Range  # all foam of the rib


@dataclass(frozen=True, eq=False)
class Dam:
    """One board under a rib. Plan in standing metres, seen from above."""

    name: str
    rib: int
    height_m: float  # of its upper face, where the foam begins
    shape: shapely.MultiPolygon  # as it is cut, all its joints left out
    joint_m: float  # widest joint between board and wall
    kg: Range
    pressure_pa: Range
    force_n: Range  # down, while the foam of the rib is liquid or new
    span_m: float  # farthest way between battens, at the high pressure
    mouth: str  # it is brought in through; "": the shell has none that would do
    mouth_m: float  # its clear width; of the widest where none would do; 0: the shell is closed
    reach_m: float  # from there to the farthest corner; nan without
    strips: int  # it is pieced together of, to pass the mouth; 0: not known

    @property
    def area_m2(self) -> float:
        """Of the board."""
        return float(self.shape.area)


def dam_of(
    cut: Cut, rules: RibRules, cavity: Cavity, graph: LevelGraph, push: Push, mouths: Sequence[Mouth], share: float
) -> Dam:
    """The board that closes a cut from below.

    Parameters
    ----------
    cavity, graph : Cavity, LevelGraph
        Of the whole piece, hollow and all.
    push : Push
    mouths : sequence of Mouth
        Of the whole piece.
    share : float
        Of the foam of the rib that it carries.

    Raises
    ------
    CavityError
        Nothing passes the skin there.
    """
    shape, joint = _shape(cut, rules, cavity, graph)
    area = float(shape.area)
    on_top = share * STANDARD_GRAVITY * push.kg
    force = Range(push.pressure_pa.low * area, *(p * area + w for p, w in (
        (push.pressure_pa.nominal, on_top.nominal), (push.pressure_pa.high, on_top.high))))  # fmt: skip
    mouth, mouth_m, reach = _way_in(cut, cavity, shape, rules, mouths)
    spread = BOARD_DENSITY.spread
    return Dam(
        name=cut.name, rib=cut.rib, height_m=cut.height_m, shape=shape, joint_m=joint,
        kg=Range.about(rules.board_kg_m3 * area * rules.board_m, spread),
        pressure_pa=push.pressure_pa, force_n=force,
        span_m=_span(force.high / area, rules.board_m),
        mouth=mouth, mouth_m=mouth_m, reach_m=reach, strips=_strips(shape, rules, mouth_m) if mouth else 0,
    )  # fmt: skip


def _span(pressure_pa: float, board_m: float) -> float:
    return float(strip_span(BENDS.value, pressure_pa, BOARD_PA.value, BOARD_POISSON.value, board_m))


def _shape(cut: Cut, rules: RibRules, cavity: Cavity, graph: LevelGraph) -> tuple[shapely.MultiPolygon, float]:
    """What passes both faces of the board, a joint smaller all round, and how wide the joint gets."""
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])

    def section(height: float) -> shapely.Geometry:
        level = int(np.clip((height - base) / cell, 0, graph.levels - 1))
        return shapely.intersection(outline(cavity, graph, level), cut.shape.buffer(2.0 * cell))

    above, below = section(cut.height_m), section(cut.height_m - rules.board_m)
    shape = shapely.intersection(above, below).buffer(-JOINT.value)
    parts = [one for one in shapely.get_parts(shape) if isinstance(one, shapely.Polygon) and one.area > 0]
    if not parts:
        raise CavityError(
            f"No board closes {cut.name}, {1e3 * cut.height_m:.4g} mm above the base: of what passes the skin there a "
            f"joint of {1e3 * JOINT.value:.2g} mm leaves nothing. Give fill.bands that begin some millimetres higher "
            "or lower."
        )
    shape = shapely.MultiPolygon(parts)
    return shape, float(shapely.hausdorff_distance(above.boundary, shape.boundary))


def _way_in(
    cut: Cut, cavity: Cavity, shape: shapely.MultiPolygon, rules: RibRules, mouths: Sequence[Mouth]
) -> tuple[str, float, float]:
    """The nearest mouth that strips of the board pass: its name, clear width, and way to the farthest corner."""
    ring = np.concatenate([np.array(part.exterior.coords)[:, :2] for part in shape.geoms])
    corners = np.column_stack([ring, np.full(len(ring), cut.height_m)])
    found, widest = [], 0.0
    for mouth in mouths:
        widest = max(widest, mouth.clear_m)
        if mouth.clear_m > math.hypot(LEAST_STRIP.value, rules.board_m):
            at = cavity.frame.to_standing(mouth.opening.centroid_m)
            found.append((float(np.linalg.norm(corners - at, axis=1).max()), mouth.opening.name, mouth.clear_m))
    if not found:
        return "", widest, math.nan
    reach, name, clear = min(found)
    return name, clear, reach


def _strips(shape: shapely.MultiPolygon, rules: RibRules, mouth_m: float) -> int:
    """Strips that a board is pieced together of, each end first through the mouth, its width and thickness across."""
    most = math.sqrt(mouth_m**2 - rules.board_m**2)
    return max(1, math.ceil(sides_m(shape)[1] / most - 1e-9))
