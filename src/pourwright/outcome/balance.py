"""Weight, centre of mass and inertia of a set of parts, and the corners of everything that is not known exactly."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from pourwright.outcome.parts import FINISHED, Part
from pourwright.ranges import Range

if TYPE_CHECKING:
    from pourwright.cavity import PourFrame
    from pourwright.outcome.site import Item

MOST_FREE = 6
"""Items that vary each on their own; those that matter less vary together, so that the corners stay few."""


@dataclass(frozen=True, eq=False)
class Stage:
    """The piece at one moment of the work. Points in the shell file's axes; arrays read-only."""

    name: str
    number: int  # 0 empty, k after lift k, FINISHED with everything on it
    kg: Range
    centre_m: np.ndarray  # (3,) nominal
    centre_low_m: np.ndarray  # (3,) least and ...
    centre_high_m: np.ndarray  # (3,) ... greatest of each coordinate over the corners
    inertia_kgm2: np.ndarray  # (3, 3) nominal, about its centre, axes of the shell file


@dataclass(frozen=True, eq=False)
class WeightRecord:
    """Item by item and stage by stage."""

    parts: tuple[Part, ...]
    stages: tuple[Stage, ...]  # empty, after each lift, finished


def item_parts(items: tuple[Item, ...], skin: Part, area_m2: float, frame: PourFrame) -> tuple[Part, ...]:
    """The job's items as parts: hardware as points or in its own form, a coating spread as the skin is.

    Parameters
    ----------
    skin : Part
    area_m2 : float
        Outside of the skin [m^2].
    frame : PourFrame
        In which measured spots are meant.
    """
    out = []
    for item in items:
        kg = item.kg * area_m2 if item.coating else item.kg
        centre, spread = _placed(item, skin, frame)
        if kg.low == kg.high:
            why = "as the job gives it, without a spread"
        else:
            why = f"{100 * (1 - kg.low / kg.nominal):.1f} % either way, as the job gives it"
        where = FINISHED if item.finished else 0
        out.append(Part(item.name, "item", where, kg, kg, kg, why, np.asarray(centre), np.asarray(spread)))
    return tuple(out)


def _placed(item: Item, skin: Part, frame: PourFrame) -> tuple[np.ndarray, np.ndarray]:
    """Centre (3,) and spread (3, 3) of an item, shell axes."""
    if item.coating:
        return skin.centre_m, skin.spread_m2
    iron = item.iron(frame)
    if iron is None:
        return frame.to_shell(item.spot.standing(frame)), np.zeros((3, 3))
    own = iron.half_m**2 / 3.0
    if iron.round:
        own[1:] = iron.half_m[1:] ** 2 / 4.0
    turn = iron.axes @ frame.rotation
    return frame.to_shell(iron.middle_m), turn.T @ np.diag(own) @ turn


COATED = "after the last coat"
"""The stage of a lined piece whose foam is all in."""


def parts_at(parts: tuple[Part, ...], number: int) -> tuple[Part, ...]:
    """Parts that are there at a stage: 0 empty, k after lift k, FINISHED all of them."""
    if number == FINISHED:
        return parts
    return tuple(part for part in parts if 0 <= part.after_lift <= number)


def loose_groups(parts: tuple[Part, ...]) -> list[list[int]]:
    """Items that vary each on their own, and last those that matter less and vary together; places in ``parts``."""
    loose = sorted(
        (k for k, part in enumerate(parts) if part.kind in ("item", "plugs") and part.kg.high > part.kg.low),
        key=lambda k: parts[k].kg.low - parts[k].kg.high,
    )
    return [[k] for k in loose[: MOST_FREE - 1]] + ([loose[MOST_FREE - 1 :]] if len(loose) >= MOST_FREE else [])


def corner_masses(parts: tuple[Part, ...]) -> np.ndarray:
    """Masses (c, p) at every corner of what is not known; row 0 is nominal.

    Wall thickness, density of the skin, density of the foam and each item's weight are each at their low or high, in
    every combination; where the piece was weighed, in those that what the scale showed leaves possible. Anything linear
    or convex in the masses has its extremes among these rows.
    """
    if parts and parts[0].corners_kg:
        return np.column_stack([part.corners_kg for part in parts])
    groups = loose_groups(parts)
    rows = [[part.kg.nominal for part in parts]]
    for wall, skin_end, foam_end, *ends in product(("thin_kg", "thick_kg"), *[("low", "high")] * (2 + len(groups))):
        row = []
        for part in parts:
            end = {"skin": skin_end, "foam": foam_end}.get(part.kind, "nominal")
            row.append(float(getattr(getattr(part, wall), end)))
        for group, end in zip(groups, ends, strict=True):
            for k in group:
                row[k] = float(getattr(parts[k].kg, end))
        rows.append(row)
    return np.array(rows)


def corner_centres(parts: tuple[Part, ...], masses: np.ndarray) -> np.ndarray:
    """Centres of mass (c, 3) of the rows of ``corner_masses``."""
    places = np.array([part.centre_m for part in parts])
    return np.asarray(masses @ places / masses.sum(axis=1)[:, None])


def stage_of(parts: tuple[Part, ...], name: str, number: int) -> Stage:
    """Weight with its range, centre with its range, inertia of the parts that are there at stage ``number``."""
    there = parts_at(parts, number)
    masses = corner_masses(there)
    total, centres = masses.sum(axis=1), corner_centres(there, masses)
    away = np.array([part.centre_m for part in there]) - centres[0]
    second = np.einsum("p,pij->ij", masses[0], np.array([part.spread_m2 for part in there]))
    second += np.einsum("p,pi,pj->ij", masses[0], away, away)
    inertia = np.trace(second) * np.eye(3) - second
    stage = Stage(
        name,
        number,
        Range.of_rows(total),
        centres[0],
        centres.min(axis=0),
        centres.max(axis=0),
        inertia,
    )
    for array in (stage.centre_m, stage.centre_low_m, stage.centre_high_m, stage.inertia_kgm2):
        array.setflags(write=False)
    return stage


def weigh(parts: tuple[Part, ...], lined: bool = False) -> WeightRecord:
    """The weight record: every part, and the piece empty, after each lift, or all coats of a lining, and finished.

    Examples
    --------
    >>> from dataclasses import replace
    >>> one, eye = Range.exact(1.0), np.eye(3)
    >>> skin = Part("skin", "skin", 0, one, one, one, "", np.zeros(3), eye * 0)
    >>> foam = replace(skin, name="foam", kind="foam", after_lift=1, centre_m=np.array([0.0, 0, 2]))
    >>> record = weigh((skin, foam))
    >>> [(stage.name, stage.kg.nominal, float(stage.centre_m[2])) for stage in record.stages]
    [('empty skin', 1.0, 0.0), ('after lift 1', 2.0, 1.0), ('finished', 2.0, 1.0)]
    >>> record.stages[-1].inertia_kgm2.diagonal().tolist()
    [2.0, 2.0, 0.0]
    """
    lifts = sorted({part.after_lift for part in parts if part.kind == "foam"})
    stages = [stage_of(parts, "empty skin", 0)]
    stages += [stage_of(parts, COATED if lined else f"after lift {number}", number) for number in lifts]
    stages.append(stage_of(parts, "finished", FINISHED))
    return WeightRecord(parts, tuple(stages))
