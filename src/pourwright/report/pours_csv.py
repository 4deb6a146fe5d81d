"""``pours.csv``: one row a pour, each amount in both systems, for a spreadsheet."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable
from functools import cache

from pourwright.lifts import Closing, Lift, Pour, packing_of
from pourwright.plaintext import shown
from pourwright.plan import LiftPlan, Plan
from pourwright.units import ureg

Column = tuple[str, Callable[[Lift, Pour], object]]


@cache
def _line(si: str, unit: str) -> tuple[float, float]:
    """How many ``unit`` one ``si`` is, and how many none: a table of cells is slow to convert one by one."""
    none = float(ureg.Quantity(0.0, si).to(unit).magnitude)
    return float(ureg.Quantity(1.0, si).to(unit).magnitude) - none, none


def _amount(si: str, unit: str, decimals: int, value: Callable[[Lift, Pour], float]) -> Callable[[Lift, Pour], str]:
    def cell(lift: Lift, pour: Pour) -> str:
        number = value(lift, pour)
        if not math.isfinite(number):
            return ""
        each, none = _line(si, unit)
        return f"{each * number + none:.{decimals}f}"

    return cell


def _both(name: str, si: str, pairs: list[tuple[str, str, int]], value: Callable[[Lift, Pour], float]) -> list[Column]:
    return [(f"{name}_{suffix}", _amount(si, unit, decimals, value)) for suffix, unit, decimals in pairs]


_LENGTH = [("mm", "mm", 1), ("in", "inch", 2)]
_SPACE = [("l", "L", 2), ("ft3", "foot**3", 3)]
_LIQUID = [("ml", "mL", 0), ("us_fl_oz", "US_fluid_ounce", 2)]
_MASS = [("g", "g", 0), ("oz", "ounce", 2)]
_DEGREES = [("c", "degree_Celsius", 0), ("f", "degree_Fahrenheit", 0)]
_PRESSURE = [("kpa", "kPa", 3), ("psi", "psi", 3)]


def _port(part: str) -> Callable[[Lift, Pour], float]:
    def measure(lift: Lift, pour: Pour) -> float:
        return float(getattr(pour.landings[0].port.measures, part)) if pour.landings else math.nan

    return measure


def _over(part: str) -> Callable[[Lift, Pour], float]:
    def measure(lift: Lift, pour: Pour) -> float:
        return float(getattr(pour.landings[0].measures, part)) if pour.landings else math.nan

    return measure


COLUMNS: list[Column] = [
    ("lift", lambda lift, pour: lift.number),
    ("pour", lambda lift, pour: pour.name),
    *_both("bottom", "m", _LENGTH, lambda lift, pour: pour.bottom_m),
    *_both("top", "m", _LENGTH, lambda lift, pour: pour.top_m),
    *_both("cavity", "m**3", _SPACE, lambda lift, pour: pour.volume_m3),
    *_both("foam", "kg", _MASS, lambda lift, pour: pour.foam_kg.nominal),
    *_both("part_a", "m**3", _LIQUID, lambda lift, pour: pour.parts.a_m3),
    *_both("part_a", "kg", _MASS, lambda lift, pour: pour.parts.a_kg),
    *_both("part_b", "m**3", _LIQUID, lambda lift, pour: pour.parts.b_m3),
    *_both("part_b", "kg", _MASS, lambda lift, pour: pour.parts.b_kg),
    ("together_with", lambda lift, pour: " ".join(pour.together)),
    ("after", lambda lift, pour: " ".join(pour.after)),
    ("batches", lambda lift, pour: pour.batches),
    *_both("batch_part_a", "m**3", _LIQUID, lambda lift, pour: pour.batch.a_m3),
    *_both("batch_part_a", "kg", _MASS, lambda lift, pour: pour.batch.a_kg),
    *_both("batch_part_b", "m**3", _LIQUID, lambda lift, pour: pour.batch.b_m3),
    *_both("batch_part_b", "kg", _MASS, lambda lift, pour: pour.batch.b_kg),
    ("port", lambda lift, pour: " ".join(dict.fromkeys(landing.port.name for landing in pour.landings))),
    *_both("port_from_base", "m", _LENGTH, _port("from_base_m")),
    *_both("port_from_left", "m", _LENGTH, _port("from_left_m")),
    *_both("port_from_front", "m", _LENGTH, _port("from_front_m")),
    *_both("pour_over_from_left", "m", _LENGTH, _over("from_left_m")),
    *_both("pour_over_from_front", "m", _LENGTH, _over("from_front_m")),
    ("vents", lambda lift, pour: " ".join(vent.name for vent in pour.vents)),
    *_both("peak", "kelvin", _DEGREES, lambda lift, pour: pour.peak_k.nominal),
    *_both("peak_high", "kelvin", _DEGREES, lambda lift, pour: pour.peak_k.high),
    *_both("pressure", "Pa", _PRESSURE, lambda lift, pour: pour.peak_pressure_pa.nominal),
    *_both("pressure_high", "Pa", _PRESSURE, lambda lift, pour: pour.peak_pressure_pa.high),
    ("wait_min", _amount("s", "minute", 0, lambda lift, pour: math.nan if pour.poured else lift.wait_s)),
]
"""Name and cell of each column; the unit ends the name."""


def _computed(plan: LiftPlan) -> list[Column]:
    """Columns of what was computed in the real shape."""

    def skin_k(pour: Pour, end: str) -> float:
        return getattr(plan.heats[pour.name].skin_k, end) if pour.name in plan.heats else math.nan

    def empty_m3(pour: Pour) -> float:
        return sum(v.volume_m3 for v in plan.rises[pour.name].voids) if pour.name in plan.rises else math.nan

    return [
        *_both("skin", "kelvin", _DEGREES, lambda lift, pour: skin_k(pour, "nominal")),
        *_both("skin_high", "kelvin", _DEGREES, lambda lift, pour: skin_k(pour, "high")),
        *_both("void", "m**3", _SPACE, lambda lift, pour: empty_m3(pour)),
    ]


LIMITS: list[Column] = [
    ("limit", lambda lift, pour: lift.limit),
    (
        "over_limit",
        lambda lift, pour: "; ".join(check.name for check in pour.checks if check.verdict == "over"),
    ),
    (
        "not_known",
        lambda lift, pour: "; ".join(check.name for check in pour.checks if check.verdict == "unknown"),
    ),
]
"""Limits of a lift and a pour."""


def _closed(which: Callable[[Pour, Closing], bool]) -> Callable[[LiftPlan, Pour], list[Closing]]:
    return lambda plan, pour: [closing for closing in plan.closings if which(pour, closing)]


_FIRST = _closed(lambda pour, closing: closing.before == pour.name and not closing.inside)
_DURING = _closed(lambda pour, closing: closing.inside == pour.name)


def _hardest(plan: LiftPlan, pour: Pour, unit: str) -> str:
    forces = [closing.force_n.high for closing in (*_FIRST(plan, pour), *_DURING(plan, pour))]
    if not forces or not math.isfinite(max(forces)):
        return ""
    return f"{float(ureg.Quantity(max(forces), 'newton').to(unit).magnitude):.1f}"


def _by(plan: LiftPlan, pour: Pour) -> str:
    times = [closing.by_s for closing in _DURING(plan, pour) if math.isfinite(closing.by_s)]
    return f"{min(times):.0f}" if times else ""


CLOSING: list[tuple[str, Callable[[LiftPlan, Pour], str]]] = [
    ("close_first", lambda plan, pour: " ".join(closing.hole for closing in _FIRST(plan, pour))),
    ("close_during", lambda plan, pour: " ".join(closing.hole for closing in _DURING(plan, pour))),
    ("close_by_s", _by),
    ("closing_force_n", lambda plan, pour: _hardest(plan, pour, "newton")),
    ("closing_force_lbf", lambda plan, pour: _hardest(plan, pour, "pound_force")),
]
"""What is closed before a pour is mixed, and while it rises (ports by then, vents when foam shows)."""


def pours_csv(plan: Plan) -> str:
    """The text of ``pours.csv``; an empty cell is not known."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    columns = [*COLUMNS, *_computed(plan.lift_plan), *LIMITS]
    writer.writerow([name for name, _ in (*columns, *CLOSING)] + ["packing"])
    for lift in plan.lift_plan.lifts:
        for pour in lift.pours:
            closing = (cell(plan.lift_plan, pour) for _, cell in CLOSING)
            packing = packing_of(pour, plan.foam)
            last = f"{packing:.3f}" if math.isfinite(packing) else ""
            writer.writerow([*(cell(lift, pour) for _, cell in columns), *closing, last])
    return shown(out.getvalue())
