from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from pourwright.heat import HeatCurve, PourHeat


def _pour(**changes: object) -> PourHeat:
    values = {
        "name": "1", "lift": 1, "start_s": 0.0, "start_k": 400.0, "density_kg_m3": 48.06, "specific_heat_j_kgk": 1800.0,
        "conductivity_w_mk": 0.03, "heat_j_kg": 0.0, "curve": HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0])),
    }  # fmt: skip
    return PourHeat(**(values | changes))  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def pour() -> Callable[..., PourHeat]:
    """A pour of 48 kg/m3 foam that is simply hot (400 K, no reaction) unless told otherwise."""
    return _pour
