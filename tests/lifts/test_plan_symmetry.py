"""Plans of plain bodies that have to be alike: again, mirrored, turned, left half done; and more hands never hurt."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pourwright.lifts import ShopLimits

NAMES = ["sphere", "legs", "horn", "u", "h", "arch", "hourglass"]


def test_planning_what_is_left(bodies, planned, every_pour):
    """From a poured surface up: the rest alone, no more lifts than the whole plan has there."""
    whole = planned(bodies["legs"])
    start = whole.lifts[1].top_level
    rest = planned(bodies["legs"], start=start)
    assert rest.lifts[0].bottom_level == start
    assert rest.lifts[0].number == 1
    left = whole.graph.node_volume_m3[whole.graph.node_level >= start].sum()
    assert sum(pour.volume_m3 for pour in every_pour(rest.plan)) == pytest.approx(left, rel=1e-9)
    assert len(rest.lifts) == len(whole.lifts) - 2
    # it lands on foam: the lower face is insulated, so the wait is the longer one
    assert rest.lifts[0].pours[0].wait_s == pytest.approx(whole.lifts[2].pours[0].wait_s)
    partway = planned(bodies["legs"], start=start - 3)
    assert partway.lifts[0].bottom_level == start - 3
    assert sum(p.volume_m3 for p in every_pour(partway.plan)) > left


def test_same_input_same_plan(bodies, planned, every_pour):
    a, b = planned(bodies["horn"]), planned(bodies["horn"].copy())
    assert repr(_flat(a, every_pour)) == repr(_flat(b, every_pour))


def _flat(made, every_pour):
    return [
        (
            p.name,
            p.volume_m3,
            p.wait_s,
            p.checks,
            [(x.port.name, x.point_m.tolist(), x.flow_distance_m) for x in p.landings],
        )
        for p in every_pour(made.plan)
    ]


@pytest.mark.parametrize("name", ["legs", "horn", "hourglass"])
def test_mirrored_shell_mirrored_plan(bodies, planned, every_pour, name):
    mesh = bodies[name]
    mirror = mesh.copy()
    mirror.apply_transform(np.diag([-1.0, 1.0, 1.0, 1.0]))
    a, b = planned(mesh), planned(mirror)
    assert [(x.bottom_level, x.top_level) for x in a.lifts] == [(x.bottom_level, x.top_level) for x in b.lifts]
    for one, other in zip(a.lifts, b.lifts, strict=True):
        volumes = [sorted(p.volume_m3 for p in lift.pours) for lift in (one, other)]
        assert volumes[0] == pytest.approx(volumes[1], rel=1e-6)
    flip = np.array([-1.0, 1.0, 1.0])
    # The hourglass is its own mirror image: a hole beside its middle has a twin that is as good.
    side = np.abs if name == "hourglass" else np.asarray
    for kind in ("ports", "vents"):
        left = sorted(side((p.point_m * flip).round(6)).tolist() for p in getattr(a.plan, kind))
        right = sorted(side(p.point_m.round(6)).tolist() for p in getattr(b.plan, kind))
        np.testing.assert_allclose(left, right, atol=0.0101)


def test_turned_shell_and_direction_same_plan(bodies, planned):
    mesh = bodies["horn"]
    turn = np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0]])  # axes handed on by one
    matrix = np.eye(4)
    matrix[:3, :3] = turn
    turned = mesh.copy()
    turned.apply_transform(matrix)
    a = planned(mesh)
    b = planned(turned, up=turn @ [0, 0, 1.0], front=turn @ [0, -1.0, 0])
    assert [(x.bottom_level, x.top_level, x.limit) for x in a.lifts] == [
        (x.bottom_level, x.top_level, x.limit) for x in b.lifts
    ]
    for one, other in zip(a.lifts, b.lifts, strict=True):
        for p, q in zip(one.pours, other.pours, strict=True):
            assert p.volume_m3 == pytest.approx(q.volume_m3, rel=1e-6)
            for x, y in zip(p.landings, q.landings, strict=True):
                np.testing.assert_allclose(turn @ x.point_m, y.point_m, atol=1e-6)
    for p, q in zip(a.plan.ports, b.plan.ports, strict=True):
        np.testing.assert_allclose(turn @ p.point_m, q.point_m, atol=1e-6)
        assert (
            vars(p.measures)
            if hasattr(p.measures, "__dict__")
            else p.measures.from_base_m == pytest.approx(q.measures.from_base_m, abs=1e-6)
        )


def test_more_hands_or_a_bigger_cup_never_take_more_lifts(bodies, planned):
    base = ShopLimits(largest_batch_m3=0.0003)
    counts = [
        len(planned(bodies["sphere"], limits=replace(base, **change)).lifts)
        for change in ({}, {"hands": 2}, {"largest_batch_m3": 0.0006}, {"hands": 4})
    ]
    assert counts[0] > counts[1]
    assert counts[1] == counts[2]
    assert counts[3] <= counts[2]
