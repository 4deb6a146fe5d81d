"""What the foam of each port fills, how far it goes and how dense it is near and far: a long box of several ports."""

import numpy as np
import pytest
from trimesh.creation import box


@pytest.fixture
def pontoon(shoot):
    mesh = box((4.05, 0.879, 0.45))
    mesh.apply_translation((0, 0, 0.225))
    return shoot(mesh, "40 mm", more="")


def test_what_the_ports_fill_is_all_that_is_filled(pontoon):
    (flow,) = pontoon["fill"]["flow"]
    assert len(flow["ports"]) > 1
    assert {one["port"] for one in flow["ports"]} == {shot["port"] for shot in pontoon["fill"]["shots"]}
    assert sum(one["volume_m3"] for one in flow["ports"]) == pytest.approx(pontoon["cavity"]["volume_m3"], rel=0.01)


def test_the_last_place_of_each_port_lies_no_nearer_to_another_in_a_straight_line(pontoon):
    """A box has nothing to go round: the nearest port in a straight line is the nearest on foot, to a tenth."""
    (flow,) = pontoon["fill"]["flow"]
    landed = {one["port"]: np.array(one["point_m"]) for lift in pontoon["lifts"] for pour in lift["pours"]
              for one in pour["landings"]}  # fmt: skip
    for one in flow["ports"]:
        far = {name: np.linalg.norm(np.array(one["last_point_m"]) - at) for name, at in landed.items()}
        assert far[one["port"]] <= 1.1 * min(far.values())
        assert 0.97 * far[one["port"]] <= one["length_m"] <= 1.11 * far[one["port"]] + 0.04
    assert flow["length_m"] == max(one["length_m"] for one in flow["ports"])
    assert flow["last_point_m"] == flow["ports"][0]["last_point_m"]


def test_foam_is_densest_at_its_port_and_its_mean_is_what_was_shot(pontoon):
    """Pressure falls as 1 - x2/L2 and the gas by Boyle: no mean lies beyond near and far, and a strip's is by hand."""
    (flow,) = pontoon["fill"]["flow"]
    foam = sum(shot["kg"] for shot in pontoon["fill"]["shots"])
    for one in flow["ports"]:
        near, far = one["near_density_kg_m3"], one["far_density_kg_m3"]
        assert far < foam / pontoon["cavity"]["volume_m3"] < near
        mean = far + (near - far) * 2 / 3
        assert mean == pytest.approx(foam / pontoon["cavity"]["volume_m3"], rel=0.02)
    longest, shortest = flow["ports"][0], flow["ports"][-1]
    assert longest["near_density_kg_m3"] >= shortest["near_density_kg_m3"]


def test_chambers_stand_in_the_plan_with_their_volumes_and_middles(shoot):
    """Two closed boxes in one file, 5 mm of wall: inside 0.59 x 0.39 x 0.29 m and 0.29 x 0.39 x 0.29 m."""
    large, small = box((0.6, 0.4, 0.3)), box((0.3, 0.4, 0.3))
    large.apply_translation((0.3, 0.0, 0.15))
    small.apply_translation((0.8, 0.0, 0.15))
    first, second = shoot(large + small, "15 mm", more="")["cavity"]["parts"]
    assert first["volume_m3"] == pytest.approx(0.59 * 0.39 * 0.29, rel=0.01)
    assert second["volume_m3"] == pytest.approx(0.29 * 0.39 * 0.29, rel=0.01)
    assert first["centroid_m"] == pytest.approx((0.3, 0.0, 0.15), abs=0.003)
    assert second["centroid_m"] == pytest.approx((0.8, 0.0, 0.15), abs=0.003)
