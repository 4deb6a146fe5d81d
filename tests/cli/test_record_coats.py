"""The bench of a lining: coats recorded, asked for and refused, and what the sheet makes of them."""

import io
import json
import shutil
import sys

import pytest
import trimesh

from pourwright.cli import main


def run(*words):
    return main([str(word) for word in words])


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("coats")
    trimesh.creation.icosphere(2, 0.3).export(folder / "ball.ply")
    (folder / "job.toml").write_text(
        '[piece]\nshell = "ball.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "5 mm"\n'
        '[foam]\ngrade = "rigid-3"\n[fill]\nstyle = "lining"\nthickness = "40 mm"\n[grid]\ncell = "20 mm"\n'
    )
    assert run("plan", folder / "job.toml", "--out", folder / "plan", "--quiet", "--no-pictures") == 0
    return folder


def copied(made, folder):
    """The plan's folder, with shell and job beside it, to be recorded in."""
    for name in ("ball.ply", "job.toml"):
        shutil.copy(made / name, folder / name)
    shutil.copytree(made / "plan", folder / "plan")
    return folder / "plan"


@pytest.fixture
def plan(made, tmp_path):
    return copied(made, tmp_path)


def fill_of(plan):
    return json.loads((plan / "plan.json").read_text())["fill"]


def kept(plan):
    return json.loads((plan / "record.json").read_text())["coats"]


QUIET = ("--no-pictures", "--quiet")


def test_a_coat_as_planned_changes_nothing_that_is_left(plan, capsys):
    before = fill_of(plan)
    assert len(before["coats"]) == 2
    assert run("record", plan, "--pour", "coat 1", "--as-planned", "--no-pictures") == 0
    assert "Nothing that is left has changed." in capsys.readouterr().out
    after = fill_of(plan)
    assert [coat["poured"] for coat in after["coats"]] == [True, False]
    for name in ("part_a_kg", "part_b_kg", "thickness_m", "film_m"):
        assert after["coats"][1][name] == pytest.approx(before["coats"][1][name], rel=1e-6)
    assert [pin["point_m"] for pin in after["pins"]] == [pin["point_m"] for pin in before["pins"]]
    assert "Coats that are in stand in this plan as they were weighed" in (plan / "plan.md").read_text()


def test_a_coat_poured_short_is_made_up_by_the_next_and_the_piece_weighs_the_same(plan, capsys):
    before = json.loads((plan / "plan.json").read_text())
    coat = before["fill"]["coats"][0]
    kg = 0.75 * (coat["part_a_kg"] + coat["part_b_kg"])
    assert run("record", plan, "--pour", "coat 1", "--both", f"{kg} kg", "--no-pictures") in (0, 1)
    out = capsys.readouterr().out
    assert "25% less than its sheet had" in out
    after = json.loads((plan / "plan.json").read_text())
    coats = after["fill"]["coats"]
    assert sum(one["foam_m3"] for one in coats) == pytest.approx(sum(c["foam_m3"] for c in before["fill"]["coats"]))
    assert all(one["thickness_m"] <= after["fill"]["most_coat_m"] for one in coats)
    assert coats[0]["part_a_kg"] + coats[0]["part_b_kg"] == pytest.approx(kg)
    foam = [doc["outcome"]["foam_kg"]["nominal"] for doc in (before, after)]
    assert foam[1] == pytest.approx(foam[0], rel=0.02)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (("--both", "13 kg"), "that cannot be"),  # ten times too heavy
        (("--both", "0.13 kg"), "is on the sheet, give or take"),  # ten times too light: to be insisted on
        (("--a", "1 kg", "--b", "0.4 kg"), "is due, give or take"),
        (("--as-planned", "--rolls", "90"), "--rolls"),
        (("--as-planned", "--lies", "up"), "--lies"),
        (("--as-planned", "--pin", "Q=3 mm"), "give a place of the sheet"),
        (("--as-planned", "--pin", "P1=3 m"), "cannot be foam in it"),
        (("--as-planned", "--bare", "1 m, 1 m, 1 m"), "measure on it as it stands"),
        (("--as-planned", "--full"), "this plan has coats"),
        ((), "say what went in"),
    ],
)  # fmt: skip
def test_what_cannot_be_or_is_unlikely_is_refused_and_nothing_is_kept(plan, capsys, said, words):
    assert run("record", plan, "--pour", "coat 1", *said, *QUIET) == 2
    assert words in capsys.readouterr().err
    assert not (plan / "record.json").exists() or not kept(plan)


def test_coats_are_recorded_in_their_order_and_never_twice(plan, capsys):
    assert run("record", plan, "--pour", "coat 2", "--as-planned", *QUIET) == 2
    assert "comes after coat 1" in capsys.readouterr().err
    assert run("record", plan, "--pour", "1", "--as-planned", "--later", *QUIET) == 0
    assert run("record", plan, "--pour", "coat 1", "--as-planned", *QUIET) == 2
    assert "is entry 1 already" in capsys.readouterr().err
    assert run("record", plan, "--pour", "coat 2", "--as-planned", "--later", *QUIET) == 0
    assert run("record", plan, "--strike", "1", "--later", *QUIET) == 2
    assert "coat 2 lies on it" in capsys.readouterr().err
    assert run("record", plan, "--strike", "2", "--later", *QUIET) == 0
    assert [one["struck"] for one in kept(plan)] == [False, True]
    assert run("plan", plan.parent / "job.toml", "--out", plan, *QUIET) == 2  # it has foam in it
    assert "coat 1" in capsys.readouterr().err


def test_a_pin_that_finds_nothing_names_the_place_and_keeps_its_name(plan, capsys):
    pins = fill_of(plan)["pins"]
    said = (
        "--pin",
        f"{pins[3]['name']}=0",
        "--pin",
        f"{pins[4]['name']}=20 mm",
        "--lies",
        "bottom left",
        "--rolls",
        "3",
    )
    assert run("record", plan, "--pour", "coat 1", "--as-planned", *said, "--no-pictures") in (0, 1)
    assert "P4 bare" in capsys.readouterr().out
    entry = kept(plan)[0]
    assert [pin["foam_m"] for pin in entry["pins"]] == [0.0, 0.02]
    assert entry["rolls"] == 3
    assert sum(v * v for v in entry["up"]) == pytest.approx(1.0)
    assert [pin["point_m"] for pin in fill_of(plan)["pins"][:6]] == [pin["point_m"] for pin in pins]
    said = ("--pin", f"{pins[4]['name']}=2 mm")
    assert run("record", plan, "--pour", "coat 2", "--as-planned", *said, *QUIET) == 2
    assert "foam does not go away" in capsys.readouterr().err


def test_what_is_asked_is_kept_and_a_tenfold_weight_is_asked_again(plan, monkeypatch, capsys):
    answers = [
        "10 kg",
        "10 kg",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "n",
        "",
        "",
        "4",
        "n",
        "front left",
        "y",
        "18",
        "0",
        *[""] * 9,
        "n",
    ]
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(answers) + "\n"))
    assert run("record", plan, "--no-pictures") in (0, 1)
    assert "NOT recorded" in capsys.readouterr().out
    (entry,) = kept(plan)
    assert entry["rolls"] == 4
    assert [pin["foam_m"] for pin in entry["pins"]] == [pytest.approx(0.018), 0.0]


def test_a_phone_s_file_is_taken_as_it_is_saved(plan, capsys):
    told = {
        "schema": "pourwright.bench/1",
        "shell_sha256": json.loads((plan / "plan.json").read_text())["shell"]["sha256"],
        "pours": [{"pour": "coat 1", "as_planned": True, "rolls": "4", "pins": {"P2": "15 mm"}, "at": "10:40"}],
    }
    (plan.parent / "bench.json").write_text(json.dumps(told))
    assert run("record", plan, "--from", plan.parent / "bench.json", "--later", *QUIET) == 0
    (entry,) = kept(plan)
    assert (entry["rolls"], entry["at"], entry["pins"][0]["foam_m"]) == (4, "10:40", 0.015)
    capsys.readouterr()


def test_pours_and_coats_are_not_mistaken_for_each_other(plan, capsys):
    assert run("record", plan, "--pour", "1A", "--as-planned", *QUIET) == 2
    assert "the sheet names coat 1, coat 2" in capsys.readouterr().err


@pytest.fixture(scope="module")
def parted(made, tmp_path_factory):
    """The ball with a foot of 60 mm."""
    folder = tmp_path_factory.mktemp("parted")
    for name in ("ball.ply", "job.toml"):
        shutil.copy(made / name, folder / name)
    with (folder / "job.toml").open("a") as job:
        job.write('[[fill.part]]\nname = "foot"\nto = "200 mm"\nthickness = "60 mm"\n')
    run("plan", folder / "job.toml", "--out", folder / "plan", "--quiet", "--no-pictures")
    return folder


@pytest.fixture
def foot(parted, tmp_path):
    return copied(parted, tmp_path)


def test_coats_of_a_thicker_part_go_as_planned_one_after_another(foot, capsys):
    before = fill_of(foot)
    assert [coat["aims"] for coat in before["coats"]] == [[], [], [1]]
    for number in (1, 2):
        assert run("record", foot, "--pour", f"coat {number}", "--as-planned", "--later", *QUIET) == 0
    assert run("record", foot, "--again", "--no-pictures") == 0
    assert "Nothing that is left has changed." in capsys.readouterr().out
    after = fill_of(foot)
    assert [coat["poured"] for coat in after["coats"]] == [True, True, False]
    assert after["coats"][2]["part_a_kg"] == pytest.approx(before["coats"][2]["part_a_kg"], rel=1e-6)
    for new, old in zip(after["parts"], before["parts"], strict=True):
        assert new["thinnest_m"] == pytest.approx(old["thinnest_m"], rel=1e-6)


def test_a_thicker_part_s_coat_poured_short_has_one_more_for_that_part_alone(foot, capsys):
    coats = fill_of(foot)["coats"]
    for number in (1, 2):
        assert run("record", foot, "--pour", f"coat {number}", "--as-planned", "--later", *QUIET) == 0
    kg = 0.75 * (coats[2]["part_a_kg"] + coats[2]["part_b_kg"])
    assert run("record", foot, "--pour", "coat 3", "--both", f"{kg:.5f} kg", "--no-pictures") in (0, 1)
    assert "Coat 4 is new" in capsys.readouterr().out
    after = fill_of(foot)["coats"]
    assert [coat["aims"] for coat in after] == [[], [], [1], [1]]
    assert after[3]["foam_m3"] == pytest.approx(0.25 * coats[2]["foam_m3"], rel=1e-3)


def test_coats_that_are_in_keep_their_numbers_where_one_for_all_of_the_inside_comes_after_them(foot):
    """The short coat 2 and the whole coat 3 were told at once: what coat 2 lacks is coat 4, not coat 3."""
    coats = fill_of(foot)["coats"]
    kg = 0.72 * (coats[1]["part_a_kg"] + coats[1]["part_b_kg"])
    assert run("record", foot, "--pour", "coat 1", "--as-planned", "--later", *QUIET) == 0
    assert run("record", foot, "--pour", "coat 2", "--both", f"{kg:.4f} kg", "--later", *QUIET) == 0
    assert run("record", foot, "--pour", "coat 3", "--as-planned", "--rolls", "0", *QUIET) in (0, 1)
    after = fill_of(foot)["coats"]
    assert [(coat["poured"], coat["aims"]) for coat in after] == [(True, []), (True, []), (True, [1]), (False, [])]
    assert after[3]["foam_m3"] == pytest.approx(0.28 * coats[1]["foam_m3"], rel=1e-3)
    assert [one["planned"]["aims"] for one in kept(foot)] == [[], [], [1]]
