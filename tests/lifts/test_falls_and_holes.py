"""How liquid gets down, and where holes may be: against distances that trimesh finds on the shell, and by hand."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from tests.lifts.conftest import box, joined

from pourwright.errors import LimitError
from pourwright.findings import Code
from pourwright.foam import parts_for
from pourwright.lifts import HoleRules, KeepOut, ShopLimits

WALL = 0.005


def _landings(made):
    return [(pour, one) for lift in made.plan.lifts for pour in lift.pours for one in pour.landings]


def _drilled(made):
    return [port for port in made.plan.ports if port.way == "drilled"]


def _off_the_wall(mesh, made, landing, ends):
    """Least level distance from the shell's outside on the way down, less the wall: the shell's sides are upright."""
    top = made.frame.to_standing(landing.port.point_m)[2]
    x, y, low = made.frame.to_standing(landing.point_m)
    heights = np.arange(low + ends, top - ends, 0.02)
    outside = trimesh.Trimesh(made.frame.to_standing(mesh.vertices), mesh.faces)
    rays = []
    for turn in np.linspace(0, 2 * np.pi, 72, endpoint=False):
        away = np.array([np.cos(turn), np.sin(turn), 0.0])
        start = np.column_stack([np.full(len(heights), x), np.full(len(heights), y), heights])
        hits, which, _ = outside.ray.intersects_location(start, np.tile(away, (len(heights), 1)), multiple_hits=False)
        rays += list(np.linalg.norm((hits - start[which])[:, :2], axis=1))
    return min(rays) - WALL


@pytest.mark.parametrize("radius", [0.12, 0.06])
def test_clearance_of_a_fall_down_a_pipe(planned, radius):
    """An upright pipe, 1.1 m: a fall straight where it clears the wall by what is due, else by tube."""
    pipe = trimesh.creation.cylinder(radius=radius, height=1.1, sections=96)
    made = planned(pipe, cell=0.005)
    deep = [one for _, one in _landings(made) if one.fall_m > 0.5]
    assert deep
    for one in deep:
        assert one.clearance_m == pytest.approx(
            min(_off_the_wall(pipe, made, one, 0.06), 0.075),
            abs=0.0076,  # farther off is not looked
        )
        assert one.clearance_m <= _off_the_wall(pipe, made, one, 0.06) + 1e-6  # never farther than it is
        assert (one.tube is None) == (one.clearance_m >= 0.015 + 0.02 * one.fall_m)
    if radius > 0.1:  # in the narrow one the vent in the middle of the lid keeps the hole off the axis
        assert all(one.tube is None for one in deep)


def test_no_fall_is_longer_than_is_poured_free(planned):
    """A shaft of 0.4 m by 0.4, 2.5 m deep: from 2 m up (our judgement) liquid is led down, however wide it is."""
    shaft = trimesh.creation.box(bounds=[[0, 0, 0], [0.4, 0.4, 2.5]])
    made = planned(shaft, cell=0.02, limits=ShopLimits(holes=HoleRules(side=False)))
    ways = [(one.fall_m, one.tube) for _, one in _landings(made)]
    assert max(fall for fall, _ in ways) > 2.2
    assert all((tube is not None) == (fall > 2.0) for fall, tube in ways)


def test_a_pipe_too_narrow_for_a_fall_gets_a_tube(planned):
    """Inside radius 25 mm, 1.1 m deep: 37 mm are due for a fall; a tube goes through the hole and hangs free."""
    pipe = trimesh.creation.cylinder(radius=0.03, height=1.1, sections=96)
    made = planned(pipe, cell=0.004, limits=ShopLimits(holes=HoleRules(side=False)))
    deep = [(pour, one) for pour, one in _landings(made) if one.fall_m > 0.6]
    assert deep
    for pour, one in deep:
        assert one.tube is not None
        assert one.tube.stiff
        assert one.tube.bore_m + 0.005 <= one.port.hole_m - 0.004 + 1e-9  # wall of the tube; air beside it
        assert one.tube.length_m == pytest.approx(one.fall_m - 0.3 + 0.1)
        assert 0 < one.tube.left_kg < 0.5 * 1100 * np.pi * (one.tube.bore_m / 2) ** 2 * one.tube.length_m
        assert not [check for check in pour.checks if check.name == "fall of the liquid" and check.verdict != "ok"]


def test_a_tube_that_passes_a_batch_too_late_is_over_the_limit(planned, foam):
    """The same pipe: what is mixed longer than it takes to cream does not run down a tube any more."""
    pipe = trimesh.creation.cylinder(radius=0.03, height=1.1, sections=96)
    cream = foam().cream_s
    for mix_s, verdict in ((0.2 * cream, "ok"), (0.995 * cream, "over")):
        shop = ShopLimits(mix_s=mix_s, pour_rate_m3_s=5e-3, holes=HoleRules(side=False))  # faster than a tube
        made = planned(pipe, cell=0.004, limits=shop)
        deep = [(pour, one) for pour, one in _landings(made) if one.tube is not None]
        assert deep
        pour, one = max(deep, key=lambda pair: pair[0].batch.total_m3)
        (found,) = [check for check in pour.checks if check.name == "time down a tube"]
        assert found.value == pytest.approx(mix_s + pour.batch.total_m3 / one.tube.flow_m3_s)
        assert found.limit == pytest.approx(cream)
        assert found.verdict == verdict


def test_a_limb_that_nothing_goes_down_says_so(planned):
    """Inside 9 mm wide and 0.9 m deep: no tube goes down; the pour is over the limit and says what would help."""
    made = planned(joined(box(0, 0.019, 0, 0.3, 0, 0.9), box(0, 0.019, 0, 0.3, 0.85, 0.95)), cell=0.003)
    deep = [pour for pour, one in _landings(made) if one.fall_m > 0.5]
    assert deep
    for pour in deep:
        found = next(check for check in pour.checks if check.name == "fall of the liquid")
        assert found.verdict == "over"
        assert "hole lower down" in found.remedy
    assert any(found.code == Code.OVER_LIMIT and found["check"] == "fall of the liquid" for found in made.plan.warnings)


def test_what_goes_in_at_each_port_is_the_pours_liquid(planned, foam, bodies):
    made = planned(box(0, 2.2, 0, 0.2, 0, 0.15), cell=0.01)
    shared = [pour for lift in made.plan.lifts for pour in lift.pours if len(pour.landings) > 1]
    assert shared
    for pour in shared:
        assert sum(one.kg for one in pour.landings) == pytest.approx(parts_for(foam(), pour.foam_kg.nominal).total_kg)
        assert min(one.kg for one in pour.landings) > 0.1 * pour.parts.total_kg / len(pour.landings)


def test_a_hole_keeps_its_flange_off_edges_and_side_walls(planned):
    """A lid 80 mm deep: a 40 mm hole with an 8 mm flange keeps off its edges and off the walls under it."""
    lid = box(0, 0.9, 0, 0.08, 0, 0.25)
    made = planned(lid, cell=0.004)
    for port in _drilled(made):
        x, y, _ = port.point_m
        to_edge = min(x, 0.9 - x, y, 0.08 - y) - 0.5 * port.hole_m
        to_wall = to_edge - WALL
        assert port.room_m <= to_edge + 1e-6
        assert port.room_m >= 0.008 - 1e-6
        assert to_wall >= 0.008 - 0.004  # to a cell
        assert port.flange_m == pytest.approx(port.hole_m + 0.016)


def test_a_narrow_lid_gets_a_smaller_hole(planned):
    made = planned(box(0, 0.7, 0, 0.052, 0, 0.25), cell=0.003)
    for port in _drilled(made):
        x, y, _ = port.point_m
        assert port.hole_m in (0.016, 0.020, 0.025)
        assert min(x, 0.7 - x, y, 0.052 - y) - 0.5 * port.hole_m >= 0.008 - 1e-9


def test_no_hole_on_the_front_where_another_will_do(planned):
    """A ridge roof whose ridge runs from left to right: its front and its back slope are alike."""
    roof = trimesh.Trimesh(*_prism(), process=False)
    slopes = {"not front": {"hidden", "other"}, "hidden": {"hidden"}}
    for prefer, allowed in slopes.items():
        made = planned(roof, cell=0.008, limits=ShopLimits(holes=HoleRules(prefer=prefer)))
        assert {port.face for port in _drilled(made)} <= allowed
        for port in _drilled(made):
            assert (port.face == "hidden") == (port.point_m[1] > 0.2)


def test_front_is_the_side_that_the_job_calls_front(planned):
    """Turned round, the hole is on the other slope."""
    roof = trimesh.Trimesh(*_prism(), process=False)
    rules = ShopLimits(holes=HoleRules(prefer="hidden"))
    one, other = planned(roof, cell=0.008, limits=rules), planned(roof, cell=0.008, limits=rules, front=(0, 1.0, 0))
    assert all(port.point_m[1] > 0.2 for port in _drilled(one))
    assert all(port.point_m[1] < 0.2 for port in _drilled(other))


def test_no_port_in_a_region_kept_free(planned):
    body = box(0, 0.6, 0, 0.4, 0, 0.3)
    middle = KeepOut(box_m=((0.15, -1.0, -1.0), (0.45, 1.0, 1.0)))
    made = planned(body, cell=0.01, limits=ShopLimits(holes=HoleRules(keep_out=(middle,))))
    assert _drilled(made)
    assert all(not 0.15 <= port.point_m[0] <= 0.45 for port in _drilled(made))


def test_nothing_can_be_poured_where_all_of_the_top_is_kept_free(planned):
    body = box(0, 0.6, 0, 0.4, 0, 0.3)
    top = KeepOut(from_base_m=0.2)
    for rules in (HoleRules(keep_out=(top,), side=False), HoleRules(keep_out=(top, KeepOut(to_base_m=0.2)))):
        made = planned(body, cell=0.01, limits=ShopLimits(holes=rules))
        assert not made.plan.ports
        assert made.plan.unreached_m3 == pytest.approx(made.cavity.volume_m3, rel=0.02)


def test_where_all_of_the_top_is_kept_free_a_hole_in_the_side_leads_in(planned):
    body = box(0, 0.6, 0, 0.4, 0, 0.3)
    made = planned(body, cell=0.01, limits=ShopLimits(holes=HoleRules(keep_out=(KeepOut(from_base_m=0.2),))))
    assert made.plan.ports
    assert all(port.sideways and port.measures.from_base_m < 0.2 for port in made.plan.ports)
    assert made.plan.unreached_m3 < made.cavity.volume_m3


def test_a_port_that_the_job_asks_for_is_there_and_used(planned):
    body = box(0, 0.6, 0, 0.4, 0, 0.3)
    made = planned(body, cell=0.01, limits=ShopLimits(holes=HoleRules(at_m=((0.1, 0.3, 0.31),))))
    port = made.plan.ports[0]
    assert port.name == "P1"
    assert port.point_m == pytest.approx([0.1, 0.3, 0.3], abs=1e-9)
    assert any(one.port.name == "P1" for _, one in _landings(made))
    with pytest.raises(LimitError, match=r"port\[1\]\.at: nothing of the cavity lies straight under it"):
        planned(body, cell=0.01, limits=ShopLimits(holes=HoleRules(at_m=((0.3, 0.2, -0.1),))))


def _prism():
    """A house end: 0.8 long, 0.4 deep, eaves at 0.3, ridge at 0.45."""
    y = [0.0, 0.4, 0.4, 0.2, 0.0]
    z = [0.0, 0.0, 0.3, 0.45, 0.3]
    points = np.array([[x, a, b] for x in (0.0, 0.8) for a, b in zip(y, z, strict=True)])
    ends = [[0, 1, 2], [0, 2, 3], [0, 3, 4]]
    faces = [[a, c, b] for a, b, c in ends] + [[a + 5, b + 5, c + 5] for a, b, c in ends]
    for k in range(5):
        j = (k + 1) % 5
        faces += [[k, j, j + 5], [k, j + 5, k + 5]]
    mesh = trimesh.Trimesh(points, faces)
    mesh.fix_normals()
    return mesh.vertices, mesh.faces
