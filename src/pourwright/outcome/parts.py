"""Every mass of the piece, item by item: its range and the reason, its centre and its inertia."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pourwright.outcome.moments import skin_moments
from pourwright.outcome.weight import hollow, skin_mass, weighed_and_left
from pourwright.ranges import Range

if TYPE_CHECKING:
    from pourwright.cavity import Cavity
    from pourwright.lifts import Division, Lift
    from pourwright.outcome.moments import Moments
    from pourwright.shell import Skin

FINISHED = -1
"""``after_lift`` of what is put on the finished piece."""


@dataclass(frozen=True, slots=True)
class Swing:
    """What a mass changes by when a cause goes from where it is taken to its high and to its low end."""

    up_kg: float
    down_kg: float
    told: bool  # a scale told of it: normal, its ends two standard deviations; else even between its ends


@dataclass(frozen=True, eq=False)
class Loose:
    """The causes of a weighed piece's masses (-1 and 1: the job's ends) by swings: at + moves @ swings, within ends."""

    at: np.ndarray  # (n,)
    moves: np.ndarray  # (n, n)
    ends: np.ndarray  # (2, n)


@dataclass(frozen=True, eq=False)
class Part:
    """One mass. Points and axes are those of the shell file; arrays read-only.

    ``kg`` is the part by itself. ``thin_kg`` and ``thick_kg`` are what it weighs with the wall at its thinnest and at
    its thickest (a thick wall leaves less room for foam): the same as ``kg`` for what knows no wall.
    """

    name: str
    kind: str  # "skin" | "foam" | "holes" | "plugs" | "item"
    after_lift: int  # 0: there before the first pour; k: comes with lift k; FINISHED: put on at the end
    kg: Range
    thin_kg: Range
    thick_kg: Range
    why: str  # reason of the range, one sentence
    centre_m: np.ndarray  # (3,)
    spread_m2: np.ndarray  # (3, 3) mean of d d' over the part's mass, d from its centre: inertia per kilogram
    swings: tuple[Swing, ...] = ()  # of a weighed piece: one for each cause, by which masses move together
    corners_kg: tuple[float, ...] = ()  # and what it weighs at each corner of what is possible still, first nominal
    known_wall_kg: tuple[float, ...] = ()  # the same with the wall exactly as thick as it is taken now
    bounds_kg: tuple[float, float] = (-math.inf, math.inf)  # and the ends of what the job gives of it
    loose: tuple[Loose, ...] = ()  # and the causes behind, one and the same for every part


def mass_parts(skin: Skin, cavity: Cavity, moments: Moments, lift_plan: Division) -> tuple[Part, ...]:
    """Skin, foam of every lift, what is drilled out and the plugs that go back in.

    Returns
    -------
    tuple of Part
        In the order of the work. The ranges of skin and foam are those of ``skin_mass`` and ``lift_mass``; foam by
        itself carries the uncertainty of the cavity's volume as well.
    """
    parts = [skin_part(skin, cavity, moments)]
    parts += [_lift_part(lift, cavity, moments) for lift in lift_plan.lifts]
    parts += _hole_parts(skin, cavity, lift_plan)
    return tuple(parts)


def _to_shell(cavity: Cavity, second: np.ndarray, volume: float, first: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Centre (3,) and spread (3, 3) in the shell file's axes from sums in standing ones."""
    centre = first / volume
    spread = second / volume - np.outer(centre, centre)
    turn = cavity.frame.rotation
    return cavity.frame.to_shell(centre), turn.T @ spread @ turn


def skin_part(skin: Skin, cavity: Cavity, moments: Moments) -> Part:
    """The bare skin, thin to thick."""
    bare = skin_mass(skin, cavity, moments)
    volume, first, second = skin_moments(skin)
    middle = first / volume
    solid = second + (skin.enclosed_m3 - volume) * np.outer(middle, middle)
    inside_m3, inside_first, inside_second = hollow(cavity, moments)
    hole_centre, hole_spread = _to_shell(cavity, inside_second, inside_m3, inside_first)
    missing = inside_m3 * (hole_spread + np.outer(hole_centre, hole_centre))
    wall = skin.enclosed_m3 - inside_m3
    spread = (solid - missing) / wall - np.outer(bare.centre_m, bare.centre_m)
    density = skin.material.density_kg_m3
    cited = skin.material.cited.get("density_kg_m3")
    share = cited.spread if cited is not None else 0.0
    space = skin.enclosed_m3 - cavity.taken_m3 - cavity.stray_voids_m3
    thin = max(space - cavity.room_high_m3, 0.0)
    thick = max(space - cavity.room_low_m3, thin)
    why = (
        f"wall {_percent(thick / max(space - cavity.volume_m3, 1e-12) - 1)} thicker or thinner and density "
        f"± {_percent(share)} ({cited.words() if cited is not None else 'no source'})"
    )
    ends = Range.about(thin * density, share), Range.about(thick * density, share)
    return _part("skin", "skin", 0, (bare.kg, *ends), why, bare.centre_m, spread)


def _lift_part(lift: Lift, cavity: Cavity, moments: Moments) -> Part:
    weight, first, second = 0.0, np.zeros(3), np.zeros((3, 3))
    for pour in lift.pours:
        density = pour.foam_kg.nominal / float(moments.volume_m3[pour.nodes] @ pour.shares)
        weight += pour.foam_kg.nominal
        first += density * (pour.shares @ moments.first_m4[pour.nodes])
        second += density * np.einsum("n,nij->ij", pour.shares, moments.second_m5[pour.nodes])
    centre, spread = _to_shell(cavity, second, weight, first)
    low, high = cavity.volume_low_m3 / cavity.volume_m3, cavity.volume_high_m3 / cavity.volume_m3
    weighed, left = weighed_and_left(lift.pours)
    own = weighed + left * Range(low, 1.0, high)
    said = []
    if weighed.nominal > 0:
        said.append(f"foam as it was weighed, ± {_percent(1 - weighed.low / weighed.nominal)}")
    if left.nominal > 0:
        said.append(
            f"foam {_percent(1 - left.low / left.nominal)} lighter to {_percent(left.high / left.nominal - 1)} denser "
            f"in place, cavity {_percent(1 - low)} smaller to {_percent(high - 1)} larger"
        )
    ends = weighed + left * high, weighed + left * low
    return _part(f"foam, lift {lift.number}", "foam", lift.number, (own, *ends), "; ".join(said), centre, spread)


def foam_part(
    name: str, after_lift: int, kg: Range, ends: tuple[Range, Range], why: str, own: Moments, cavity: Cavity
) -> Part:
    """Foam of one density that takes the space whose moments are ``own``; ``ends`` with the wall thin and thick."""
    centre, spread = _to_shell(cavity, own.second_m5.sum(axis=0), float(own.volume_m3.sum()), own.first_m4.sum(axis=0))
    return _part(name, "foam", after_lift, (kg, *ends), why, centre, spread)


def _hole_parts(skin: Skin, cavity: Cavity, lift_plan: Division) -> list[Part]:
    holes = {port.name: (port.point_m, port.hole_m, 1) for port in lift_plan.ports if port.way == "drilled"}
    holes |= {vent.name: (vent.point_m, vent.hole_m, vent.holes) for vent in lift_plan.vents if vent.way == "drilled"}
    if not holes:
        return []
    points = np.array([point for point, _, _ in holes.values()])
    disc = np.array([count * 0.25 * math.pi * size**2 for _, size, count in holes.values()])
    if skin.bands:
        wall = skin.thickness_of(points)
    else:
        wall = np.full(len(points), (skin.enclosed_m3 - cavity.volume_m3 - cavity.taken_m3) / skin.area_m2)
    kg = disc * np.nan_to_num(wall, nan=float(np.nanmean(wall))) * skin.material.density_kg_m3
    centre = (kg[:, None] * points).sum(axis=0) / kg.sum()
    away = points - centre
    spread = np.einsum("i,ij,ik->jk", kg, away, away) / kg.sum()
    out, back = Range.exact(-float(kg.sum())), Range(0.0, float(kg.sum()), 2.0 * float(kg.sum()))
    number = sum(count for _, _, count in holes.values())
    return [
        _part(f"{number} drilled holes", "holes", 0, (out, out, out), "what the drill takes out", centre, spread),
        _part(
            f"plugs for {number} drilled holes",
            "plugs",
            FINISHED,
            (back, back, back),
            "from left open, over plugs of the skin's own kind and thickness, to plugs twice as heavy "
            "(our judgement, no published source)",
            centre,
            spread,
        ),
    ]


def _part(
    name: str,
    kind: str,
    after_lift: int,
    kg: tuple[Range, Range, Range],
    why: str,
    centre_m: np.ndarray,
    spread_m2: np.ndarray,
) -> Part:
    """``kg`` of the part by itself, with the wall at its thinnest and at its thickest."""
    centre, spread = np.array(centre_m, float), np.array(spread_m2, float)
    centre.setflags(write=False)
    spread.setflags(write=False)
    return Part(name, kind, after_lift, *kg, why, centre, spread)


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"
