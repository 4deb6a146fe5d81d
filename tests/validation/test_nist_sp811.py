"""Unit factors against NIST Special Publication 811 (2008), Appendix B.8, as printed (7 figures)."""

import pytest

from pourwright.sources import to_si


@pytest.mark.parametrize(
    ("unit", "printed"),
    [
        ("lb/ft3", 1.601846e1),
        ("psi", 6.894757e3),
        ("lbf", 4.448222),
        ("lb", 4.535924e-1),
        ("ft", 3.048e-1),
        ("in", 2.54e-2),
        ("gal", 3.785412e-3),
        ("BTU in/(h ft2 degF)", 1.442279e-1),
    ],
)
def test_appendix_b8(unit, printed):
    assert to_si(1.0, unit)[0] == pytest.approx(printed, rel=5e-7)


def test_degree_fahrenheit():
    assert to_si(72.0, "degF")[0] == pytest.approx((72 + 459.67) / 1.8, rel=1e-12)
