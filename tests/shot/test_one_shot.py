"""A closed cavity filled in one shot: cooler, pontoon, skiff, and a tank with kiss-offs, made from boxes."""

import numpy as np
import pytest
from trimesh.creation import box, cylinder

from pourwright.errors import JobError


def at_floor(mesh):
    mesh.apply_translation((0, 0, -mesh.bounds[0, 2]))
    return mesh


def pontoon():
    return at_floor(box((4.05, 0.879, 0.45)))


def cooler():
    inner = box((0.68, 0.38, 0.5))
    inner.apply_translation((0, 0, 0.06))
    return at_floor(box((0.8, 0.5, 0.5)).difference(inner))


def skiff():
    cockpit = box((2.4, 0.8, 0.5))
    cockpit.apply_translation((0, 0, 0.15))
    return at_floor(box((3.2, 1.2, 0.5)).difference(cockpit))


def tank(pass_m=None):
    """1.2 x 0.8 x 0.2 m with four kiss-offs right through; with ``pass_m`` also a partition with a pass at its foot."""
    mesh = box((1.2, 0.8, 0.2))
    for x in (-0.3, 0.3):
        for y in (-0.2, 0.2):
            post = cylinder(0.06, 1.0, sections=24)
            post.apply_translation((x, y, 0))
            mesh = mesh.difference(post)
    if pass_m is not None:
        long = box((0.03, 2.0, 0.2))  # a groove from above, from side to side
        long.apply_translation((0, 0, pass_m))
        mesh = mesh.difference(long)
    return at_floor(mesh)


def landings(doc):
    return [landing for lift in doc["lifts"] for pour in lift["pours"] for landing in pour["landings"]]


@pytest.mark.parametrize(
    ("make", "cell", "lid_m2"),
    [(pontoon, "30 mm", 4.04 * 0.869), (cooler, "12 mm", 0.79 * 0.49), (skiff, "25 mm", 3.19 * 1.19)],
)
def test_each_is_one_shot_with_window_weights_forces_release_and_cost(shoot, make, cell, lid_m2):
    doc = shoot(make(), cell)
    assert len(doc["lifts"]) == 1
    window = doc["fill"]["packing"]
    assert 1.0 <= window["lowest"] <= window["chosen"] <= window["highest"]
    foam = doc["lifts"][0]["pours"][0]["foam_kg"]
    assert sum(one["kg"] for one in landings(doc)) == pytest.approx(foam, rel=1e-6)
    for one in landings(doc):
        assert one["seconds"] == pytest.approx(one["kg"] / 0.6)
    top = next(face for face in doc["fixture"]["faces"] if face["name"] == "top")
    assert top["area_m2"] == pytest.approx(lid_m2, rel=0.02)
    assert top["force_n"]["likely"] == pytest.approx(doc["fixture"]["pressure_pa"] * top["area_m2"])
    assert top["force_n"]["likely"] <= top["force_n"]["high"]
    assert doc["foam"]["rise_end_s"] < doc["fixture"]["release_s"] < 6 * 3600
    for one in doc["fixture"]["releases"]:  # softer foam is never opened sooner
        assert one["softer_s"] is None or one["softer_s"] >= one["seconds"]
    series = doc["series"]
    assert series["cost_per_part"] > foam * 4.5
    assert series["parts_per_shift"] >= 12
    assert series["cycle_s"] >= series["closed_cycle_s"] * (1 - 1e-9)


def test_the_lid_of_the_pontoon_is_pushed_by_its_pressure_on_its_area(shoot):
    """By hand: 4.05 m x 0.879 m = 3.56 m2; at 22 kPa 78 kN (17 600 lbf); the foam pushes on 5 mm less all round."""
    doc = shoot(pontoon(), "30 mm", settings={"foam.packing": 1.21})
    top = next(face for face in doc["fixture"]["faces"] if face["name"] == "top")
    outside = 78e3 / 22e3 * doc["fixture"]["pressure_pa"]
    assert top["force_n"]["likely"] == pytest.approx(outside * (4.04 * 0.869) / (4.05 * 0.879), rel=0.02)
    assert np.allclose(top["point_m"][:2], 0.0, atol=0.005)
    assert not [face["name"] for face in doc["fixture"]["faces"] if face["name"].startswith("core")]


def test_a_packing_of_the_job_is_taken_and_judged(shoot):
    doc = shoot(cooler(), "15 mm", settings={"foam.packing": 1.6})
    assert doc["fill"]["packing"]["chosen"] == 1.6
    assert doc["fill"]["packing"]["given"]
    over = [check["name"] for check in doc["checks"] if check["verdict"] == "over"]
    assert "packing that holds" in over
    assert doc["status"] == "over a limit: do not pour"


def test_a_weak_fixture_closes_the_window_and_says_so(shoot):
    doc = shoot(cooler(), "15 mm", settings={"fixture.pressure": "4 kPa"})
    window = doc["fill"]["packing"]
    assert window["highest"] < window["lowest"]
    assert "fixture" in window["closed_by"]
    assert doc["status"] == "over a limit: do not pour"


def test_a_slow_machine_is_the_only_thing_that_cuts_lifts(shoot):
    doc = shoot(pontoon(), "40 mm", settings={"shop.machine.output": "0.1 kg/s"})
    assert len(doc["lifts"]) > 1


def test_foam_goes_round_four_kiss_offs(shoot):
    """Straight across, the far corner is less than a metre away; round the posts the way is as long or longer."""
    doc = shoot(tank(), "12 mm")
    (flow,) = doc["fill"]["flow"]
    assert flow["unreached_m3"] == 0.0
    port = next(one for one in doc["ports"])["point_m"]
    straight = np.hypot(*(np.array(flow["last_point_m"])[:2] - np.array(port)[:2]))
    assert straight * 0.99 <= flow["length_m"] <= 1.25 * straight + 0.2
    full = 1.19 * 0.79 * 0.19 - 4 * np.pi * 0.065**2 * 0.19
    assert doc["cavity"]["volume_m3"] == pytest.approx(full, rel=0.02)
    assert not [word for word in doc["warnings"] if "stays empty" in word]


def test_a_pass_that_is_closed_leaves_a_void_behind_it(shoot):
    """A groove across leaves a pass under it; closed, with nothing drilled on the right, no foam gets there."""
    left = '[[keep_out]]\nlow = ["-0.1 m", "-1 m", "-1 m"]\nhigh = ["2 m", "1 m", "1 m"]\n'
    opened = shoot(tank(0.06), "12 mm")  # 50 mm of room under the groove, air let out on both sides
    closed = shoot(tank(0.01), "12 mm", more=left)  # two walls of 5 mm meet
    assert opened["fill"]["packing"]["lowest"] >= 1.0
    assert opened["unreached_m3"] == 0.0
    behind = 0.5 * 1.19 * 0.79 * 0.19 - 2 * np.pi * 0.065**2 * 0.19 - 0.02 * 0.79 * 0.19
    assert closed["unreached_m3"] == pytest.approx(behind, rel=0.05)
    assert closed["fill"]["packing"]["lowest"] is None
    assert closed["fill"]["packing"]["closed_by"]
    assert closed["status"] != "planned"
    assert not [word for word in opened["warnings"] if "creams" in word]  # nothing is mixed in a cup


def test_the_job_refuses_a_fixture_without_a_machine_and_hands_with_one(tmp_path, shoot):
    with pytest.raises(JobError, match=r"shop\.hands"):
        shoot(cooler(), settings={"shop.hands": 2})
    from pourwright.intake import job_from_shell

    with pytest.raises(JobError, match=r"shop\.machine"):
        job_from_shell(tmp_path / "part.ply", {"foam.grade": "rigid-2", "wall.thickness": "5 mm", "series.parts": 5})
