"""What is not as it was on the sheet before: waits, holes, verdicts and amounts, each with both figures."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from pourwright import units
from pourwright.document.model import PlanDocument
from pourwright.document.model_lifts import CheckDoc, LiftDoc, PourDoc, VentDoc
from pourwright.wording.checks import to_hold

UNCHECKED = "not checked"


def changes_of(
    before: PlanDocument, after: PlanDocument, done: Collection[str] = ()
) -> tuple[list[str], frozenset[str]]:
    """Every figure a person works by that reads differently, and the names of the pours that changed.

    Parameters
    ----------
    before, after : PlanDocument
        The sheet that was on the bench, and the new one.
    done : collection of str
        Names of pours that are recorded: they are as they were poured.

    Two figures are the same where they are printed the same.
    """
    old = {pour.name: pour for lift in before.lifts for pour in lift.pours if not pour.poured}
    new = {pour.name: pour for lift in after.lifts for pour in lift.pours if not pour.poured}
    lines, changed = [], set()
    if before.status != after.status:
        lines.append(f"The plan is now: {after.status}. It was: {before.status}.")
    sides = after.foam.part_a, after.foam.part_b
    for name, pour in new.items():
        words = _pour(old[name], pour, sides) if name in old else [f"is new: {_whole(pour, sides)}"]
        if words:
            changed.add(name)
            lines.append(f"Pour {name} {'; '.join(words)}.")
    gone = [name for name in old if name not in new and name not in done]
    if gone:
        lines.append(f"No longer there: pour{'' if len(gone) == 1 else 's'} {', '.join(gone)}.")
    lines += _lifts(before.lifts, after.lifts)
    lines += _holes(before, after)
    lines += [f"The whole piece: {words}." for words in _verdicts(before.checks, after.checks)]
    lines += _liquids(before, after)
    return lines, frozenset(changed)


def _pour(was: PourDoc, now: PourDoc, sides: tuple[str, str]) -> list[str]:
    """Words for one pour, empty where it reads the same."""
    words = [
        *_differs("rises to", units.tape(now.top_m), units.tape(was.top_m)),
        *_differs(f"takes {sides[0]}", units.mass(now.part_a_kg), units.mass(was.part_a_kg)),
        *_differs(f"takes {sides[1]}", units.mass(now.part_b_kg), units.mass(was.part_b_kg)),
        *_differs("in cups", str(now.batches), str(was.batches)),
        *_differs("waits, from the first mix of its lift,", _time(now.wait_s), _time(was.wait_s)),
        *_differs("goes in at", _named(x.port for x in now.landings), _named(x.port for x in was.landings)),
        *_differs("lets its air out at", _named(v.name for v in now.vents), _named(v.name for v in was.vents)),
    ]
    if now.closes != was.closes:
        words.append("now meets its cap" if now.closes else "now leaves a free surface")
    return [*words, *_verdicts(was.checks, now.checks)]


def _whole(pour: PourDoc, sides: tuple[str, str]) -> str:
    return (
        f"{sides[0]} {units.mass(pour.part_a_kg)}, {sides[1]} {units.mass(pour.part_b_kg)}, in at "
        f"{_named(x.port for x in pour.landings)}, up to {units.tape(pour.top_m)}, then wait "
        f"{_time(pour.wait_s)} from the first mix of its lift"
        + "".join(f"; {check.name} {check.verdict}" for check in pour.checks if check.verdict != "ok")
    )


def _differs(what: str, now: str, was: str) -> list[str]:
    return [f"{what} {now}, not {was}"] if now != was else []


def _named(names: Iterable[str]) -> str:
    return ", ".join(sorted(set(names))) or "no hole"


def _time(seconds: float | None) -> str:
    return "an unknown time" if seconds is None else units.time(seconds)


def _verdicts(was: Iterable[CheckDoc], now: Iterable[CheckDoc]) -> list[str]:
    """Checks whose verdict is another than before; one that comes or goes counts unless it is and was in order."""
    old = {check.name: check.verdict for check in was}
    new = {check.name: check.verdict for check in now}
    words = []
    for name in dict.fromkeys([*old, *new]):
        before, after = old.get(name, UNCHECKED), new.get(name, UNCHECKED)
        if before != after and {before, after} != {UNCHECKED, "ok"}:
            words.append(_verdict(name, before, after))
    return words


def _verdict(name: str, before: str, after: str) -> str:
    if before == UNCHECKED:
        return f"{name}: {after}; {UNCHECKED} before"
    if after == UNCHECKED:
        return f"{name}: no longer checked; {before} before"
    return f"{name} is {after}, not {before}"


def _lifts(was: Iterable[LiftDoc], now: Iterable[LiftDoc]) -> list[str]:
    """Shores and what holds a lift down."""
    old = {lift.number: lift for lift in was}
    lines = []
    for lift in now:
        if all(pour.poured for pour in lift.pours):
            continue
        before = _shores(old[lift.number]) if lift.number in old else ""
        after = _shores(lift)
        if before != after:
            lines.append(f"Lift {lift.number}: {after or 'no shores'}, not {before or 'no shores'}.")
    return lines


def _shores(lift: LiftDoc) -> str:
    if lift.bulge is None:
        return ""
    words = [f"{s.name} for {to_hold(s.force_n)} {units.tape(s.measures.from_base_m)} up" for s in lift.bulge.shores]
    if lift.bulge.hold_down_n > 0:
        words.append(f"held down with {to_hold(lift.bulge.hold_down_n)}")
    return ", ".join(words)


def _holes(before: PlanDocument, after: PlanDocument) -> list[str]:
    """Holes to drill that were not on the sheet, more holes of a vent, and holes that nothing uses any more."""
    lines = []
    old_ports, old_vents = {p.name: p for p in before.ports}, {v.name: v for v in before.vents}
    for port in after.ports:
        was = old_ports.get(port.name)
        if was is None and port.way == "drilled" and not port.made:
            lines.append(f"Drill port {port.name}: it is new.")
    for vent in after.vents:
        lines += _vent(old_vents.get(vent.name), vent)
    names = {port.name for port in after.ports} | {vent.name for vent in after.vents}
    lost = [name for name in [*old_ports, *old_vents] if name not in names]
    if lost:
        lines.append(f"No longer on the sheet: {', '.join(lost)}.")
    idle = sorted(_used(before) - _used(after))
    if idle:
        lines.append(f"Not used by any pour that is left: {', '.join(idle)}.")
    return lines


def _vent(was: VentDoc | None, now: VentDoc) -> list[str]:
    if now.way != "drilled":
        return []
    if was is None:
        return [] if now.made else [f"Drill vent {now.name}: it is new."]
    if now.holes > max(now.made, was.holes):
        more = now.holes - was.holes
        return [f"Vent {now.name} needs {more} more of {units.length(now.hole_m)} beside the {was.holes} it has."]
    return []


def _used(plan: PlanDocument) -> set[str]:
    """Holes of the pours that are left."""
    left = [pour for lift in plan.lifts for pour in lift.pours if not pour.poured]
    return {x.port for pour in left for x in pour.landings} | {v.name for pour in left for v in pour.vents}


def _liquids(before: PlanDocument, after: PlanDocument) -> list[str]:
    was, now = before.outcome.liquids, after.outcome.liquids
    words = [
        *_differs(after.foam.part_a, units.mass(now.part_a_kg), units.mass(was.part_a_kg)),
        *_differs(after.foam.part_b, units.mass(now.part_b_kg), units.mass(was.part_b_kg)),
    ]
    empty = [sum(space.volume_m3 for space in plan.unfilled) for plan in (after, before)]
    stays = _differs("Stays empty:", *(units.volume(value) for value in empty))
    return [*([f"Liquids to have for what is left: {'; '.join(words)}."] if words else []), *(f"{w}." for w in stays)]
