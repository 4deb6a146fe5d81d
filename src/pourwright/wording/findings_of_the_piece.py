"""Sentences of findings about the shell, the foam of the day, computed heat and rise, and what is poured."""

from __future__ import annotations

import math
from collections.abc import Callable

from pourwright.findings import Code
from pourwright.physics.constants import STANDARD_ATMOSPHERE
from pourwright.wording.phrases import Names, celsius, listing, place, pours

ELSEWHERE = 0.4
"""Share of what is short in one limb from which on it is told as risen over the level elsewhere; our judgement."""

# The shell and its cavity


def _loosely_known(s: Names, share: float) -> str:
    return f"The cavity is known to {share:.0%} only: measure the wall in several places, or give a smaller cell."


def _unreached(s: Names, share: float) -> str:
    return f"{share:.1%} of the cavity cannot be reached straight from above through any port."


def _iron_inside(s: Names, volume_m3: float, share: float, up_m: float, heat: float, led: float) -> str:
    along = "and leads along itself is counted" if led > 0 else "is counted, what it leads along itself is not"
    takes = f"what it takes of the heat {along}" if heat > 0 else "no heat is counted as taken up by it"
    return (
        f"{s[0]} stands in the foam: {volume_m3 * 1e3:.2g} L less to pour, at most {share:.0%} of the section, "
        f"{up_m:.2f} m above the base. Nothing is dropped on it; {takes}."
    )


def _item_without_form(s: Names, volume_m3: float, share: float, steel: float) -> str:
    as_steel = " (as steel)" if steel > 0 else ""
    told = (
        f"{s[0]} is there before the first pour without a form: by weight over density{as_steel} it is "
        f"{volume_m3 * 1e3:.2g} L, and may take {share:.0%} of the section it stands in. "
    )
    if share > 0.05:
        return (
            f"{told}Give it a shape with start and end: without, levels, liquids and falls are as if it were not there."
        )
    return told + "Levels and liquids are as if it were not there."


# Linings


def _stays_bare(s: Names, share: float, places: float, up_m: float, left_m: float, front_m: float) -> str:
    count = "one place" if places == 1 else f"{places:.0f} places"
    return (
        f"{share:.1%} of the inside stays bare in {count}, the largest {place((up_m, left_m, front_m))}: add foam "
        "there by hand, or lay it another way (fill.turning, fill.by)."
    )


def _filled_solid(s: Names, volume_m3: float, bottom_m: float, top_m: float, left_m: float, front_m: float) -> str:
    return (
        f"The lining is refused {place((0.5 * (bottom_m + top_m), left_m, front_m))}: its coats would meet there. That "
        f"part is filled solid before the first coat, {volume_m3 * 1e3:.3g} L of foam, from {bottom_m:.2f} m to "
        f"{top_m:.2f} m above the base, through a hole of its own with a vent at its top."
    )


def _stops_after_gel(s: Names, asked: float, done: float) -> str:
    first = "stop comes" if done == 1 else f"{done:.0f} stops come"
    return (
        f"Only the first {first} before the mix gels, of the {asked:.0f} of fill.stops: the others are not done and "
        "coat nothing. Give fewer stops, farther apart, or a slower grade."
    )


# The foam of the day


def _times(cream_s: float, data_cream_s: float, rise_end_s: float, data_rise_end_s: float) -> str:
    return (
        f"cream after {cream_s:.0f} s in place of {data_cream_s:.0f} s, "
        f"end of rise after about {rise_end_s:.0f} s in place of {data_rise_end_s:.0f} s"
    )


def _liquids_cold(
    s: Names, parts_k: float, data_k: float, density_share: float, most_share: float, **times: float
) -> str:
    return (
        f"Cold liquids at {celsius(parts_k)}, {abs(parts_k - data_k):.0f} K below the {celsius(data_k)} of the data: "
        f"{_times(**times)}; the foam ends denser (about {100 * density_share:+.0f} %, up to "
        f"{100 * most_share:+.0f} %) and falls short of the volume of the data sheet. Warm both parts before mixing, "
        "or mix more."
    )


def _liquids_hot(s: Names, parts_k: float, data_k: float, density_share: float, **times: float) -> str:
    warmer = parts_k - data_k
    return (
        f"Hot liquids at {celsius(parts_k)}, {abs(warmer):.0f} K above the {celsius(data_k)} of the data: "
        f"{_times(**times)}; less time to pour, a core about {warmer:.0f} K hotter, foam about "
        f"{-100 * density_share:.0f} % lighter. Mix smaller batches or cool both parts."
    )


def _liquids_unusual(s: Names, parts_k: float, low_k: float, high_k: float) -> str:
    return (
        f"Liquids at {celsius(parts_k)} are outside the {celsius(low_k)} to {celsius(high_k)} that pour foams are made "
        "for: times and density here are extrapolated. Make a cup test."
    )


def _skin_cold(s: Names, skin_k: float) -> str:
    return (
        f"The skin at {celsius(skin_k)} chills the foam against it: a dense layer, poor bond and less rise. "
        "Warm the piece."
    )


def _air_pressure(s: Names, pressure_pa: float) -> str:
    return (
        f"At an air pressure of {pressure_pa / 1000:.0f} kPa the foam rises about "
        f"{(STANDARD_ATMOSPHERE / pressure_pa - 1) * 100:+.0f} % in volume against the data sheet."
    )


def _no_reaction(s: Names, why: str) -> str:
    return (
        f"No reaction fits this grade's times ({why}); heat and rise are taken as plain curves through them. "
        "Make a cup test."
    )


def _batch_too_large(
    s: Names, parts_k: float, cream_s: float, most: str, asked: str, would_c: float, coldest_k: float
) -> str:
    start = (
        f"With liquids at {celsius(parts_k)} the mix creams {cream_s:.0f} s after mixing begins: no more than "
        f"{most} can be mixed and poured in time, not the {asked} of the largest batch."
    )
    if math.isnan(would_c):
        return f"{start} No temperature of the liquids above {celsius(coldest_k)} would do: mix and pour quicker."
    return f"{start} Liquids at {would_c:.0f} °C would do for that, or quicker mixing and pouring."


def _no_time(s: Names, cream_s: float, mix_s: float) -> str:
    return (
        f"The liquids cream {cream_s:.0f} s after mixing begins and mixing takes {mix_s:.0f} s: there is no time left "
        "to pour; cool the liquids or mix faster."
    )


# Computed heat and rise


def _probe(
    s: Names, emergency_k: float, caution_k: float, allowed_s: float,
    hottest: str = "", peak_k: float = math.nan, longest: str = "", hot_s: float = math.nan,
) -> str:  # fmt: skip
    why = []
    if hottest:
        why.append(
            f"the core of pour {hottest} would reach {celsius(peak_k)}, over the emergency temperature of "
            f"{celsius(emergency_k)}"
        )
    if longest:
        why.append(
            f"pour {longest} would be above {celsius(caution_k)} for {hot_s / 60:.0f} min, {allowed_s / 60:.0f} min "
            "are allowed"
        )
    return (
        f"Probe required: at the 95 % end of its heat {', and '.join(why)}. Measure the rise in three cups before the "
        "day, or lay a probe into the middle of the first lift and enter its hottest reading with pourwright record "
        "(--probe) before the next is mixed."
    )


def _margin_not_kept(s: Names, low_m: float, high_m: float, used: float) -> str:
    return (
        f"No day was found that keeps the margins of heat: limb {s[0]}, between {low_m:.2f} m and {high_m:.2f} m, uses "
        f"{used:.2f} times what they allow. As computed the limits are kept, but with waits cut short, or a foam that "
        "gets hotter, they may not be: keep every wait in full, and see 'What would shorten the day' in the plan."
    )


def _still_hot(s: Names) -> str:
    return f"After the longest wait allowed, lift {s[0]} is still too hot to pour on."


def _too_hot_by_itself(
    s: Names, limbs: tuple[str, ...], hottest: str, peak_k: float, stop_k: float, rise_k: float, most_rise_k: float,
    liquids_k: float,
) -> str:  # fmt: skip
    where = f" (limb{'s' if len(limbs) > 1 else ''} {listing(limbs)})" if limbs else ""
    cool = "" if math.isnan(liquids_k) else f" liquids of {celsius(liquids_k)} or less, or"
    return (
        f"{pours(s)}{where}: {'the hottest, ' + hottest + ',' if len(s) > 1 else 'it'} reaches {celsius(peak_k)}, "
        f"{peak_k - stop_k:.0f} K over the stop temperature of {celsius(stop_k)}, by its own heat, in a thin lift as "
        f"in a thick one. No cut and no wait changes that, and none was chosen for it. What would keep it below:{cool} "
        f"a foam whose rise is {most_rise_k:.0f} K or less (this one's is {rise_k:.0f} K)."
    )


def _no_rise(s: Names) -> str:
    return (
        f"No rise could be computed for pour{'s' if len(s) > 1 else ''} {', '.join(s)}; the pressure there is the "
        "formula's."
    )


def _leaves_empty(
    s: Names, volume_m3: float, up_m: float, left_m: float, front_m: float, reason: str, neck_m: float
) -> str:
    neck = "" if math.isnan(neck_m) else f"; narrowest place on the way {neck_m * 1e3:.0f} mm"
    return f"Pour {s[0]} leaves {volume_m3 * 1e3:.3g} L empty, {place((up_m, left_m, front_m))} ({reason}{neck})."


def _ends_short(s: Names, below_m3: float, missing_kg: float, over: float) -> str:
    short = f"Pour {s[0]} ends {below_m3 * 1e3:.2g} L short of its level"
    if over > ELSEWHERE:
        return (
            f"{short} in a limb that its foam climbs more slowly, and rises over it elsewhere. The next lift needs "
            "more foam there and less in the other: measure the heights before you mix it."
        )
    return (
        f"{short}: in so narrow a way its foam sets before it has risen in full, and stays denser. What comes above "
        f"fills that and needs about {missing_kg * 1e3:.0f} g more of both parts together: measure how far down the "
        "foam ended before you mix it."
    )


def _pack_more(s: Names, needed: float, packing: float) -> str:
    return (
        f"Pour {s[0]} leaves nothing empty when it is packed to {needed:.2f} times its free-rise density, and gets "
        f"{packing:.2f} times: mix more."
    )


# What is poured


def _as_recorded(s: Names) -> str:
    return (
        "What is poured stands in this plan as it was recorded; only the lifts after it are still to be poured. "
        "Before the first of them, the foam it lands on must be cool: hold a thermometer to it."
    )


def _coats_as_recorded(s: Names) -> str:
    return (
        "Coats that are in stand in this plan as they were weighed, turned and pinned; what the others coat follows "
        "from that by the model of the turning. Before the next mix, the foam it lands on must be cool: hold a "
        "thermometer to it."
    )


def _rest_by_formulas(s: Names, heat_computed: float) -> str:
    if heat_computed:
        return "Rise of what is left was taken by formulas."
    return "Heat and rise of what is left were taken by formulas."


def _rest_heated(s: Names, words: str) -> str:
    return words


def _foam_above(s: Names) -> str:
    one = len(s) == 1
    return (
        f"Foam is recorded above pour{'' if one else 's'} {', '.join(s)}, which {'is' if one else 'are'} not recorded: "
        "see to that first."
    )


def _short_made_up(s: Names, by: Names, renamed: Names) -> str:
    one = len(s) == 1
    pairs = [f"{old} is now {new}" for old, new in zip(renamed[::2], renamed[1::2], strict=True)]
    return (
        f"{pours(by)} ended far short, and the next would be too much with that room in it: pour"
        f"{'' if one else 's'} {', '.join(s)} make{'s' if one else ''} it up first. What was pour {', '.join(pairs)}."
    )


def _short_taken_on(s: Names, by: Names, more: float) -> str:
    return (
        f"{pours(by)} ended far short: pour {s[0]} takes that room too and is larger by {more:.0%} of "
        "what it was to fill."
    )


SENTENCES: dict[Code, Callable[..., str]] = {
    Code.CAVITY_LOOSELY_KNOWN: _loosely_known,
    Code.UNREACHED: _unreached,
    Code.IRON_INSIDE: _iron_inside,
    Code.ITEM_WITHOUT_FORM: _item_without_form,
    Code.STAYS_BARE: _stays_bare,
    Code.FILLED_SOLID: _filled_solid,
    Code.STOPS_AFTER_GEL: _stops_after_gel,
    Code.LIQUIDS_COLD: _liquids_cold,
    Code.LIQUIDS_HOT: _liquids_hot,
    Code.LIQUIDS_UNUSUAL: _liquids_unusual,
    Code.SKIN_COLD: _skin_cold,
    Code.AIR_PRESSURE: _air_pressure,
    Code.NO_REACTION: _no_reaction,
    Code.BATCH_TOO_LARGE: _batch_too_large,
    Code.NO_TIME_TO_POUR: _no_time,
    Code.PROBE_REQUIRED: _probe,
    Code.MARGIN_NOT_KEPT: _margin_not_kept,
    Code.STILL_HOT: _still_hot,
    Code.TOO_HOT_BY_ITSELF: _too_hot_by_itself,
    Code.NO_RISE: _no_rise,
    Code.LEAVES_EMPTY: _leaves_empty,
    Code.ENDS_SHORT: _ends_short,
    Code.PACK_MORE: _pack_more,
    Code.AS_RECORDED: _as_recorded,
    Code.COATS_AS_RECORDED: _coats_as_recorded,
    Code.REST_BY_FORMULAS: _rest_by_formulas,
    Code.REST_HEATED: _rest_heated,
    Code.FOAM_ABOVE: _foam_above,
    Code.SHORT_MADE_UP: _short_made_up,
    Code.SHORT_TAKEN_ON: _short_taken_on,
}
