"""What the panels of the skin allow, and what that does to the lifts."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels
from pourwright.findings import Code
from pourwright.lifts import ShopLimits
from pourwright.lifts.skin_side import panel_strength
from pourwright.panels import panels
from pourwright.physics.elastic import plates


def _pressure(pour):
    return next(check for check in pour.checks if check.name == "pressure on the skin")


@pytest.fixture(scope="module")
def turret():
    """A box with flat sides and a narrow turret on it."""
    return trimesh.boolean.union(
        [
            trimesh.creation.box(bounds=[[0.0, 0.0, 0.0], [0.5, 0.5, 0.3]]),
            trimesh.creation.box(bounds=[[0.19, 0.19, 0.25], [0.31, 0.31, 0.45]]),
        ],
        engine="manifold",
    )


def test_nodes_take_the_weakest_panel_beside_them(turret, skin_of, stand):
    skin = skin_of(turret, 0.005)
    frame = stand(skin)
    cavity = build_cavity(skin, frame, cell_m=0.01)
    graph = build_levels(cavity)
    found = panels(skin, 12)
    strength = panel_strength(skin, frame, cavity, graph, found, ShopLimits())
    m = skin.material
    for k, panel in enumerate(found):
        stands, by = plates.panel_pressure(
            panel.width_m,
            panel.length_m,
            panel.thickness_m,
            m.youngs_pa.low,
            m.poisson,
            0.01 * panel.width_m,
            m.design_stress_pa,
            plates.Form(panel.radius_m, doubly_curved=panel.double),
        )
        assert (strength.stands_pa[k], strength.governed[k]) == (pytest.approx(stands), by)
    z = graph.node_centroid_m[:, 2]
    low = strength.pressure_pa[z < 0.29]
    high = strength.pressure_pa[z > 0.32]
    assert low.max() < high.min()  # sides of 0.5 m against sides of 0.12 m
    assert low.max() == pytest.approx(min(strength.stands_pa), rel=1.0)
    assert set(strength.panel[z < 0.29].tolist()) <= set(range(len(found)))


def test_a_lift_stops_short_of_closing_beside_a_weak_panel(turret, planned):
    """One lift could hold all of it; closing the turret would put the gas-law pressure on the box's flat sides."""
    tall = ShopLimits(max_lift_m=0.6, max_lift_reference="x", largest_batch_m3=0.02, pour_rate_m3_s=2e-3)
    held = planned(turret, limits=replace(tall, held=True))
    assert len(held.lifts) == 1
    made = planned(turret, wall=0.006, stress=12e6, limits=tall)  # the sides stand about 10 kPa, the turret far more
    low, top = made.lifts
    assert low.limit == "pressure on the skin"
    assert low.one_more.check.value > low.one_more.check.limit
    assert "closes a pocket" in low.one_more.check.source
    assert not low.pours[0].closes
    assert top.pours[0].closes
    assert top.bottom_m >= 0.29
    assert _pressure(top.pours[0]).verdict == "ok"


def test_where_no_thin_lift_would_help_the_check_is_over_and_the_lifts_are_not_thin(turret, planned):
    weak = ShopLimits(bulge_share=1e-5)
    made = planned(turret, limits=weak)
    held = planned(turret, limits=replace(weak, held=True))
    assert len(made.lifts) == len(held.lifts)
    assert _pressure(made.lifts[-1].pours[0]).verdict == "over"
    assert any(
        found.code == Code.OVER_LIMIT and found["check"] == "pressure on the skin" for found in made.plan.warnings
    )


def test_held_from_outside_the_support_carries_it(turret, planned, every_pour):
    for pour in every_pour(planned(turret, limits=ShopLimits(held=True)).plan):
        check = _pressure(pour)
        assert (check.verdict, check.limit) == ("ok", math.inf)
        assert check.source == "carried by the support outside the skin"


def test_a_panel_with_a_free_edge_is_unknown(planned, every_pour, cap_of):
    """An open tray: its sides end at the rim, which nothing holds."""
    tray = trimesh.creation.box(bounds=[[0, 0, 0], [0.5, 0.5, 0.5]])
    made = planned(tray, stress=50e6, limits=ShopLimits(bulge_share=0.05), cap=cap_of(tray, 0.5))
    assert len(made.lifts) > 1
    assert {_pressure(pour).verdict for pour in every_pour(made.plan)} == {"unknown"}
    floor = planned(tray, limits=ShopLimits(bulge_share=1e-4), cap=cap_of(tray, 0.5))
    # the floor of the tray is held all round and known to be too weak: over, which is worse than unknown
    assert [_pressure(lift.pours[0]).verdict for lift in floor.lifts][:2] == ["over", "unknown"]
    assert any(found.code == Code.PANEL_UNKNOWN for found in made.plan.warnings)


def test_without_panels_the_pressure_is_unknown(turret, skin_of, stand, foam):
    from pourwright.lifts import plan_lifts

    skin = skin_of(turret, 0.005)
    frame = stand(skin)
    cavity = build_cavity(skin, frame, cell_m=0.01)
    plan = plan_lifts(Space(skin, cavity, build_levels(cavity)), foam(), ShopLimits())
    assert {_pressure(pour).verdict for lift in plan.lifts for pour in lift.pours} == {"unknown"}


def test_pressure_ranges(turret, planned, foam):
    made = planned(turret)
    first, last = made.lifts[0].pours[0], made.lifts[-1].pours[0]
    assert last.peak_pressure_pa.nominal == pytest.approx(10.6e3, rel=3e-3)
    assert last.peak_pressure_pa.high > last.peak_pressure_pa.nominal
    head = foam().open_density_kg_m3.nominal * 9.80665 * first.rise_m
    assert first.peak_pressure_pa.nominal == pytest.approx(4500 + head)
    assert np.isfinite([first.peak_pressure_pa.low, last.peak_pressure_pa.low]).all()


def test_a_pocket_met_while_open_elsewhere_shows_in_the_high_end(bodies, planned, foam):
    """The shoulder of the trunk under the crown of the horn body: a lift that caps it but goes on beside it."""
    body = trimesh.boolean.union(
        [
            trimesh.creation.box(bounds=[[0, 0, 0], [0.2, 0.2, 0.6]]),
            trimesh.creation.box(bounds=[[0.15, 0, 0], [0.5, 0.2, 0.1]]),
            trimesh.creation.box(bounds=[[0.35, 0, 0], [0.5, 0.2, 0.25]]),
        ],
        engine="manifold",
    )
    made = planned(body)
    capped = [p for lift in made.lifts for p in lift.pours if not p.closes and p.peak_pressure_pa.high > 15e3]
    sealed = [p for lift in made.lifts for p in lift.pours if p.closes]
    assert sealed
    for pour in capped:
        assert pour.peak_pressure_pa.nominal < 6e3
    assert len(capped) + len(sealed) >= 2
