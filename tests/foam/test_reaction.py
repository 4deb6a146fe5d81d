import numpy as np
import pytest

from pourwright.foam import reference_reaction
from pourwright.foam.reaction import crossing, follow, run


def test_reference_recipe_ends_where_its_isocyanate_does():
    reaction = reference_reaction()
    assert reaction.final_conversion == pytest.approx(0.64356, abs=1e-5)
    late = run(reaction, 298.15, 6000.0)
    assert late.gelling[-1] == pytest.approx(reaction.final_conversion, abs=1e-4)
    assert late.blowing[-1] == pytest.approx(1.0, abs=1e-6)


def test_heat_given_off_is_heat_kept():
    """Energy balance of an adiabatic lump, gas and all: heat of reaction = sum of what warmed it (to 0.1 %)."""
    reaction = reference_reaction()
    c = run(reaction, 298.15, 900.0, points=9001)
    heat = reaction.gel_heat_j_kg * c.gelling[-1] + reaction.blow_heat_j_kg * c.blowing[-1]
    capacity = reaction.specific_heat_j_kgk + reaction.gas_specific_heat_j_kgk * reaction.gas_kg_kg * c.blowing
    kept = np.trapezoid(capacity, c.temperature_k)
    assert kept == pytest.approx(heat, rel=1e-3)


def test_an_inert_lump_cools_exponentially():
    from dataclasses import replace

    inert = replace(reference_reaction(), gel_rate_per_s=0.0, blow_rate_per_s=0.0)
    c = run(inert, 350.0, 500.0, loss_per_s=0.004, around_k=290.0, points=11)
    np.testing.assert_allclose(c.temperature_k, 290 + 60 * np.exp(-0.004 * c.time_s), rtol=1e-5)
    np.testing.assert_allclose(c.volume_m3_kg, 1 / 1100, rtol=1e-9)


def test_follow_is_exact_for_a_ramp_and_never_falls():
    time = np.linspace(0.0, 10.0, 41)
    got = follow(time, 2.0 * time, np.full(41, 3.0))
    np.testing.assert_allclose(got, 2 * (time - 3 * (1 - np.exp(-time / 3))), atol=1e-12)
    hill = np.where(time < 5, time, 10 - time)
    assert np.all(np.diff(follow(time, hill, np.full(41, 0.1))) >= 0)
    two = follow(time, np.column_stack([2.0 * time, hill]), np.full((41, 2), 3.0))
    np.testing.assert_allclose(two[:, 0], got, atol=1e-12)


def test_crossing():
    time = np.array([0.0, 1.0, 2.0])
    assert crossing(time, np.array([0.0, 0.0, 4.0]), 1.0) == 1.25
    assert crossing(time, np.array([0.0, 0.0, 4.0]), 5.0) is None
    assert crossing(time, np.array([3.0, 4.0, 5.0]), 1.0) == 0.0
