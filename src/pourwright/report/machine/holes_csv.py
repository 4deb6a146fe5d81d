"""``holes.csv``: one row a port and a vent of a part that a machine fills, for a jig or a parts list."""

from __future__ import annotations

import csv
import io
import math

from pourwright.plaintext import shown
from pourwright.plan import MachinePlan
from pourwright.units import converted

COLUMNS = (
    "hole", "kind", "order", "x_mm", "y_mm", "z_mm", "x_in", "y_in", "z_in", "diameter_mm", "diameter_in", "holes",
    "pours", "head", "start_s", "seconds", "kg", "lb",
)  # fmt: skip


def holes_csv(plan: MachinePlan) -> str:
    """The text of ``holes.csv``: ports in the order they are shot into, then vents; shell axes. Empty: not known."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    lifts = plan.lift_plan
    ports = {port.name: port for port in lifts.ports}
    for order, shot in enumerate(plan.shot.shots, 1):
        port = ports[shot.port]
        times = (shot.head, f"{shot.start_s:.1f}", f"{shot.seconds:.2f}")
        weight = (f"{shot.kg:.3f}", _to(shot.kg, "kilogram", "pound"))
        hole = (*_place(port.point_m), *_drill(port.hole_m), 1)
        writer.writerow((port.name, "port", order, *hole, shot.pour, *times, *weight))
    pours = [pour for lift in lifts.lifts for pour in lift.pours]
    for vent in lifts.vents:
        mine = " ".join(pour.name for pour in pours if vent.name in {one.name for one in pour.vents})
        hole = (*_place(vent.point_m), *_drill(vent.hole_m), vent.holes)
        writer.writerow((vent.name, "vent", "", *hole, mine, *[""] * 5))
    return shown(out.getvalue())


def _place(point_m: object) -> list[str]:
    values = [float(v) for v in point_m]  # type: ignore[attr-defined]
    return [*(f"{v * 1e3:.1f}" for v in values), *(_to(v, "meter", "inch") for v in values)]


def _drill(hole_m: float) -> tuple[str, str]:
    if not (math.isfinite(hole_m) and hole_m > 0):  # an opening
        return "", ""
    return f"{hole_m * 1e3:.1f}", _to(hole_m, "meter", "inch")


def _to(value: float, si: str, unit: str) -> str:
    return f"{converted(value, si, unit):.3f}"
