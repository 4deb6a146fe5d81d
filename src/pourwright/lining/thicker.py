"""Coats for those parts of the inside alone that are to be thicker than the rest."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Cavity, Space, nearest_skin_point
from pourwright.lining.chambers import Solids
from pourwright.lining.parts import Parts
from pourwright.lining.paths import Roll, plain_axes
from pourwright.lining.poured import PouredCoat
from pourwright.lining.region import Region
from pourwright.lining.surface import Inside
from pourwright.lining.turning import THIN, Aim, Before, Coating, Turned, Work, thin_end

SWIRLS = (20.0, 40.0, 60.0, 70.0, 80.0)
"""How far from upright [deg] a piece is tipped while its pool is led round over one part; our judgement."""
ROCKS = (math.radians(60.0), math.radians(-60.0))
"""How far it is rocked to and fro about a level axis for that; our judgement."""
FACING = 0.35
"""A part looks one way where its mean normal is so long; our judgement."""
ALIKE_M = 1e-6
"""Thicknesses no farther apart are one."""


@dataclass(frozen=True, eq=False)
class LinedPart:
    """A part of the inside and what lies on it."""

    number: int  # 0: what is in no part of the job; else as the job has them
    name: str
    thickness_m: float  # that was asked for
    area_m2: float  # of the inside
    foam_m3: float  # that was asked for
    thinnest_m: float  # on all but two hundredths of what is coated of it
    middling_m: float  # on half of it
    coverage: float  # share of it


@dataclass(frozen=True, eq=False)
class Layer:
    """Foam up to a thickness, on the parts that are as thick or thicker."""

    from_m: float
    to_m: float
    parts: tuple[int, ...]
    foam_m3: float

    @property
    def thickness_m(self) -> float:
        """Of the layer itself."""
        return self.to_m - self.from_m


def part_foam(region: Region, parts: Parts, cavity: Cavity, inside: Inside, wall_m3: float) -> np.ndarray:
    """Foam (k,) of each part [m3], together ``wall_m3``; a part of which nothing is to be coated has none."""
    share = (cavity.fraction.astype(np.float32) - region.hollow) / 255.0
    if parts.solid is not None:
        share *= 1.0 - parts.solid
    part = np.broadcast_to(region.part, share.shape)
    found = np.bincount(part.ravel(), np.maximum(share, 0.0).ravel(), len(parts.rules))
    for k, one in enumerate(parts.rules):
        if one.solid:
            found[0] += found[k]
        if one.solid or not (inside.counts & (inside.part == k)).any():
            found[k] = 0.0
    return np.asarray(found * (wall_m3 / found.sum()))


@dataclass(frozen=True, eq=False)
class What:
    """What is lined."""

    region: Region
    solids: Solids
    solid_m3: float
    inside: Inside
    parts: Parts
    foam_m3: np.ndarray  # (k,) of each part
    layers: tuple[Layer, ...]

    @property
    def due_m(self) -> np.ndarray:
        """Foam (n,) that an even lining has on each face, by volume over area [m]."""
        inside = self.inside
        area = np.bincount(inside.part, np.where(inside.counts, inside.area_m2, 0.0), len(self.foam_m3))
        return np.asarray((self.foam_m3 / np.maximum(area, 1e-12))[inside.part])


def layers_of(thickness_m: np.ndarray, foam_m3: np.ndarray) -> list[Layer]:
    """The layers of a lining with parts (k,) of different thickness, from the skin inwards.

    The foam of each part is shared by its layers as their thickness is.

    >>> found = layers_of(np.array([0.02, 0.05]), np.ones(2))
    >>> [(round(one.to_m, 3), one.parts, round(one.foam_m3, 3)) for one in found]
    [(0.02, (0, 1), 1.4), (0.05, (1,), 0.6)]
    """
    real = [k for k in range(len(thickness_m)) if foam_m3[k] > 0.0]
    out: list[Layer] = []
    below = 0.0
    for top in sorted({round(float(thickness_m[k]) / ALIKE_M) * ALIKE_M for k in real}):
        mine = tuple(k for k in real if thickness_m[k] > top - ALIKE_M)
        foam = math.fsum(float(foam_m3[k]) * (top - below) / float(thickness_m[k]) for k in mine)
        out.append(Layer(below, top, mine, foam))
        below = top
    return out


@dataclass(frozen=True, eq=False)
class Stage:
    """The coats of one layer."""

    layer: Layer
    work: Work
    found: Coating  # these coats alone
    poured: tuple[PouredCoat, ...] = ()  # those of them that are in the piece already, the first ones

    @property
    def left_m3(self) -> float:
        """Foam that each of its coats to come has, where there are any."""
        lacks = self.layer.foam_m3 - math.fsum(one.on_wall_m3 for one in self.poured)
        return lacks / max(len(self.found.coats) - len(self.poured), 1)


@dataclass(frozen=True, eq=False)
class Order:
    """One coat among all, in the order of the work."""

    stage: Stage
    number: int  # from 0, of the coats of its stage

    @property
    def turned(self) -> Turned:
        """Its rolls and what they do."""
        return self.stage.found.coats[self.number]

    @property
    def poured(self) -> PouredCoat | None:
        """As it was poured; None: it is still to come."""
        return self.stage.poured[self.number] if self.number < len(self.stage.poured) else None


def works_of(first: Work, layers: Sequence[Layer], due_m: np.ndarray, expansion: float) -> list[Work]:
    """The work of each layer, with all of its foam in one: of the thinnest, that all of the inside gets, and further.

    Parameters
    ----------
    first : Work
        Of the thinnest.
    layers : sequence of Layer
        All of them.
    due_m : ndarray (n,)
        Foam that each face has after all of them [m].
    expansion : float
        Foam over liquid.
    """
    inside = first.sweeper.inside
    top = max(one.to_m for one in layers)
    thick = np.zeros(len(inside.area_m2))
    for layer in layers:
        thick[np.isin(inside.part, layer.parts)] = layer.to_m
    out = [replace(first, target_m3=layers[0].foam_m3 / expansion)]
    for layer in layers[1:]:
        share = np.minimum(layer.from_m, thick) / np.maximum(thick, top * 1e-9)
        aim = Aim(np.isin(inside.part, layer.parts), share * due_m * inside.area_m2 / expansion)
        liquid = layer.foam_m3 / expansion
        out.append(replace(first, wall_m3=liquid, target_m3=liquid, up=_up_for(first, aim.faces), aim=aim))
    return out


def stages_of(
    works: Sequence[Work],
    layers: Sequence[Layer],
    poured: Sequence[tuple[int, PouredCoat]],
    coated_by: Callable[[Work, Layer, float], Coating],
) -> list[Stage]:
    """The coats of each layer, each knowing what all before it leave.

    ``poured``: layer and coat of what is in the piece, that the works have followed; ``coated_by``: the coats of one,
    by the foam that was poured for it [m3].
    """
    out: list[Stage] = []
    for k, (work, layer) in enumerate(zip(works, layers, strict=True)):
        if out:
            now = work.first()
            work = replace(work, now=Before(out[-1].found.last.liquid_m3, now.coated))
        mine = tuple(one for n, one in poured if n == k)
        out.append(Stage(layer, work, coated_by(work, layer, math.fsum(one.on_wall_m3 for one in mine)), mine))
    return out


def layer_of(layers: Sequence[Layer], aims: tuple[int, ...]) -> int:
    """Number of the layer that a coat for these parts belongs to, 0 where it is for all of the inside."""
    return next((k for k, layer in enumerate(layers) if k and layer.parts == aims), 0)


def in_order(stages: Sequence[Stage]) -> list[Order]:
    """All coats: those that are in the piece by their numbers, then those that are left, layer by layer."""
    every = [Order(stage, n) for stage in stages for n in range(len(stage.found.coats))]
    return sorted(every, key=lambda one: (1, 0) if one.poured is None else (0, one.poured.number))


def together(stages: Sequence[Stage]) -> Coating:
    """All coats as one: covered is what any of them covers, thinnest what the first layer holds."""
    if len(stages) == 1:
        return stages[0].found
    covered = np.logical_or.reduce([stage.found.last.coated for stage in stages])
    last = Before(stages[-1].found.last.liquid_m3, covered)
    coats = tuple(one.turned for one in in_order(stages))
    return Coating(coats, stages[0].work.covers(covered), stages[0].found.thinnest, last)


def _up_for(work: Work, faces: np.ndarray) -> np.ndarray:
    """Way up (3,), shell axes, in which a part lies lowest: it looks down, or the piece stands or hangs over."""
    inside = work.sweeper.inside
    mine = faces & inside.counts
    weight = inside.area_m2[mine] / inside.area_m2[mine].sum()
    looks = weight @ inside.normal[mine]
    if np.linalg.norm(looks) >= FACING:
        way = -(work.sweeper.to_shell @ looks)  # standing axes
    else:
        higher = weight @ inside.middle_m[mine] - inside.middle_m.mean(axis=0)
        way = np.array([0.0, 0.0, 1.0 if higher @ work.up <= 0.0 else -1.0])
    axes = np.concatenate([plain_axes(), -plain_axes()])
    return np.asarray(axes[int(np.argmax(axes @ way))] @ work.sweeper.to_shell)


def rolls_over(work: Work, offered: Sequence[Roll]) -> list[Roll]:
    """What hands can do besides to keep a pool over one part: lead it round, and rock it to and fro."""
    up = work.sweeper.to_shell @ work.up
    level = [axis for axis in plain_axes() if abs(float(axis @ up)) < 1e-6]
    swirls = [Roll(up, math.radians(tilt)) for tilt in SWIRLS]
    rocks = [Roll(axis, 0.5 * math.pi, turn) for axis in level for turn in ROCKS]
    return [*swirls, *rocks, *(roll for roll in offered if abs(float(roll.axis @ up)) > 0.99)]


def lined_parts(what: What, last: Before, expansion: float) -> tuple[LinedPart, ...]:
    """What lies on each part after all coats, the rest first."""
    inside, out = what.inside, []
    have = last.liquid_m3 * expansion / inside.area_m2 / np.maximum(what.due_m, 1e-12)
    for k, one in enumerate(what.parts.rules):
        mine = inside.counts & (inside.part == k)
        if one.thickness_m is None or not mine.any():
            continue
        coated, area = mine & last.coated, inside.area_m2
        thin, half = (min(1.0, thin_end(have[coated], area[coated], share)) for share in (THIN, 0.5))
        out.append(
            LinedPart(
                k, one.name, one.thickness_m, float(area[mine].sum()), float(what.foam_m3[k]), one.thickness_m * thin,
                one.thickness_m * half, float(area[coated].sum() / area[mine].sum()),
            )
        )  # fmt: skip
    return tuple(out)


def at_panel(what: What, space: Space, lined: Sequence[LinedPart]) -> float:
    """Thinnest lining where the flattest panel is [m]; the size of the piece where that is solid, nan without one."""
    if not space.panels:
        return math.nan
    parts = what.parts
    k = int(parts.part[nearest_skin_point(parts.skin, space.panels[0].point_m)[1][0]])
    if parts.rules[k].solid:
        return float(space.cavity.frame.size_m.max())
    return next((one.thinnest_m for one in lined if one.number == k), lined[0].thinnest_m)
