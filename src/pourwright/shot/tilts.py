"""How a fixture is tilted so that the air of each chamber gathers at one vent: once for all, or stage by stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.access import CeilingAir, Tilt, foot_of, smallest_tilt


@dataclass(frozen=True, eq=False)
class TiltStage:
    """Chambers that are shot with the fixture tilted alike, before the next stage."""

    chambers: tuple[int, ...]  # 1 is the largest
    tilt: Tilt | None  # None: no tilt up to 10 degrees does; a vent in every corner does. Of 0: shot as it stands


def tilt_stages(
    ceilings: Sequence[CeilingAir], chamber_of_node: np.ndarray, vertices_m: np.ndarray
) -> tuple[TiltStage, ...]:
    """The smallest tilt that leads the air of all chambers to one vent each, else as few stages as that takes.

    Parameters
    ----------
    ceilings : sequence of CeilingAir
        Level ceilings with what their vents leave.
    chamber_of_node : array (n,)
        Chamber of each node of the level graph, from 0.
    vertices_m : array (n, 3)
        Of the skin, standing.

    Returns
    -------
    tuple of TiltStage
        Empty where no air stays under any ceiling. One tilt for all chambers if there is one, also for those from which
        no air stays as the part stands: tilted, they may keep some. Else these are shot first, as it stands, and the
        others join a stage in their order, the largest first, as long as one tilt does for all of it.
    """
    mine: dict[int, list[CeilingAir]] = {}
    for one in ceilings:
        mine.setdefault(int(chamber_of_node[one.ceiling.nodes[0]]), []).append(one)
    every = sorted(mine)
    asks = [chamber for chamber in every if any(one.cover.air_m3 > 0 for one in mine[chamber])]
    if not asks:
        return ()
    foot = np.ptp(foot_of(vertices_m), axis=0)

    def found(chambers: Sequence[int]) -> Tilt | None:
        return smallest_tilt([one.ceiling for chamber in chambers for one in mine[chamber]], foot)

    whole = found(every)
    if whole is not None:
        return (TiltStage(tuple(chamber + 1 for chamber in every), whole),)
    level = [chamber for chamber in every if chamber not in asks]
    stages: list[tuple[list[int], Tilt | None]] = []
    for chamber in asks:
        for k, (group, tilt) in enumerate(stages):
            both = found([*group, chamber]) if tilt is not None else None
            if both is not None:
                stages[k] = ([*group, chamber], both)
                break
        else:
            stages.append(([chamber], found([chamber])))
    if level and any(tilt is not None for _, tilt in stages):
        stages.insert(0, (level, Tilt(np.zeros(2), (), 0.0, 0.0)))
    return tuple(TiltStage(tuple(chamber + 1 for chamber in group), tilt) for group, tilt in stages)
