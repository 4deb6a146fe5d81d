"""``operator.html``: one page, one part, for whoever fills it by machine; it hangs at the fixture."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely

from pourwright import units
from pourwright.lifts import Closing
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.plan import MachinePlan
from pourwright.plugs import plugs_of
from pourwright.report.sheet import held
from pourwright.wording.asks import refused_or_unknown, status_words
from pourwright.wording.checks import force
from pourwright.wording.closing import is_vent
from pourwright.wording.one_shot import (
    NOT_KNOWN,
    hold_words,
    plates_of,
    seconds,
    stand_words,
    tilt_lines,
    weight_rows,
)

MOST_ROWS = 10
"""Lines of ports and vents up to which the page has room for `LOGGED` parts to be written in; a port takes two."""
LOGGED = 8
MAP_WIDTH = 300.0
"""Of the plan view, in its own units."""
OPEN = "stays open"
WAYS = {"peg": "peg, taped", "bung": "bung, taped", "board": "board over tape, clamped"}


def operator_html(plan: MachinePlan) -> str:
    """The text of ``operator.html``: it needs nothing else, and no script."""
    made = page_maker(finalize=held)
    css = made.loader.get_source(made, "operator.css")[0] if made.loader else ""
    text = made.get_template("operator.html").render(css=css, **_words(plan))
    return "\n".join(line.rstrip() for line in shown(text).splitlines() if line.strip()) + "\n"


def _words(plan: MachinePlan) -> dict[str, Any]:
    shot, foam = plan.shot, plan.foam
    ports, vents = _ports(plan), _vents(plan)
    return {
        "name": plan.job.name,
        "place": plan.job.place,
        "status": status_words(plan),
        "stop": refused_or_unknown(plan),
        "stand": stand_words(plan),
        "air": bool(tilt_lines(plan)),
        "plates": _plates(plan),
        "bears": f"{units.pressure(shot.fixture.pressure_high_pa)} at most, the fixture bears "
        f"{units.pressure(shot.fixture.bears_pa)}",
        "liquids": units.temperature(foam.conditions.parts_k),
        "skin": units.temperature(foam.conditions.skin_k),
        "ports": ports,
        "vents": vents,
        "gel": units.time(foam.gel_s),
        "map": _map(plan),
        "hold": hold_words(plan),
        "hold_known": not math.isnan(shot.fixture.release_s),
        "not_known": NOT_KNOWN,
        "weights": weight_rows(plan),
        "log": range(max(2, LOGGED - max(0, 2 * len(ports) + len(vents) - MOST_ROWS))),
        "made": f"shell {plan.skin.sha256[:12]}, {plan.provenance.get('program', '')}",
    }


def _plates(plan: MachinePlan) -> list[tuple[str, str, str]]:
    """Pair by pair: sides, clamps, what each of them holds."""
    rows, done = [], set()
    for plate in plates_of(plan.shot.fixture):
        pair = frozenset((plate.side, plate.against))
        if pair in done:
            continue
        done.add(pair)
        rows.append((f"{plate.side} to {plate.against}", f"{plate.clamps} clamps", f"{force(plate.clamp_n)} each"))
    return rows


def _ports(plan: MachinePlan) -> list[dict[str, str]]:
    """Ports in the order they are shot into."""
    shot = plan.shot
    ports = {port.name: port for port in plan.lift_plan.ports}
    rows = []
    for number, one in enumerate(shot.shots, 1):
        port = ports[one.port]
        rows.append(
            {
                "order": str(number),
                "name": port.name,
                "head": str(one.head) if shot.machine.heads > 1 else "",
                "kg": units.mass(one.kg),
                "seconds": seconds(one.seconds),
                "start": "first" if one.start_s == 0 else f"{seconds(one.start_s)} after the first begins",
                "hole": units.tape(port.hole_m) if port.way == "drilled" else port.opening or "open",
                "shut": _shut(plan, port.name),
            }
        )
    return rows


def _vents(plan: MachinePlan) -> list[dict[str, str]]:
    """Vents, those alike in one row."""
    alike: dict[tuple[str, str], list[str]] = {}
    for vent in plan.lift_plan.vents:
        many = f"{vent.holes} of " if vent.holes > 1 else ""
        hole = f"{many}{units.tape(vent.hole_m)}" if vent.way == "drilled" else vent.opening or "open"
        shut = _shut(plan, vent.name)
        alike.setdefault((hole, "stays open: foam that comes out sets in it" if shut == OPEN else shut), []).append(
            vent.name
        )
    return [{"name": ", ".join(names), "hole": hole, "shut": shut} for (hole, shut), names in alike.items()]


def _shut(plan: MachinePlan, hole: str) -> str:
    """With what and when a hole is shut."""
    found = [one for one in plan.lift_plan.closings if one.hole == hole]
    if not found:
        return OPEN
    what = next((WAYS[plug.kind] for plug in plugs_of(plan.lift_plan) if plug.hole == hole), "board over tape")
    return f"{what}, {_when(found[0])}, against {force(found[0].force_n.high)}"


def _when(one: Closing) -> str:
    if not one.inside:
        return f"before pour {one.before}"
    return "when foam shows" if is_vent(one) else f"within {units.time(one.by_s)} of its shot's start"


def _map(plan: MachinePlan) -> dict[str, Any]:
    """The part from above as it stands, front below: its outline, ports by their order, vents."""
    corners = plan.frame.to_standing(plan.skin.vertices_m)[:, :2]
    low, size = corners.min(axis=0), np.ptp(corners, axis=0)
    scale = min(MAP_WIDTH / size[0], 0.7 * MAP_WIDTH / size[1])

    def at(plan_m: np.ndarray) -> tuple[float, float]:
        return round(float((plan_m[0] - low[0]) * scale), 1), round(float((low[1] + size[1] - plan_m[1]) * scale), 1)

    hull = shapely.convex_hull(shapely.multipoints(np.unique(np.round(corners, 4), axis=0)))
    marks = []
    ports = {port.name: port for port in plan.lift_plan.ports}
    for number, one in enumerate(plan.shot.shots, 1):
        marks.append({"kind": "port", "text": str(number), "at": at(plan.frame.to_standing(ports[one.port].point_m))})
    marks += [
        {"kind": "last", "text": "", "at": at(plan.frame.to_standing(one.last_point_m))}
        for flow in plan.shot.flows
        for one in flow.ports
    ]
    for vent in plan.lift_plan.vents:
        marks.append({"kind": "vent", "text": vent.name, "at": at(plan.frame.to_standing(vent.point_m))})
    return {
        "size": (round(float(size[0] * scale), 1), round(float(size[1] * scale), 1)),
        "outline": " ".join("{},{}".format(*at(np.array(point))) for point in hull.exterior.coords),
        "marks": marks,
    }
