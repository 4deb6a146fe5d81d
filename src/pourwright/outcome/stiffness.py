"""How much stiffer the foam makes the piece, as three ratios by formula; never one number for all of them."""

from __future__ import annotations

import math

import numpy as np
import shapely

from pourwright.cavity import Cavity, LevelGraph, outline
from pourwright.foam import FoamAtShop
from pourwright.outcome.model import StiffnessGain
from pourwright.panels import Panel
from pourwright.physics.elastic.foundation import dent_stiffness, panel_gain
from pourwright.physics.elastic.plates_small import flexural_rigidity
from pourwright.physics.gas import contraction
from pourwright.shell import Skin
from pourwright.sources import Cited, Standing

FOAM_EXPANSION = Cited(6e-5, "1/K", Standing.MEMORY, spread=0.17, note="linear, rigid polyurethane foam")
WHOLE_BODY = "whole body, bending"
POINT_PUSH = "flattest panel, hand push at a point"
SMALL = "For loads that bulge the empty panel by less than half its wall."
"""Where small deflections of plates end: Roark's Formulas for Stress and Strain, section 11.2."""
SECTIONS = 15  # levels at which the whole body is cut


def cooling_gap(graph: LevelGraph, foam: FoamAtShop) -> float:
    """The gap [m] that cooling opens at most behind a skin to which the foam does not stick.

    The foam shrinks towards the middle of where it is widest: half the widest clear width, by ``gas.contraction`` over
    the likely rise. Everything that is said of a gap is said from this.
    """
    return contraction(FOAM_EXPANSION.value, foam.rise_k.nominal) * 0.5 * float(np.max(graph.node_width_m))


def stiffness_gains(
    skin: Skin,
    panels: tuple[Panel, ...],
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    *,
    bond: float | None = None,
) -> tuple[StiffnessGain, ...]:
    """Stiffness after / before for the whole body in bending, and for the flattest panel pushed in and bent.

    Parameters
    ----------
    bond : float or None
        0 counts no bond, 1 full bond; None takes the skin material's word (no bond on untreated polyethylene).

    Notes
    -----
    Formulas on the piece's own sections and flattest panel; foam modulus is the grade's at free rise, the skin's is
    the high end of its range, so that no gain is overstated. A panel that is pushed in has foam as deep as the cavity
    is wide behind it, on a stiff back (the far skin).
    """
    full = skin.material.foam_bonds if bond is None else bond >= 0.5
    gains = [whole_body(skin, cavity, graph, foam, full)]
    if panels:
        gains += _panel(skin, panels[0], graph, foam, full)
    return tuple(gain for gain in gains if gain is not None)


def whole_body(
    skin: Skin, cavity: Cavity, graph: LevelGraph, foam: FoamAtShop, full: bool, hollow: Cavity | None = None
) -> StiffnessGain | None:
    """Bending about the weaker axis of each level section, at an even moment: compliances 1/EI add along the height.

    ``full``: the foam sticks to the skin. ``hollow``: what of the cavity stays without foam, on the same cells.
    """
    standing_m, outside = cavity.frame.to_standing(skin.vertices_m), skin.faces[~skin.void_face]
    before, after = 0.0, 0.0
    for level in np.unique(np.linspace(0.06, 0.94, SECTIONS) * (graph.levels - 1) // 1).astype(int):
        height = 0.5 * (graph.level_m[level] + graph.level_m[level + 1])
        core = outline(cavity, graph, int(level))
        wall = level_section(standing_m, outside, height).difference(core)
        if core.is_empty or wall.is_empty:
            continue
        second = second_moment(wall), second_moment(core)
        centre = np.array(wall.centroid.coords[0])
        skin_ei = skin.material.youngs_pa.high * _about(wall, second[0], centre)
        of_foam = _about(core, second[1], centre)
        if hollow is not None and not (gap := outline(hollow, graph, int(level))).is_empty:
            of_foam = of_foam - _about(gap, second_moment(gap), centre)
        foam_ei = foam.grade.compressive_modulus_pa * of_foam
        values, axes = np.linalg.eigh(skin_ei)
        weak = axes[:, 0]
        before += 1.0 / values[0]
        after += 1.0 / (values[0] + weak @ foam_ei @ weak)
    if before == 0.0:
        return None
    ratio = before / after
    words = (
        "The skin lies farthest out and does nearly all the work when the whole piece bends; foam adds little there, "
        "and bond hardly matters."
    )
    if not full:
        words += " Not counted here: cooling foam shrinks away from a skin it does not stick to."
    return StiffnessGain(WHOLE_BODY, ratio, ratio, ratio if full else 1.0, words)


def level_section(points_m: np.ndarray, faces: np.ndarray, height_m: float) -> shapely.Geometry:
    """All that a level plane meets of what a closed surface, wound outwards, holds: its rings less those of holes.

    ``points_m`` (n, 3), ``faces`` (m, 3). A corner in the plane counts as above it. Empty where a ring does not close.

    >>> corners = np.array([[0, 0, 0], [3, 0, 0], [0, 3, 0], [0, 0, 3]], float)
    >>> level_section(corners, np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]), 1.0).area
    2.0
    """
    above = points_m[:, 2] >= height_m
    count = above[faces].sum(axis=1)
    cut = faces[(count == 1) | (count == 2)]
    turned = np.roll(cut, -1, axis=1)
    row = np.arange(len(cut))
    up, down = (np.argmax(above[turned] & ~above[cut], axis=1), np.argmax(above[cut] & ~above[turned], axis=1))
    low, high = cut[row, up], turned[row, up]  # of the side of each face that goes up through the plane ...
    enters, leaves = low * len(points_m) + high, turned[row, down] * len(points_m) + cut[row, down]  # ... and down
    into, out_of = np.argsort(enters, kind="stable"), np.argsort(leaves, kind="stable")
    if not np.array_equal(enters[into], leaves[out_of]):
        return shapely.Polygon()
    share = ((height_m - points_m[low, 2]) / (points_m[high, 2] - points_m[low, 2]))[:, None]
    at = (1.0 - share) * points_m[low, :2] + share * points_m[high, :2]
    onward = np.empty(len(cut), np.int64)  # the face that each face's ring goes on to
    onward[out_of] = into
    rings = [shapely.LinearRing(at[ring]) for ring in _cycles(onward.tolist()) if len(ring) >= 3]
    round_it, holes = (
        shapely.union_all([shapely.make_valid(shapely.Polygon(ring)) for ring in rings if ring.is_ccw is way])
        for way in (False, True)  # seen from above those that hold something run clockwise
    )
    return round_it.difference(holes)


def _cycles(onward: list[int]) -> list[list[int]]:
    """The cycles of a permutation."""
    out, seen = [], [False] * len(onward)
    for first in range(len(onward)):
        ring, at = [], first
        while not seen[at]:
            seen[at] = True
            ring.append(at)
            at = onward[at]
        out.append(ring)
    return out


def _panel(skin: Skin, panel: Panel, graph: LevelGraph, foam: FoamAtShop, full: bool) -> list[StiffnessGain]:
    """The flattest panel in its first mode, and a point push where its curvature makes the bare skin stiff at all."""
    material, grade = skin.material, foam.grade
    rigidity = flexural_rigidity(material.youngs_pa.high, material.poisson, panel.thickness_m)
    curve = 0.0
    if math.isfinite(panel.radius_m):
        curve = material.youngs_pa.high * panel.thickness_m / panel.radius_m**2
    depth = _depth_behind(panel, graph)
    core = grade.compressive_modulus_pa, grade.poisson, depth
    touching, bonded = (
        float(panel_gain(panel.width_m, rigidity, curve, *core, way)) for way in ("frictionless", "bonded")
    )
    gapped = (
        " Not counted here: the foam does not stick to this skin and cooling opens a gap of up to "
        f"{1e3 * cooling_gap(graph, foam):.3g} mm; until the skin has moved that far it is on its own."
    )
    size = f"({1e3 * panel.width_m:.0f} mm x {1e3 * panel.length_m:.0f} mm)"
    gains = [
        StiffnessGain(
            f"flattest panel {size}, pushed in",
            touching,
            bonded,
            bonded if full else 1.0,
            f"Foam behind a panel holds it wherever it is pressed against the foam. {SMALL}" + ("" if full else gapped),
        ),
        StiffnessGain(
            f"flattest panel {size}, pulled out",
            1.0,
            bonded,
            bonded if full else 1.0,
            f"Only a bond holds a panel that is pulled away from its foam. {SMALL}",
        ),
    ]
    if curve > 0.0:
        bare = dent_stiffness(rigidity, curve, 0.0, grade.poisson)
        dents = [dent_stiffness(rigidity, curve, *core, way) / bare for way in ("frictionless", "bonded")]
        gains.append(
            StiffnessGain(
                POINT_PUSH,
                dents[0],
                dents[1],
                dents[1] if full else 1.0,
                f"A dent presses the skin into the foam, so bond hardly matters as long as the two touch. {SMALL}"
                + ("" if full else gapped),
            )
        )
    return gains


def _depth_behind(panel: Panel, graph: LevelGraph) -> float:
    """Depth of foam behind a panel: half of the widest clear width of the cavity, never under a wall thickness."""
    return max(0.5 * float(np.max(graph.node_width_m)), panel.thickness_m)


def second_moment(shape: shapely.Polygon | shapely.MultiPolygon) -> np.ndarray:
    """Second moments of area about the origin: [[int x^2, int x y], [int x y, int y^2]] [m^4], exact for polygons.

    >>> second_moment(shapely.box(-1, -2, 1, 2)).round(6)
    array([[ 2.666667,  0.      ],
           [ 0.      , 10.666667]])
    """
    total = np.zeros((2, 2))
    for polygon in shapely.get_parts(shape):
        if isinstance(polygon, shapely.Polygon):
            for sign, ring in [(1, polygon.exterior), *((-1, hole) for hole in polygon.interiors)]:
                total += sign * _ring_moment(np.asarray(ring.coords)[:, :2])
    return total


def _ring_moment(points: np.ndarray) -> np.ndarray:
    """Green's theorem over a closed ring; positive whichever way it runs."""
    (x0, y0), (x1, y1) = points[:-1].T, points[1:].T
    cross = x0 * y1 - x1 * y0
    xx = (cross * (x0**2 + x0 * x1 + x1**2)).sum() / 12
    yy = (cross * (y0**2 + y0 * y1 + y1**2)).sum() / 12
    xy = (cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0)).sum() / 24
    moment = np.array([[xx, xy], [xy, yy]])
    return moment if cross.sum() >= 0 else -moment


def _about(shape: shapely.Geometry, moment: np.ndarray, centre: np.ndarray) -> np.ndarray:
    """Move second moments from the origin to ``centre`` (any point, not only the shape's own centroid)."""
    c = np.array(shape.centroid.coords[0])
    return moment - shape.area * (np.outer(c, centre) + np.outer(centre, c) - np.outer(centre, centre))
