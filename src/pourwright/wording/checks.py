"""Forces, angles and checks of the installer's pages, in both systems."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from pourwright import units
from pourwright.lifts import Check
from pourwright.ranges import Range
from pourwright.sources import Cited

HIGH = (
    "Checked with the high end of every load; low and high cover every combination of what is not known of the weights."
)
ESTIMATE = (
    "Estimate, to be checked by a licensed engineer or the authority in charge before anyone relies on it. It follows "
    "from the plan of the piece; weigh the piece when it is finished and compare."
)


TAPED_N = 10.0
"""A force below which tape alone holds a hole shut [N]: our judgement."""


def force(value_n: float) -> str:
    """A force in N or kN, and lbf.

    >>> force(553.1), force(7071.0), force(float("nan"))
    ('553 N (124 lbf)', '7.07 kN (1590 lbf)', 'unknown')
    """
    if not math.isfinite(value_n):
        return units.show.UNKNOWN
    pounds = units.converted(value_n, "newton", "pound_force")
    other = units.digits(float(f"{pounds:.3g}"))
    if abs(value_n) < 999.5:
        return f"{units.digits(value_n)} N ({other} lbf)"
    return f"{units.digits(value_n / 1e3)} kN ({other} lbf)"


def to_hold(value_n: float) -> str:
    """A force that something is to hold, computed: two significant digits, never less; small ones by what tape holds.

    >>> to_hold(0.558), to_hold(20.41), to_hold(553.1), to_hold(7071.0)
    ('less than 10 N (2.3 lbf)', '21 N (4.6 lbf)', '560 N (130 lbf)', '7.1 kN (1600 lbf)')
    """
    if not math.isfinite(value_n):
        return units.show.UNKNOWN
    if abs(value_n) < TAPED_N:
        return f"less than {force_of_two(TAPED_N)}"
    return force_of_two(value_n)


def force_of_two(value_n: float) -> str:
    """A force with two significant digits, rounded up."""
    pounds = units.converted(value_n, "newton", "pound_force")
    newtons, other = _up(value_n), _up(pounds)
    if abs(newtons) < 1000.0:
        return f"{units.digits(newtons, 2)} N ({units.digits(other, 2)} lbf)"
    return f"{units.digits(newtons / 1e3, 2)} kN ({units.digits(other, 2)} lbf)"


def _up(value: float) -> float:
    """The next figure of two significant digits.

    >>> _up(20.41), _up(0.0), _up(42.0)
    (21.0, 0.0, 42.0)
    """
    if value == 0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(abs(value))) - 1)
    return float(f"{math.ceil(value / step - 1e-6) * step:.6g}")


def force_range(value: Range | None) -> str:
    """Nominal, and low to high."""
    if value is None:
        return "not known"
    return f"{force(value.nominal)}, from {force(value.low)} to {force(value.high)}"


def angle(value_rad: float) -> str:
    """An angle in degrees.

    >>> angle(0.5236)
    '30.0°'
    """
    if not math.isfinite(value_rad):
        return units.show.UNKNOWN
    return f"{round(math.degrees(value_rad), 1) + 0.0:.1f}°"


def leg_angle(value_rad: float, slack: bool) -> str:
    """How a leg of a sling stands; not a number where it is slack, ``slack`` where it is so at an end of the weights.

    >>> leg_angle(1.0472, False), leg_angle(1.0472, True), leg_angle(float("nan"), True)
    ('60.0°', '60.0°, may go slack', 'slack')
    """
    if math.isnan(value_rad):
        return "slack" if slack else units.show.UNKNOWN
    return angle(value_rad) + (", may go slack" if slack else "")


def mass_range(value: Range) -> str:
    """Nominal, and low to high."""
    return f"{units.mass(value.nominal)}, from {units.mass(value.low)} to {units.mass(value.high)}"


def check_lines(checks: Sequence[Check]) -> tuple[str, ...]:
    """Checks one by one, then each source once with the checks it stands behind."""
    behind: dict[str, list[str]] = {}
    for check in checks:
        behind.setdefault(check.source, []).append(check.name.split(": ", 1)[-1])
    sources = [
        f"source of {', '.join(dict.fromkeys(names))}: {source}"
        for source, names in behind.items()
        if any(check.source == source and check.verdict != "unknown" for check in checks)
    ]
    return (*(check_line(check) for check in checks), *sources)


def check_line(check: Check) -> str:
    """A check in one sentence.

    >>> check_line(Check("A1: pull", 500.0, 1800.0, "N", "ok", "rating given in the job"))
    'A1: pull 500 N (112 lbf) of 1.80 kN (405 lbf), 72 % to spare'
    """
    shown = {"N": force, "rad": angle, "": units.share, "m^3": units.volume, "Pa": units.pressure}[check.unit]
    what, value, limit = check.name, shown(check.value), shown(check.limit)
    tail = f"; {check.remedy}" if check.remedy else ""
    if check.verdict == "unknown":
        known = f" {value}" if math.isfinite(check.value) else ""
        return f"{what}{known} is NOT CHECKED: {check.source}{tail}"
    if check.verdict == "over":
        return f"{what} {value} is OVER the {limit} allowed{tail}"
    return f"{what} {value} of {limit}, {units.share(round(check.margin, 2))} to spare"


def factor_line(factor: Cited | None) -> str:
    """Which design factor was used and how it is known."""
    if factor is None:
        return "design factor: none named"
    note = f"; {factor.note}" if factor.note else ""
    return f"design factor {factor.value:g}, {factor.words()}{note}"


def place(point_m: np.ndarray) -> str:
    """A point of the axes right, back, up as measures from the edges."""
    left, front, base = (float(v) for v in point_m)
    return f"{units.tape(left)} from the left, {units.tape(base)} up, {units.tape(front)} from the front"
