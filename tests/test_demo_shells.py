"""The demo pieces are what their jobs say: size, skin, pools and pockets, in the standing direction and turned."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity, build_levels, pour_frame
from pourwright.intake import read_job
from pourwright.plan import make_plan
from pourwright.shell import SkinKind, load_skin

DEMOS = Path(__file__).resolve().parents[1] / "demo_shells"
CROWN, BILL = np.array([-0.21, 0.0, 2.19]), np.array([-0.66, 0.0, 2.18])


def _skin(job):
    return load_skin(job.shell, unit=job.unit, material=job.material, bands=job.bands, kind=job.kind)


@pytest.mark.parametrize(
    ("name", "kind", "longest_m"),
    [("heron", SkinKind.OUTSIDE, 2.2), ("tender", SkinKind.OUTSIDE, 2.9), ("ram", SkinKind.OPEN, 0.9)],
)
def test_shells_are_sound_and_small(name, kind, longest_m):
    job = read_job(DEMOS / name / "job.toml")
    assert job.shell.stat().st_size < 3_000_000
    skin = _skin(job)
    assert skin.kind is kind
    assert not skin.findings
    assert np.ptp(skin.vertices_m, axis=0).max() == pytest.approx(longest_m, abs=1e-4)
    mesh = trimesh.load(job.shell)  # another reader than the planner's checks
    assert mesh.is_watertight == (kind is SkinKind.OUTSIDE)
    assert mesh.is_winding_consistent
    assert mesh.body_count == 1
    if kind is SkinKind.OPEN:
        assert len(skin.openings) == 1
        assert np.ptp(skin.openings[0].loop_m[:, 1]) < 1e-5  # flat against the wall
        assert skin.vertices_m[:, 1].max() == pytest.approx(0.0, abs=1e-5)


def _nearest(points, spot):
    return min(float(np.linalg.norm(point - spot)) for point in points)


@pytest.mark.parametrize("computed", [False, pytest.param(True, marks=pytest.mark.slow)], ids=["formulas", "computed"])
def test_the_heron_has_two_legs_that_join_at_the_body_and_vents_at_crown_and_bill(computed):
    job = read_job(DEMOS / "heron" / "job.toml")
    if not computed:  # its cavity and its even bands are the same without its heat
        job = replace(job, heat=replace(job.heat, computed=False), day=replace(job.day, search=False))
    plan = make_plan(replace(job, structure=replace(job.structure, computed=False)))
    pools, pockets = plan.graph.pools, plan.graph.pockets
    assert len(pools) == 2
    assert len(pockets) == 2
    assert {float(np.sign(pool.point_m[1])) for pool in pools} == {-1.0, 1.0}  # one foot to each side
    join = plan.graph.level_m[next(pool.merge_level for pool in pools if not pool.essential)]
    assert 0.85 < join < 1.05  # where the thighs meet
    vents = [vent.point_m for vent in plan.lift_plan.vents]
    assert _nearest(vents, CROWN) < 0.05
    assert _nearest(vents, BILL) < 0.05
    below = [lift for lift in plan.lift_plan.lifts if lift.top_m <= join]
    assert below
    assert all(len(lift.pours) == 2 for lift in below)


def test_the_heron_on_its_side_has_other_pools_and_pockets():
    job = read_job(DEMOS / "heron" / "job.toml")
    skin = _skin(job)
    found = {}
    for up in ((0, 0, 1), (0, 1, 0)):
        cavity = build_cavity(skin, pour_frame(skin.vertices_m, np.array(up, float), np.array([-1.0, 0, 0])))
        graph = build_levels(cavity)
        found[up] = [e.point_m for e in (*graph.pools, *graph.pockets)]
    lying = found[0, 1, 0]
    assert len(lying) > len(found[0, 0, 1])
    assert sum(_nearest(found[0, 0, 1], point) > 0.1 for point in lying) >= 4


def test_the_rams_horns_are_pools_of_their_own():
    job = read_job(DEMOS / "ram" / "job.toml")
    skin = _skin(job)
    for up, front in ((job.up, job.front), ((0, 0, 1), (0, -1, 0))):  # on its face, and as it hangs
        frame = pour_frame(skin.vertices_m, np.array(up, float), np.array(front, float))
        pools = build_levels(build_cavity(skin, frame, cell_m=job.cell_m)).pools
        for side in (-1, 1):
            assert any(side * pool.point_m[0] > 0.2 and pool.persistence_m > 0.03 for pool in pools)
