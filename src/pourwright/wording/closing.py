"""Which ports and vents are closed when, and what that has to hold, as lines in both systems."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from pourwright import units
from pourwright.cavity import Space
from pourwright.findings import Code
from pourwright.lifts import Closing, Division, Lift, Pour
from pourwright.plan import Plan
from pourwright.plugs import Board, Plug, boards_of, plugs_of
from pourwright.wording.checks import to_hold
from pourwright.wording.spoken import BY_HAND, Spoken

KINDS = {"peg": "a peg, taped", "bung": "a bung, taped", "board": "a board over tape, clamped or strapped"}


def closing_lines(plan: Division, pour: Pour, said: Spoken = BY_HAND) -> list[tuple[str, str]]:
    """What to close before a pour is mixed, while its foam rises and when foam shows: a word and what to do."""
    first = [one for one in plan.closings if one.before == pour.name and not one.inside]
    ports = [one for one in plan.closings if one.inside == pour.name and not is_vent(one)]
    vents = [one for one in plan.closings if one.inside == pour.name and is_vent(one)]
    lines = []
    for mine in _same_force(first):
        held = f"{_names(mine)} with {_what(plan, mine)}, against {_against(mine)}"
        lines.append(("close first", f"{held}, before {pour.name}"))
    for mine in _same_time(ports):
        lines.append(
            (
                "close in time",
                f"{_names(mine)} by {units.time(mine[0].by_s)} after {said.begin}, {said.empty}: "
                f"{_what(plan, mine)}, against {_against(mine)}; foam is there at about {units.time(mine[0].foam_s)}",
            )
        )
    for mine in _same_force(vents):
        lines.append(
            (
                "close at foam",
                f"{_names(mine)} when foam shows there, from about {units.time(min(one.foam_s for one in mine))} after "
                f"{said.begin}: {_what(plan, mine)}, against {_against(mine)}",
            )
        )
    return lines


def when_closed(plan: Division, hole: str, said: Spoken = BY_HAND) -> str:
    """When a hole is closed, with what, and when that comes out again, for the list of holes."""
    found = [one for one in plan.closings if one.hole == hole]
    if not found:
        return _open(plan, hole)
    one = found[0]
    held = f"against {to_hold(one.force_n.high)}"
    if not one.inside:
        when = f"close before {one.before}, {held}"
    elif is_vent(one):
        when = f"close in {one.inside} when foam shows, {held}"
    else:
        when = f"close in {one.inside} by {units.time(one.by_s)} after {said.begin}, {held}"
    return "; ".join([when, *_plugged(plan, hole, said)])


def closed_with(plan: Division, hole: str, said: Spoken = BY_HAND) -> str:
    """What a hole is closed with and when that comes out again, where the cards say when it is closed."""
    return "; ".join(_plugged(plan, hole, said)) or _open(plan, hole)


def _open(plan: Division, hole: str) -> str:
    """Of a hole that nothing closes: whether foam comes out of it."""
    filled = [pour for lift in plan.lifts for pour in lift.pours if pour.closes]
    out = any(vent.name == hole and vent.node in pour.nodes for pour in filled for vent in pour.vents)
    return f"stays open: {'foam that comes out sets in it' if out else 'no foam rises past it'}"


def _plugged(plan: Division, hole: str, said: Spoken) -> list[str]:
    return [f"{_with(plug)}, {_out(plug, said)}" for plug in plugs_of(plan) if plug.hole == hole]


def _with(plug: Plug) -> str:
    what = {
        "peg": f"a peg of {units.tape(plug.hole_m)}, taped",
        "bung": f"a bung of {units.tape(plug.hole_m)}, taped",
        "board": "a board over tape, clamped, strapped or weighed down",
    }[plug.kind]
    return f"with {what}{' in each' if plug.count > 1 and plug.kind != 'board' else ''}"


def _out(plug: Plug, said: Spoken) -> str:
    if said.machine:
        return "out when the part is out of its fixture, not before"
    if math.isnan(plug.out_s):
        return f"which stays in after {plug.out_after}: when that has set is not known"
    return f"out no sooner than {units.time(plug.out_s)} after the first {said.mix} of lift {plug.out_lift}"


def closed_for(plan: Division, lift: Lift) -> list[Closing]:
    """Holes that are closed while a lift is poured: before its first pour, or a later one where none needs it."""
    order = {pour.name: k for k, pour in enumerate(pour for one in plan.lifts for pour in one.pours)}
    first, last = (order[lift.pours[k].name] for k in (0, -1))
    used = {landing.port.name for pour in lift.pours for landing in pour.landings}
    used |= {vent.name for pour in lift.pours for vent in pour.vents}

    def closed(one: Closing) -> bool:
        if one.inside:
            return order[one.inside] < first
        return order[one.before] <= (first if one.hole in used else last)

    return [one for one in plan.closings if closed(one)]


def bung_line(plan: Division) -> list[str]:
    """What has to be at hand to close holes with, to be bought or made."""
    plugs = plugs_of(plan)
    if not plugs:
        return []
    rows = []
    for kind, size in sorted({(plug.kind, plug.hole_m if plug.kind != "board" else 0.0) for plug in plugs}):
        mine = [plug for plug in plugs if plug.kind == kind and (kind == "board" or plug.hole_m == size)]
        many = len(mine) if kind == "board" else sum(plug.count for plug in mine)
        word = f"{many} {kind}{'' if many == 1 else 's'}{', each with a clamp or strap' if kind == 'board' else ''}"
        rows.append(f"{word}{f' of {units.tape(size)}' if size else ''} ({', '.join(plug.hole for plug in mine)})")
    hardest = max(plug.force_n.high for plug in plugs)
    return [f"To close holes: {'; '.join(rows)}; tape; the hardest pushed out with {to_hold(hardest)}"]


@lru_cache(maxsize=1)
def boards_on(plan: Plan) -> tuple[Board, ...]:
    """Boards on openings that look sideways or down; a machine's part has its fixture on them."""
    names = [name for one in plan.warnings if one.code is Code.LOOKS_SIDEWAYS for name in one.subject]
    if not names or plan.job.machine is not None:
        return ()
    return boards_of(Space(plan.skin, plan.cavity, plan.graph), plan.lift_plan.lifts, names)


def board_lines(plan: Plan, pour: Pour) -> list[tuple[str, str]]:
    """Openings to board up before a pour is mixed: a word and what to do."""
    lines = []
    for one in boards_on(plan):
        if one.before == pour.name:
            off = "leave it on" if math.isnan(one.out_s) else f"off {units.time(one.out_s)} after mix {one.out_after}"
            on = "strapped or bolted on"
            if _stood_on(plan, one.opening):
                on, off = f"{on} before the piece is stood up", "it stays on as long as the piece stands on it"
            held = f"sealed at the rim, {on}, against {_push(one)}; {off}"
            lines.append(("close first", f"{one.opening} with a board, {held}"))
    return lines


UNDER_M = 0.10
"""Nobody's hands get at a board that looks down no higher over the bench than this [m]; our judgement."""


def _stood_on(plan: Plan, name: str) -> bool:
    """Whether an opening is under the piece as it stands to be poured."""
    opening = next(one for one in plan.skin.openings if one.name == name)
    down = float(plan.frame.up @ opening.normal) < -0.5
    return down and float(plan.frame.to_standing(opening.loop_m)[:, 2].min()) < UNDER_M


def board_list(plan: Plan) -> list[str]:
    """Boards that have to be at hand."""
    boards = [f"{one.opening}, {' by '.join(map(units.length, one.size_m))}, {_push(one)}" for one in boards_on(plan)]
    many = f"{len(boards)} board{'' if len(boards) == 1 else 's'}"
    return [f"To close openings, {many} with sealant and straps or bolts: {'; '.join(boards)}"] if boards else []


def _push(board: Board) -> str:
    return "a push that is NOT KNOWN" if math.isnan(board.force_n.high) else to_hold(board.force_n.high)


def tube_line(pours: Sequence[Pour]) -> list[str]:
    """Tubes and hoses that have to be at hand: one for each way down, as foam sets in what is left in it."""
    found: dict[tuple[bool, float], list[float]] = {}
    for tube in (landing.tube for pour in pours for landing in pour.landings if landing.tube is not None):
        found.setdefault((tube.stiff, tube.bore_m), []).append(tube.length_m)
    rows = []
    for (stiff, bore), lengths in sorted(found.items()):
        what = f"{len(lengths)} {'tube' if stiff else 'hose'}{'' if len(lengths) == 1 else 's'}"
        long = dict.fromkeys(units.length(length) for length in (min(lengths), max(lengths)))
        rows.append(f"{what} of {units.tape(bore)} bore, {' to '.join(long)} long")
    return [f"To pour through, each with a funnel on top and used once: {'; '.join(rows)}"] if rows else []


def is_vent(closing: Closing) -> bool:
    """Whether it is a vent that is closed, not a port."""
    return closing.hole.startswith("V")


def _names(closings: Sequence[Closing]) -> str:
    names = [one.hole for one in closings]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _what(plan: Division, closings: Sequence[Closing]) -> str:
    """What holes are closed with, so that it holds by itself: whoever mixes has no hand free."""
    names = {one.hole for one in closings}
    kinds = dict.fromkeys(KINDS[plug.kind] for plug in plugs_of(plan) if plug.hole in names)
    return " or ".join(kinds or ["a bung, or tape and a board"])


def _against(closings: Sequence[Closing]) -> str:
    most = max(one.force_n.high for one in closings)
    return f"{to_hold(most)}{' each' if len(closings) > 1 else ''}"


def _same_force(closings: Sequence[Closing]) -> list[list[Closing]]:
    groups: dict[str, list[Closing]] = {}
    for one in closings:
        groups.setdefault(to_hold(one.force_n.high), []).append(one)
    return list(groups.values())


def _same_time(closings: Sequence[Closing]) -> list[list[Closing]]:
    groups: dict[tuple[float, str], list[Closing]] = {}
    for one in closings:
        groups.setdefault((one.by_s, to_hold(one.force_n.high)), []).append(one)
    return list(groups.values())
