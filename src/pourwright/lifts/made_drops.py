"""Runs of cells under holes that are there already, or that the job asks for."""

from __future__ import annotations

import math

import numpy as np

from pourwright.access import SIDEWAYS, outward, spout_run
from pourwright.cavity import Cavity, ColumnMap, nearest_skin_point
from pourwright.lifts.model import Port
from pourwright.shell import Skin


def under_made(
    skin: Skin, cavity: Cavity, columns: ColumnMap, serves: np.ndarray, made: tuple[Port, ...]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Which drilled holes still lead to a pour, the run of cells under each, and whether it is cut from the side.

    Under a hole in the top of a part it is the last run below it in its column.
    """
    grid, xy = cavity.grid, columns.column
    old, runs, beside = [], [], []
    for k, port in enumerate(made):
        normal = looks_of(skin, cavity, [port])[0]
        side = port.sideways or (not port.made and abs(float(normal[2])) < SIDEWAYS.value)
        if side:
            wall = float(np.nan_to_num(skin.thickness_of(port.point_m))[0])
            run, _ = spout_run(cavity, columns, port.point_m, normal, wall)
            here = np.array([run] if run >= 0 else [], np.int64)
        else:
            x, y, z = (cavity.frame.to_standing(port.point_m) - grid.origin_m) / grid.cell_m
            here = np.flatnonzero((xy == (math.floor(x), math.floor(y))).all(axis=1) & (columns.high <= z + 1.0))
        if len(here) and (serves[here[-1]] >= 0).any():
            old.append(k)
            runs.append(int(here[-1]))
            beside.append(side)
    return np.array(old, np.int64), np.array(runs, np.int64), np.array(beside, bool)


def looks_of(skin: Skin, cavity: Cavity, ports: list[Port]) -> np.ndarray:
    """Normals (n, 3), standing, of the skin at ports."""
    face = nearest_skin_point(skin, np.array([port.point_m for port in ports]))[1]
    return np.asarray(outward(skin, face) @ cavity.frame.rotation.T)
