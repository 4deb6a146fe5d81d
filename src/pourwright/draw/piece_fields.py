"""Values on the skin of ``piece.html``: temperature and pressure of the pour behind it, and how much stiffer it is."""

from __future__ import annotations

import base64
import json
import math
import re
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator
from scipy.spatial import cKDTree

from pourwright import units
from pourwright.draw.field_bytes import UNKNOWN, bytes_of, colours_of, packed
from pourwright.draw.maps.density import density_on_page
from pourwright.lifts import Pour, judged
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plaintext import shown_all
from pourwright.plan import LiftPlan, MachinePlan, Plan
from pourwright.structure import PushMap

FAR_CELLS = 4.0
"""Skin farther from all foam than its wall and so many cells has no pour behind it."""
GAIN_TICKS = (0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
NEAREST = 4
_DATA = re.compile(r'(<script type="application/json" id="data">)(.*?)(</script>)', re.DOTALL)


def skin_fields(plan: Plan, standing_m: np.ndarray) -> dict[str, Any]:
    """What can be shown on the skin, at its corners.

    Parameters
    ----------
    plan : Plan
    standing_m : ndarray, shape (n, 3)
        Corners of the skin [m], standing axes.

    Returns
    -------
    dict
        ``lift``: place in the plan of the lift behind each corner, packed bytes, 255 for none. ``fields``: one a
        quantity that is known of at least one pour, with its own ``colours`` from low to high, its ``limit`` (place on
        the ramp and words; None where no one limit holds for all lifts) and a byte 0..254 a corner, 255 unknown.
    """
    pours = [(k, pour) for k, lift in enumerate(plan.lift_plan.lifts) for pour in lift.pours]
    behind = _behind(plan, [pour for _, pour in pours], standing_m)
    lift = np.array([*(min(k, UNKNOWN - 1) for k, _ in pours), UNKNOWN], np.uint8)[behind]
    made = [
        _field(
            "temperature",
            "hottest the skin gets, at worst",
            pours,
            behind,
            partial(_hottest_k, plan.lift_plan),
            units.temperature,
            ZERO_CELSIUS_K,
            next((check.limit for check in plan.checks if check.name == judged.SKIN), math.nan),
        ),
        _field("pressure", "pressure on the skin, at worst", pours, behind, _hardest_pa, units.pressure, 0.0, math.nan),
    ]
    if isinstance(plan, MachinePlan) and plan.shot.flows:
        made.append(density_on_page(plan, standing_m))
    return {
        "lift": packed(lift),
        "fields": [field for field in made if field],
    }


def _hottest_k(plan: LiftPlan, pour: Pour) -> float:
    return plan.heats[pour.name].skin_k.high if pour.name in plan.heats else math.nan


def _hardest_pa(pour: Pour) -> float:
    return math.nan if pour.poured else pour.peak_pressure_pa.high


def _behind(plan: Plan, pours: Sequence[Pour], standing_m: np.ndarray) -> np.ndarray:
    """Index of the pour nearest behind each corner; the number of pours where there is none near."""
    graph, grid = plan.graph, plan.cavity.grid
    owner, most = np.full(len(graph.node_level), len(pours)), np.zeros(len(graph.node_level))
    for k, pour in enumerate(pours):
        mine = pour.shares > most[pour.nodes]
        owner[pour.nodes[mine]], most[pour.nodes[mine]] = k, pour.shares[mine]
    inside = np.pad(graph.label > 0, 1)
    deep = inside.copy()
    for axis in range(3):
        deep &= np.roll(inside, 1, axis) & np.roll(inside, -1, axis)
    border = np.argwhere((inside & ~deep)[1:-1, 1:-1, 1:-1])
    if not len(border):
        return np.full(len(standing_m), len(pours))
    centres = grid.origin_m + (border + 0.5) * grid.cell_m
    far, near = cKDTree(centres).query(standing_m)
    found = owner[graph.label[tuple(border[near].T)] - 1]
    wall = max(plan.skin.walls_m, default=0.0)
    return np.where(far <= wall + FAR_CELLS * grid.cell_m, found, len(pours))


def _field(
    key: str,
    title: str,
    pours: Sequence[tuple[int, Pour]],
    behind: np.ndarray,
    value: Callable[[Pour], float],
    words: Callable[[float], str],
    zero: float,
    limit: float,
) -> dict[str, Any] | None:
    values = np.array([*(value(pour) for _, pour in pours), math.nan])
    known = values[np.isfinite(values)]
    if not len(known):
        return None
    low, high = float(np.nanmin([known.min(), limit])), float(np.nanmax([known.max(), limit]))
    pad = max(0.02 * abs(high - zero), 1e-3 * abs(high), 1e-9) if high - low < 1e-6 * abs(high) else 0.0
    places = np.asarray(MaxNLocator(4).tick_values(low - pad - zero, high + pad - zero)) + zero
    bottom, top = float(places[0]), float(places[-1])
    mark = (limit - bottom) / (top - bottom)
    said: list[list[str]] = [[] for _ in range(max(k for k, _ in pours) + 1)]
    for k, pour in pours:
        told = words(value(pour)) if math.isfinite(value(pour)) else "not known"
        said[k].append(f"Pour {pour.name}: {told}.")
    return {
        "key": key,
        "title": title,
        "colours": colours_of(key),
        "limit": [round(mark, 4), f"limit {words(limit)}"] if math.isfinite(mark) else None,
        "ticks": [[round((float(t) - bottom) / (top - bottom), 4), words(float(t))] for t in places],
        "values": packed(bytes_of((values - bottom) / (top - bottom))[behind]),
        "said": ["\n".join(lines) for lines in said],
    }


def with_gain(page: str, push: PushMap) -> str:
    """The text of a ``piece.html`` with the gain in stiffness added, and shown first.

    Parameters
    ----------
    page : str
        As `piece_html` made it.
    push : PushMap
        A hand push before and after, standing axes.

    Raises
    ------
    ValueError
        The page is not one of ours.
    """
    found = _DATA.search(page)
    if found is None:
        raise ValueError("no data of a piece in this page")
    data = json.loads(found[2])
    points = np.frombuffer(base64.b64decode(data["skin"]["points"]), "<f4").reshape(-1, 3)
    good = np.isfinite(push.gain) & (push.gain > 0)
    gain = np.log(push.gain[good])
    far, near = cKDTree(push.point_m[good]).query(points, k=min(NEAREST, int(good.sum())))
    far, near = far.reshape(len(points), -1), near.reshape(len(points), -1)
    weight = 1 / np.maximum(far, 1e-6) ** 2
    value = (weight * gain[near]).sum(axis=1) / weight.sum(axis=1)
    low = max((t for t in GAIN_TICKS if math.log(t) <= gain.min()), default=GAIN_TICKS[0])
    high = min((t for t in GAIN_TICKS if math.log(t) >= gain.max() and t > low), default=GAIN_TICKS[-1])
    span = math.log(high / low)
    others = [field for field in data["fields"]["fields"] if field["key"] != "gain"]
    data["fields"]["fields"] = [
        *others,
        {
            "key": "gain",
            "title": "times as stiff to a hand push, filled",
            "colours": colours_of("gain"),
            "limit": None,
            "ticks": [[round(math.log(t / low) / span, 4), f"{t:g} x"] for t in GAIN_TICKS if low <= t <= high],
            "values": packed(bytes_of((value - math.log(low)) / span)),
            "said": [],
        },
    ]
    data["shown"] = "gain"
    return page[: found.start(2)] + safe_json(data) + page[found.end(2) :]


def safe_json(tree: dict[str, Any]) -> str:
    """JSON that cannot end the element it stands in.

    >>> safe_json({"a": "</script><b>&"})
    '{"a": "\\\\u003c/script\\\\u003e\\\\u003cb\\\\u003e\\\\u0026"}'
    """
    text = json.dumps(shown_all(tree), ensure_ascii=True, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
