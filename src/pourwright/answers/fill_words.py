"""A way of filling as the ``[fill]`` table of a job file."""

from __future__ import annotations

import json
import math
from typing import Any

from pourwright.lining import REACH, STOPS_RAD, PartRules, Rules
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.ribs import BOARD_DENSITY
from pourwright.sources import Standing


def fill_table(rules: Rules) -> dict[str, Any]:
    """Keys and values of ``[fill]`` with which a job file asks for the same; what is as without it is left out.

    >>> fill_table(Rules("lining", 0.024, parts=(PartRules("legs", None, 0.0, 0.93),)))["part"]
    [{'name': 'legs', 'style': 'solid', 'to': '930 mm'}]
    """
    out: dict[str, Any] = {"style": rules.style}
    if rules.thickness_m is not None:
        out["thickness"] = _mm(rules.thickness_m)
    if rules.least_m is not None:
        out["least"] = _mm(rules.least_m)
    if rules.by == "spreading":
        out["by"] = rules.by
        out |= {"positions": [list(one) for one in rules.positions]} if rules.positions else {}
        out |= {"reach": _mm(rules.reach_m)} if rules.reach_m not in (None, REACH.value) else {}
    elif rules.style == "lining" and rules.turning != "hand":
        out["turning"] = rules.turning
        out |= {"axis": list(rules.axis)} if rules.axis is not None else {}
        if rules.turning == "cradle" and rules.stops_rad != STOPS_RAD:
            out["stops"] = [f"{math.degrees(one):.10g} deg" for one in rules.stops_rad]
    if rules.parts:
        out["part"] = [_part(one) for one in rules.parts]
    core, ribs = rules.core, rules.ribs
    if core is not None:
        out |= {
            "core": core.kind, "size": [_mm(one) for one in core.size_m], "density": f"{core.density_kg_m3:.6g} kg/m^3",
            "cover": _mm(core.cover_m), "gap": _mm(core.gap_m),
        }  # fmt: skip
        if core.limit_by == Standing.JOB:
            out["limit"] = f"{core.limit_k - ZERO_CELSIUS_K:.6g} degC"
    if ribs is not None:
        out["bands"] = [[_mm(low), _mm(high)] for low, high in ribs.bands_m]
        out["board"] = _mm(ribs.board_m)
        if ribs.board_kg_m3 != BOARD_DENSITY.value:
            out["density"] = f"{ribs.board_kg_m3:.6g} kg/m^3"
    return out


def _part(one: PartRules) -> dict[str, Any]:
    out: dict[str, Any] = {"name": one.name}
    out |= {"style": "solid"} if one.solid else {"thickness": _mm(one.thickness_m)}
    out |= {"from": _mm(one.low_m)} if one.low_m > 0.0 else {}
    out |= {"to": _mm(one.high_m)} if math.isfinite(one.high_m) else {}
    out |= {"limb": one.limb} if one.limb is not None else {}
    return out | ({"flattest": one.flattest} if one.flattest else {})


def _mm(metres: float | None) -> str:
    return f"{1e3 * (metres or 0.0):.10g} mm"


def as_setting(table: dict[str, Any]) -> str:
    """The same as the value of ``--set``, in quotes of a shell.

    >>> print(as_setting({"style": "lining", "part": [{"name": "legs", "style": "solid"}]}))
    --set 'fill={style = "lining", part = [{name = "legs", style = "solid"}]}'
    """
    return "--set 'fill=" + _toml(table).replace("'", "'\\''") + "'"


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_toml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    return json.dumps(value, ensure_ascii=False)
