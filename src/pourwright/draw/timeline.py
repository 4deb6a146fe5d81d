"""The day by the clock: a row for each limb, and one for each pair of hands."""

from __future__ import annotations

from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourwright.day import Choice
from pourwright.draw.chart_style import SMALL, by_the_clock, finish, rgb, sheet
from pourwright.draw.paint import INK, LIT, NEUTRAL, STEEL
from pourwright.lifts import EvenBands
from pourwright.plan import Plan, Step
from pourwright.wording.computed import wall_clock

KINDS = (
    ("work", "mix and pour", INK),
    ("rise", "rise", LIT),
    ("wait", "wait until the next may come on it", NEUTRAL),
    ("hands", "hands busy", STEEL),
)
HIGH = {"wait": 0.20, "rise": 0.42, "work": 0.42, "hands": 0.42}
TAIL = 1.25  # of the time until the last pour has risen; what cools after it runs off the chart
NAME_H = 0.34  # of a row, over its bars
LETTER_IN = 0.058  # width of a letter of a name


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar. Seconds from the first mix."""

    row: str
    kind: str  # "work" | "rise" | "wait" | "hands"
    start_s: float
    end_s: float
    pour: str  # "" for the wait of a whole lift


def bars_of(plan: Plan) -> tuple[Bar, ...]:
    """Bars of a plan's schedule, rows in the order they begin; hands come last.

    With a searched day a row is a limb, and a pour waits until the next one comes on it, in its limb or the one above;
    without one a row is a lift, with its own wait. The last waits are those of the schedule, until all is cool.
    """
    steps = plan.computed.steps
    day = plan.lift_plan.day
    rows = _by_lift(plan, steps) if isinstance(day, EvenBands) else _by_limb(plan, day, steps)
    hands = [
        Bar(_hand(plan, step.hand), "hands", step.start_s, step.end_s, step.pour)
        for step in steps
        if step.kind in ("mix", "pour")
    ]
    return (*rows, *sorted(hands, key=lambda bar: (bar.row, bar.start_s)))


def _hand(plan: Plan, number: int) -> str:
    return "Hands" if plan.job.limits.hands == 1 else f"Person {number}"


def _spans(steps: tuple[Step, ...], pour: str) -> tuple[float, float, float, float]:
    """Start and end of the work of a pour, and of its rise."""
    mine = [step for step in steps if step.pour == pour]
    work = [step for step in mine if step.kind in ("mix", "pour")]
    rise = next(step for step in mine if step.kind == "rise")
    return min(s.start_s for s in work), max(s.end_s for s in work), rise.start_s, rise.end_s


def _by_limb(plan: Plan, choice: Choice, steps: tuple[Step, ...]) -> list[Bar]:
    above = {limb.name: [choice.limbs.limbs[k].name for k in limb.above] for limb in choice.limbs.limbs}
    begun = {step.pour for step in steps if step.kind == "mix"}
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours if pour.name in begun]
    spans = {pour.name: _spans(steps, pour.name) for pour in pours}
    end = max(step.end_s for step in steps)
    order = sorted(pours, key=lambda pour: spans[pour.name][0])
    bars = []
    for limb in dict.fromkeys(pour.limb for pour in order):
        mine = [pour for pour in order if pour.limb == limb]
        on_it = [spans[p.name][0] for p in order if p.limb in above.get(limb, [])]
        for k, pour in enumerate(mine):
            start, stop, rises, risen = spans[pour.name]
            after = spans[mine[k + 1].name][0] if k + 1 < len(mine) else min(on_it, default=end)
            row = f"Limb {limb}" if limb else "All"
            bars += [
                Bar(row, "wait", start, max(after, stop), pour.name),
                Bar(row, "rise", rises, risen, pour.name),
                Bar(row, "work", start, stop, pour.name),
            ]
    return bars


def _by_lift(plan: Plan, steps: tuple[Step, ...]) -> list[Bar]:
    bars = []
    for lift in plan.lift_plan.lifts:
        row, mine = f"Lift {lift.number}", [step for step in steps if step.lift == lift.number]
        for wait in (step for step in mine if step.kind == "wait"):
            bars.append(Bar(row, "wait", wait.start_s, wait.end_s, ""))
        for name in dict.fromkeys(step.pour for step in mine if step.kind == "mix"):
            start, stop, rises, risen = _spans(steps, name)
            bars += [Bar(row, "rise", rises, risen, name), Bar(row, "work", start, stop, name)]
    return bars


def timeline_chart(plan: Plan) -> Figure:
    """Every pour of the day on one clock, with its rise and the wait after it, and when hands are busy."""
    bars = bars_of(plan)
    rows = list(dict.fromkeys(bar.row for bar in bars))
    figure, axes = sheet(1.28 + 0.27 * len(rows))
    end = max(bar.end_s for bar in bars) / 3600
    seen = min(end, TAIL * max(bar.end_s for bar in bars if bar.kind == "rise") / 3600)
    least = seen / 300  # a mix of a minute in a day of hours is still seen
    colours = {kind: rgb(colour) for kind, _, colour in KINDS}
    for bar in bars:
        width = max((bar.end_s - bar.start_s) / 3600, 2 * least if bar.kind == "rise" else least)
        low = rows.index(bar.row) + 0.12
        axes.barh(
            low, width, left=bar.start_s / 3600, height=HIGH[bar.kind], color=colours[bar.kind], linewidth=0,
            zorder={"wait": 2, "rise": 3}.get(bar.kind, 4),
        )  # fmt: skip
    axes.set_xlim(0, seen * 1.01)
    for row in rows:
        _names(axes, rows.index(row), [bar for bar in bars if bar.row == row and bar.kind == "work"], seen)
    if seen < end:
        longest = max((bar for bar in bars if bar.kind == "wait"), key=lambda bar: (bar.end_s, bar.start_s))
        axes.text(
            seen, rows.index(longest.row) - NAME_H, f"until {wall_clock(plan, 3600 * end)} →", ha="right", va="center",
            fontproperties=SMALL, color=rgb(INK),
        )  # fmt: skip
    axes.set_yticks([k + 0.12 for k in range(len(rows))], rows)
    axes.set_ylim(len(rows) - 0.45, -0.55)
    shown = [(kind, words) for kind, words, _ in KINDS if any(bar.kind == kind for bar in bars)]
    for kind, words in shown:
        axes.barh(0, 0, color=colours[kind], label=words)
    last = max(bar.start_s for bar in bars if bar.kind == "work")
    hands = plan.job.limits.hands
    who = "one person" if hands == 1 else f"{hands} people"
    under = f"last pour at {wall_clock(plan, last)}, cool at {wall_clock(plan, 3600 * end)}, {who}"
    finish(figure, axes, (plan.job.name, "the day"), under, len(shown))
    by_the_clock(axes, None if plan.job.day.start_s is None else plan.job.day.start_s / 3600)
    return figure


def _names(axes: Axes, row: int, bars: list[Bar], end_h: float) -> None:
    """Names of the pours over their bars; where they would run together only every so many-th."""
    per_in = end_h / 5.8
    right = -1.0
    for bar in sorted(bars, key=lambda bar: bar.start_s):
        at = bar.start_s / 3600
        if at < right:
            continue
        axes.text(at, row - NAME_H, bar.pour, ha="left", va="center", fontproperties=SMALL, color=rgb(INK))
        right = at + per_in * LETTER_IN * (len(bar.pour) + 0.7)
