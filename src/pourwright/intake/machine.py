"""A job that a machine pours: what a shot allows in place of what hands do."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pourwright.errors import JobError
from pourwright.foam import at_conditions
from pourwright.plan import Job
from pourwright.sources import Standing

if TYPE_CHECKING:
    from pourwright.intake.jobfile import JobFile

RUNS_M = 1.5
RUNS_WORDS = f"a shot may have to run 1.5 m (59 in) from its port, then as foam: {Standing.JUDGEMENT.value}"
BY_HAND = ("hands", "mix", "largest_batch", "pour_rate")


def by_machine(job: Job, asked: JobFile) -> Job:
    """The job with its machine, fixture and series.

    One mix is one shot of all heads: as much as comes in the longest shot, and no longer than to the gel time of its
    first foam, as a head mixes what it gives the moment it gives it. The skin is held by the
    fixture. The day is not searched, and heat does not cut the shot: where it is over a limit, the plan says so.
    """
    table = asked.shop.machine
    if table is None:
        for name in ("fixture", "series"):
            if getattr(asked, name) is not None:
                raise JobError(
                    name,
                    "",
                    "it is about a part that a machine fills: give [shop.machine] with its output or its shots",
                )
        return job
    if job.fill.style != "solid":
        raise JobError("fill.style", job.fill.style, "a machine fills a cavity solid: leave fill.style out, or machine")
    for name in BY_HAND:
        if name in asked.shop.model_fields_set:
            said = getattr(asked.shop, name)
            raise JobError(f"shop.{name}", said, "it is about pouring by hand, and [shop.machine] pours: take one out")
    machine = table.machine()
    if machine.longest_s < machine.shortest_s:
        raise JobError("shop.machine.longest", table.longest, "must not be shorter than shop.machine.shortest")
    flow = machine.heads * machine.output_kg_s / at_conditions(job.grade, job.conditions).liquid_density_kg_m3
    given = "flow_distance" in asked.limits.model_fields_set
    gone = (*_WORDS, *(_OF_SHOTS if machine.measured else ()))
    kept = (words for words in job.assumed if not any(key in words for key in gone))
    hand = tuple(words.replace("lost to trim and cups", "lost to trim") for words in kept)
    return replace(
        job,
        machine=machine,
        fixture=asked.fixture.rules() if asked.fixture is not None else job.fixture,
        series=asked.series.rules() if asked.series is not None else None,
        limits=replace(
            job.limits,
            hands=1,
            mix_s=0.0,
            pour_rate_m3_s=flow,
            largest_batch_m3=flow * machine.longest_s,
            held=True,
            fresh=True,
            flow_distance_m=job.limits.flow_distance_m if given else RUNS_M,
        ),
        day=replace(job.day, search=False),
        heat=replace(job.heat, rounds=1),
        assumed=hand if given else (*hand, RUNS_WORDS),
    )


_WORDS = (
    "one person mixing",
    "largest batch taken",
    "mixing time taken",
    "pouring taken",
    "from one mix to the next",
    "nothing holds it",
    "flow distance taken",
    "is not mixed well",
)
"""Of what is taken by default for pouring by hand."""
_OF_SHOTS = ("shortest shot 0.5 s",)
"""The same where the machine's shots were weighed."""
