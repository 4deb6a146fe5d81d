"""The skin between the planes of each band, its cuts as openings: dams look down, tops are open to the hollow."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from pourwright.cavity import PourFrame
from pourwright.errors import CavityError
from pourwright.ribs.cut import Slab, between
from pourwright.ribs.rules import RibRules
from pourwright.shell import Opening, Skin, SkinKind

LEAST_SHARE = 1e-3
"""Of the area of all dams of a band: a cut no larger is none to pour on; our judgement."""


@dataclass(frozen=True, eq=False)
class Cut:
    """One level cut of the piece: a dam under a rib, or its open top. Outside of the skin, standing metres, plan."""

    rib: int  # from 1, from the lowest band up
    top: bool
    height_m: float
    name: str  # of the opening
    shape: shapely.Polygon


@dataclass(frozen=True, eq=False)
class Ribs:
    """The piece between the planes of its bands."""

    skin: Skin
    cuts: tuple[Cut, ...]
    coverage: float  # share of the skin, its inside face where the mesh shows it, that the bands take


def ribs_of(skin: Skin, frame: PourFrame, rules: RibRules) -> Ribs:
    """The skin of a piece cut at its bands.

    Corners of the whole skin are kept, so that frame, grid and walls by height stay those of the whole piece. Of a mesh
    with both faces the voids are cut, and the outside stays whole.

    Raises
    ------
    CavityError
        A band that misses the piece, or a cut that is not closed.
    """
    both = skin.kind is SkinKind.BOTH_FACES
    mine = skin.void_face if both else np.ones(len(skin.faces), bool)
    closed = skin.faces[mine][:, ::-1] if both else skin.faces
    own = skin.cap_opening[mine]
    points, tall = frame.to_standing(skin.vertices_m), float(frame.size_m[2])
    whole = _area(points, closed[own < 0])
    parts = [_Part(skin.vertices_m, skin.faces[~mine], skin.cap_opening[~mine], skin.void_face[~mine])]
    openings: list[Opening] = [*skin.openings]
    cuts: list[Cut] = []
    volume, area = 0.0, 0.0
    for rib, (low, high) in enumerate(rules.bands_m, start=1):
        slab = between(points, closed, low, high)
        if not len(slab.faces):
            raise CavityError(
                f"The band from {1e3 * low:.4g} mm to {1e3 * high:.4g} mm above the base misses the piece, which is "
                f"{1e3 * tall:.4g} mm tall: give fill.bands within it."
            )
        cap = np.where(slab.source >= 0, own[np.maximum(slab.source, 0)], -1).astype(np.int32)
        for k, cut, opening in _openings(slab, rib, (low, high), frame):
            cap[slab.cut == k] = len(openings)
            openings.append(opening)
            cuts.append(cut)
        at = frame.to_shell(slab.points_m)
        parts.append(_Part(at, slab.faces[:, ::-1] if both else slab.faces, cap, np.full(len(cap), both)))
        if both:  # seen from outside too, as the caps of mouths are
            lid = slab.cut >= 0
            parts.append(_Part(at, slab.faces[lid], cap[lid], np.zeros(int(lid.sum()), bool)))
        volume += _volume(slab.points_m, slab.faces)
        area += _area(slab.points_m, slab.faces[cap < 0])
    made = _joined(skin, parts, openings)
    if not both:
        made = replace(made, kind=SkinKind.OPEN, area_m2=area, enclosed_m3=volume)
    return Ribs(made, tuple(cuts), area / whole)


@dataclass(frozen=True, eq=False)
class _Part:
    """Some faces of a skin with corners of their own."""

    vertices_m: np.ndarray
    faces: np.ndarray
    cap: np.ndarray
    void: np.ndarray


def _joined(skin: Skin, parts: list[_Part], openings: list[Opening]) -> Skin:
    """The parts as one skin, with those openings that some face closes."""
    first = np.cumsum([0, *(len(part.vertices_m) for part in parts)])
    cap = np.concatenate([part.cap for part in parts])
    kept: list[Opening] = []
    number = np.full(len(openings) + 1, -1, np.int32)
    for k, opening in enumerate(openings):
        if (cap == k).any():
            number[k] = len(kept)
            kept.append(opening)
    arrays = (
        np.concatenate([part.vertices_m for part in parts]),
        np.concatenate([part.faces + start for part, start in zip(parts, first[:-1], strict=True)]),
        number[cap],  # of -1 the last
        np.concatenate([part.void for part in parts]),
    )
    for array in arrays:
        array.setflags(write=False)
    vertices, faces, cap, void = arrays
    return replace(skin, vertices_m=vertices, faces=faces, cap_opening=cap, void_face=void, openings=tuple(kept))


def _openings(slab: Slab, rib: int, band_m: tuple[float, float], frame: PourFrame) -> list[tuple[int, Cut, Opening]]:
    """Each cut of a slab as an opening; its index in the slab before it."""
    out = []
    total = {top: sum(s.area for s, up in zip(slab.shapes, slab.upper, strict=True) if up == top) for top in (0, 1)}
    count = {True: 0, False: 0}
    for k, (shape, top) in enumerate(zip(slab.shapes, slab.upper, strict=True)):
        if shape.area < LEAST_SHARE * total[top]:
            continue
        count[top] += 1
        many = sum(
            s.area >= LEAST_SHARE * total[top] for s, up in zip(slab.shapes, slab.upper, strict=True) if up == top
        )
        letter = chr(ord("a") + (count[top] - 1) % 26) if many > 1 else ""
        name = f"{'top of rib' if top else 'dam'} {rib}{letter}"
        height = band_m[1] if top else band_m[0]
        ring = np.array(shape.exterior.coords[:-1])
        loop = frame.to_shell(np.column_stack([ring[:, :2], np.full(len(ring), height)]))
        middle = shape.representative_point() if shape.interiors else shape.centroid
        centre = frame.to_shell(np.array([[middle.x, middle.y, height]]))[0]
        normal = np.asarray(frame.up if top else -frame.up, float)
        for array in (loop, centre, normal):
            array.setflags(write=False)
        out.append((k, Cut(rib, top, height, name, shape), Opening(name, loop, centre, normal, float(shape.area))))
    return out


def _volume(points: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = np.moveaxis(points[faces], 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def _area(points: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = np.moveaxis(points[faces], 1, 0)
    return 0.5 * float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum())
