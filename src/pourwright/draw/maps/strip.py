"""The heat of the day as a strip of pictures: the same view at every pour and every peak, the clock under each."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PathCollection
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure
from matplotlib.path import Path
from scipy import ndimage

from pourwright import units
from pourwright.draw.chart_style import DPI, SMALL, STRONG, WIDE, headed, plain_ticks, rgb
from pourwright.draw.ink import QUIET
from pourwright.draw.paint import INK, NEUTRAL, PAPER, Colour
from pourwright.draw.ramps import ramp
from pourwright.heat import FRONT, Moment, Moments
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan import Heating, Plan
from pourwright.wording.computed import wall_clock

MOST = 21
"""Pictures in a strip; of more moments the coolest peaks are left out first."""
COLUMNS = (7, 6, 5, 4, 3, 2)
TALLEST_IN = 8.6  # of the strip, so that it fits a page
WORDS_IN = 0.52  # under each picture
HEAD_IN, BAR_IN = 0.74, 0.72
SMOOTH = (2, 6)  # pixels of a picture along a heat cell: at least, at most
OVER = 2.0
"""So many pixels of a picture to a pixel of paper are enough: more would only be brought down again."""
ROUNDED = 0.55  # of a cell


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture of the strip. ``clock_s`` from the first mix.

    ``hottest_k`` is the plan's, narrow limbs with their own solution; the colours are those of the heat cells.
    """

    moment: Moment
    clock_s: float
    words: str
    hottest_k: float


def heat_ramp() -> LinearSegmentedColormap:
    """Cool dark to hot bright, lighter by even steps."""
    return LinearSegmentedColormap.from_list("temperature", ramp("temperature", 256) / 255)


def pictures_of(plan: Plan, heating: Heating) -> list[Picture]:
    """What the strip shows, in order of time."""
    names = [pour.name for pour in heating.nominal.pours]
    kept = chosen(_until_cool(heating.moments.moments, plan.job.heat.release_k))
    last = max(moment.time_s for moment in heating.moments.moments if moment.poured)
    hottest = np.fmax.reduce(heating.nominal.core_k, axis=0)
    at = np.searchsorted(heating.nominal.time_s, [one.time_s + 1e-6 for one in kept]) - 1  # with what comes just then
    return [
        Picture(one, one.time_s + heating.placed_s, _words(one, names, one.time_s - last), float(hottest[k]))
        for one, k in zip(kept, at, strict=True)
    ]


def _until_cool(moments: tuple[Moment, ...], cool_k: float) -> tuple[Moment, ...]:
    """Without those in which it only grows colder than the first that is cool."""
    out: list[Moment] = []
    for moment in moments:
        if out and not (moment.poured or moment.peaked or out[-1].poured) and np.nanmax(out[-1].hottest_k) < cool_k:
            break
        out.append(moment)
    return tuple(out)


def chosen(moments: tuple[Moment, ...]) -> list[Moment]:
    """At most `MOST` of them.

    The coolest peaks go first, then those that cool, from the last; then pours, evenly, but for the first and the last.
    The hottest peak stays.
    """
    kept = list(moments)
    hottest = max(kept, key=lambda m: float(np.nanmax(m.hottest_k)) if m.peaked else -np.inf, default=None)
    peaks = [m for m in kept if m.peaked and not m.poured and m is not hottest]
    peaks.sort(key=lambda m: float(np.nanmax(m.hottest_k)))
    cooling = [m for m in reversed(kept) if not (m.poured or m.peaked)]
    for one in [*peaks, *cooling][: max(0, len(kept) - MOST)]:
        kept.remove(one)
    if len(kept) > MOST:
        pours = [m for m in kept if m is not hottest]
        at = np.unique(np.round(np.linspace(0, len(pours) - 1, MOST - 1)).astype(int))
        kept = sorted([hottest, *(pours[k] for k in at)] if hottest else pours, key=lambda m: m.time_s)
    return kept


def _words(moment: Moment, names: list[str], since_last_s: float) -> str:
    said = []
    if moment.poured:
        said.append(f"{_listed([names[p] for p in moment.poured])} poured")
    if moment.peaked:
        said.append(f"{_listed([names[p] for p in moment.peaked])} hottest")
    return ", ".join(said) or f"{since_last_s / 3600:.0f} h after the last"


def _listed(names: list[str]) -> str:
    return ", ".join(names[:3]) + (" …" if len(names) > 3 else "")


def strip_chart(plan: Plan, heating: Heating) -> Figure:
    """The strip: pictures in rows from left to right, a ramp with the limits below."""
    shown, moments = pictures_of(plan, heating), heating.moments
    box = _box(moments)
    wide, tall = ((box[1] - box[0]) * moments.cell_m, (box[3] - box[2]) * moments.cell_m)
    columns, scale = _layout(len(shown), wide, tall)
    rows = math.ceil(len(shown) / columns)
    high_in = tall * scale
    height = HEAD_IN + rows * (high_in + WORDS_IN) + BAR_IN
    figure = Figure(figsize=(WIDE, height), dpi=DPI, facecolor=rgb(PAPER))
    low_k = min(plan.foam.conditions.parts_k, plan.foam.conditions.air_k, plan.foam.conditions.skin_k)
    high_k = max(plan.foam.grade.caution_k + 10, *(one.hottest_k for one in shown))
    norm, colours = Normalize(low_k - ZERO_CELSIUS_K, high_k - ZERO_CELSIUS_K), heat_ramp()
    slot, fine = 1 / columns, _fine(moments.cell_m * scale * DPI)
    edge = _rounded(moments.filled[box[0] : box[1], box[2] : box[3]].T, fine)
    outline = _contour(edge, 0.5)
    for k, one in enumerate(shown):
        row, column = divmod(k, columns)
        top = HEAD_IN + row * (high_in + WORDS_IN)
        left = (column + 0.5) * slot - 0.5 * wide * scale / WIDE
        axes = figure.add_axes((left, 1 - (top + high_in) / height, wide * scale / WIDE, high_in / height))
        field = one.moment.hottest_k[box[0] : box[1], box[2] : box[3]].T.astype(float)
        _picture(axes, field, edge, fine, norm, colours, plan.foam.grade.caution_k)
        _line(axes, outline, QUIET, 0.5)
        middle = (column + 0.5) * slot
        lines = (
            (wall_clock(plan, one.clock_s), STRONG, INK),
            (one.words, SMALL, INK),
            (units.temperature(one.hottest_k), SMALL, QUIET),
        )
        for line, (words, font, colour) in enumerate(lines):
            y = 1 - (top + high_in + 0.13 + 0.135 * line) / height
            figure.text(middle, y, words, ha="center", va="center", fontproperties=font, color=rgb(colour))
    _bar(figure, plan, norm, colours, height)
    side = "the front" if moments.axis == FRONT else "the right"
    thin = any(math.isfinite(pour.across_m) for pour in heating.nominal.pours)
    under = (
        f"hottest foam behind each spot, seen from {side}, at the likely heat; above caution inside the dark line\n"
        "under each picture the clock, what happens, and the hottest spot in it"
        f"{', narrow limbs by their own solution' if thin else ''}"
    )
    headed(figure, (plan.job.name, "heat by the clock"), under)
    return figure


def _box(moments: Moments) -> tuple[int, int, int, int]:
    """First and last cell that is ever filled, across and up, with a cell of border."""
    across, up = (np.flatnonzero(moments.filled.any(axis=axis)) for axis in (1, 0))
    return int(across[0]) - 1, int(across[-1]) + 2, int(up[0]) - 1, int(up[-1]) + 2


def _layout(count: int, wide_m: float, tall_m: float) -> tuple[int, float]:
    """Columns, and inches of paper a metre: as large as the page lets them be."""
    options = []
    for columns in COLUMNS:
        rows = math.ceil(count / columns)
        room = (TALLEST_IN - HEAD_IN - BAR_IN) / rows - WORDS_IN
        scale = min(0.93 * WIDE / columns / wide_m, max(room, 0.3) / tall_m, 2.6 / tall_m)
        options.append((scale, columns))
    best = max(scale for scale, _ in options)
    return max(((columns, scale) for scale, columns in options if scale > 0.97 * best))


def _fine(cell_px: float) -> int:
    """Pixels of a picture along a heat cell that is ``cell_px`` pixels of paper wide.

    >>> _fine(1.7), _fine(0.3), _fine(40.0)
    (4, 2, 6)
    """
    return int(np.clip(math.ceil(OVER * cell_px), *SMOOTH))


def _contour(values: np.ndarray, level: float) -> list[Path]:
    """Lines along a level; what a figure finds itself it keeps with all that it was found in."""
    return list(Figure().add_subplot().contour(values, [level]).get_paths())


def _line(axes: Axes, paths: list[Path], colour: Colour, width: float) -> None:
    lines = PathCollection(paths, facecolors="none", edgecolors=[rgb(colour)], linewidths=width)
    axes.add_collection(lines, autolim=False)


def _picture(
    axes: Axes, field: np.ndarray, edge: np.ndarray, fine: int, norm: Normalize, colours: LinearSegmentedColormap,
    caution_k: float,
) -> None:  # fmt: skip
    there = np.isfinite(field)
    nearest = ndimage.distance_transform_edt(~there, return_distances=False, return_indices=True)
    smooth = _finer(field[tuple(nearest)], fine)
    hot = _rounded(there, fine) > 0.5
    image = np.empty((*smooth.shape, 3), np.uint8)  # a figure keeps all of its images until it is written
    image[...] = PAPER
    image[edge > 0.5] = NEUTRAL
    image[hot] = colours(norm(smooth[hot] - ZERO_CELSIUS_K), bytes=True)[:, :3]
    axes.imshow(image, origin="lower", interpolation="antialiased", aspect="equal")
    above = np.where(hot, smooth, 0.0)
    if above.max() > caution_k:
        _line(axes, _contour(above, caution_k), INK, 0.6)
    axes.set_axis_off()


def _bar(figure: Figure, plan: Plan, norm: Normalize, colours: LinearSegmentedColormap, height: float) -> None:
    """The ramp with degrees of both kinds, and where caution begins."""
    low, high = float(norm.vmin or 0.0), float(norm.vmax or 1.0)
    axes = figure.add_axes((0.2, 0.36 / height, 0.6, 0.12 / height))
    axes.imshow(np.linspace(0, 1, 256)[None], aspect="auto", cmap=colours, extent=(low, high, 0, 1))
    axes.set_yticks([])
    ticks = list(range(20 * math.ceil(low / 20), int(high) + 1, 20))
    axes.set_xticks(ticks, [f"{t} °C\n{1.8 * t + 32:.0f} °F" for t in ticks])
    plain_ticks(axes)
    for label in axes.get_xticklabels():
        label.set_fontproperties(SMALL)
    caution_k = plan.foam.grade.caution_k
    caution, words = caution_k - ZERO_CELSIUS_K, f"caution {units.temperature(caution_k)}"
    axes.plot([caution, caution], [-0.15, 1.3], color=rgb(INK), linewidth=1.2, clip_on=False)
    axes.text(caution, 1.45, words, ha="right", va="bottom", fontproperties=SMALL, color=rgb(INK))


def _finer(values: np.ndarray, fine: int) -> np.ndarray:
    """Straight lines between the middles of the cells."""
    return np.asarray(ndimage.zoom(values, fine, order=1, grid_mode=True, mode="nearest"))


def _rounded(mask: np.ndarray, fine: int) -> np.ndarray:
    """A mask on finer cells with its steps rounded off; above a half is inside. What is one cell wide stays."""
    return np.asarray(ndimage.gaussian_filter(_finer(mask.astype(float), fine), ROUNDED * fine))
