"""Keys of ``plan.json`` that have changed their name: a plan with the old ones is read for one more version."""

from __future__ import annotations

from typing import Any

RENAMED = {
    "bow_used": "bulge_used",
    "bow_share": "bulge_share",
    "crumbs": "stray_voids",
    "crumbs_m3": "stray_voids_m3",
    "crumb_limit_m3": "stray_void_limit_m3",
    "drop_m": "fall_m",
    "landing_c": "surface_under_c",
    "wait_bound": "wait_governed_by",
}
"""Old key and its name now, wherever it stands."""
REACH = {"reach_m": "flow_distance_m"}
"""Of a landing and of the shop; elsewhere a reach keeps its name."""


def with_new_keys(tree: Any) -> Any:
    """A plan read from JSON with every old key under its name now.

    A lift's ``bow`` is its ``bulge`` now; a boat's ``bow`` keeps its name.

    >>> with_new_keys({"lifts": [{"pours": [], "bow": {"bow_used": 0.1}}], "site": {"boat": {"bow": [1, 0, 0]}}})
    {'lifts': [{'pours': [], 'bulge': {'bulge_used': 0.1}}], 'site': {'boat': {'bow': [1, 0, 0]}}}
    """
    if isinstance(tree, list):
        return [with_new_keys(value) for value in tree]
    if not isinstance(tree, dict):
        return tree
    names = {**RENAMED, "bow": "bulge"} if "pours" in tree else RENAMED
    if "pour_rate_m3_s" in tree or "point_m" in tree:
        names = {**names, **REACH}
    return {names.get(key, key): with_new_keys(value) for key, value in tree.items()}
