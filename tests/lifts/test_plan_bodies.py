"""Plans of plain bodies: what goes where, in what order, through which holes."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import trimesh

from pourwright.findings import Code, finding
from pourwright.lifts import HoleRules, ShopLimits
from pourwright.physics import orifice
from pourwright.wording.findings import sentence

NAMES = ["sphere", "legs", "horn", "u", "h", "arch", "hourglass"]


def _check(pour, name):
    return next(check for check in pour.checks if check.name == name)


@pytest.mark.parametrize("name", NAMES)
def test_every_body(bodies, planned, every_pour, name):
    made = planned(bodies[name])
    plan, graph = made.plan, made.graph
    share = np.zeros(len(graph.node_level))
    for pour in every_pour(plan):
        share[pour.nodes] += pour.shares
        assert pour.volume_m3 == pytest.approx((graph.node_volume_m3[pour.nodes] * pour.shares).sum(), rel=1e-12)
        assert pour.landings
        assert pour.vents
        assert not pour.shares.flags.writeable
    np.testing.assert_allclose(share, 1.0, atol=1e-12)
    assert sum(p.volume_m3 for p in every_pour(plan)) == pytest.approx(made.cavity.volume_m3, rel=1e-6)
    assert sum(lift.volume_m3 for lift in plan.lifts) == pytest.approx(made.cavity.volume_m3, rel=1e-6)
    assert [lift.number for lift in plan.lifts] == list(range(1, len(plan.lifts) + 1))
    for low, high in itertools.pairwise(plan.lifts):
        assert low.top_level == high.bottom_level
    assert plan.unreached_m3 == 0
    assert plan.lifts[-1].limit == "full"
    for lift in plan.lifts:
        assert [pour.name for pour in lift.pours] == [f"{lift.number}{'abcdef'[k]}" for k in range(len(lift.pours))]
        middles = [np.average(graph.node_centroid_m[p.nodes, 0], weights=p.shares) for p in lift.pours]
        if not any(pour.together or pour.after for pour in lift.pours):
            assert middles == sorted(middles)


@pytest.mark.parametrize("name", NAMES)
def test_marked_where_over_and_only_there(bodies, planned, every_pour, name):
    limits = ShopLimits(largest_batch_m3=0.0004, flow_distance_m=0.2)
    for pour in every_pour(planned(bodies[name], limits=limits).plan):
        for check in pour.checks:
            if check.verdict == "unknown":
                assert math.isnan(check.value) or math.isnan(check.limit)
            else:
                assert (check.verdict == "over") == (check.value > check.limit * (1 + 1e-9)), (pour.name, check)
        assert pour.rise_m <= 0.2
        assert pour.parts.total_m3 <= 0.0004 * (1 + 1e-9)


def test_two_legs_are_two_pours_up_to_the_join(bodies, planned):
    made = planned(bodies["legs"], limits=ShopLimits(hands=2))
    join = next(pool for pool in made.graph.pools if not pool.essential).merge_level
    seen = False
    for lift in made.lifts:
        if lift.top_level <= join:
            assert len(lift.pours) == 2
            assert not any(pour.together for pour in lift.pours)
        elif lift.bottom_level >= join:
            assert len(lift.pours) == 1
        else:
            seen = True
            a, b = lift.pours
            assert (a.together, b.together) == ((b.name,), (a.name,))
            own = [made.graph.node_volume_m3[p.nodes[p.shares == 1]].sum() for p in (a, b)]
            for pour, mine in zip((a, b), own, strict=True):
                above = pour.shares[made.graph.node_level[pour.nodes] >= join]
                np.testing.assert_allclose(above, mine / sum(own), rtol=1e-9)
            # both arrive at the join with the same share of their foam risen
            assert own[0] / a.volume_m3 == pytest.approx(own[1] / b.volume_m3, rel=1e-9)
            assert any(found.code == Code.POUR_TOGETHER for found in made.plan.warnings)
    assert seen


def test_one_person_pours_legs_that_join_one_after_the_other(bodies, planned, every_pour):
    """Two cups at once are more than two hands hold: one leg up to the join, then the other and what lies above."""
    made = planned(bodies["legs"])
    graph, plan = made.graph, made.plan
    join = next(pool for pool in graph.pools if not pool.essential).merge_level
    assert not any(pour.together for pour in every_pour(plan))
    assert {check.value for pour in every_pour(plan) for check in pour.checks if check.name == "hands"} == {1.0}
    lift = next(lift for lift in made.lifts if lift.bottom_level < join < lift.top_level)
    first, last = lift.pours
    assert (first.after, last.after) == ((), (first.name,))
    assert graph.node_level[first.nodes].max() == join - 1  # up to the join, and no farther
    assert not first.closes
    assert set(graph.node_level[last.nodes]) == set(range(lift.bottom_level, lift.top_level))
    # no liquid lands on the foam that has only just risen
    for landing in last.landings:
        cell = made.cavity.grid.cell_m
        at = np.floor((made.frame.to_standing(landing.point_m) - made.cavity.grid.origin_m) / cell + 1e-6).astype(int)
        under = at - [0, 0, 1]
        assert graph.label[tuple(under)] - 1 not in first.nodes
    assert finding(Code.POUR_AFTER, last.name, over=(first.name,)) in plan.warnings


def test_pours_at_once_need_a_person_for_every_cup(bodies, planned, every_pour):
    for hands in (1, 2, 3):
        for name in ("legs", "horn", "h", "arch"):
            for pour in every_pour(planned(bodies[name], limits=ShopLimits(hands=hands)).plan):
                (check,) = [check for check in pour.checks if check.name == "hands"]
                if pour.together:
                    assert check.value >= 1 + len(pour.together)
                    assert check.value <= hands  # else they go in turns
                assert not set(pour.together) & set(pour.after)


def test_join_that_needs_too_much_liquid_ends_the_lift(bodies, planned):
    """Each leg alone is well within a batch; both together with what lies above are not."""
    made = planned(bodies["legs"], limits=ShopLimits(largest_batch_m3=0.00075, max_lift_m=0.5, max_lift_reference="x"))
    join = next(pool for pool in made.graph.pools if not pool.essential).merge_level
    ends = [lift for lift in made.lifts if lift.limit == "join of pools"]
    assert ends
    for lift in ends:
        assert lift.top_level <= join
        assert lift.one_more.check.verdict == "over"


def test_a_level_more_than_a_lift_may_have_needs_what_its_cells_take(planned, every_pour):
    """A box of 290 by 290 mm inside: liquid of a lift is section times height times foam over liquid density."""
    made = planned(trimesh.creation.box(bounds=[[0, 0, 0], [0.3, 0.3, 0.9]]), limits=ShopLimits(largest_batch_m3=6e-4))
    share = made.plan.lifts[0].pours[0].parts.total_m3 / made.plan.lifts[0].volume_m3  # that of any open pour
    level = float(made.graph.level_m[1] - made.graph.level_m[0])
    told = [lift for lift in made.lifts if lift.one_more is not None]
    assert told
    for lift in told:
        more = lift.one_more
        assert lift.limit == more.check.name == "batch"
        assert more.check.limit == pytest.approx(6e-4)
        assert more.check.value == pytest.approx(0.29**2 * (more.top_m - max(lift.bottom_m, 0.005)) * share, rel=0.01)
        assert more.check.value - 0.29**2 * level * share <= 6e-4 * 1.001 < more.check.value  # the first too many
        assert more.short == (lift.top_m < more.top_m - 1.5 * level)
        assert not more.forced


def test_hanging_tip_is_full_before_foam_rises_past_it(bodies, planned):
    made = planned(bodies["horn"])
    tip = next(pool for pool in made.graph.pools if not pool.essential)
    filled_by, reached_by = 0, None
    for lift in made.lifts:
        for pour in lift.pours:
            own = pour.nodes[pour.shares == 1]
            if tip.node in own:
                assert made.graph.node_level[own].min() == tip.level
                assert made.graph.node_centroid_m[own, 0].min() > 0.35  # nothing of the trunk in it
            if lift.bottom_level < tip.merge_level:
                filled_by = lift.number
            if reached_by is None and lift.top_level > tip.merge_level:
                reached_by = lift.number
    assert filled_by <= reached_by


def test_one_hole_in_the_crown_serves_every_lift_of_a_sphere(bodies, planned, every_pour):
    made = planned(bodies["sphere"])
    (port,) = made.plan.ports
    (vent,) = made.plan.vents
    assert (port.way, port.hole_m, port.name) == ("drilled", 0.040, "P1")
    # Air leaves at the very top; the port is closed as the last foam rises, so what closes it has to leave that free.
    np.testing.assert_allclose(vent.point_m, [0, 0, 0.3], atol=0.012)
    assert 0.05 <= np.linalg.norm(port.point_m - vent.point_m) <= 0.08
    assert [pour.closes for pour in every_pour(made.plan)] == [False] * (len(made.lifts) - 1) + [True]
    height = port.measures.from_base_m
    assert height == pytest.approx(0.3 + np.sqrt(0.09 - np.hypot(*port.point_m[:2]) ** 2), abs=0.002)
    assert not any("for both" in sentence(found) for found in made.plan.warnings)
    (closing,) = made.plan.closings
    assert (closing.hole, closing.before, closing.inside) == ("P1", *2 * [made.lifts[-1].pours[0].name])
    for lift in made.lifts:
        (landing,) = lift.pours[0].landings
        floor = made.frame.to_standing(landing.point_m)[2]
        assert lift.bottom_m - 1e-9 <= floor <= lift.bottom_m + 0.011
        assert landing.fall_m == pytest.approx(height - floor, abs=0.003)
        assert landing.flow_distance_m <= (0.3 + np.hypot(*port.point_m[:2])) * 1.09


def test_two_holes_do_for_an_h(bodies, planned):
    """Each upright needs its own hole for what lies below the bar; the bar is reached from them."""
    made = planned(bodies["h"])
    assert len(made.plan.ports) == 2
    xs = sorted(port.point_m[0] for port in made.plan.ports)
    assert xs[0] < 0.2
    assert xs[1] > 0.5


def test_a_shorter_reach_takes_more_ports(bodies, planned, every_pour):
    near = planned(bodies["arch"], limits=ShopLimits(flow_distance_m=0.16)).plan
    far = planned(bodies["arch"], limits=ShopLimits(flow_distance_m=0.6)).plan
    assert len(near.ports) > len(far.ports)
    for plan, reach in ((near, 0.16), (far, 0.6)):
        assert max(landing.flow_distance_m for pour in every_pour(plan) for landing in pour.landings) <= reach


def test_each_arm_of_a_u_closes_and_is_vented(bodies, planned, foam):
    made = planned(bodies["u"])
    last = made.lifts[-1]
    assert [pour.closes for pour in last.pours] == [True, True]
    dense = foam().closed_density_kg_m3.nominal
    for pour in last.pours:
        assert pour.foam_kg.nominal == pytest.approx(dense * pour.volume_m3)
        assert pour.parts.total_kg == pytest.approx(pour.foam_kg.nominal)
        assert len(pour.vents) == 4  # level caps: air stays in their corners
    assert last.pours[0].vents[0].point_m[0] < 0.2 < 0.5 < last.pours[1].vents[0].point_m[0]
    assert made.lifts[0].pours[0].foam_kg.nominal == pytest.approx(
        foam().open_density_kg_m3.nominal * made.lifts[0].volume_m3
    )


def test_vent_passes_the_air_of_the_fastest_lift(bodies, planned, foam):
    made = planned(bodies["sphere"])
    (vent,) = made.plan.vents
    rise_s = foam().rise_end_s - foam().cream_s
    most = max(lift.volume_m3 for lift in made.lifts)
    assert vent.air_m3_s == pytest.approx(2.5 * most / rise_s, rel=1e-9)
    drills = sorted(ShopLimits().drill_m)
    assert vent.holes * orifice.orifice_flow(vent.hole_m, 100.0) >= vent.air_m3_s
    smaller = [d for d in drills if d < vent.hole_m]
    assert not smaller or vent.holes * orifice.orifice_flow(smaller[-1], 100.0) < vent.air_m3_s


def test_open_bowl_is_poured_over_its_surface(bodies, planned, every_pour, cap_of):
    mesh = bodies["bowl"]
    made = planned(mesh, cap=cap_of(mesh, 0.05))
    (port,) = made.plan.ports
    assert (port.way, port.opening, port.hole_m) == ("open surface", "opening 1", 0.0)
    assert [(vent.way, vent.hole_m) for vent in made.plan.vents] == [("opening", 0.0)]
    assert not any(pour.closes for pour in every_pour(made.plan))


def test_opening_that_looks_down_is_closed_and_drilled_over(bodies, planned, cap_of):
    mesh = bodies["bowl"].copy()
    mesh.apply_transform(np.diag([1.0, 1.0, -1.0, 1.0]))
    made = planned(mesh, cap=cap_of(mesh, -0.05, -1.0))
    assert [port.way for port in made.plan.ports] == ["drilled"]
    assert made.lifts[-1].pours[0].closes
    assert any(found.code == Code.LOOKS_SIDEWAYS for found in made.plan.warnings)


def test_small_opening_is_preferred_to_a_hole(planned, cap_of):
    """A box with a hatch in its lid: everything is poured through the hatch, the corners stay within reach."""
    import trimesh

    mesh = trimesh.boolean.union(
        [
            trimesh.creation.box(bounds=[[-0.2, -0.2, 0.0], [0.2, 0.2, 0.4]]),
            trimesh.creation.box(bounds=[[-0.05, -0.05, 0.3], [0.05, 0.05, 0.45]]),
        ],
        engine="manifold",
    )
    made = planned(mesh, cap=cap_of(mesh, 0.45))
    assert [(port.way, port.opening) for port in made.plan.ports] == [("opening", "opening 1")]
    assert not made.lifts[-1].pours[0].closes


def test_tip_under_an_overhang_cannot_be_reached(planned):
    """A pool whose only way up is blocked by the body close over it: said, with its volume and place."""
    import trimesh

    mesh = trimesh.boolean.union(
        [
            trimesh.creation.box(bounds=[[0.0, 0.0, 0.0], [0.2, 0.2, 0.8]]),
            trimesh.creation.box(bounds=[[0.0, 0.0, 0.6], [0.6, 0.2, 0.8]]),  # the overhang
            trimesh.creation.box(bounds=[[0.35, 0.02, 0.2], [0.55, 0.18, 0.5]]),  # the tip, 0.1 m under it
            trimesh.creation.box(bounds=[[0.1, 0.05, 0.4], [0.5, 0.15, 0.5]]),  # the way into it
        ],
        engine="manifold",
    )
    made = planned(mesh, limits=ShopLimits(holes=HoleRules(side=False)))
    missed = [pour for lift in made.lifts for pour in lift.pours if not pour.landings]
    assert missed
    assert planned(mesh).plan.unreached_m3 == 0  # but by a hole in its side
    assert made.plan.unreached_m3 == pytest.approx(sum(pour.volume_m3 for pour in missed))
    for pour in missed:
        assert _check(pour, "flow distance").verdict == "unknown"
        assert made.graph.node_centroid_m[pour.nodes[pour.shares == 1], 0].min() > 0.3
    assert any(found.code == Code.NOT_REACHED for found in made.plan.warnings)


def test_both_faces_are_drilled_from_outside(planned):
    """A wall drawn with both faces: holes are given on the outside face, not on the face of the void."""
    import trimesh

    from pourwright.shell import SkinKind

    outside = trimesh.creation.box(bounds=[[-0.3, -0.3, 0.0], [0.3, 0.3, 0.6]])
    void = trimesh.creation.icosphere(subdivisions=4, radius=0.25)
    void.apply_translation([0, 0, 0.3])
    void.invert()
    whole = trimesh.util.concatenate([outside, void])
    marks = np.arange(len(whole.faces)) >= len(outside.faces)
    made = planned(whole, wall=None, kind=SkinKind.BOTH_FACES, void=marks)
    for hole in (*made.plan.ports, *made.plan.vents):
        assert hole.way == "drilled"
        assert hole.point_m[2] == pytest.approx(0.6, abs=1e-6)
        assert hole.measures.from_base_m == pytest.approx(0.6, abs=1e-6)


def test_where_not_even_one_level_will_do_the_lift_is_one_level_and_marked(bodies, planned, every_pour):
    """1 cm of the sphere's middle takes 118 mL of liquid: no lift there with 50 mL at a time, thin ones at the ends."""
    made = planned(bodies["sphere"], limits=ShopLimits(largest_batch_m3=5e-5))
    over = [p for p in every_pour(made.plan) if _check(p, "hands").verdict == "over"]
    assert over
    for lift in made.lifts:
        if lift.pours[0] in over:
            assert lift.top_level - lift.bottom_level == 1
            assert lift.limit == "batch"
            assert lift.one_more.forced
            assert lift.one_more.top_m == pytest.approx(lift.top_m)
            assert lift.pours[0].batches > 1
    assert any(found.code == Code.OVER_LIMIT and found["check"] == "hands" for found in made.plan.warnings)
    assert sum(p.volume_m3 for p in every_pour(made.plan)) == pytest.approx(made.cavity.volume_m3, rel=1e-6)
