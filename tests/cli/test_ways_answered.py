"""The two questions of ``ways`` held to every way tried one by one, and ribs beside the others."""

import pytest
import trimesh

from pourwright.intake import read_job
from pourwright.ways import least_weight, stiffest
from pourwright.ways.bench import Bench
from pourwright.ways.choose import _candidates


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("asked")
    trimesh.creation.box((0.5, 0.4, 0.3)).export(folder / "box.ply")
    (folder / "job.toml").write_text(
        '[piece]\nshell = "box.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "4 mm"\n'
        '[foam]\ngrade = "rigid-2"\n[grid]\ncell = "12 mm"\n[day]\nsearch = false\n'
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


def test_ribs_are_one_of_the_ways_and_how_their_dams_get_in_is_told(job):
    bench = Bench(job)
    name, rules = bench.ribs()[0]
    way = bench.ribbed(name, rules)
    solid_m3 = 0.492 * 0.392 * 0.292
    share = sum(high - low for low, high in rules.ribs.bands_m) / 0.292
    assert way.foam_kg == pytest.approx(share * solid_m3 * bench.history.foam.open_density_kg_m3.nominal, rel=0.03)
    assert way.gain == 1.0  # its flattest panel has no foam behind some of it
    assert "dams through the mouth" in way.unknown  # the box is closed
    assert way.coverage == pytest.approx(2 * 0.05 * 1.8 / (2 * 0.2 + 1.8 * 0.3))
