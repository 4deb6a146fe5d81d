"""Constants of nature and the standard atmosphere, each with its unit and its source."""

from __future__ import annotations

GAS_CONSTANT = 8.314462618  # [J/(mol K)]
"""Molar gas constant, exact since 2019 to the digits shown (SI Brochure, 9th ed., from k and N_A)."""

STANDARD_GRAVITY = 9.80665  # [m/s^2]
"""Standard acceleration of free fall, exact (3rd CGPM, 1901)."""

STANDARD_ATMOSPHERE = 101325.0  # [Pa]
"""Standard atmosphere, exact (10th CGPM, 1954)."""

STEFAN_BOLTZMANN = 5.670374419e-8  # [W/(m^2 K^4)]
"""Stefan-Boltzmann constant (SI Brochure, 9th ed., exact from k, h, c to the digits shown)."""

SOLID_DENSITY = 1200.0  # [kg/m^3]
"""Solid polyurethane of rigid foam (Gibson & Ashby, Cellular Solids, 2nd ed. 1997, Table 3.1; from memory)."""

ZERO_CELSIUS_K = 273.15  # [K]
"""0 degrees Celsius, exact (SI Brochure, 9th ed.)."""
