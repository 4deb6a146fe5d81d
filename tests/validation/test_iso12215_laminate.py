"""ISO 12215-5:2008 Annex C, chopped-strand mat and polyester (formulae from memory)."""

from __future__ import annotations

import pytest

from pourwright.physics.elastic import laminate


def test_glass_share_030():
    youngs, tensile, _, flexural, _ = laminate.mat_laminate(0.30)
    assert (youngs, tensile, flexural) == pytest.approx((6500e6, 85e6, 152.2e6), rel=1e-3)
    assert laminate.laminate_density(0.30) == pytest.approx(1427.5, rel=1e-4)
    assert laminate.laminate_thickness(1.0, 0.30) == pytest.approx(2.3351e-3, rel=1e-4)


@pytest.mark.parametrize("share", [0.25, 0.3, 0.35, 0.4])
def test_printed_thickness_formula_is_the_rule_of_mixtures(share):
    assert laminate.laminate_thickness(1.0, share) == pytest.approx((2.56 / share - 1.36) / 3.072e3, rel=1e-9)
