import pytest

from pourwright.foam import Conditions, fit_reaction, load_grade

SHOP_K = 295.3722222222222  # 72 °F


@pytest.fixture
def rigid_3():
    return load_grade("rigid-3")


@pytest.fixture
def shop():
    """Conditions with air, parts and skin at one temperature [K], 72 °F by default."""

    def make(parts_k: float = SHOP_K, **changes: float) -> Conditions:
        return Conditions(**({"air_k": parts_k, "parts_k": parts_k, "skin_k": parts_k} | changes))

    return make


@pytest.fixture(scope="session")
def reaction_3():
    return fit_reaction(load_grade("rigid-3"))
