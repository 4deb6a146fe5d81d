"""Parts of a piece with a lining of their own, or filled solid: which skin, which cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from scipy import ndimage
from scipy.spatial import KDTree

from pourwright.cavity import Limb, Limbs, Space
from pourwright.errors import JobError
from pourwright.lining.rules import PartRules, Rules
from pourwright.panels import Panel
from pourwright.ribs import levelled
from pourwright.shell import Skin, SkinKind

REST = "the rest"
"""What is in no part that the job names."""
FACING = 0.5
"""A face of a panel looks nearly its way: cosine of 60 degrees. Our judgement."""
OFF_PANEL = 0.25
"""... and lies no farther from its plane than this share of its width; our judgement."""


@dataclass(frozen=True, eq=False)
class Parts:
    """Which part each face of a skin is in; the last of ``rules`` counts where several hold. Arrays read-only."""

    rules: tuple[PartRules, ...]  # the rest first
    skin: Skin  # its triangles cut where a part ends
    part: np.ndarray  # (m,) int16 of each face of ``skin``: index of ``rules``
    solid: np.ndarray | None  # (nx, ny, nz) float32, share of each cell in what is filled solid; None: nothing is
    off_solid: np.ndarray | None  # (nx, ny, nz) float32, from the middle of each cell to the nearest such foam [m]

    @property
    def thickness_m(self) -> np.ndarray:
        """Of the lining in each part; that of the rest where a part is solid: it coats the skin beside it."""
        rest = self.rules[0].thickness_m or 0.0
        return np.array([rest if one.thickness_m is None else one.thickness_m for one in self.rules])


def parts_of(rules: Rules, space: Space, limbs: Limbs | None) -> Parts:
    """The parts of a job on a piece.

    Parameters
    ----------
    limbs : Limbs, optional
        Of the cavity; needed where a part names one.

    Raises
    ------
    JobError
        A limb or a height that the piece has not, or a part that holds none of its skin.
    """
    skin, cavity = space.skin, space.cavity
    asked = tuple(_on_limb(number, one, space, limbs) for number, one in enumerate(rules.parts, 1))
    whole = (PartRules(REST, rules.thickness_m), *asked)
    if not asked:
        return Parts(whole, skin, np.zeros(len(skin.faces), np.int16), None, None)
    tall = float(cavity.frame.size_m[2])
    ends = [end for one in asked for end in (one.low_m, one.high_m)]
    named = {one.limb for one in asked}
    ends += [end for limb in (limbs.limbs if limbs else ()) if limb.name in named for end in limb_span(space, limb)]
    levels = sorted({end for end in ends if 0.0 < end < tall})
    points, faces, source = levelled(cavity.frame.to_standing(skin.vertices_m), skin.faces, levels)
    cut = replace(
        skin, vertices_m=cavity.frame.to_shell(points), faces=faces, cap_opening=skin.cap_opening[source],
        void_face=skin.void_face[source],
    )  # fmt: skip
    middle, part = points[faces].mean(axis=1), np.zeros(len(faces), np.int16)
    lined = cut.void_face if skin.kind is SkinKind.BOTH_FACES else cut.cap_opening < 0
    for number, one in enumerate(asked, 1):
        mine = _holds(one, middle, cut, space, limbs)
        if not (lined & mine).any():
            raise JobError(f"fill.part[{number}]", one.name, "it holds none of the inside; see its heights and limb")
        part[mine] = number
    solid = _solid(asked, space, limbs)
    off = None if solid is None else _off(asked, space, limbs)
    for array in (part, solid, off):
        if array is not None:
            array.setflags(write=False)
    return Parts(whole, cut, part, solid, off)


def _on_limb(number: int, one: PartRules, space: Space, limbs: Limbs | None) -> PartRules:
    """A part that the piece has."""
    tall = float(space.cavity.frame.size_m[2])
    if one.limb is not None:
        found = {} if limbs is None else {limb.name: limb for limb in limbs.limbs}
        if one.limb not in found:
            told = ", ".join(limb_words(limb.name, *limb_span(space, limb)) for limb in found.values())
            raise JobError(f"fill.part[{number}].limb", one.limb, f"the piece has these limbs: {told}")
    if not one.low_m < min(one.high_m, tall):
        raise JobError(f"fill.part[{number}]", one.name, f"it holds nothing of a piece {1e3 * tall:.4g} mm tall")
    return replace(one, high_m=min(one.high_m, tall)) if one.solid else one


def limb_span(space: Space, limb: Limb) -> tuple[float, float]:
    """Bottom and top of a limb above the base [m]."""
    level = space.graph.level_m
    return float(level[limb.bottom_level]), float(level[limb.top_level])


def limb_words(name: str, low_m: float, high_m: float) -> str:
    """A limb and its heights.

    >>> limb_words("L1", 0.0, 0.62)
    'L1 (0 to 620 mm)'
    """
    return f"{name} ({1e3 * low_m:.4g} to {1e3 * high_m:.4g} mm)"


def _holds(one: PartRules, middle: np.ndarray, skin: Skin, space: Space, limbs: Limbs | None) -> np.ndarray:
    """Faces (m,) bool of a part, by their middles (m, 3), standing metres."""
    out = (middle[:, 2] >= one.low_m) & (middle[:, 2] <= one.high_m)
    if one.limb is not None and limbs is not None:
        out &= _limb_at(space, limbs, middle) == [limb.name for limb in limbs.limbs].index(one.limb)
    if one.flattest:
        a, b, c = np.moveaxis(skin.vertices_m[skin.faces], 1, 0)
        normal = np.cross(b - a, c - a)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
        turn = np.where(skin.void_face, -1.0, 1.0)[:, None]
        points = (a + b + c) / 3.0
        out &= np.logical_or.reduce(
            [on_panel(panel, points, turn * normal) for panel in space.panels[: one.flattest]]
            or [np.zeros(len(middle), bool)]
        )
    return np.asarray(out)


def on_panel(panel: Panel, points_m: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Which points (n, 3) of a skin, with its outward normals there, lie on a panel, seen along the panel's own."""
    x = np.cross(np.eye(3)[int(np.argmin(np.abs(panel.normal)))], panel.normal)
    x = x / np.linalg.norm(x)
    axes = np.array([x, np.cross(panel.normal, x), panel.normal])
    flat = (points_m - panel.point_m) @ axes.T
    outline = shapely.Polygon((panel.outline_m - panel.point_m) @ axes[:2].T).buffer(0)
    shapely.prepare(outline)
    near = np.abs(flat[:, 2]) <= OFF_PANEL * panel.width_m
    return np.asarray(near & (normal @ panel.normal > FACING) & shapely.contains_xy(outline, flat[:, 0], flat[:, 1]))


def _limb_at(space: Space, limbs: Limbs, points: np.ndarray) -> np.ndarray:
    """Limb (n,) of the cavity nearest to points (n, 3), standing metres."""
    label, grid = space.graph.label, space.cavity.grid
    edge = (label > 0) & ~ndimage.binary_erosion(label > 0)
    cells = np.argwhere(edge)
    near = KDTree(grid.centres(cells)).query(points, workers=1)[1]
    return np.asarray(limbs.of_node[label[tuple(cells[near].T)] - 1])


def _solid(asked: Sequence[PartRules], space: Space, limbs: Limbs | None) -> np.ndarray | None:
    """Share of each cell that is filled solid."""
    grid = space.cavity.grid
    out = np.zeros(grid.shape, np.float32)
    bottom = float(grid.origin_m[2]) + np.arange(grid.shape[2]) * grid.cell_m
    for one in asked:
        share = np.clip(
            (np.minimum(one.high_m, bottom + grid.cell_m) - np.maximum(one.low_m, bottom)) / grid.cell_m, 0, 1
        )
        mine = np.broadcast_to(share.astype(np.float32), grid.shape)
        if one.limb is not None and limbs is not None:
            mine = mine * _in_limb(one.limb, space, limbs)
        if one.solid:
            out = np.maximum(out, mine)
        elif not one.flattest:
            out = np.minimum(out, 1.0 - mine)
    return out if out.any() else None


def _in_limb(name: str, space: Space, limbs: Limbs) -> np.ndarray:
    number = [limb.name for limb in limbs.limbs].index(name)
    mine = np.append(limbs.of_node == number, False)
    return np.asarray(mine[space.graph.label - 1])


def _off(asked: Sequence[PartRules], space: Space, limbs: Limbs | None) -> np.ndarray:
    """From the middle of each cell to what is filled solid [m]: exact above and below a level cut."""
    import edt

    grid = space.cavity.grid
    out = np.full(grid.shape, np.inf, np.float32)
    middle = float(grid.origin_m[2]) + (np.arange(grid.shape[2]) + 0.5) * grid.cell_m
    for one in asked:
        if not one.solid:
            continue
        away = np.broadcast_to(np.maximum(np.maximum(one.low_m - middle, middle - one.high_m), 0.0), grid.shape)
        if one.limb is not None and limbs is not None:
            mine = _in_limb(one.limb, space, limbs) & (middle > one.low_m) & (middle < one.high_m)
            away = grid.cell_m * (edt.edt(~mine) - 0.5 * ~mine)
        out = np.minimum(out, away.astype(np.float32))
    return out
