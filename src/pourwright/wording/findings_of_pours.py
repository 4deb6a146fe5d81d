"""Sentences of findings about pours, their holes and the skin beside them."""

from __future__ import annotations

import math
from collections.abc import Callable

from pourwright.findings import Code
from pourwright.wording.checks import to_hold
from pourwright.wording.phrases import Names, celsius, listing, litres, place, pours

# Pours


def _over_limit(s: Names, check: str, remedy: str) -> str:
    return f"{pours(s)}: over the limit of {check}. What would help: {remedy}."


def _heats_after(s: Names) -> str:
    return (
        f"{pours(s)}: the gas-law pressure is within what the panel stands, but not if the gas goes on heating after "
        "the foam has set; watch the panel and have a support at hand."
    )


def _pocket_may_close(s: Names) -> str:
    return (
        f"{pours(s)}: meets the cap of a pocket while it is open elsewhere; if the way between them gels first, the "
        "pocket sees the full gas-law pressure."
    )


def _panel_unknown(s: Names, why: str) -> str:
    return f"{pours(s)}: what the skin stands is not known ({why}); hold the skin from outside."


def _no_wait(s: Names, air_k: float, limit_k: float) -> str:
    return (
        f"The shop's air at {celsius(air_k)} is no cooler than what a pour may land on ({celsius(limit_k)}): there is "
        "no wait that is long enough."
    )


def _not_reached(s: Names, volume_m3: float, up_m: float, left_m: float, front_m: float) -> str:
    return (
        f"{pours(s)}, {litres(volume_m3)} in all, cannot be reached straight from above (the largest about "
        f"{place((up_m, left_m, front_m))}): turn the piece, or pour there through a hole in the side before the foam "
        "beside it rises that far."
    )


def _together(s: Names, people: float) -> str:
    if people < 2:
        return f"Pours {listing(s)} run into each other: shoot one straight after the other, each its own amount."
    return (
        f"Pours {listing(s)} run into each other: {people:.0f} people mix and pour at the same time, each pour its own "
        "amount."
    )


def _after(s: Names, over: Names) -> str:
    return (
        f"Pour {s[0]} rises over {listing(over)}: {listing(over)} first, up to where they meet, and {s[0]} is mixed "
        "when that has risen."
    )


def _several(s: Names, most: float) -> str:
    return f"{pours(s)}: up to {most:.0f} mixes have to be poured at the same time."


def _small_batch(s: Names, least_m3: float) -> str:
    return (
        f"{pours(s)}: less than {least_m3 * 1e6:.0f} mL of a part in a cup. Measure by weight, on a scale that shows "
        "tenths of a gram."
    )


def _small_mix(s: Names, liquid_m3: float, least_m3: float, whole_limb: float) -> str:
    why = (
        "it fills all of a limb that foam from above would not reach"
        if whole_limb
        else "the cuts of this day leave it no more"
    )
    return (
        f"{pours(s)}: {liquid_m3 * 1e6:.0f} mL of liquid, less than the {least_m3 * 1e6:.0f} mL that mix well; {why}. "
        "Take a small cup and a narrow paddle, scrape wall and floor, and throw away a mix that shows streaks."
    )


def _one_cup(s: Names, total_m3: float, least_m3: float, takes_s: float, cream_s: float) -> str:
    return (
        f"{pours(s)}: each takes less than the {least_m3 * 1e6:.0f} mL of liquid that mix well. They "
        f"share one cup, {total_m3 * 1e6:.0f} mL in all, which the card of the first of them has: it is empty "
        f"{takes_s:.0f} s after the start of mixing, and creams at {cream_s:.0f} s."
    )


def _stays_empty(
    s: Names, spaces: float, volume_m3: float, least_m3: float, largest_m3: float, up_m: float, left_m: float,
    front_m: float,
) -> str:  # fmt: skip
    return (
        f"{spaces:.0f} small {'space stays' if spaces == 1 else 'spaces stay'} empty, {litres(volume_m3)} in all: each "
        f"is less than the least pour of {litres(least_m3)}, and no pour beside it can take it (the largest, "
        f"{litres(largest_m3)}, {place((up_m, left_m, front_m))})."
    )


def _thin_lift(s: Names) -> str:
    return f"Lift {listing(s)}: much thinner than a neighbour, and the limits leave no other way."


# Holes


def _sideways(s: Names) -> str:
    return (
        f"{listing(s).capitalize()}: looks sideways or down; close with a board that the foam cannot push off, sealed "
        "at the rim."
    )


def _side_hole(s: Names, hole_m: float, up_m: float) -> str:
    return (
        f"{s[0]} is cut in the side with a hole saw of {1e3 * hole_m:.0f} mm, {up_m:.2f} m above the base, because "
        "from above only a long tube or hose would reach: pour through a funnel with a bent spout that ends inside the "
        "wall, and keep the disc. Who pours shuts the hole as the plan says, and it stays shut until the last foam is "
        "cold. Then take the plug out, cut the foam back to the inside of the skin, set the disc in and close the skin "
        "over it in its own kind: a laminate ground back all round and laid over as thick as it was, plaster made "
        "good, plastic welded (common practice, no source)."
    )


def _steep(s: Names) -> str:
    return f"{s[0]} is on steep skin: drill it upright, not square to the skin, and use a funnel."


def _vent_where_none_may_be(s: Names) -> str:
    return (
        f"{s[0]} lies where the job allows no hole: that air gets out nowhere else. Allow it there, turn the piece, or "
        "leave the air in and say so."
    )


def _vent_in_board(s: Names, port: str) -> str:
    return f"{s[0]} lies where {port} is closed: let its air out through a hole of its size in what closes {port}."


# The skin under its lifts, by finite elements


def _thinner(thinner_m: float) -> str:
    return f"; a lift of at most {thinner_m * 1e3:.0f} mm would not" if math.isfinite(thinner_m) else ""


def _bulges(s: Names, thinner_m: float, words: str, remedy: str) -> str:
    return (
        f"{pours(s)}: bulges the skin too far{_thinner(thinner_m)}; {words or 'over its limit'}. "
        f"What would help: {remedy}."
    )


def _set_shores(s: Names, shores: Names, thinner_m: float) -> str:
    named = f"shore {shores[0]}" if len(shores) == 1 else f"shores {shores[0]} to {shores[-1]}"
    return f"Set up {named} before lift {s[0]}: without, it bulges the skin too far{_thinner(thinner_m)}."


def _hold_down(s: Names, force_n: float) -> str:
    return (
        f"Hold the piece down on flat ground before lift {s[0]}, with {to_hold(force_n)} in all, what it weighs "
        "counted in: with less, the side it stands on bellies out and lifts it."
    )


def _skin_unknown(s: Names, words: str) -> str:
    return (
        f"{pours(s)}: what the skin stands is not known "
        f"({words or 'no allowable stress of the skin is known'}); hold the skin from outside."
    )


def _skin_heats_after(s: Names) -> str:
    return (
        f"{pours(s)}: the gas-law pressure is within what the skin stands, but not if the gas goes on heating "
        "after the foam has set; watch the skin and have a support at hand."
    )


SENTENCES: dict[Code, Callable[..., str]] = {
    Code.OVER_LIMIT: _over_limit,
    Code.HEATS_AFTER_SETTING: _heats_after,
    Code.POCKET_MAY_CLOSE: _pocket_may_close,
    Code.PANEL_UNKNOWN: _panel_unknown,
    Code.NO_WAIT_COOLS: _no_wait,
    Code.NOT_REACHED: _not_reached,
    Code.POUR_TOGETHER: _together,
    Code.POUR_AFTER: _after,
    Code.SEVERAL_MIXES: _several,
    Code.SMALL_BATCH: _small_batch,
    Code.SMALL_MIX: _small_mix,
    Code.ONE_CUP: _one_cup,
    Code.STAYS_EMPTY: _stays_empty,
    Code.THIN_LIFT: _thin_lift,
    Code.LOOKS_SIDEWAYS: _sideways,
    Code.STEEP_SKIN: _steep,
    Code.SIDE_HOLE: _side_hole,
    Code.VENT_WHERE_NONE_MAY_BE: _vent_where_none_may_be,
    Code.VENT_IN_BOARD: _vent_in_board,
    Code.BULGES: _bulges,
    Code.SET_SHORES: _set_shores,
    Code.HOLD_DOWN: _hold_down,
    Code.SKIN_UNKNOWN: _skin_unknown,
    Code.SKIN_HEATS_AFTER_SETTING: _skin_heats_after,
}
