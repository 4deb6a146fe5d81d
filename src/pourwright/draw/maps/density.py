"""How dense the foam of one shot is behind the skin, with ports, the last places to fill, and knit lines."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from scipy.spatial import cKDTree

from pourwright import units
from pourwright.draw.chart_style import BOLD, DPI, PLAIN, SMALL, STRONG, WIDE, rgb, title_of
from pourwright.draw.field_bytes import COLOURS, bytes_of, colours_of, packed
from pourwright.draw.ink import QUIET
from pourwright.draw.maps.painted_skin import paint_skin, seen_from
from pourwright.draw.paint import INK, PAPER
from pourwright.draw.ramps import ramp
from pourwright.plan import MachinePlan

BEHIND = 2.0
"""Skin farther from all foam than its wall and so many cells has none behind it; our judgement."""
VIEWS = ((30.0, "from the front right"), (210.0, "from the back left"))
LOOK_DEG = 35.0
NO_FOAM = (0.80, 0.78, 0.75)
MARKS = (("o", "port"), ("s", "last place to fill"), ("x", "fronts of foam meet"))


def density_behind(plan: MachinePlan, standing_m: np.ndarray) -> np.ndarray:
    """Density [kg/m^3] (n,) of the foam behind points (n, 3) of the skin, standing axes; nan where there is none."""
    fields = [flow.field for flow in plan.shot.flows]
    points = plan.frame.to_standing(np.concatenate([one.points_m for one in fields]))
    values = np.concatenate([one.density_kg_m3 for one in fields])
    reach = max(plan.skin.walls_m, default=0.0) + BEHIND * max(one.cell_m for one in fields)
    far, near = cKDTree(points).query(standing_m)
    return np.where(far <= reach, values[near], np.nan)


def density_on_page(plan: MachinePlan, standing_m: np.ndarray) -> dict[str, Any]:
    """The field of ``piece.html`` at corners (n, 3) of its skin, as `piece_fields.skin_fields` has them."""
    values = density_behind(plan, standing_m)
    ticks = _ticks(plan)
    span = ticks[-1] - ticks[0]
    order = {flow.pour: flow for flow in plan.shot.flows}
    said = [
        "\n".join(
            f"Port {one.port}: {units.density(one.near_density_kg_m3)} near it, "
            f"{units.density(one.far_density_kg_m3)} where its foam ends."
            for pour in lift.pours
            if pour.name in order
            for one in order[pour.name].ports
        )
        for lift in plan.lift_plan.lifts
    ]
    return {
        "key": "density",
        "title": "density of the foam behind the skin",
        "colours": colours_of("density"),
        "limit": None,
        "ticks": [[round((float(t) - ticks[0]) / span, 4), units.density(float(t))] for t in ticks],
        "values": packed(bytes_of((values - ticks[0]) / span)),
        "said": said,
    }


def flow_chart(plan: MachinePlan) -> Figure:
    """The skin from two sides, coloured by how dense the foam behind it is."""
    figure = Figure(figsize=(WIDE, 3.7), dpi=DPI, facecolor=rgb(PAPER))
    figure.text(0.04, 0.865, "marks on the far side or inside show through", font=SMALL, color=rgb(QUIET))
    figure.text(0.04, 0.92, title_of(plan.job.name, "how dense the foam gets", 0.9), font=BOLD, color=rgb(INK))
    skin, frame = plan.skin, plan.frame
    outside = ~skin.void_face & (skin.cap_opening < 0)
    corners = frame.to_standing(skin.vertices_m)[skin.faces[outside]]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1)
    whole = size > 0
    corners, normal = corners[whole], normal[whole] / size[whole, None]
    ticks = _ticks(plan)
    share = (density_behind(plan, corners.mean(axis=1)) - ticks[0]) / (ticks[-1] - ticks[0])
    ladder = ramp("density", COLOURS) / 255.0
    known = np.isfinite(share)
    place = np.clip(np.where(known, share, 0.0) * (COLOURS - 1), 0, COLOURS - 1).round().astype(int)
    colour = np.where(known[:, None], ladder[place], NO_FOAM)
    for k, (azimuth, words) in enumerate(VIEWS):
        axes = figure.add_axes((0.04 + 0.48 * k, 0.27, 0.44, 0.54))
        paint_skin(axes, corners, normal, colour, azimuth, LOOK_DEG)
        _marked(axes, plan, azimuth)
        axes.set_title(f"seen {words}", font=PLAIN, color=rgb(INK), loc="left")
    _legend(figure, ticks, ladder)
    return figure


def _ticks(plan: MachinePlan) -> np.ndarray:
    """Round densities that span all there is."""
    values = np.concatenate([flow.field.density_kg_m3 for flow in plan.shot.flows])
    low, high = float(values.min()), float(values.max())
    pad = max(0.005 * high - 0.5 * (high - low), 0.0)
    return np.asarray(MaxNLocator(4, steps=[1, 2, 5, 10]).tick_values(low - pad, high + pad))


def _places(plan: MachinePlan) -> list[tuple[int, str, np.ndarray]]:
    ports = {port.name: port.point_m for port in plan.lift_plan.ports}
    out = [(0, shot.port, ports[shot.port]) for shot in plan.shot.shots]
    for flow in plan.shot.flows:
        out += [(1, "", one.last_point_m) for one in flow.ports]
        out += [(2, "", knit.point_m) for knit in flow.knits]
    return out


def _marked(axes: Axes, plan: MachinePlan, azimuth_deg: float) -> None:
    """Ports, last places and knits; those inside or on the far side are shown through the skin."""
    for kind, name, point in _places(plan):
        right, up, _ = seen_from(plan.frame.to_standing(point), azimuth_deg, LOOK_DEG)
        _mark(axes, kind, float(right), float(up))
        if name:
            axes.annotate(
                name, (right, up), (4, 5), textcoords="offset points", font=STRONG, color=rgb(INK),
                bbox={"boxstyle": "round,pad=0.15", "facecolor": rgb(PAPER), "edgecolor": "none", "alpha": 0.8},
            )  # fmt: skip


def _mark(axes: Axes, kind: int, x: float, y: float) -> None:
    shape, dark, light = MARKS[kind][0], rgb(INK), rgb(PAPER)
    for size, edge, width in ((7.0, light, 3.0), (6.0, dark, 1.4)):
        axes.plot(
            [x], [y], shape, markersize=size, markeredgecolor=edge, markerfacecolor=light, markeredgewidth=width,
            clip_on=False,
        )  # fmt: skip


def _legend(figure: Figure, ticks: np.ndarray, ladder: np.ndarray) -> None:
    bar = figure.add_axes((0.06, 0.13, 0.55, 0.04))
    bar.imshow(ladder[None], aspect="auto", extent=(ticks[0], ticks[-1], 0, 1))
    bar.set_yticks([])
    bar.set_xticks(ticks, [units.density(float(t)).replace(" (", "\n(") for t in ticks], font=SMALL)
    bar.tick_params(length=2, color=rgb(QUIET), labelcolor=rgb(INK))
    for spine in bar.spines.values():
        spine.set_visible(False)
    bar.set_title("density of the foam behind the skin", font=SMALL, color=rgb(INK), loc="left")
    marks = figure.add_axes((0.68, 0.03, 0.3, 0.19))
    marks.set_xlim(0, 1)
    marks.set_ylim(-0.5, len(MARKS) - 0.5)
    marks.set_axis_off()
    for kind, (_, words) in enumerate(MARKS):
        row = len(MARKS) - 1 - kind
        _mark(marks, kind, 0.05, row)
        marks.text(0.12, row, words, font=SMALL, color=rgb(INK), va="center")
