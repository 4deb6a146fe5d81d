"""What any skin panel must do, whatever its numbers."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.physics.elastic.plates import Form, panel_deflection_and_stress, panel_pressure

panels = st.fixed_dictionaries(
    {
        "width_m": st.floats(0.05, 1.0),
        "length_m": st.floats(0.05, 3.0),
        "thickness_m": st.floats(0.001, 0.01),
        "youngs_pa": st.floats(2e8, 1e11),
        "poisson": st.floats(0.2, 0.45),
        "radius_m": st.floats(0.1, 10.0) | st.just(math.inf),
        "edges": st.sampled_from(["clamped", "supported"]),
        "doubly_curved": st.booleans(),
    }
)
pressures = st.floats(10.0, 1e5)


def _form(panel):
    return Form(panel["radius_m"], panel["edges"], panel["doubly_curved"])


def _response(pressure_pa, **panel):
    plain = {k: panel[k] for k in ("width_m", "length_m", "thickness_m", "youngs_pa", "poisson")}
    return panel_deflection_and_stress(**plain, pressure_pa=pressure_pa, form=_form(panel))


@given(panels, pressures, st.floats(1.05, 4.0))
@settings(max_examples=80, deadline=None)
def test_more_pressure_more_of_everything_but_less_than_in_proportion(panel, pressure, factor):
    w1, s1, _ = _response(**panel, pressure_pa=pressure)
    w2, s2, _ = _response(**panel, pressure_pa=factor * pressure)
    assert w1 < w2 <= factor * w1 * (1 + 1e-9)
    assert s1 < s2


@given(panels, pressures, st.floats(1.05, 3.0))
@settings(max_examples=80, deadline=None)
def test_thicker_bulges_less(panel, pressure, factor):
    w1, _, _ = _response(**panel, pressure_pa=pressure)
    w2, _, _ = _response(**panel | {"thickness_m": factor * panel["thickness_m"]}, pressure_pa=pressure)
    assert w2 < w1


@given(panels, pressures)
@settings(max_examples=80, deadline=None)
def test_flat_bulges_most_and_sides_may_be_swapped(panel, pressure):
    w, s, regime = _response(**panel, pressure_pa=pressure)
    flat, _, _ = _response(**panel | {"radius_m": math.inf}, pressure_pa=pressure)
    assert w <= flat * (1 + 1e-3)
    swapped = panel | {"width_m": panel["length_m"], "length_m": panel["width_m"]}
    assert _response(**swapped, pressure_pa=pressure) == (w, s, regime)


@given(panels, pressures, st.floats(0.1, 10.0))
@settings(max_examples=80, deadline=None)
def test_models_of_another_size_are_similar(panel, pressure, scale):
    """All lengths times a factor: deflection times it, stress and pressure the same."""
    w, s, _ = _response(**panel, pressure_pa=pressure)
    lengths = {k: scale * panel[k] for k in ("width_m", "length_m", "thickness_m", "radius_m")}
    w2, s2, _ = _response(**panel | lengths, pressure_pa=pressure)
    assert (w2, s2) == pytest.approx((scale * w, s), rel=1e-6)


@given(panels, st.floats(1e-4, 0.05), st.floats(1e5, 1e8))
@settings(max_examples=60, deadline=None)
def test_pressure_gives_the_limit_back(panel, deflection, stress):
    p, governed_by = panel_pressure(
        **{k: panel[k] for k in ("width_m", "length_m", "thickness_m", "youngs_pa", "poisson")},
        allowed_deflection_m=deflection,
        allowed_stress_pa=stress,
        form=_form(panel),
    )
    w, s, _ = _response(**panel, pressure_pa=p)
    assert max(w / deflection, s / stress) == pytest.approx(1.0, rel=1e-6)
    assert governed_by == ("deflection" if w / deflection >= s / stress else "stress")
