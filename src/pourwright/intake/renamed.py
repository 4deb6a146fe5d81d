"""Keys of the job file that have changed their name: the old one is read for one more version, and that is said."""

from __future__ import annotations

from typing import Any

from pourwright.errors import JobError

RENAMED = {
    "limits.bow": "bulge",
    "limits.reach": "flow_distance",
    "limits.landing": "surface_under",
    "grid.crumb": "stray_void",
}
"""Old key by table and key, and its name now in the same table."""


def with_new_names(tables: dict[str, Any]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The tables with every old key under its name now, and what to say of each.

    Raises
    ------
    JobError
        Both names are given.

    >>> with_new_names({"limits": {"bow": 0.01}})
    ({'limits': {'bulge': 0.01}}, ('limits.bow read as limits.bulge, its name now',))
    """
    out, said = dict(tables), []
    for old, new in RENAMED.items():
        table, key = old.split(".")
        held = out.get(table)
        if not isinstance(held, dict) or key not in held:
            continue
        if new in held:
            raise JobError(old, held[key], f"it is the earlier name of {table}.{new}: give one of them")
        out[table] = {new if name == key else name: value for name, value in held.items()}
        said.append(f"{old} read as {table}.{new}, its name now")
    return out, tuple(said)
