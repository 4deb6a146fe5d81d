"""From outside the planner: which foam would rise past a hole that is still open."""

from __future__ import annotations

import math

import numpy as np


def lowest_edge(vertices, faces, x, y, z, hole):
    """Lowest point of the skin around a hole drilled upright: vertical lines through its rim, met triangle by triangle.

    ``vertices`` standing [m]. Only the sheet of skin that the hole is in counts: what lies within its diameter.
    """
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    found = [z]
    for angle in np.linspace(0, 2 * math.pi, 24, endpoint=False):
        px, py = x + 0.5 * hole * math.cos(angle), y + 0.5 * hole * math.sin(angle)
        area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
        with np.errstate(all="ignore"):
            u = ((px - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (py - a[:, 1])) / area
            v = ((b[:, 0] - a[:, 0]) * (py - a[:, 1]) - (px - a[:, 0]) * (b[:, 1] - a[:, 1])) / area
            inside = (u >= 0) & (v >= 0) & (u + v <= 1)
        height = a[inside, 2] + u[inside] * (b[inside, 2] - a[inside, 2]) + v[inside] * (c[inside, 2] - a[inside, 2])
        near = height[np.abs(height - z) <= hole]
        found.append(float(near.max()) if len(near) else z)
    return min(found)


def passed_open_holes(document, vertices, faces, reaches=lambda pour, hole: True, kinds=("ports", "vents")):
    """What is wrong with a plan: sentences, none where every hole is closed before foam rises past it.

    Parameters
    ----------
    document : dict
        ``plan.json``.
    vertices, faces : arrays
        The skin, standing metres.
    reaches : callable
        Whether foam of a pour (its name) can get to a hole (its name) at all; by default any foam at that height can.
    """
    wrong = []
    pours = [pour for lift in document["lifts"] for pour in lift["pours"]]
    order = {pour["name"]: k for k, pour in enumerate(pours)}
    together = {pour["name"]: pour["together"] for pour in pours}  # poured at the same time: one clock for all of them
    cell = document["cavity"]["cell_m"]
    for kind in kinds:
        for hole in document[kind]:
            at, name = hole["measures"], hole["name"]
            if hole["way"] != "drilled":
                opening = next(o for o in document["shell"]["openings"] if o["name"] == hole["opening"])
                low, area = at["from_base_m"] + cell, opening["area_m2"]
            else:
                low = at["from_base_m"]
                if kind == "ports":
                    low = lowest_edge(vertices, faces, at["from_left_m"], at["from_front_m"], low, hole["hole_m"])
                area = math.pi / 4 * hole["hole_m"] ** 2
            over = [k for k, p in enumerate(pours) if p["top_m"] > low + 1e-6 and reaches(p["name"], name)]
            before, inside = hole["closed_before"], hole["closed_in"]
            if before is not None and inside is not None:
                wrong.append(f"{name} is closed before {before} and in {inside}")
            closed = before if before is not None else inside
            if over and closed is None:
                wrong.append(f"{name} at {low:.3f} m stays open, but {pours[over[0]]['name']} rises past it")
            elif over and order[closed] > over[0] and not (inside and pours[over[0]]["name"] in together[inside]):
                wrong.append(f"{name} is closed at {closed}, but {pours[over[0]]['name']} rises past it")
            if closed is None:
                continue
            users = [k for k, p in enumerate(pours) if any(x["port"] == name for x in p["landings"])]
            last = order[inside] if inside is not None else order[closed] - 1
            if kind == "ports" and max(users, default=-1) > last:
                wrong.append(f"{name} is closed by then, but {pours[max(users)]['name']} is poured through it")
            if kind == "ports" and (inside is not None) != (hole["closed_by_s"] is not None):
                wrong.append(f"{name} is closed in a pour without a time, or the other way round")
            one = together[inside] if inside is not None else []  # foam of all that rise as one is at the vent by then
            sends = [
                k for k, p in enumerate(pours) if p["name"] not in one and name in {vent["name"] for vent in p["vents"]}
            ]
            if kind == "vents" and max(sends, default=-1) > last:
                wrong.append(f"{name} is closed by then, but air of {pours[max(sends)]['name']} leaves there")
            push = pours[order[closed]]["peak_pressure_pa_range"]["high"] * area
            if not hole["closing_force_n"] >= push * (1 - 1e-6):
                wrong.append(f"{name} is held with {hole['closing_force_n']} N, but foam pushes with {push} N")
    return wrong
