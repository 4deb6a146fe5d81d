"""What a part costs."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.series.model import SeriesRules


@dataclass(frozen=True, slots=True)
class Cost:
    """Of one good part, in the job's money."""

    foam: float
    labour: float
    waste: float  # foam that is bought and does not end in the part, with what purging takes
    plugs: float
    rejects: float  # what good parts carry for those that are not
    per_part: float


def cost_of(rules: SeriesRules, foam_kg: float, parts_per_shift: int, reject_share: float) -> Cost | None:
    """The cost of a part; None where the job tells no price of foam or labour, or no part gets out.

    Labour is that of the whole shift over its parts. Machine, rent and the moulded skin are left out.
    """
    if rules.foam_price is None or rules.labour_price is None or parts_per_shift < 1 or reject_share >= 1:
        return None
    foam = foam_kg * rules.foam_price
    waste = (foam_kg * rules.waste_share + rules.purge_kg) * rules.foam_price
    labour = rules.people * rules.shift_s / 3600.0 * rules.labour_price / parts_per_shift
    once = foam + waste + labour + rules.plug_price
    good = once / (1.0 - reject_share)
    return Cost(foam, labour, waste, rules.plug_price, good - once, good)
