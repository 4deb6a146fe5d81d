"""Falls, tubes and holes keep clear of things inside: against distances that trimesh finds from the solids."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from tests.lifts.conftest import box as cuboid

from pourwright.access import beside_irons_m, clearance_due, floors_of, limb_width_m
from pourwright.findings import Code
from pourwright.irons import bar, box, rod
from pourwright.lifts import HoleRules, ShopLimits

PIPE = trimesh.creation.cylinder(radius=0.12, height=1.1, sections=96)
ACROSS = rod("across", [0.03, 0.12, 0.45], [0.21, 0.12, 0.55], 0.02)
THIN = rod("thin", [0.03, 0.12, 0.5], [0.21, 0.12, 0.5], 0.004)


def _solid(iron):
    ends = [iron.middle_m + way * iron.half_m[0] * iron.axes[0] for way in (-1, 1)]
    return trimesh.creation.cylinder(radius=iron.half_m[1], segment=ends, sections=64)


def _falls(made):
    return [one for lift in made.plan.lifts for pour in lift.pours for one in pour.landings]


def _off(made, iron, landing):
    """Distance of the way down from the solid, and whether it comes past it at all."""
    top = made.frame.to_standing(landing.port.point_m)[2]
    x, y, low = made.frame.to_standing(landing.point_m)
    line = np.column_stack([np.full(500, x), np.full(500, y), np.linspace(low + 0.06, top - 0.06, 500)])
    return float((-trimesh.proximity.signed_distance(_solid(iron), line)).min())


@pytest.mark.parametrize("iron", [ACROSS, THIN], ids=lambda one: one.name)
def test_nothing_falls_on_an_iron(planned, iron):
    """A rod across the middle of a pipe 1.1 m deep: falls go beside it with what is due, or by a hose."""
    made = planned(PIPE, cell=0.008, irons=(iron,))
    straight = [one for one in _falls(made) if one.tube is None and one.fall_m > 0.5]
    assert _falls(made)
    for one in straight:
        off = _off(made, iron, one)
        assert off >= clearance_due(one.fall_m) - 0.004
        assert one.clearance_m <= off + 0.004
    for one in _falls(made):
        if one.tube is None:
            assert _off(made, iron, one) > 0.004  # however short the fall


def test_without_the_rod_the_same_pipe_is_poured_down_its_middle(planned):
    """So the test above is of the rod: the fall without it comes nearer to where the rod would be."""
    above = ShopLimits(holes=HoleRules(side=False))
    free, held = (planned(PIPE, cell=0.008, limits=above, irons=irons) for irons in ((), (ACROSS,)))
    near = [min(_off(made, ACROSS, one) for one in _falls(made) if one.fall_m > 0.6) for made in (free, held)]
    assert near[0] < near[1]


def test_no_hole_over_an_iron_under_the_lid(planned):
    """A rod of 40 mm along a box, just under its lid: no drilled hole touches it from above."""
    iron = rod("rail", [0.0, 0.15, 0.26], [0.5, 0.15, 0.26], 0.04)
    made = planned(cuboid(0, 0.5, 0, 0.3, 0, 0.3), cell=0.01, irons=(iron,))
    ports = [port for port in made.plan.ports if port.way == "drilled"]
    assert ports
    for port in ports:
        across = abs(made.frame.to_standing(port.point_m)[1] - 0.15) - 0.02
        assert across >= 0.5 * port.hole_m - 1e-3
        assert port.room_m <= across - 0.5 * port.hole_m + 0.005


def test_a_hose_beside_a_rod_has_half_of_what_it_leaves(planned):
    """A pipe of 60 mm inside with a rod of 10 mm up its middle leaves 25 mm: no tube of 32 mm bore goes down there."""
    pipe = trimesh.creation.cylinder(radius=0.035, height=1.1, sections=96)
    for cell in (0.004, 0.006):  # cut out of the cells, and too thin for them
        iron = rod("rod", [0.035, 0.035, 0.0], [0.035, 0.035, 1.0], 0.010)
        made = planned(pipe, cell=cell, irons=(iron,))
        deep = [one for one in _falls(made) if one.fall_m > 0.6]
        assert deep
        for one in deep:
            if one.tube is None:
                refused = [check for check in _checks(made, one) if check.verdict == "over"]
                assert "fall of the liquid" in [check.name for check in refused]
            else:
                assert one.tube.bore_m + 0.005 <= 0.025


def _checks(made, landing):
    pours = [pour for lift in made.plan.lifts for pour in lift.pours if landing in pour.landings]
    return [check for pour in pours for check in pour.checks]


def test_items_are_told_by_what_they_take(skin_of, stand):
    """9 kg of steel in a leg of 160 by 200 mm, 0.5 m long: 1.15 L, 7 % of it; with a form it is no warning."""
    from pourwright.cavity import build_cavity, build_levels
    from pourwright.outcome import Item, Shape, Site, Spot, inside_found
    from pourwright.ranges import Range
    from pourwright.wording.findings import sentence

    skin = skin_of(cuboid(0, 0.16, 0, 0.2, 0, 0.5), 0.005)
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    spot = Spot(at_m=(0.08, 0.1, 0.25))
    heavy = Item("iron", Range.exact(9.0), spot=spot, finished=False)
    light = Item("bolt", Range.exact(0.4), spot=spot, finished=False, density_kg_m3=7850.0)
    form = Shape("rod", Spot(at_m=(0.08, 0.1, 0.0)), Spot(at_m=(0.08, 0.1, 0.4)), 0.06, 0.06)
    shaped = Item("leg", Range.exact(9.0), finished=False, shape=form)
    later = Item("plate", Range.exact(30.0), spot=spot)
    site = Site(items=(heavy, light, shaped, later))
    cavity = build_cavity(skin, frame, cell_m=0.01, irons=site.irons(frame))
    found = inside_found(site, cavity, build_levels(cavity))
    assert [(one.code, one.subject, str(one.severity)) for one in found] == [
        (Code.IRON_INSIDE, ("leg",), "note"),
        (Code.ITEM_WITHOUT_FORM, ("iron",), "warning"),
        (Code.ITEM_WITHOUT_FORM, ("bolt",), "note"),
    ]
    section = 0.15 * 0.19
    assert found[0]["share"] == pytest.approx(np.pi * 0.03**2 / section, rel=0.02)
    assert found[1]["volume_m3"] == pytest.approx(9.0 / 7850.0)
    assert found[1]["share"] == pytest.approx(9.0 / 7850.0 / 0.49 / section, rel=0.12)
    assert "shape" in sentence(found[1])
    assert "shape" not in sentence(found[2])
    assert cavity.irons[0].metal.heat_j_m3k == pytest.approx(470.0 * 9.0 / (np.pi * 0.03**2 * 0.4))


@pytest.mark.parametrize(
    ("iron", "section"),
    [
        (box("plate", [0.06, 0.06, 0.5], [0.18, 0.18, 0.505]), shapely.box(0.06, 0.06, 0.18, 0.18)),
        (box("sheet", [0.06, 0.06, 0.498], [0.18, 0.18, 0.5]), shapely.box(0.06, 0.06, 0.18, 0.18)),
        (box("post", [0.115, 0.115, 0.3], [0.121, 0.121, 0.7]), shapely.box(0.115, 0.115, 0.121, 0.121)),
        (bar("flat", [0.12, 0.12, 0.2], [0.12, 0.12, 0.9], 0.06, 0.005), shapely.box(0.09, 0.1175, 0.15, 0.1225)),
    ],
    ids=lambda one: getattr(one, "name", ""),
)
def test_a_hose_is_not_led_through_less_than_there_is_beside_a_thing(planned, iron, section):
    """A level plate 5 mm thick counted as 5 mm across: a hose was sent past it where no circle of its width fits."""
    made = planned(PIPE, cell=0.008, irons=(iron,))
    free = beside_irons_m(made.cavity, made.graph)
    level = int(iron.middle_m[2] / made.cavity.grid.cell_m)
    node = np.flatnonzero(made.graph.node_level == level)
    pipe = shapely.Point(0.12, 0.12).buffer(0.115, quad_segs=64)
    fits = 2.0 * shapely.maximum_inscribed_circle(pipe.difference(section)).length
    assert free[node].max() <= fits + 2.0 * made.cavity.grid.cell_m
    assert free[node].max() > 0.5 * fits


def test_a_hose_goes_down_the_leg_that_leads_to_the_lowest_floor(planned):
    """The other leg is wider, and counted although no way leads from it to that floor."""
    legs = trimesh.boolean.union(
        [cuboid(0, 0.05, 0, 0.2, 0, 0.9), cuboid(0.3, 0.6, 0, 0.2, 0.4, 0.9), cuboid(0, 0.6, 0, 0.2, 0.8, 1.0)],
        engine="manifold",
    )
    made = planned(legs, wall=0.004, cell=0.008)
    graph = made.graph
    every = np.arange(len(graph.node_level))
    floors = floors_of(graph, [every], graph.node_width_m)
    level = round(0.9 / made.cavity.grid.cell_m)
    node = int(np.flatnonzero(graph.node_level == level)[0])
    deep, narrow = floors.under(0, node, level, made.cavity.grid.cell_m)
    assert deep == pytest.approx(0.9, abs=0.02)
    assert narrow == pytest.approx(0.05 - 2 * 0.004, abs=0.01)
    wide = every[(graph.node_level == round(0.6 / 0.008)) & (graph.node_centroid_m[:, 0] > 0.3)]
    assert len(wide) == 1
    assert floors.under(0, int(wide[0]), round(0.6 / 0.008), 0.008)[1] == 0.0  # from there no hose gets down


def test_a_hole_in_a_limb_is_no_smaller_for_the_iron_that_stands_in_it(planned):
    """A leg 60 mm wide with an iron of 25 mm up its middle: a ring of 17 mm, and holes of 10 mm to pour through."""
    leg = trimesh.creation.cylinder(radius=0.035, height=0.6, sections=96)
    iron = rod("iron", [0.035, 0.035, 0.0], [0.035, 0.035, 0.5], 0.025)
    made = planned(leg, cell=0.004, irons=(iron,))
    width = limb_width_m(made.cavity, made.graph)
    beside = (made.graph.node_level > 5) & (made.graph.node_level < 120)
    assert width[beside] == pytest.approx(0.060, abs=0.006)
    assert made.graph.node_width_m[beside].max() < 0.025
    free = planned(leg, cell=0.004)
    np.testing.assert_allclose(limb_width_m(free.cavity, free.graph), free.graph.node_width_m)
