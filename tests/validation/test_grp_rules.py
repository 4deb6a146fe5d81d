"""Chopped strand mat laminate: the formulas of ISO 12215-5:2008 Annex C, and the strain limit of BS 4994:1987.

E = 15000 psi + 2000 MPa for the modulus and 1/(psi/2560 + (1 - psi)/1200) kg/m3 for the density at glass mass
fraction psi (formulas from memory, not read again); at psi = 0.30 that is 6500 MPa and 1427.5 kg/m3. BS 4994 limits
the strain to 0.2 %.
"""

import pytest

from pourwright.shell import skin_material


def test_modulus_and_density_at_thirty_percent_glass():
    grp = skin_material("grp")
    assert grp.youngs_modulus_pa == pytest.approx((15000 * 0.30 + 2000) * 1e6)
    assert grp.density_kg_m3 == pytest.approx(1 / (0.30 / 2560 + 0.70 / 1200), rel=1e-3)


def test_design_stress_is_two_per_mille_of_strain():
    grp = skin_material("grp")
    assert grp.design_stress_pa == pytest.approx(0.002 * grp.youngs_modulus_pa)


def test_polyethylene_stress_is_six_hundred_psi():
    # ASTM D1998: hoop stress of rotomolded tanks; 1 psi = 6894.757 Pa
    assert skin_material("polyethylene").design_stress_pa == pytest.approx(600 * 6894.757, rel=0.01)
