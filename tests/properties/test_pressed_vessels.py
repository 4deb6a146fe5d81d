"""Pressure on part of any vessel is given back along its wall: what is left balances in force and moment."""

import numpy as np
import pytest
import trimesh

from pourwright.structure.balance import drag


def _vessel(seed):
    """A bulged, open vessel: vertices, normals, areas and the pressure on them."""
    rng = np.random.default_rng(seed)
    ball = trimesh.creation.icosphere(3)
    ball.vertices = ball.vertices * rng.uniform(0.5, 2.0, 3) + rng.normal(size=3)
    along = ball.triangles_center @ rng.normal(size=3)  # cut askew, so that the pressure turns the vessel as well
    keep = along < np.quantile(along, rng.uniform(0.4, 0.9))
    part = ball.submesh([np.flatnonzero(keep)], append=True)
    area, load = np.zeros(len(part.vertices)), np.zeros((len(part.vertices), 3))
    np.add.at(area, part.faces.ravel(), np.repeat(part.area_faces / 3, 3))
    np.add.at(load, part.faces.ravel(), np.repeat(part.face_normals * part.area_faces[:, None] / 3, 3, axis=0))
    return np.asarray(part.vertices), np.asarray(part.vertex_normals), area, load


@pytest.mark.parametrize("seed", range(8))
def test_drag_brings_any_open_vessel_to_balance_along_its_wall(seed):
    points, normals, area, load = _vessel(seed)
    found = drag(points, normals, area, load, np.zeros(len(points), bool))
    push = np.linalg.norm(load, axis=1).sum()
    assert np.abs((found + load).sum(axis=0)).max() < 1e-9 * push
    assert np.abs(np.cross(points, found + load).sum(axis=0)).max() < 1e-8 * push * np.abs(points).max()
    assert np.abs((found * normals).sum(axis=1)).max() < 1e-12 * push
