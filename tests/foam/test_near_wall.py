import numpy as np
import pytest

from pourwright.errors import UsageError
from pourwright.foam import Conditions, simulate_near_wall

LAMINATE = 1800.0 * 1000.0 * 0.005  # J/(m2 K): 5 mm of glass-fibre laminate


def wall(reaction, skin_k=295.4, capacity=LAMINATE, **kwargs):
    return simulate_near_wall(reaction, Conditions(skin_k, 295.4, skin_k), 0.075, capacity, **kwargs)


def test_density_falls_from_skin_to_core(reaction_3):
    near = wall(reaction_3)
    assert np.all(np.diff(near.density_kg_m3) < 0.01 * near.core_density_kg_m3)
    assert near.density_kg_m3[0] > 1.2 * near.core_density_kg_m3
    assert near.density_kg_m3[-1] == pytest.approx(near.core_density_kg_m3, rel=0.01)
    assert 1.0 < near.mean_over_core < 1.06
    assert not near.density_kg_m3.flags.writeable


def test_a_colder_or_heavier_skin_takes_a_thicker_denser_layer(reaction_3):
    mild, cold, heavy = wall(reaction_3), wall(reaction_3, 275.0), wall(reaction_3, capacity=8 * LAMINATE)
    for worse in (cold, heavy):
        assert worse.dense_layer_m > mild.dense_layer_m
        assert worse.mean_over_core > mild.mean_over_core
        assert worse.skin_peak_k < mild.skin_peak_k


def test_the_layer_does_not_depend_on_the_number_of_layers(reaction_3):
    coarse, fine = wall(reaction_3, 280.0, layers=30), wall(reaction_3, 280.0, layers=60)
    assert coarse.mean_over_core == pytest.approx(fine.mean_over_core, abs=0.002)
    assert coarse.skin_peak_k == pytest.approx(fine.skin_peak_k, abs=0.5)


def test_a_skin_that_weighs_nothing_and_loses_nothing_leaves_the_foam_adiabatic(reaction_3):
    near = wall(reaction_3, capacity=1.0, film_w_m2k=0.0)
    assert near.mean_over_core == pytest.approx(1.0, abs=0.01)
    assert near.skin_peak_k == pytest.approx(near.temperature_k[-1], abs=3.0)


@pytest.mark.parametrize("args", [(0.0, LAMINATE), (0.075, 0.0), (-1.0, LAMINATE)])
def test_bad_walls_are_refused(reaction_3, args):
    with pytest.raises(UsageError, match="above zero"):
        simulate_near_wall(reaction_3, Conditions(295.4, 295.4, 295.4), *args)
