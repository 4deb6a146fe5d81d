"""Conductivity of closed-cell foam: gas, solid and radiation in parallel.

The constants are from memory of the literature on rigid polyurethane foam (structure of the model: Glicksman;
Gibson & Ashby, Cellular Solids, 2nd ed. 1997, chapter 7). A data sheet overrides the result.
"""

from __future__ import annotations

from typing import Any

from pourwright.physics.constants import SOLID_DENSITY, STEFAN_BOLTZMANN

STRUT_SHARE = 0.8
SOLID_CONDUCTIVITY = 0.262  # [W/(m K)]
CELL_DIAMETER = 0.3e-3  # [m]
WALL_EXTINCTION = 6e4  # [1/m]
CO2_AT_296_K = 16.6e-3  # [W/(m K)]
CO2_AT_358_K = 21.6e-3  # [W/(m K)]


def foam_conductivity(density: Any, temperature: Any, gas_conductivity: Any) -> Any:
    r"""Conductivity of closed-cell foam from its density, temperature and the gas in its cells.

    ``k = kg (1 - r) + (2/3 - fs/3) r ks + 16 sigma T^3 / (3 K)``, ``K = 4.10 sqrt(fs r)/d + (1 - fs) r Kw``,
    ``r = rho/rhos``

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 48.06
    temperature : float or array [K] e.g. 296.15
    gas_conductivity : float or array [W/(m K)] e.g. 0.0166
        Carbon dioxide for fresh foam (0.0166 at 296 K, 0.0216 at 358 K), air for old foam (0.0259 at 296 K).

    Returns
    -------
    float or array [W/(m K)]

    Notes
    -----
    30 to 320 kg/m3, 280 to 420 K. For air-filled foam it is 3 to 8 % below published measurements
    (Wu, Sung & Chu, Int. J. Heat Mass Transfer 42 (1999) 2211-2217: 33.3 to 34.5 mW/(m K)).

    Examples
    --------
    >>> round(foam_conductivity(48.06, 296.15, CO2_AT_296_K), 4)
    0.0228
    >>> round(foam_conductivity(48.06, 296.15, 25.9e-3), 4)  # air
    0.0317
    """
    r = density / SOLID_DENSITY
    extinction = 4.10 * (STRUT_SHARE * r) ** 0.5 / CELL_DIAMETER + (1 - STRUT_SHARE) * r * WALL_EXTINCTION
    radiation = 16 * STEFAN_BOLTZMANN * temperature**3 / (3 * extinction)
    return gas_conductivity * (1 - r) + (2 / 3 - STRUT_SHARE / 3) * r * SOLID_CONDUCTIVITY + radiation
