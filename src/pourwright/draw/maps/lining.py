"""The picture of a lining: two cuts through foam and hollow, and how thick a coat lies on the inside."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import ListedColormap
from matplotlib.figure import Figure

from pourwright import units
from pourwright.draw.chart_style import BOLD, DPI, PLAIN, SMALL, WIDE, rgb, save_chart, title_of
from pourwright.draw.maps.painted_skin import paint_skin
from pourwright.draw.paint import INK, LADDER, PAPER

if TYPE_CHECKING:
    from pourwright.lining import Lining
    from pourwright.plan import LinedPlan

BARE = (196, 58, 40)
AZIMUTHS_DEG = (30.0, 210.0)


def draw_lining(plan: LinedPlan, folder: Path) -> list[Path]:
    """Draw ``lining.png`` into a folder.

    Raises
    ------
    FileError
        It cannot be written.
    """
    return [save_chart(lining_chart(plan), folder / "lining.png")]


def lining_chart(plan: LinedPlan) -> Figure:
    """Cuts through the widest place of the largest hollow, and the inside seen from two sides."""
    lining = plan.lining
    how = "spread by hand" if lining.spread else f"of {lining.rolls} rolls"
    figure = Figure(figsize=(WIDE, 7.6), dpi=DPI, facecolor=rgb(PAPER))
    said = f"lining of {units.length(lining.region.thickness_m)}, {len(lining.coats)} coats {how}"
    figure.text(0.05, 0.965, title_of(plan.job.name, said, 0.9), font=BOLD, color=rgb(INK))
    axes = figure.subplots(2, 2, gridspec_kw={"left": 0.05, "right": 0.97, "top": 0.89, "bottom": 0.06, "hspace": 0.2})
    at = plan.cavity.grid
    middle = plan.frame.to_standing(lining.chambers[0].middle_m)
    index = np.clip(((middle - at.origin_m) / at.cell_m).astype(int), 0, np.array(at.shape) - 1)
    for axis, ax, said in ((1, axes[0, 0], "cut seen from the front"), (0, axes[0, 1], "cut seen from the left")):
        _cut(plan, lining, ax, axis, int(index[axis]))
        ax.set_title(said, font=PLAIN, color=rgb(INK), loc="left")
    for azimuth, ax, said in zip(AZIMUTHS_DEG, axes[1], ("from the front right", "from the back left"), strict=True):
        _map(plan, lining, ax, azimuth)
        ax.set_title(f"inside, seen {said}", font=PLAIN, color=rgb(INK), loc="left")
    _legend(figure, plan)
    return figure


def shade(share: float) -> tuple[float, float, float]:
    """Colour of a face that holds so much of an even lining; 0: bare."""
    if share <= 0.0:
        return tuple(value / 255.0 for value in BARE)  # type: ignore[return-value]
    low, high = np.array(rgb(LADDER[0])), np.array(rgb(LADDER[-1]))
    return tuple(float(v) for v in low + min(share, 1.0) * (high - low))  # type: ignore[return-value]


def _cut(plan: LinedPlan, lining: Lining, ax: Axes, axis: int, index: int) -> None:
    cavity, grid = plan.cavity, plan.cavity.grid
    full = np.take(cavity.fraction, index, axis=axis) >= 128
    hollow = np.take(lining.region.hollow, index, axis=axis) >= 128
    code = np.where(hollow, 2, np.where(full, 1, 0))
    if axis == 0:  # seen from the left: the front is on the right
        code = code[::-1]
    size = np.array(code.shape) * grid.cell_m
    colours = ListedColormap(np.array([rgb(PAPER), rgb(LADDER[len(LADDER) // 2]), (1.0, 1.0, 1.0)]))
    ax.imshow(
        code.T, origin="lower", cmap=colours, vmin=0, vmax=2, extent=(0, size[0], 0, size[1]), interpolation="nearest"
    )
    ax.contour(
        np.linspace(0, size[0], code.shape[0]), np.linspace(0, size[1], code.shape[1]), (code > 0).T.astype(float),
        levels=[0.5], colors=[rgb(INK)], linewidths=0.8,
    )  # fmt: skip
    ax.set_axis_off()


def _map(plan: LinedPlan, lining: Lining, ax: Axes, azimuth_deg: float) -> None:
    corners = plan.frame.to_standing(lining.inside.triangles_m)
    normal = lining.inside.normal @ plan.frame.rotation.T
    counts = lining.inside.counts
    base = np.array([shade(float(share)) for share in lining.laid[counts]])
    paint_skin(ax, corners[counts], normal[counts], base, azimuth_deg)


def _legend(figure: Figure, plan: LinedPlan) -> None:
    lining = plan.lining
    said = [
        f"Above: foam {units.volume(lining.region.foam_m3)}, hollow (white) {units.volume(lining.region.hollow_m3)}.",
        f"Below: foam on the inside as a share of the thickness asked; coats cover {lining.coverage:.1%}.",
    ]
    figure.text(0.05, 0.935, "  ".join(said), font=SMALL, color=rgb(INK))
    x = 0.05
    for share, words in (
        (0.0, "bare"),
        (0.25, "a quarter"),
        (0.5, "half"),
        (0.75, "three quarters"),
        (1.0, "all of it or more"),
    ):
        figure.text(x, 0.022, "\u25a0", font=PLAIN, color=shade(share))
        figure.text(x + 0.02, 0.022, words, font=SMALL, color=rgb(INK))
        x += 0.18
