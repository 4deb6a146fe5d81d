"""What is said in the trade of the strength of foam of 3 lb/ft3 (common practice, no source): about 40 psi."""

from __future__ import annotations

import pytest

from pourwright.physics import foam_strength

PSI, PCF = 0.45359237 * 9.80665 / 0.0254**2, 0.45359237 / 0.3048**3


def test_crush_depth_of_foam_of_3_lb_per_ft3():
    """40 psi (common practice, no source) over 62.4 lb/ft3 of water: 40 x 144 / 62.4 = 92.3 ft; a quarter, 23.1."""
    depths = [foam_strength.crush_depth(40 * PSI, 62.4 * PCF, share) / 0.3048 for share in (1.0, 0.5, 0.25)]
    assert depths == pytest.approx([92.3, 46.15, 23.08], rel=1e-3)


def test_design_factor_gives_forty_psi():
    """Common practice, no source: 40 psi at 3 lb/ft3."""
    assert foam_strength.collapse_stress(3.0 * PCF, 0.27) / PSI == pytest.approx(40, abs=0.3)
