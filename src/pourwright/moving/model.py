"""Results for moving a piece. Points in standing axes."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.findings import Finding
from pourwright.lifts import Check
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

CRATE_BOARDS = Cited(600.0, "kg/m^3", Standing.MEMORY, note="plywood of softwood, 450 to 650")
CRATE_MORE = Cited(1.3, "-", Standing.JUDGEMENT, note="battens, skids and screws over the boards alone")

LEAST_M = 0.05
"""Points, or chocks, nearer to each other than this are one place: our judgement, no published source."""


@dataclass(frozen=True, slots=True)
class TailStep:
    """The piece on two plumb hooks, the line from the main to the tail point so far below level."""

    below_rad: float
    main_n: Range
    tail_n: Range  # nothing where the tail rope is slack
    drop_m: float  # from the main point down to the lowest of the piece
    reach_m: float  # from the main hook's plumb line sideways to the farthest of the piece


@dataclass(frozen=True, eq=False)
class Tailing:
    """From the pouring pose to the one that it ends in. Loads at rest, without rigging."""

    apart_m: float  # of both points
    roll_rad: float  # by which it rolls about the line of both points as it leaves the ground
    steps: tuple[TailStep, ...]  # none where it cannot be turned so
    slack_rad: float  # beyond which the main hook has all of it, with the weights as expected
    slack_least_rad: float  # the same at the end of their range at which it is first
    main_most_n: float  # over the way, high
    tail_most_n: float  # nan where it cannot be turned so
    off_rad: float  # of the piece on the main hook alone from the pose that is wanted
    wall_m: float | None  # plumb line of the main hook from the back of the piece at the end; None: it hangs on no wall
    lost: tuple[str, ...]  # why it cannot be turned so
    found: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """A spreader bar below one hook, its legs plumb."""

    apart_m: float  # of the two points, level
    legs_n: tuple[Range, Range]
    push_n: float  # along the bar, high, with jerks; nan where it cannot hang so
    top_n: tuple[float, float]  # tension of the slings over it, high, with jerks; nan likewise
    flat_rad: float  # the flatter of them over level
    roll_rad: float  # by which the piece rolls about the line of its points
    lost: tuple[str, ...]  # why it cannot hang so
    found: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Chock:
    """What the piece lies on at one spot of its cradle."""

    load_n: Range  # high: the most that any three of them that hold it would have; nan where the piece tips
    pressure_pa: float  # high, under its pad; nan where the piece tips


@dataclass(frozen=True, slots=True)
class Crate:
    """A box round the piece as it was poured."""

    inside_m: tuple[float, float, float]
    outside_m: tuple[float, float, float]
    kg: float  # of the empty crate
    gross_kg: Range


@dataclass(frozen=True, eq=False)
class MoveResult:
    """All that the job asks about moving the finished piece."""

    kg: Range
    hook_n: float  # most on one hook: piece and rigging, high, with jerks
    dynamic: float
    tailing: Tailing | None
    bar: Bar | None
    chocks: tuple[Chock, ...]
    inside_m: Range  # of what they cover, to its edge from the centre of mass; below 0 it tips; nan without any
    crate: Crate
    checks: tuple[Check, ...]
    lost: tuple[str, ...]  # what cannot be done so; the warnings have the figures
    warnings: tuple[Finding, ...]
