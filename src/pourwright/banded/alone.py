"""Solid parts of a lined piece as a plan of their own: a rib that is open at its top."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pourwright.cavity import Cavity, PourFrame
from pourwright.lining import RESTS, Lining, PartRules, SolidPlace


def by_themselves(lining: Lining, cavity: Cavity) -> str:
    """How the solid parts of a lining are planned by themselves; see `settings_alone`."""
    asked, frame = [place for place in lining.places if place.asked], cavity.frame
    return settings_alone(asked, lining.where.rules, frame, cavity.grid.cell_m) if asked else ""


def settings_alone(places: Sequence[SolidPlace], rules: Sequence[PartRules], frame: PourFrame, cell_m: float) -> str:
    """The settings with which solid parts are planned as one rib up from the base, open at its top; or nothing.

    That is so where all that lies at their heights is solid, from one end of the piece on. ``rules`` of all parts:
    their heights, where the places end within a cell of them.
    """
    tall, out = float(frame.size_m[2]), list[str]()
    edges = [edge for one in rules if one.solid for edge in (one.low_m, one.high_m)]
    for rests in RESTS:
        mine, over = [place for place in places if place.rests == rests], rests == RESTS[1]
        if not mine:
            continue
        begins = [tall - place.top_m if over else place.bottom_m for place in mine]
        if rests == RESTS[2] or not all(place.whole for place in mine) or max(begins) > cell_m:
            return ""
        end = max(tall - place.bottom_m if over else place.top_m for place in mine)
        near = min(((tall - edge if over else edge) for edge in edges), key=lambda edge: abs(edge - end), default=end)
        end = near if abs(near - end) <= cell_m else end
        turned = f"--set piece.up={_direction(-frame.up)} " if over else ""
        out.append(f'{turned}--set \'fill={{style = "ribs", bands = [["0 mm", "{1e3 * end:.6g} mm"]]}}\'')
    return (
        f"plan them by themselves: the same job with {' and, upside down, with '.join(out)} has lifts, ports, vents, "
        "pressure, rise and heat for them; pour them by that plan, and go by what it says"
    )


def _direction(way: np.ndarray) -> str:
    """A direction as a job file has it.

    >>> _direction(np.array([0.0, 0.0, -1.0])), _direction(np.array([0.6, 0.0, 0.8]))
    ('-z', '[0.6,0,0.8]')
    """
    axis = int(np.argmax(np.abs(way)))
    if abs(float(way[axis])) > 1.0 - 1e-9:
        return ("+" if way[axis] > 0 else "-") + "xyz"[axis]
    return "[" + ",".join(f"{value:.9g}" for value in way) + "]"
