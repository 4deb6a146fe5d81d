"""A ball of 0.8 m with a lining of 45 mm, and coats of it as they may have been poured."""

from __future__ import annotations

import trimesh

from pourwright.cavity import Space
from pourwright.foam import Parts
from pourwright.intake import job_from_shell
from pourwright.lining import Begun, PouredCoat, rolls_of
from pourwright.plan import Case, Tried, history_of, lined_plan, make_plan
from pourwright.progress import silent


def lined_ball(folder, **fill):
    """Its lining, and ``again(*poured, kept=None)``: the lining with coats that are in already.

    ``fill``: further keys of the job's table.
    """
    trimesh.creation.icosphere(3, 0.4).export(folder / "ball.ply")
    asked = {
        "foam.grade": "rigid-3", "wall.thickness": "5 mm", "piece.unit": "m", "grid.cell": "20 mm",
        "fill.style": "lining", "fill.thickness": "45 mm", **{f"fill.{name}": value for name, value in fill.items()},
    }  # fmt: skip
    job = job_from_shell(folder / "ball.ply", asked)
    plan = make_plan(job)
    history = history_of(job)
    space = Space(plan.skin, plan.cavity, plan.graph, ())

    def again(*poured, kept=None):
        return lined_plan(Case(job, space, history), silent, Tried(begun=Begun(tuple(poured), kept))).lining

    return plan.lining, again


def as_poured(lining, number, ratio=1.0, rolls=None, pins=()):
    coat, parts = lining.coats[number - 1], lining.coats[number - 1].parts
    made = rolls_of(lining)[number - 1]
    turning = [one for one in made if not one.still]
    every = [turning[k % len(turning)] for k in range(lining.rolls)] + [one for one in made if one.still]
    weighed = Parts(*(ratio * value for value in (parts.a_kg, parts.b_kg, parts.a_m3, parts.b_m3)))
    return PouredCoat(
        number, weighed, ratio, coat.foam_m3, coat.followed_m3, 0.02, coat.film_m,
        tuple(every if rolls is None else every[:rolls]), tuple(pins), coat.aims, not turning,
    )  # fmt: skip
