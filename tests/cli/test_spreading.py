"""A lining that is spread by hand, from the job file to the sheet and the record."""

import json
import shutil

import pytest
import trimesh

from pourwright.cli import main

JOB = (
    '[piece]\nshell = "tub.ply"\nunit = "m"\nmaterial = "grp"\nkind = "open"\n[wall]\nthickness = "8 mm"\n'
    '[foam]\ngrade = "rigid-3"\n[fill]\nstyle = "lining"\nby = "spreading"\nthickness = "40 mm"\nleast = "8 mm"\n'
    '[grid]\ncell = "15 mm"\n'
)


def run(*words):
    return main([str(word) for word in words])


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tub")
    whole = trimesh.creation.cylinder(0.25, 0.5, sections=64).subdivide_to_size(0.1)
    whole.submesh([whole.face_normals[:, 2] < 0.9], append=True).export(folder / "tub.ply")
    (folder / "job.toml").write_text(JOB)
    assert run("plan", folder / "job.toml", "--out", folder / "plan", "--quiet") in (0, 3)
    return folder


@pytest.fixture
def tub(made, tmp_path):
    shutil.copytree(made, tmp_path / "tub")
    return tmp_path / "tub"


def fill_of(folder):
    return json.loads((folder / "plan" / "plan.json").read_text())["fill"]


def test_each_coat_has_its_position_area_and_reach(made):
    fill = fill_of(made)
    assert fill["by"] == "spreading"
    assert fill["coverage"] >= 0.98
    assert fill["reach_m"] == 0.7
    assert 2 <= len(fill["coats"]) == len(fill["sequence"])
    for coat, one in zip(fill["coats"], fill["sequence"], strict=True):
        assert coat["up"] == pytest.approx([0, 0, 1])
        assert one["up"] == pytest.approx([0, 0, 1])
        assert one["axis"] == [0, 0, 0]
        assert 0.4 < coat["reach_m"] <= 0.6
        assert 0 < one["seconds"] <= 25
    assert sum(coat["foam_m3"] for coat in fill["coats"]) == pytest.approx(fill["foam_m3"], rel=0.05)
    assert {hole["use"] for hole in fill["holes"]} == {"drain", "breather"}


def test_the_sheet_speaks_of_walls_and_not_of_rolls(made):
    text = (made / "plan" / "plan.md").read_text()
    sheet = (made / "plan" / "sheet.html").read_text()
    for said in (text, sheet):
        assert "brushed out until it creams" in said
        assert "Rolls made" not in said
        assert "roll the piece" not in said.lower()
    assert "How the piece lies, coat by coat" in text
    assert "of it runs off" in text


def test_a_coat_as_planned_keeps_the_rest_of_the_sheet(tub):
    before = fill_of(tub)
    assert run("record", tub / "plan", "--pour", "coat 1", "--as-planned", "--no-pictures", "--quiet") in (0, 3)
    after = fill_of(tub)
    assert [coat["poured"] for coat in after["coats"]] == [True, *[False] * (len(before["coats"]) - 1)]
    for name in ("part_a_kg", "part_b_kg", "thickness_m", "area_m2"):
        assert [c[name] for c in after["coats"]] == pytest.approx([c[name] for c in before["coats"]], rel=1e-3)


def test_a_coat_poured_short_is_made_up_by_those_that_are_left(tub):
    before = fill_of(tub)
    kg = 0.75 * (before["coats"][0]["part_a_kg"] + before["coats"][0]["part_b_kg"])
    assert run("record", tub / "plan", "--pour", "coat 1", "--both", f"{kg} kg", "--no-pictures", "-q") in (0, 1, 3)
    after = fill_of(tub)
    left = [sum(coat["part_a_kg"] for coat in fill["coats"][1:]) for fill in (before, after)]
    assert left[1] > 1.05 * left[0]  # in more coats where one would run off
    whole = [sum(coat["foam_m3"] for coat in fill["coats"]) for fill in (before, after)]
    assert whole[1] == pytest.approx(whole[0], rel=0.03)


def test_what_a_pin_finds_bare_is_told(tub):
    pins = fill_of(tub)["pins"]
    name = max(pins, key=lambda pin: pin["point_m"][2])["name"]
    assert run("record", tub / "plan", "--pour", "coat 1", "--as-planned", "--pin", f"{name}=0", "--no-pictures",
               "-q") in (0, 1, 3)  # fmt: skip
    assert fill_of(tub)["thinnest_m"] <= 0.04
    assert json.loads((tub / "plan" / "record.json").read_text())["coats"][0]["pins"][0]["foam_m"] == 0


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('kind = "open"\n', "", None),
        ('by = "spreading"', 'by = "spreading"\nturning = "frame"', "what is spread is not turned"),
        ('by = "spreading"', 'reach = "1 m"', 'goes with fill.by = "spreading"'),
        ('by = "spreading"', 'by = "spreading"\npositions = ["-z"]', "in none of these ways up"),
        ("[grid]", '[shop]\nmix = "55 s"\n[grid]', "no time is left to spread it"),
    ],
)
def test_what_cannot_be_spread_is_refused_in_one_sentence(tub, capsys, old, new, words):
    assert old in JOB
    (tub / "job.toml").write_text(JOB.replace(old, new))
    code = run("plan", tub / "job.toml", "--out", tub / "none", "--quiet", "--no-pictures")
    said = capsys.readouterr().err
    if words is None:
        assert code in (0, 3)
        return
    assert code != 0
    assert words in said
    assert not (tub / "none").exists()


def test_a_closed_shell_has_no_way_in_for_an_arm(tmp_path, capsys):
    trimesh.creation.icosphere(3, 0.3).export(tmp_path / "tub.ply")
    (tmp_path / "job.toml").write_text(JOB.replace('kind = "open"\n', ""))
    assert run("plan", tmp_path / "job.toml", "--out", tmp_path / "none", "--quiet", "--no-pictures") != 0
    assert "needs a mouth that an arm goes through" in capsys.readouterr().err
