"""Rolls that are followed side by side do what each does alone, whatever the number of threads."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.lining import Roll, Sweeper, inside_of, region_of

STILL = (np.array([0.0, 1000.0]), np.array([1.0, 1.0]))
ROLLS = [Roll(axis / np.linalg.norm(axis), tilt) for axis in (*np.eye(3), np.ones(3)) for tilt in (1.0, 0.5 * math.pi)]


@pytest.fixture(scope="module")
def egg(shell_of):
    mesh = trimesh.creation.icosphere(4, 0.2)
    mesh.apply_scale([1.0, 1.3, 1.9])
    skin, cavity = shell_of(mesh, 0.005, 0.0125)
    _, solids = region_of(skin, cavity, 0.03)
    return inside_of(skin, cavity, solids, 0.03), [chamber.middle_m for chamber in solids.chambers]


@pytest.mark.parametrize("threads", [1, 2, 5])
def test_rolls_side_by_side_do_what_each_does_alone(egg, threads, monkeypatch):
    inside, starts = egg
    alone = Sweeper(inside, np.eye(3), STILL)
    poured = alone.poured(np.array([0.0, 0.0, 1.0]), starts, 2e-3, 5e-4, 0.0)
    one_by_one = [alone.rolled(poured, roll, 20.0) for roll in ROLLS]
    monkeypatch.setenv("POURWRIGHT_THREADS", str(threads))
    sweeper = Sweeper(inside, np.eye(3), STILL)
    together = sweeper.each(lambda roll: sweeper.rolled(poured, roll, 20.0), [*ROLLS, *ROLLS])
    for k, state in enumerate(together):
        assert np.array_equal(state.laid_m3, one_by_one[k % len(ROLLS)].laid_m3)
        assert np.array_equal(state.volumes_m3, one_by_one[k % len(ROLLS)].volumes_m3)
    assert len({round(float(state.laid_m3.sum()), 9) for state in together}) > 1  # they are different rolls
