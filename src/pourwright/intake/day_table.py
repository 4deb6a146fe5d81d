"""[day]: what the order, the heights and the waits of the pours are chosen by."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.errors import JobError
from pourwright.intake.fields import Due, DueChoice, DueClock, DueNumber, DueShare, Flag, Table, key, taken
from pourwright.intake.shop import JUDGED
from pourwright.plan import DayRules
from pourwright.units import show

SHORTEST_SHIFT_S = 3600.0  # in which something can be poured; our judgement


class DayTable(Table):
    """How the day is chosen among all that keep the limits."""

    search: Flag = taken(
        True,
        "true: limbs, heights and waits are searched together for the shortest day; takes a minute or two. False: even "
        "bands over the whole piece, then the waits; also taken where no day keeps the limits and bands come closer",
    )
    aim: Annotated[str, key(DueChoice(("hours", "fewest pours", "lightest")))] = taken(
        "hours", "what is made small: hours with a price on every pour, the number of pours, or the weight"
    )
    pour_price: Annotated[float, key(Due(units.TIME, show.time, 0.0, 7200.0))] = taken(
        600.0,
        "what one pour more is worth, as time: setting up, mixing, cleaning",
        f"one pour more is worth 10 min: {JUDGED}",
    )
    share: Annotated[float, key(DueShare(0.3, 1.0))] = taken(
        0.8,
        "share of the time above the caution temperature that is planned with",
        f"planned with 80 % of the time allowed above the caution temperature: {JUDGED}",
    )
    short: Annotated[float, key(Due(units.TIME, show.time, 0.0, 3600.0))] = taken(
        300.0,
        "with every wait so much shorter all of that time is still kept",
        f"waits may turn out 5 min short: {JUDGED}",
    )
    least_mix: Annotated[float, key(Due(units.VOLUME, show.liquid, 0.0, 0.01))] = taken(
        1e-4,
        "least liquid that is mixed for one pour: limbs are cut into no less where other limits leave a way, and a "
        "smaller limb is filled along with its neighbour where it can be; what stays is told",
        f"less than 100 mL of liquid is not mixed well: {JUDGED}",
    )
    pours: Annotated[int | None, key(DueNumber(1, 200, whole=True))] = taken(
        None, "takes the day of so many pours; --take says the same"
    )

    start: Annotated[float | None, key(DueClock())] = taken(
        None, "when the first mix may begin; cards and the timeline then carry the clock on the wall"
    )
    end: Annotated[float | None, key(DueClock())] = taken(
        None, "when the last foam of a day has risen: what does not fit before it goes on the next day at day.start"
    )

    def rules(self) -> DayRules:
        """The same for the plan; ``JobError`` where the shift is none."""
        if self.end is not None and self.start is None:
            raise JobError("day.start", None, "give it too where day.end is given")
        if self.start is not None and self.end is not None and self.end < self.start + SHORTEST_SHIFT_S:
            raise JobError("day.end", None, "it must be at least an hour after day.start, on the same day")
        return DayRules(
            search=self.search,
            aim=self.aim,
            price_s=self.pour_price,
            share=self.share,
            short_s=self.short,
            least_mix_m3=self.least_mix,
            pours=self.pours,
            start_s=self.start,
            end_s=self.end,
        )
