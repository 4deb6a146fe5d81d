"""Arithmetic checks: the formulae on constants that are known from memory only.

They show that the formulae are computed right, not that the constants are; that is why they are not validation.
"""

from dataclasses import replace

import numpy as np
import pytest

from pourwright.foam import grade_of_density, load_grade, reference_reaction
from pourwright.foam.reaction import CO2_MOLAR_MASS, crossing, run
from pourwright.physics import conductivity, foam_strength, gas, heat, kinetics, orifice, yields
from pourwright.physics.constants import STANDARD_ATMOSPHERE

PCF = 16.01846
PSI = 6894.757


# Reaction, constants of Baser & Khakhar 1994 from memory.


def test_rate_constants_at_25_c():
    assert kinetics.arrhenius(1385.0, 32.66e3, 298.15) == pytest.approx(2.628e-3, rel=1e-3)
    assert kinetics.arrhenius(1.7348, 40.4e3, 298.15) == pytest.approx(1.4504e-7, rel=1e-3)
    assert kinetics.arrhenius(1.7348 * 3765, 40.4e3, 298.15) == pytest.approx(5.461e-4, rel=1e-3)


def _density(gas, kelvin):
    """Of foam with so much gas per kilogram of liquid, as the papers have it: 1100 kg/m3, one atmosphere."""
    return (1 + gas) / (gas * 8.314462618 * kelvin / (STANDARD_ATMOSPHERE * CO2_MOLAR_MASS) + 1 / 1100.0)


@pytest.fixture(scope="module")
def adiabatic():
    return run(reference_reaction(), 298.15, 600.0, points=6001)


@pytest.mark.parametrize(
    ("seconds", "gelling", "blowing", "kelvin", "density"),
    [
        (100, 0.0789, 0.3281, 318.29, 171.6),
        (200, 0.2597, 0.7981, 356.05, 68.8),
        (300, 0.5179, 0.9976, 396.14, 50.39),
        (600, 0.6429, 1.0000, 412.82, 48.3),
    ],
)
def test_adiabatic_course(adiabatic, seconds, gelling, blowing, kelvin, density):
    i = seconds * 10
    assert adiabatic.gelling[i] == pytest.approx(gelling, abs=1e-3)
    assert adiabatic.blowing[i] == pytest.approx(blowing, abs=1e-3)
    assert adiabatic.temperature_k[i] == pytest.approx(kelvin, abs=0.2)
    got = _density(adiabatic.gas_kg_kg[i], adiabatic.temperature_k[i])
    assert got == pytest.approx(density, rel=5e-3)


@pytest.mark.parametrize(
    ("celsius", "half_s", "kelvin", "density"),
    [
        (15, 449.6, 399.8, 49.8),
        (22, 330.6, 409.6, 48.7),
        (25, 291.0, 412.8, 48.3),
        (32, 218.0, 419.9, 47.6),
        (35, 193.4, 422.9, 47.2),
    ],
)
def test_start_temperature_shift(celsius, half_s, kelvin, density):
    c = run(reference_reaction(), celsius + 273.15, 600.0, points=6001)
    assert crossing(c.time_s, c.gelling, 0.5) == pytest.approx(half_s, abs=0.5)
    assert c.temperature_k[-1] == pytest.approx(kelvin, abs=0.2)
    got = _density(c.gas_kg_kg[-1], c.temperature_k[-1])
    assert got == pytest.approx(density, rel=5e-3)


def test_a_catalyst_factor_stretches_time_and_nothing_else():
    base = reference_reaction()
    twice = replace(base, gel_rate_per_s=2 * base.gel_rate_per_s, blow_rate_per_s=2 * base.blow_rate_per_s)
    slow, fast = run(base, 295.15, 1200.0, points=6001), run(twice, 295.15, 600.0, points=6001)
    assert crossing(fast.time_s, fast.gelling, 0.5) == pytest.approx(165.3, abs=0.3)
    assert fast.temperature_k[-1] == pytest.approx(slow.temperature_k[-1], abs=1e-3)


def test_heat_of_the_whole_reaction():
    reaction = reference_reaction()
    assert reaction.final_conversion == pytest.approx(0.64356, abs=1e-5)
    assert reaction.heat_j_kg == pytest.approx(208.3e3, rel=1e-3)
    assert heat.adiabatic_rise(reaction.heat_j_kg, 1800.0) == pytest.approx(115.7, abs=0.1)


@pytest.mark.parametrize(("urethane", "water", "heat_kj"), [(70.75e3, 86.0e3, 237), (93.9e3, 125.5e3, 322)])
def test_heat_of_a_generic_one_to_one_system(urethane, water, heat_kj):
    """7.5 mol NCO per kg of A, index 1.05, 0.594 mol of water per kg of mix."""
    a, _ = yields.parts_of_mass(1.0, 1, 1235.0, 1, 1075.0)
    nco = 7.5 * a
    assert nco == pytest.approx(4.0097, abs=1e-3)
    oh = nco / 1.05 - 2 * 0.594
    assert (oh * urethane + 0.594 * water) / 1e3 == pytest.approx(heat_kj, abs=1)


def test_closed_form_of_the_rise():
    assert heat.adiabatic_rise(250e3, 1700.0) == pytest.approx(147.06, abs=0.01)
    grade = load_grade("rigid-3")
    assert heat.adiabatic_rise(grade.heat_j_kg, grade.specific_heat_j_kgk) == pytest.approx(146, abs=0.5)


@pytest.mark.parametrize(
    ("energy", "cold", "warm", "hot"),
    [(32.66e3, 1.595, 1.547, 0.570), (40.4e3, 1.781, 1.715, 0.499), (51.9e3, 2.099, 2.000, 0.410)],
)
def test_time_shift(energy, cold, warm, hot):
    def at(celsius: float, reference: float) -> float:
        return kinetics.time_factor(energy, celsius + 273.15, reference + 273.15)

    assert at(12, 22) == pytest.approx(cold, abs=2e-3)
    assert at(22, 32) == pytest.approx(warm, abs=2e-3)
    assert at(35, 22) == pytest.approx(hot, abs=2e-3)


def test_fifty_kilojoules_double_the_rate_every_ten_kelvin():
    assert kinetics.time_factor(50e3, 290.15, 300.15) == pytest.approx(1.995, abs=0.01)
    assert kinetics.time_factor(50e3, 290.372, 300.372) == pytest.approx(1.99, abs=0.01)


def test_castro_macosko_viscosity():
    assert kinetics.reacting_viscosity(298.15, 0.0) == pytest.approx(1.771, rel=5e-3)
    assert kinetics.reacting_viscosity(298.15, 0.5) == pytest.approx(33.26, rel=5e-3)
    assert np.isinf(kinetics.reacting_viscosity(298.15, 0.65))


# Conductivity and shrinkage.


@pytest.mark.parametrize(
    ("pcf", "fresh", "aged"),
    [
        (2, 0.0223, 0.0314),
        (3, 0.0228, 0.0317),
        (4, 0.0236, 0.0324),
        (6, 0.0254, 0.0340),
        (8, 0.0275, 0.0358),
        (16, 0.0364, 0.0437),
    ],
)
def test_conductivity(pcf, fresh, aged):
    def at(gas_conductivity: float) -> float:
        return conductivity.foam_conductivity(pcf * PCF, 296.15, gas_conductivity)

    assert at(conductivity.CO2_AT_296_K) == pytest.approx(fresh, abs=2e-4)
    assert at(0.0259) == pytest.approx(aged, abs=2e-4)


def test_shrinkage():
    assert gas.contraction(6e-5, 117.0) == pytest.approx(0.0070, abs=1e-4)


# Pressure.


@pytest.mark.parametrize(
    ("packing", "kilopascal"),
    [
        (1.05, 5.29),
        (1.10, 10.60),
        (1.15, 15.93),
        (1.20, 21.29),
        (1.30, 32.07),
        (1.50, 53.90),
        (1.67, 72.75),
        (2.00, 110.15),
    ],
)
def test_packed_pressure(packing, kilopascal):
    assert gas.packed_gauge_pressure(packing, 48.06) / 1e3 == pytest.approx(kilopascal, abs=0.05)


@pytest.mark.parametrize(("packing", "kilopascal"), [(1.05, 16.0), (1.20, 33.5), (1.67, 90.2)])
def test_packed_pressure_with_gas_that_gets_hotter(packing, kilopascal):
    assert gas.packed_gauge_pressure(packing, 48.06, 1.10) / 1e3 == pytest.approx(kilopascal, abs=0.1)


def test_heads():
    assert gas.head_pressure(1155.0, 0.1) / 1e3 == pytest.approx(1.13, abs=0.01)
    assert gas.head_pressure(48.06, 1.0) / 1e3 == pytest.approx(0.47, abs=0.01)
    assert gas.head_pressure(48.0, 0.5) / 1e3 == pytest.approx(0.24, abs=0.01)


def test_orifice():
    flow = orifice.orifice_flow(0.006, 100.0, 1.2, 0.61)
    assert flow * 1000 == pytest.approx(0.2227, abs=5e-5)
    assert orifice.orifice_diameter(flow, 100.0, 1.2, 0.61) == pytest.approx(0.006, rel=1e-12)
    assert orifice.holes_needed(3 * flow, flow) == 3
    assert orifice.holes_needed(3.01 * flow, flow) == 4
    assert orifice.holes_needed(0.0, flow) == 1


# Strength.


@pytest.mark.parametrize(("pcf", "random_field"), [(2, 4.19), (3, 7.82), (4, 12.2), (6, 22.8), (8, 35.4), (16, 103)])
def test_moduli(pcf, random_field):
    rho = pcf * PCF
    assert foam_strength.random_field_modulus(rho) / 1e6 == pytest.approx(random_field, rel=0.01)


@pytest.mark.parametrize(
    ("pcf", "kilopascal", "psi"),
    [(2, 166, 24.1), (3, 305, 44.3), (4, 470, 68.2), (6, 864, 125), (8, 1330, 193), (16, 3761, 545), (20, 5256, 762)],
)
def test_compressive_strength(pcf, kilopascal, psi):
    got = foam_strength.collapse_stress(pcf * PCF)
    assert got / 1e3 == pytest.approx(kilopascal, rel=5e-3)
    assert got / PSI == pytest.approx(psi, rel=5e-3)


def test_shear():
    assert foam_strength.shear_strength(3 * PCF) / 1e3 == pytest.approx(201, rel=0.01)


# Depth and yield.


def test_head_of_three_hundred_feet():
    assert gas.head_pressure(1025.0, 91.44) / PSI == pytest.approx(133.3, abs=0.2)


@pytest.mark.parametrize(("psi", "metres"), [(25, 17.1), (40, 27.4), (60, 41.2), (120, 82.3)])
def test_depth_that_crushes(psi, metres):
    assert foam_strength.crush_depth(psi * PSI) == pytest.approx(metres, abs=0.1)


def test_depth_for_good():
    assert foam_strength.crush_depth(40 * PSI, share=0.25) == pytest.approx(6.9, abs=0.1)
    assert foam_strength.crush_depth(305.3e3, share=0.25) == pytest.approx(7.59, abs=0.05)


@pytest.mark.parametrize(("pcf", "ratio"), [(2, 36.1), (3, 24.0), (4, 18.0), (6, 12.0), (8, 9.0), (16, 4.5)])
def test_expansion(pcf, ratio):
    assert yields.expansion_ratio(yields.mixed_density(1, 1235.0, 1, 1075.0), pcf * PCF) == pytest.approx(
        ratio, rel=5e-3
    )


def test_lift_cap():
    assert pytest.approx(0.1998, abs=1e-4) == 9.6 / (3 * PCF)
    assert load_grade("rigid-3").max_lift_m == pytest.approx(0.1998, abs=2e-4)
    assert grade_of_density(16 * PCF).max_lift_m == pytest.approx(0.0375, abs=2e-4)
