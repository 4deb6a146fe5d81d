"""Cores in words: what they are, how they are laid and held, where each lies."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pourwright import units
from pourwright.cores import passes
from pourwright.wording.checks import force

if TYPE_CHECKING:
    from pourwright.cores import Cored
    from pourwright.plan import CoredPlan

CORE_HEAD = ("core", "course", "from the left", "from the front", "above the base", "floats with")
FEW_N = 1.0
"""Below this a core is not worth tying; our judgement."""


def core_lines(plan: CoredPlan) -> list[str]:
    """What the cores are and what is done with them, in the order of the work."""
    found = plan.cores
    rules, count = found.rules, len(found.laid)
    size = " x ".join(units.length(edge) for edge in sorted(rules.size_m, reverse=True))
    each = "bag" if rules.kind == "bags" else "block"
    what = each if count == 1 else f"{each}s"
    what += " of loose balls, closed and patted to shape," if rules.kind == "bags" else ""
    share = found.volume_m3 / (found.volume_m3 + plan.cavity.volume_m3)
    kg = rules.kg
    return [
        f"{count} {what} of {size} in {_courses(found.laid[-1].course)}: {units.volume(found.volume_m3)}, {share:.0%} "
        f"of the cavity, {'' if count == 1 else 'each '}{units.mass(kg.low)} to {units.mass(kg.high)}. This saves "
        f"{units.mass(found.saved_kg)} against foam in their place, and its heat.",
        f"At least {units.length(rules.cover_m)} of foam between a core and the skin, a mouth or a thing inside, and "
        f"{units.length(rules.gap_m)} between two cores. A pile that is not in courses may hold more.",
        *([f"Assumed, because the job does not say: {'; '.join(rules.assumed)}."] if rules.assumed else []),
        way_in(found),
        "Lay them before the first pour, course by course, each on pads of set foam of the same grade as tall as the "
        "room under it, wedged apart with such pads: nothing else may stay that rots or sinks in. Keep the falls under "
        "the pouring holes free of them.",
        _held(found),
        _hot(found),
        "Stiffness is reckoned with foam in place of the cores: what gives more than foam makes it too high.",
    ]


def core_rows(plan: CoredPlan) -> list[tuple[str, ...]]:
    """A row for each core: where its corner nearest left, front and base lies, and how it floats."""
    found = plan.cores
    return [
        (
            f"{one.name}, {_edges(found, number)}", str(one.course), *(units.length(float(v)) for v in one.low_m),
            "not known" if math.isnan(push) else force(push) if push > 0 else "does not",
        )
        for number, (one, push) in enumerate(zip(found.laid, found.uplift_n, strict=True))
    ]  # fmt: skip


def _edges(found: Cored, number: int) -> str:
    one = found.laid[number]
    wide, deep, tall = (units.length(float(edge)) for edge in one.high_m - one.low_m)
    return f"{wide} wide, {deep} deep, {tall} tall"


def way_in(found: Cored) -> str:
    """Whether a core goes through the mouth; what lies behind it is not known."""
    if found.mouth_m is None:
        return "The shell has no mouth: they are laid before it is closed, and stay where they are while it is."
    passed = passes(found.rules.size_m, found.mouth_m)
    clear = f"lets in {units.length(found.mouth_m)} of that shape" if found.mouth_m > 0 else "is closed by its walls"
    return (
        f"{'The' if passed else 'DOES NOT PASS: the'} end of a core is {units.length(found.rules.across_m)} across; "
        f"straight and any way round the widest mouth {clear}. The way on from there is not computed: try necks, and "
        "how far an arm reaches, with an empty box of a core's size."
    )


def _courses(count: int) -> str:
    return "1 course" if count == 1 else f"{count} courses"


def _held(found: Cored) -> str:
    known = [push for push in found.uplift_n if not math.isnan(push)]
    if len(known) < len(found.laid):
        return "How hard the cores float is not known: hold each down as if it were under liquid."
    worst = max(known)
    if worst < FEW_N:
        return (
            "While the foam is liquid none of them floats up: their own weight holds them. Wedge them against shifting."
        )
    many = sum(push >= FEW_N for push in known)
    return (
        f"While the foam is liquid and rises, {many} of them float up, each with up to {force(worst)}, all together "
        f"with {force(sum(known))}: tie each down with a strap round it to a thing inside or a batten that is screwed "
        "or bonded to the skin, or wedge its course against the top of the cavity with pads, so that it holds three "
        "times that (our judgement). From gel on the foam holds them."
    )


def _hot(found: Cored) -> str:
    limit = units.temperature(found.rules.limit_k)
    if math.isnan(found.hottest_k):
        return f"How hot their surface gets is not computed; it may be {limit} at most."
    return (
        f"Their surface gets as hot as the foam on it, up to {units.temperature(found.hottest_k)} at the 95 % end of "
        f"its heat; it may be {limit} at most."
    )
