"""turn: the ranking as a table, as JSON and as a picture, and its line taken by plan."""

from __future__ import annotations

import json

import pytest
import trimesh
from PIL import Image


@pytest.fixture
def tee(tmp_path):
    """A trunk with two drooping arms."""
    parts = [
        trimesh.creation.box(bounds=b)
        for b in (
            [(-80, -80, 0), (80, 80, 500)],
            [(-250, -50, 300), (250, 50, 400)],
            [(-250, -50, 150), (-170, 50, 400)],
            [(170, -50, 150), (250, 50, 400)],
        )
    ]
    trimesh.boolean.union(parts, engine="manifold").export(tmp_path / "tee.stl")
    path = tmp_path / "job.toml"
    path.write_text(
        '[piece]\nname = "Tee"\nshell = "tee.stl"\nunit = "mm"\n[wall]\nthickness = "5 mm"\n'
        '[foam]\ngrade = "rigid-3"\n[grid]\ncell = "8 mm"\n'
    )
    return path


def test_the_ranking_is_printed_written_and_taken_by_plan(tee, call, tmp_path):
    said = call("turn", tee, "--confirm", "2", "--out", tmp_path / "ways")
    assert said.code == 0, said.err
    assert "Best of" in said.out
    assert "our judgement, no published source" in " ".join(said.out.split())
    line = next(row for row in said.out.splitlines() if row.startswith("up = "))
    tree = json.loads((tmp_path / "ways" / "turn.json").read_text())
    assert tree["schema"] == "pourwright.turn/1"
    assert tree["line"] == line
    assert "mirrored in 2 planes" in tree["symmetry"]
    assert tree["best"][0]["work_h"] == pytest.approx(sum(tree["best"][0]["hours"].values()))
    assert len(tree["ways"]) > 50
    with Image.open(tmp_path / "ways" / "turn.png") as image:
        assert image.size == (1800, 1900)
    planned = call("plan", tee, "--set", f"piece.up={line.removeprefix('up = ')}", "--quick", "--json")
    plan = json.loads(planned.out)
    assert plan["frame"]["up"] == pytest.approx(tree["up"], abs=1e-5)
    assert len(plan["lifts"]) == tree["best"][0]["lifts"]


def test_plan_turned_takes_the_best(tee, call):
    best = json.loads(call("turn", tee, "--json").out)
    plan = json.loads(call("plan", tee, "--turned", "--quick", "--json").out)
    assert plan["frame"]["up"] == pytest.approx(best["up"], abs=1e-9)
    assert any(best["line"] in words for words in plan["assumed"])
    assert not any(words.startswith("up taken") for words in plan["assumed"])


def test_json_is_the_same_every_time_and_for_any_number_of_threads(tee, call, monkeypatch):
    monkeypatch.setenv("POURWRIGHT_THREADS", "1")
    first = call("turn", tee, "--confirm", "1", "--json")
    monkeypatch.setenv("POURWRIGHT_THREADS", "3")
    assert call("turn", tee, "--confirm", "1", "--json").out == first.out


def test_bad_usage_is_one_sentence(tee, refused):
    assert "--confirm 0" in refused(2, "turn", tee, "--confirm", "0")
    assert "foam is missing" in refused(2, "turn", tee.with_name("tee.stl"))


def test_where_no_way_is_within_limits_the_exit_code_says_so(tmp_path, call):
    trimesh.creation.box((900, 800, 300)).export(tmp_path / "flat.stl")
    wall = ("--wall", "1.5 mm", "--foam", "rigid-3", "--set", "grid.cell=12 mm")
    said = call("turn", tmp_path / "flat.stl", "--unit", "mm", *wall, "--confirm", "1")
    assert said.code == 1
    assert said.err.startswith("pourwright: every way evaluated in full is over a limit: ")
