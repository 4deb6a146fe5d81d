"""Where the foam of a lined piece is: coats as they really lie, and what is filled solid, each with its own density."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.outcome.moments import Moments, cavity_moments
from pourwright.ranges import Range

if TYPE_CHECKING:
    from pourwright.lining import Lining


@dataclass(frozen=True, eq=False)
class LinedFoam:
    """Foam of one density and the room it takes."""

    kg: Range
    moments: Moments  # one node


def lined_foam(cavity: Cavity, graph: LevelGraph, lining: Lining) -> tuple[LinedFoam, LinedFoam | None]:
    """Coats, with places that are solid because coats would meet there; and parts that the job has filled solid.

    The coats take the room between skin and hollow as if they were even, put right by what the model of their laying
    has too much or too little on each face of the inside, half its thickness behind it.
    """
    every = _one(cavity_moments(cavity, graph))
    hollow = replace(cavity, fraction=lining.region.hollow, volume_m3=lining.region.hollow_m3)
    coats = _less(every, _one(cavity_moments(hollow, graph)))
    share, solid = lining.where.solid, None
    if share is not None:
        filled = np.round(cavity.fraction * share).astype(np.uint8)
        solid = _one(cavity_moments(replace(cavity, fraction=filled), graph))
        coats = _less(coats, solid)
    asked = sum(place.volume_m3 for place in lining.places if place.asked)
    part = asked / lining.solid_m3 if solid is not None and lining.solid_m3 > 0.0 else 0.0
    kg = Range.sum(coat.foam_kg for coat in lining.coats) + lining.solid_kg * (1.0 - part)
    coated = LinedFoam(kg, _put_right(coats, cavity, lining))
    return coated, None if solid is None else LinedFoam(lining.solid_kg * part, solid)


def _put_right(even: Moments, cavity: Cavity, lining: Lining) -> Moments:
    """Moments of the coats with what lies thicker or thinner than an even lining."""
    inside = lining.inside
    thick, foam = np.zeros(len(inside.area_m2)), np.zeros(len(inside.area_m2))
    for part in lining.parts:
        mine = inside.counts & (inside.part == part.number)
        thick[mine] = part.thickness_m
        foam[mine] = part.foam_m3 * inside.area_m2[mine] / max(part.area_m2, 1e-30)
    lies = foam * lining.laid
    if not lies.sum() > 0.0:
        return even
    lies *= foam.sum() / lies.sum()  # what is weighed is what there is
    first, second = np.zeros(3), np.zeros((3, 3))
    for sign, volume in ((1.0, lies), (-1.0, foam)):
        deep = 0.5 * thick * np.divide(volume, foam, out=np.zeros_like(foam), where=foam > 0.0)
        at = cavity.frame.to_standing(inside.middle_m - deep[:, None] * inside.normal)
        first += sign * (volume[:, None] * at).sum(axis=0)
        second += sign * np.einsum("i,ij,ik->jk", volume, at, at)
    return replace(even, first_m4=even.first_m4 + first, second_m5=even.second_m5 + second)


def _one(moments: Moments) -> Moments:
    """All nodes as one."""
    return Moments(
        moments.volume_m3.sum(keepdims=True), moments.first_m4.sum(axis=0, keepdims=True),
        moments.second_m5.sum(axis=0, keepdims=True),
    )  # fmt: skip


def _less(of: Moments, by: Moments) -> Moments:
    return Moments(of.volume_m3 - by.volume_m3, of.first_m4 - by.first_m4, of.second_m5 - by.second_m5)
