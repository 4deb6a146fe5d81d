"""What is named in the picture of a lift: where it goes in, where air leaves, what is closed, held and anchored."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from pourwright import units
from pourwright.access import TUBE_ENDS
from pourwright.draw.labels import Label
from pourwright.draw.paint import LIT, Layer
from pourwright.draw.raster import EMPTY
from pourwright.draw.view import View
from pourwright.evaluation import Shore
from pourwright.lifts import Landing, Lift, Pour, Vent
from pourwright.plan import LiftPlan, Plan, shores_of
from pourwright.wording.checks import to_hold
from pourwright.wording.closing import closed_for
from pourwright.wording.places.anchors import PlacedAnchor, placed_anchors


@dataclass(frozen=True, eq=False)
class Stage:
    """What all pictures of a piece that one camera takes share."""

    view: View
    skin: Layer
    back: Image.Image
    hollow_m: float


def signs_of(plan: Plan, stage: Stage, lift: Lift) -> list[Label]:
    """A label for each port, vent, closed hole, shore and anchor of a lift, in canvas pixels of the stage."""
    vents = {vent.name: vent for pour in lift.pours for vent in pour.vents}
    labels = _port_labels(stage, lift)
    labels += [_vent_label(stage, vent) for vent in vents.values()]
    labels += _closed_labels(plan.lift_plan, stage, lift)
    labels += [_shore_label(stage, shore) for shore in shores_of(plan.lift_plan, lift)]
    labels += [_anchor_label(stage, anchor) for anchor in anchors_of(plan, lift)]
    return labels


def anchors_of(plan: Plan, lift: Lift) -> list[PlacedAnchor]:
    """The anchors that a lift buries."""
    return [anchor for anchor in placed_anchors(plan) if lift.number in anchor.lifts]


def mouth(stage: Stage, landing: Landing) -> np.ndarray:
    """Where the liquid goes in, shell file's axes: the drilled hole, or the spot of an opening above the landing."""
    if landing.port.way == "drilled":
        return landing.port.point_m
    return landing.point_m + stage.view.frame.up * landing.fall_m


def tube_end(stage: Stage, landing: Landing) -> np.ndarray | None:
    """Where its tube ends as pouring begins, shell file's axes; None where it falls free."""
    if landing.tube is None:
        return None
    return landing.point_m + stage.view.frame.up * TUBE_ENDS.value


def seen(stage: Stage, point_m: np.ndarray) -> tuple[tuple[float, float], bool]:
    """Canvas place of a point of the skin (shell file's axes), and whether the skin hides it."""
    return behind(stage, stage.view.shell(point_m), stage.skin, 0.5 * stage.hollow_m)


def behind(stage: Stage, place: np.ndarray, layer: Layer, slack_m: float) -> tuple[tuple[float, float], bool]:
    """Canvas place of a projected point, and whether it lies more than ``slack_m`` behind what ``layer`` shows."""
    x, y, depth = (float(v) for v in place)
    left, top, _, _ = stage.view.window
    row, column = int(y) - top, int(x) - left
    height, width = layer.depth.shape
    inside = 0 <= row < height and 0 <= column < width
    over = float(layer.depth[row, column] if inside else EMPTY)
    return (x, y), over > depth + slack_m


def canvas_xy(stage: Stage, point_m: np.ndarray) -> tuple[float, float]:
    """Canvas place of a point of the shell file's axes."""
    x, y, _ = stage.view.shell(point_m)
    return float(x), float(y)


def pour_label(plan: Plan, stage: Stage, pour: Pour) -> Label:
    """The label of a pour, at its highest foam."""
    levels = plan.graph.node_level[pour.nodes]
    top = pour.nodes[levels == levels.max()]
    spot = plan.graph.node_centroid_m[top[int(np.argmax(plan.graph.node_area_m2[top]))]].copy()
    spot[2] = pour.top_m
    x, y, _ = stage.view.standing(spot)
    return Label((float(x), float(y)), f"Pour {pour.name}", (units.volume(pour.volume_m3),), swatch=LIT)


def _port_labels(stage: Stage, lift: Lift) -> list[Label]:
    """A label for each drilled port, and for each spot of an opening that is poured through."""
    into: dict[tuple[float, ...], tuple[Landing, list[str]]] = {}
    for pour in lift.pours:
        for landing in pour.landings:
            spot = tuple(float(v) for v in mouth(stage, landing))
            into.setdefault(spot, (landing, []))[1].append(pour.name)
    labels = []
    for spot, (landing, pours) in into.items():
        at, hidden = seen(stage, np.array(spot))
        port = landing.port
        hole = f"{'side ' if port.sideways else ''}hole {units.tape(port.hole_m)}"
        how = hole if port.way == "drilled" else f"through {port.opening or port.way}"
        lines = (how, f"into {' and '.join(pours)}") if len(lift.pours) > 1 else (how,)
        labels.append(Label(at, port.name, lines, mark="pour", hidden=hidden))
    return labels


def _vent_label(stage: Stage, vent: Vent) -> Label:
    at, hidden = seen(stage, vent.point_m)
    holes = f"{vent.holes} × " if vent.holes > 1 else "hole "
    how = f"{holes}{units.tape(vent.hole_m)}" if vent.way == "drilled" else f"through {vent.opening or vent.way}"
    return Label(at, vent.name, (how,), mark="vent", hidden=hidden)


def _closed_labels(plan: LiftPlan, stage: Stage, lift: Lift) -> list[Label]:
    """A label for each hole that is closed by then."""
    at = {port.name: port.point_m for port in plan.ports} | {vent.name: vent.point_m for vent in plan.vents}
    holes = [(one.hole, *seen(stage, at[one.hole])) for one in closed_for(plan, lift)]
    return [Label(place, name, ("closed",), mark="closed", hidden=hidden) for name, place, hidden in holes]


def _shore_label(stage: Stage, shore: Shore) -> Label:
    at, hidden = seen(stage, shore.point_m)
    sides = [units.tape(side) for side in shore.board_m or (2 * shore.pad_m,)]
    size = (f"board {sides[0]}", f"by {sides[1]}") if shore.board_m else (f"pad {sides[0]}",)
    return Label(at, shore.name, (*size, to_hold(shore.force_n)), mark="shore", hidden=hidden)


def _anchor_label(stage: Stage, anchor: PlacedAnchor) -> Label:
    at, hidden = seen(stage, anchor.point_m)
    depth = float(np.linalg.norm(anchor.end_m - anchor.begin_m))
    return Label(at, anchor.name, (f"insert {units.tape(depth)}",) if depth > 0 else (), mark="anchor", hidden=hidden)
