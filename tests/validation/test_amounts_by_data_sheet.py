"""Amounts of both liquids as a person reckons them from a data sheet, with the units of NIST SP 811.

Sheet: 3 lb/ft3 free rise, equal volumes of A (1235 kg/m3) and B (1075 kg/m3), 1.03 under a free top, 1.10 under a cap;
cream after 40 s. Every figure on the right is worked from these lines and the volume of the pour alone.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.foam import Conditions, at_conditions, load_grade, parts_for
from pourwright.lifts import ShopLimits, plan_lifts

SHEET_K = 295.3722222  # 72 °F
LB, CUBIC_FOOT, GALLON = 0.45359237, 0.028316846592, 0.003785411784  # NIST SP 811, appendix B
CREAM_S = 40.0


def foam_of(**changes):
    return at_conditions(replace(load_grade("rigid-3"), **changes), Conditions(SHEET_K, SHEET_K, SHEET_K))


def test_a_cubic_foot_of_packed_foam_in_pounds_and_gallons():
    """3 lb x 1.10 = 3.3 lb. A 10.3066, B 8.9713 lb/gal: 3.3 / 19.2779 = 0.17118 gal of each; 1.7643 and 1.5357 lb."""
    foam = foam_of()
    kg = foam.closed_density_kg_m3.nominal * CUBIC_FOOT
    parts = parts_for(foam, kg)
    assert kg / LB == pytest.approx(3.3, rel=1e-6)
    assert (parts.a_m3 / GALLON, parts.b_m3 / GALLON) == pytest.approx((0.17118, 0.17118), abs=1e-5)
    assert (parts.a_kg / LB, parts.b_kg / LB) == pytest.approx((1.7643, 1.5357), abs=1e-4)


def test_two_to_one_by_volume_in_kilograms():
    """2 L of A weigh 2.470 kg, 1 L of B 1.075 kg: of 10 kg of foam 6.9676 and 3.0324 kg, 5.6418 and 2.8209 L."""
    parts = parts_for(foam_of(mix_a_by_volume=2.0), 10.0)
    assert (parts.a_kg, parts.b_kg) == pytest.approx((6.9676, 3.0324), abs=1e-4)
    assert (parts.a_m3 * 1e3, parts.b_m3 * 1e3) == pytest.approx((5.6418, 2.8209), abs=1e-4)


def test_a_litre_of_liquids_is_24_litres_of_foam():
    """(1235 + 1075) / 2 = 1155 kg/m3 over 48.06; two of A to one of B weigh 3545 / 3 kg/m3."""
    assert foam_of().expansion.nominal == pytest.approx(1155.0 / 48.0554, rel=1e-5)
    assert foam_of(mix_a_by_volume=2.0).liquid_density_kg_m3 == pytest.approx(3545.0 / 3.0, rel=1e-6)


def test_ends_of_what_foam_under_a_free_top_weighs():
    """The sheet's 10 % either way, and 1.00 to 1.06 for its dense skin: 2.7 to 3 x 1.1 x 1.06 = 3.498 lb/ft3."""
    ends = foam_of().open_density_kg_m3
    pounds = [kg * CUBIC_FOOT / LB for kg in (ends.low, ends.nominal, ends.high)]
    assert pounds == pytest.approx([2.7, 3.09, 3.498], rel=1e-5)


@pytest.fixture(scope="module")
def planned(skin_of):
    """``planned(limits)``: pours of a closed box, 0.22 x 0.26 x 0.62 m inside."""

    def make(limits):
        skin = skin_of(trimesh.creation.box(bounds=[[0, 0, 0], [0.23, 0.27, 0.63]]), 0.005)
        frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
        cavity = build_cavity(skin, frame, cell_m=0.01)
        plan = plan_lifts(Space(skin, cavity, build_levels(cavity)), foam_of(), limits)
        return plan, [pour for lift in plan.lifts for pour in lift.pours]

    return make


TALL = {"max_lift_m": 1.0, "max_lift_reference": "sheet"}  # so that only liquid decides how tall a lift may be
SHOPS = {
    "one person": ShopLimits(largest_batch_m3=4e-4, **TALL),
    "two people": ShopLimits(largest_batch_m3=4e-4, hands=2, **TALL),
    "slow spout": ShopLimits(largest_batch_m3=4e-4, pour_rate_m3_s=1.5e-5, **TALL),
    "long mixing": ShopLimits(largest_batch_m3=4e-4, mix_s=38.8, hands=3, **TALL),
}


@pytest.mark.parametrize("shop", SHOPS)
def test_what_is_mixed_for_each_pour(planned, shop):
    """Foam by volume times density; liquids by the sheet; mixes: as few as cup, spout and cream time allow."""
    limits = SHOPS[shop]
    plan, pours = planned(limits)
    assert {pour.closes for pour in pours} == {True, False}
    assert sum(pour.volume_m3 for pour in pours) == pytest.approx(0.22 * 0.26 * 0.62, rel=0.01)
    in_time = limits.pour_rate_m3_s * (CREAM_S - limits.mix_s)
    cup = min(limits.largest_batch_m3, in_time)
    for pour in pours:
        kg = pour.volume_m3 / CUBIC_FOOT * (3.0 * (1.10 if pour.closes else 1.03)) * LB
        litres_each = kg / (1.235 + 1.075)
        assert pour.foam_kg.nominal == pytest.approx(kg, rel=1e-5)
        assert (pour.parts.a_m3 * 1e3, pour.parts.b_m3 * 1e3) == pytest.approx((litres_each, litres_each), rel=1e-5)
        assert pour.parts.a_kg == pytest.approx(1.235 * litres_each, rel=1e-5)
        mixes = math.ceil(2e-3 * litres_each / cup - 1e-9)
        assert pour.batches == mixes
        assert pour.batches <= limits.hands
        assert (pour.batch.a_kg * mixes, pour.batch.b_kg * mixes) == pytest.approx((pour.parts.a_kg, pour.parts.b_kg))
        assert (pour.batch.a_m3 * mixes, pour.batch.b_m3 * mixes) == pytest.approx((pour.parts.a_m3, pour.parts.b_m3))
        checks = {check.name: check for check in pour.checks}
        out = limits.mix_s + 2e-3 * litres_each / mixes / limits.pour_rate_m3_s
        assert checks["pour time"].value == pytest.approx(out, rel=1e-5)
        assert checks["pour time"].value <= checks["pour time"].limit == pytest.approx(CREAM_S, rel=1e-6)
        assert checks["batch"].value == pytest.approx(2e-3 * litres_each / mixes, rel=1e-5)
    # Lifts: the fewest whose liquid the hands can mix, level by level of 1 cm, the last at the density under a cap.
    level = 0.01 * 0.22 * 0.26 / CUBIC_FOOT * 3.0 * LB / 1155.0
    free, capped = (math.floor(limits.hands * cup / (level * packing)) for packing in (1.03, 1.10))
    assert len(plan.lifts) == 1 + math.ceil((62 - capped) / free)
    assert plan.unreached_m3 == 0
