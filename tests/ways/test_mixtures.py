"""Mixtures by limb, spreading and cores that `ways` proposes by itself; each is one that a job file can ask for."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest
import trimesh

from pourwright.answers.fill_words import as_setting, fill_table
from pourwright.cli import main
from pourwright.cli.options import overrides_of
from pourwright.cli.way_taken import way_taken
from pourwright.errors import UsageError
from pourwright.intake import job_from_shell, read_job
from pourwright.lining import PartRules, Rules
from pourwright.ribs import RibRules
from pourwright.ways import names, proposals
from pourwright.ways.bench import Bench
from pourwright.ways.mixtures import Stretch, mixed_thicknesses

JOB = (
    '[piece]\nshell = "piece.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "4 mm"\n'
    '[foam]\ngrade = "rigid-3"\n[grid]\ncell = "6 mm"\n[day]\nsearch = false\n'
)


def job_of(folder, mesh):
    mesh.export(folder / "piece.ply")
    (folder / "job.toml").write_text(JOB)
    return read_job(folder / "job.toml")


def capsule(radius, low, high, x=0.0):
    out = trimesh.creation.cylinder(radius, segment=((x, 0, low), (x, 0, high)), sections=48)
    return out


@pytest.fixture(scope="module")
def bottle(tmp_path_factory):
    """A body of 0.4 m across on two legs, with a neck: cylinders of 76, 392 and 92 mm inside."""
    parts = [capsule(0.2, 0.4, 0.9), capsule(0.04, 0.0, 0.41, -0.1), capsule(0.04, 0.0, 0.41, 0.1)]
    mesh = trimesh.boolean.union([*parts, capsule(0.05, 0.89, 1.3)], engine="manifold")
    return job_of(tmp_path_factory.mktemp("bottle"), mesh)


@pytest.fixture(scope="module")
def bench(bottle):
    return Bench(bottle)


@pytest.fixture(scope="module")
def mixed(bench):
    return proposals.mixtures(bench)


def test_legs_and_neck_are_solid_in_a_mixture_and_the_body_is_not(mixed):
    parts = mixed[-1].parts
    assert len(parts) == 3
    assert all(one.solid for one in parts)
    legs, neck = [one for one in parts if one.low_m == 0.0], next(one for one in parts if one.low_m > 0.0)
    assert len({one.limb for one in legs}) == 2
    assert neck.low_m == pytest.approx(0.9, abs=0.02)
    assert all(one.high_m == pytest.approx(0.4, abs=0.02) for one in legs)


@pytest.mark.slow
def test_the_foam_of_a_mixture_is_that_of_its_cylinders(bench, mixed):
    rules = mixed[-1]
    lining = bench.planned(rules).lining
    asked = [one for one in lining.places if one.asked]
    closed = {one.limb for one in rules.parts}
    assert len(closed) == len(asked) == 3
    leg, neck = math.pi * 0.036**2 * 0.4, math.pi * 0.046**2 * 0.4
    found = sorted(one.volume_m3 for one in asked)
    assert found == pytest.approx([leg, leg, neck], rel=0.05)
    t = rules.thickness_m
    hollow = math.pi * (0.196 - t) ** 2 * (0.492 - 2 * t)
    assert lining.region.hollow_m3 == pytest.approx(hollow, rel=0.03)
    assert sorted(one.half_m for one in asked) == pytest.approx([0.036, 0.036, 0.046], abs=0.004)
    assert sorted(one.rests for one in asked) == ["as it stands", "as it stands", "upside down"]


def test_a_ball_has_no_limb_to_fill_and_no_mouth_to_spread_through(tmp_path):
    bench = Bench(job_of(tmp_path, trimesh.creation.icosphere(4, 0.2)))
    assert proposals.mixtures(bench).startswith("mixtures by limb: no limb")
    assert proposals.spreads(bench, [0.02]).startswith("spreading: an arm")


def test_the_block_that_is_proposed_fits_the_widest_ball_under_its_cover(bench):
    rules = proposals.some_cores(bench)
    assert math.hypot(*rules.core.size_m) <= 2 * (0.196 - rules.core.cover_m)
    assert math.hypot(*rules.core.size_m) > 2 * (0.196 - rules.core.cover_m) - 0.05
    assert bench.cored(rules).foam_kg < bench.solid().foam_kg


@pytest.mark.parametrize(
    "rules",
    [
        Rules("lining", 0.024, "frame", least_m=0.01),
        Rules("lining", 0.024, parts=(PartRules("legs", None, 0.0, 0.93, "L1"), PartRules("flat", 0.05, flattest=1))),
        Rules("lining", 0.03, by="spreading", positions=((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)), reach_m=0.6),
        Rules("ribs", ribs=RibRules(((0.1, 0.2), (0.4, 0.512)), 0.012, 650.0)),
        Rules(),
    ],
)
def test_a_way_is_read_back_as_it_was(rules, tmp_path):
    trimesh.creation.box((1, 1, 1)).export(tmp_path / "box.ply")
    said = as_setting(fill_table(rules))
    assert said.startswith("--set 'fill=")
    asked = overrides_of(
        {"piece.unit": "m", "wall.thickness": "4 mm", "foam.grade": "rigid-3"},
        [said.removeprefix("--set '").removesuffix("'")],
    )
    assert job_from_shell(tmp_path / "box.ply", asked).fill == rules


def test_mixtures_are_of_the_thickest_linings_whose_coats_do_not_meet_in_the_widest_limb():
    stretch = Stretch("L1", 0.0, math.inf, 0.061, 0.01)
    assert mixed_thicknesses([0.01, 0.02, 0.03, 0.04, 0.05], (stretch,)) == [0.03, 0.04]
    assert mixed_thicknesses([0.05], (stretch,)) == []


def test_a_row_that_is_not_there_is_told(tmp_path):
    for text in ("9", "here:", "here:x", f"{tmp_path}:1"):
        with pytest.raises(UsageError):
            way_taken(text)
    (tmp_path / "ways.json").write_text('{"shell_sha256": "0", "ways": [{"number": 1, "fill": {"style": "solid"}}]}')
    assert way_taken(f"{tmp_path}:1") == ({"style": "solid"}, "0")
    with pytest.raises(UsageError, match="1 to 1"):
        way_taken(f"{tmp_path}:2")
    (tmp_path / "ways.json").write_text("[" * 100_000)
    with pytest.raises(UsageError, match="write it again"):
        way_taken(f"{tmp_path}:1")


@pytest.mark.slow
def test_a_mixture_that_was_compared_is_planned_by_its_number(bottle, tmp_path, capsys):
    job = bottle.shell.parent / "job.toml"
    assert main(["ways", str(job), "--out", str(tmp_path / "ways"), "--quiet", "--no-pictures"]) == 0
    import json

    ways = json.loads((tmp_path / "ways" / "ways.json").read_text())["ways"]
    row = next(way for way in ways if way["parts"])
    words = ["plan", str(job), "--way", f"{tmp_path / 'ways'}:{row['number']}", "--no-pictures", "--quiet"]
    assert main([*words, "--out", str(tmp_path / "plan")]) in (0, 1, 3)
    made = json.loads((tmp_path / "plan" / "plan.json").read_text())
    assert made["outcome"]["foam_kg"]["nominal"] == pytest.approx(row["foam_kg"], rel=0.02)
    assert len([one for one in made["fill"]["solid"] if one["asked"]]) == 3
    other = tmp_path / "other"
    other.mkdir()
    job_of(other, trimesh.creation.box((0.5, 0.4, 0.3)))
    capsys.readouterr()
    assert main(["plan", str(other / "job.toml"), *words[2:]]) == 2
    assert "another shell" in capsys.readouterr().err


def test_ways_up_that_spreading_needs_are_told_once():
    coats = [
        SimpleNamespace(up=(0.0, 0.0, 1.0)),
        SimpleNamespace(up=(0.0, 1.0, -0.0)),
        SimpleNamespace(up=(0.0, 0.0, 1.0)),
    ]
    assert names.ups_of(SimpleNamespace(coats=coats)) == ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
