"""Ways side by side and the two direct questions, from the command line."""

import json

import pytest
import trimesh

from pourwright.cli import main


def run(*words):
    return main([str(word) for word in words])


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("ways")
    trimesh.creation.box((0.7, 0.5, 0.4)).export(folder / "box.ply")
    (folder / "job.toml").write_text(
        '[piece]\nshell = "box.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "4 mm"\n'
        '[foam]\ngrade = "rigid-2"\n[grid]\ncell = "16 mm"\n[day]\nsearch = false\n'
    )
    return folder / "job.toml"


@pytest.fixture(scope="module")
def table(job):
    out = job.parent / "out"
    assert run("ways", job, "--out", out, "--quiet", "--price-kg", 6, "--price-hour", 40) == 0
    return out, json.loads((out / "ways.json").read_text())


@pytest.mark.slow
def test_at_least_eight_ways_stand_side_by_side(table):
    out, found = table
    ways = found["ways"]
    assert len(ways) >= 8
    assert ways[0]["style"] == "solid"
    linings = [way for way in ways if way["turning"] == "hand" and not way["parts"]]
    kilos = [way["total_kg"] for way in linings]
    assert kilos == sorted(kilos)
    assert all(way["total_kg"] < ways[0]["total_kg"] for way in linings)
    assert all(way["panel_gain"] <= ways[0]["panel_gain"] * (1 + 1e-9) for way in linings)
    assert all(way["cost"] == pytest.approx(6 * way["liquids_kg"] + 40 * way["hours"]) for way in linings)
    assert (out / "ways.png").stat().st_size > 10_000


@pytest.mark.slow
def test_what_is_marked_is_the_set_that_nothing_dominates(table):
    ways = [way for way in table[1]["ways"] if way["hours"] is not None and not way["over"]]

    def marks(way):
        return round(way["total_kg"], 5), round(-way["panel_gain"], 5), round(way["hours"], 5)

    for way in ways:
        beaten = any(
            all(a <= b for a, b in zip(marks(other), marks(way), strict=True)) and marks(other) != marks(way)
            for other in ways
        )
        assert way["beaten"] == beaten


@pytest.mark.slow
def test_least_weight_at_a_stiffness_is_planned_and_keeps_it(job, table, capsys):
    ways = table[1]["ways"]
    asked = sorted(way["panel_gain"] for way in ways if way["turning"] == "hand")[3]
    capsys.readouterr()
    assert run("ways", job, "--stiffness", asked * 0.999) in (0, 3)
    said = " ".join(capsys.readouterr().out.split())
    assert "lining " in said
    millimetres = float(said.split("lining ")[1].split(" mm")[0])
    enough = min(way["thickness_m"] for way in ways if way["turning"] == "hand" and way["panel_gain"] >= asked * 0.999)
    assert millimetres <= enough * 1e3 + 30.0


def test_a_question_that_nothing_answers_is_refused(job, capsys):
    assert run("ways", job, "--weight", "100 g") == 1
    assert "no way of filling this piece is so light" in capsys.readouterr().err
    assert run("ways", job, "--weight", "100 g", "--stiffness", 2) == 2
    assert run("ways", job, "--weight", "nine") == 2


@pytest.mark.slow
def test_the_cores_of_a_job_stand_beside_the_linings(job, capsys):
    words = (
        "--set",
        "fill.style=core",
        "--set",
        'fill.size=["200 mm","150 mm","100 mm"]',
        "--set",
        "fill.density=15 kg/m^3",
    )
    capsys.readouterr()
    assert run("ways", job, *words, "--json") == 0
    ways = {way["name"]: way for way in json.loads(capsys.readouterr().out)["ways"]}
    cores, solid = next(way for name, way in ways.items() if name.startswith("cores: blocks 200 x")), ways["solid"]
    assert cores["style"] == "core"
    assert cores["foam_kg"] < cores["total_kg"] < solid["total_kg"]
    assert cores["panel_gain"] is None
