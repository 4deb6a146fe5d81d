"""The words of moving a piece: turned on two hooks, under a bar, on a cradle, in a crate."""

from __future__ import annotations

from pourwright import units
from pourwright.answers.page import Page, Rows, Section
from pourwright.moving import CRATE_BOARDS, CRATE_MORE, Bar, Crate, MoveResult, Tailing
from pourwright.outcome import Piece
from pourwright.wording.checks import HIGH, angle, check_lines, force, force_range, mass_range
from pourwright.wording.findings import sentences

_TURNED = (
    "Both ropes plumb, the piece rigid and free to turn about both points; loads at rest, without rigging. Main and "
    "tail are what each hook then carries, the drop is from the main point down to the lowest of the piece, the reach "
    "from the main hook's plumb line to the farthest of it, which has to pass everything round it."
)


def move_page(piece: Piece, result: MoveResult, made: str) -> Page:
    """The piece on its way."""
    sections = [
        Section(
            "On the hook",
            (
                f"finished piece {mass_range(result.kg)}; with rigging and the hoisting factor {result.dynamic:g} the "
                f"hook carries at most {force(result.hook_n)}",
                HIGH,
            ),
        )
    ]
    if result.tailing is not None:
        sections.append(_tailing(result.tailing))
    if result.bar is not None:
        sections.append(_bar(result.bar))
    if result.chocks:
        sections.append(_chocks(piece, result))
    sections.append(_crate(result.crate))
    not_told = "What holds a hook, lug or leg in the piece, the skin and foam round it, and wind are not computed."
    sections.append(Section("Checks", (*check_lines(result.checks), not_told)))
    return Page(piece.name, piece.place, "on its way", tuple(sections), sentences(result.warnings), made)


def _tailing(turned: Tailing) -> Section:
    rows = tuple(
        (
            angle(step.below_rad),
            force(step.main_n.nominal),
            force(step.main_n.high),
            force(step.tail_n.nominal),
            force(step.tail_n.high),
            units.length(step.drop_m),
            units.length(step.reach_m),
        )
        for step in turned.steps
    )
    if turned.lost:
        return Section("Turned on two hooks", (f"NOT POSSIBLE so: {'; '.join(turned.lost)}. No loads are given.",))
    lines = [
        _TURNED,
        f"points {units.length(turned.apart_m)} apart; largest on the way: main {force(turned.main_most_n)}, tail "
        f"{force(turned.tail_most_n)}",
        f"the tail rope is slack from where the tail is {angle(turned.slack_rad)} below the main point; over the range "
        f"of the weights it may be from {angle(turned.slack_least_rad)} on",
    ]
    if turned.wall_m is not None:
        lines.append(
            "Once it hangs on the main hook alone, in the pose that is wanted, that hook's plumb line runs through its "
            f"centre of mass, {units.tape(turned.wall_m)} off the back of the piece: add the gap to the wall, and that "
            "is how far before the wall the crane has to hold it."
        )
    heads = ("tail below main", "main", "main, high", "tail", "tail, high", "drop", "reach")
    return Section("Turned on two hooks", tuple(lines), Rows(heads, rows))


def _bar(bar: Bar) -> Section:
    if bar.lost:
        return Section("Under a spreader bar", (f"NOT POSSIBLE so: {'; '.join(bar.lost)}. No loads are given.",))
    return Section(
        "Under a spreader bar",
        (
            f"bar {units.length(bar.apart_m)} long, so that its legs are plumb: they carry "
            f"{force_range(bar.legs_n[0])} and {force_range(bar.legs_n[1])}, at rest",
            f"slings over it, with jerks and rigging: {force(bar.top_n[0])} and {force(bar.top_n[1])}, the flatter at "
            f"{angle(bar.flat_rad)} over level; they push the bar along with {force(bar.push_n)}: have it checked "
            "against buckling",
        ),
    )


def _chocks(piece: Piece, result: MoveResult) -> Section:
    moving = piece.site.moving
    assert moving is not None
    if result.inside_m.low < 0.0:
        return Section("On its cradle", ("NOT POSSIBLE so: it tips. No loads are given.",))
    rows = tuple(
        (str(k), force_range(chock.load_n), units.pressure(chock.pressure_pa))
        for k, chock in enumerate(result.chocks, 1)
    )
    words = (
        f"Lying as it was poured, on pads of {units.length(moving.pad_m)} by {units.length(moving.pad_m)}; low and "
        "high over the weights and, of more than three chocks, every three that may bear it alone.",
    )
    return Section("On its cradle", words, Rows(("chock", "load", "on the floor, high"), rows))


def _crate(crate: Crate) -> Section:
    inside, outside = (" x ".join(units.length(side) for side in sides) for sides in (crate.inside_m, crate.outside_m))
    return Section(
        "Crate round it as it was poured",
        (
            f"inside {inside} (wide, deep, high), outside {outside}, without skids",
            f"crate alone about {units.mass(crate.kg)} (boards of {units.density(CRATE_BOARDS.value)}, from "
            f"memory, times {CRATE_MORE.value:g} for battens and skids, our judgement); with the piece "
            f"{mass_range(crate.gross_kg)}",
        ),
    )
