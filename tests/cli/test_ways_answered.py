"""The two questions of ``ways`` held to every way tried one by one, and ribs beside the others."""

import pytest
import trimesh

from pourwright.intake import read_job
from pourwright.ways import compare_ways, least_weight, stiffest
from pourwright.ways.choose import _candidates
from pourwright.ways.compare import Bench


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("asked")
    trimesh.creation.box((0.5, 0.4, 0.3)).export(folder / "box.ply")
    (folder / "job.toml").write_text(
        '[piece]\nshell = "box.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "4 mm"\n'
        '[foam]\ngrade = "rigid-2"\n[grid]\ncell = "16 mm"\n[day]\nsearch = false\n'
    )
    return read_job(folder / "job.toml")


@pytest.fixture(scope="module")
def every(job):
    bench = Bench(job)
    return [way for rules in _candidates(bench) if (way := bench.way(rules)) is not None]


@pytest.mark.slow
def test_no_way_tried_one_by_one_is_lighter_at_that_stiffness(job, every):
    within = [way for way in every if not way.over]
    asked = sorted(way.gain for way in within)[len(within) // 2]
    answer = least_weight(job, asked * 0.999)
    assert answer.gain >= asked * 0.999
    assert not answer.plan.over_limit
    lightest = min(way.total_kg for way in within if way.gain >= asked * 0.999)
    assert answer.plan.outcome.total_kg.nominal <= lightest * 1.01


@pytest.mark.slow
def test_no_way_tried_one_by_one_is_stiffer_under_that_weight(job, every):
    most = sorted(way.total_kg for way in every)[len(every) // 2]
    answer = stiffest(job, most * 1.3)
    high = answer.plan.outcome.total_kg
    assert high.high <= most * 1.3
    assert not answer.plan.over_limit
    light = [way for way in every if not way.over and way.total_kg * high.high / high.nominal <= 0.98 * most * 1.3]
    assert answer.gain >= 0.95 * max(way.gain for way in light)


@pytest.mark.slow
def test_ribs_stand_beside_the_others_and_how_their_dams_get_in_is_told(job):
    found = compare_ways(job)
    ribs = [way for way in found.ways if way.rules.style == "ribs"]
    assert ribs
    solid = found.ways[0]
    for way in ribs:
        assert way.foam_kg < 0.6 * solid.foam_kg
        assert way.gain == 1.0  # its flattest panel has no foam behind some of it
        assert "dams through the mouth" in way.unknown  # the box is closed
        assert 0.1 < way.coverage < 0.7
