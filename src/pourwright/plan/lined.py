"""The plan of a piece that is lined by turning: coats and positions in place of lifts."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.banded import by_themselves
from pourwright.cautions import cautions_for
from pourwright.cavity import Cavity
from pourwright.evaluation import ByFormulas
from pourwright.findings import Code, Finding, Severity, finding
from pourwright.lifts import Check, judged
from pourwright.lining import (
    CELLS_ALONG,
    NOTHING,
    Begun,
    Lining,
    Roll,
    Shop,
    bare_remedy,
    line,
    solid_checks,
    thin_check,
)
from pourwright.outcome import insert_in_lining, predict_lined
from pourwright.plan.case import Case
from pourwright.plan.judge import checked
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.made import LinedPlan
from pourwright.plan.model import Job
from pourwright.plan.provenance import provenance_of
from pourwright.plan.reaction import History
from pourwright.plan.refine import Computed
from pourwright.plan.review import flat_skin_k
from pourwright.progress import Progress
from pourwright.shell import Skin

SOLID_HEAT = (
    "; a solid part as one step cooled at its top alone, or as all of it, as thick as it is wide, on both faces"
)
COVERED = 0.98
"""Share of the inside that has to be covered, or the plan is over a limit; our judgement."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A lining that is one of many: what served the one before, and how finely the inside is looked at."""

    rolls: tuple[tuple[Roll, ...], ...] = ()
    cells_along: int = 0  # 0: as fine as a plan's
    begun: Begun = NOTHING  # coats that are in the piece already


FIRST = Tried()


def lining_shop(job: Job, cells_along: int) -> Shop:
    """What a job gives a lining; ``cells_along`` 0: as fine as a plan's."""
    heat = job.heat
    up = job.site.hang.up if job.site.hang is not None else job.site.stand.up
    return Shop(
        job.limits, heat.between_s, heat.inside_film_w_m2k, heat.outside_film_w_m2k, job.structure.side_pa,
        job.limits.bulge_share, job.memory_bytes, up, cells_along or CELLS_ALONG, job.day.least_mix_m3,
    )  # fmt: skip


def lined_plan(case: Case, progress: Progress, tried: Tried = FIRST) -> LinedPlan:
    """Plan the lining of one piece."""
    job, space, history = case.job, case.space, case.history
    skin, cavity, graph, foam = space.skin, space.cavity, space.graph, history.foam
    shop = lining_shop(job, tried.cells_along)
    lining = line(job.fill, shop, space, foam, history.rising, progress, tried.rolls, tried.begun)
    none = LiftPlan((), (), (), "least liquid, then fewest rolls that cover the inside", 0.0, ())
    outcome = predict_lined(skin, space.panels, cavity, graph, foam, lining, loss_share=job.loss_share, bond=job.bond)
    return LinedPlan(
        job=job, skin=skin, frame=cavity.frame, cavity=cavity, graph=graph, foam=foam, lift_plan=none, outcome=outcome,
        checks=_checks(job, skin, cavity, history, lining), warnings=_warnings(job, skin, history, lining, cavity),
        cautions=cautions_for(skin, foam, none), provenance=provenance_of(job, skin), lining=lining,
        computed=Computed(history, ByFormulas(), (), 0, ()),
    )  # fmt: skip


def _checks(job: Job, skin: Skin, cavity: Cavity, history: History, lining: Lining) -> tuple[Check, ...]:
    cited = skin.material.cited.get("heat_limit_k")
    words = cited.words() if cited is not None else "unknown"
    inserts = insert_in_lining(job.site, cavity.frame, lining)
    push = checked(
        judged.PUSHED, lining.least_m, lining.at_panel_m, "m",
        f"our judgement; flat strip under {lining.push_pa:.0f} Pa, against the lining where it is thinnest",
        "a thicker lining",
    )  # fmt: skip
    return (
        *inserts,
        *solid_checks(lining, by_themselves(lining, cavity)),
        push,
        thin_check(lining, job.fill.least_m),
        checked(
            judged.BARE,
            1.0 - lining.coverage,
            1.0 - COVERED,
            "",
            "our judgement: so much of the inside may stay bare",
            bare_remedy(lining),
        ),
        checked(
            judged.SKIN,
            flat_skin_k(job, skin, cavity, history.foam),
            skin.material.heat_limit_k,
            "K",
            f"{words}; formula of a flat skin on thick foam, at the 95 % end of its heat",
            "hold a thermometer to the outside of the skin during the first coat and stop if it nears the limit",
        ),
        checked(
            judged.SCORCH,
            lining.dose_h * 3600.0,
            job.heat.scorch_s,
            "s",
            "our judgement; formula of a slab, its whole rise there at once: an even coat cooled on its open side, the "
            f"deepest pool of a coat, {lining.thickest_coat_m * 1e3:.0f} mm, on both, with air under the piece"
            f"{SOLID_HEAT if any(place.asked for place in lining.places) else ''}",
            "a thinner lining, or more coats: less in one cup (shop.largest_batch)",
        ),
    )


def _warnings(job: Job, skin: Skin, history: History, lining: Lining, cavity: Cavity) -> tuple[Finding, ...]:
    found = [f.found for f in skin.findings if f.severity == Severity.WARNING]
    found += [*history.foam.notes, *history.notes]
    asked = len(job.fill.stops_rad)
    if job.fill.turning == "cradle" and asked > lining.rolls:
        found.append(finding(Code.STOPS_AFTER_GEL, asked=float(asked), done=float(lining.rolls)))
    if lining.coverage < COVERED:
        at = cavity.frame.to_standing(lining.bare[0].point_m)
        found.append(
            finding(
                Code.STAYS_BARE, share=1.0 - lining.coverage, places=float(len(lining.bare)), up_m=float(at[2]),
                left_m=float(at[0]), front_m=float(at[1]),
            )
        )  # fmt: skip
    for place in (one for one in lining.places if not one.asked):
        at = cavity.frame.to_standing(place.point_m)
        found.append(
            finding(
                Code.FILLED_SOLID, volume_m3=place.volume_m3, bottom_m=place.bottom_m, top_m=place.top_m,
                left_m=float(at[0]), front_m=float(at[1]),
            )
        )  # fmt: skip
    return tuple(dict.fromkeys(found))
