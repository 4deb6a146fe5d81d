"""A plan with a lining, from the command line to what hangs and floats by it."""

import json
import math
import shlex
import shutil

import numpy as np
import pytest
import trimesh

from pourwright.cli import main
from pourwright.document.read_json import read_plan_json
from pourwright.document.read_plan import piece_of


def run(*words):
    return main([str(word) for word in words])


@pytest.fixture(scope="module")
def lined(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lined")
    trimesh.creation.icosphere(4, 0.5).export(folder / "ball.ply")
    (folder / "job.toml").write_text(
        '[piece]\nshell = "ball.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "5 mm"\n'
        '[foam]\ngrade = "rigid-3"\n[fill]\nstyle = "lining"\nthickness = "50 mm"\n[grid]\ncell = "12 mm"\n'
    )
    code = run("plan", folder / "job.toml", "--out", folder / "plan", "--quiet")
    return folder, code, json.loads((folder / "plan" / "plan.json").read_text())


def test_a_lining_is_planned_whole(lined):
    _, code, plan = lined
    fill = plan["fill"]
    assert code == 0
    assert fill["style"] == "lining"
    assert fill["foam_m3"] == pytest.approx(0.13893, rel=0.006)  # its triangles are coarser than the sphere
    assert fill["foam_m3"] + fill["hollow_m3"] == pytest.approx(plan["cavity"]["volume_m3"], rel=1e-6)
    assert fill["coverage"] >= 0.98
    assert all(abs(sum(v * v for v in one["up"]) - 1) < 1e-6 and one["seconds"] > 0 for one in fill["sequence"])
    assert sum(coat["thickness_m"] for coat in fill["coats"]) == pytest.approx(0.05)
    assert all(coat["thickness_m"] <= fill["most_coat_m"] for coat in fill["coats"])
    density = plan["foam"]["open_density_kg_m3"]["nominal"]
    assert plan["outcome"]["foam_kg"]["nominal"] == pytest.approx(fill["foam_m3"] * density, rel=0.01)
    mixed = sum(coat["part_a_kg"] + coat["part_b_kg"] for coat in fill["coats"])
    assert mixed == pytest.approx(plan["outcome"]["foam_kg"]["nominal"], rel=0.01)


def test_sheet_and_plan_speak_of_coats_and_positions(lined):
    folder, _, plan = lined
    text = (folder / "plan" / "plan.md").read_text()
    sheet = (folder / "plan" / "sheet.html").read_text()
    for said in (text, sheet):
        assert "Rolls" in said
        assert "Coats" in said
        assert "stays hollow" in said
        assert "breather" in said
    assert "## Lifts" not in text
    assert all(f"| {one['number']}" in text for one in plan["fill"]["sequence"])
    assert (folder / "plan" / "lining.png").stat().st_size > 10_000


def test_a_coat_takes_no_more_rolls_than_hands_do_before_it_gels(lined):
    _, _, plan = lined
    fill = plan["fill"]
    for coat in fill["coats"]:
        mine = [one for one in fill["sequence"] if one["coat"] == coat["number"]]
        assert 1 <= sum(one["turn_rad"] > 0 for one in mine) <= fill["rolls"] <= 6
        assert len(mine) <= fill["rolls"] + 1  # it may be set down another way up
        assert [one["number"] for one in mine] == list(range(1, len(mine) + 1))
        assert sum(one["covers"] for one in mine) <= fill["coverage"] + 1e-6
        assert all(one["bare_without"]["share"] <= one["missed_without"]["share"] + 1e-9 for one in mine)
    assert 0 < fill["thinnest_m"] < fill["thickness_m"]
    assert fill["surplus_m3"] == pytest.approx(sum(coat["surplus_m3"] for coat in fill["coats"]))


def test_a_pool_that_sets_in_a_ball_is_as_deep_as_the_cap_of_its_volume_and_hot_as_long_as_that_takes(lined):
    """V = pi h^2 (3 R - h) / 3, on the film that the wall keeps. The middle of a slab whose faces are held cold keeps
    95 % of its rise until alpha t / L^2 = 0.0249 (Carslaw and Jaeger, Conduction of Heat in Solids, 3.3)."""
    _, _, plan = lined
    fill = plan["fill"]
    deepest = 0.0
    for coat in fill["coats"]:
        film = (coat["foam_m3"] - coat["surplus_m3"]) / (4.0 * np.pi * 0.495**2)
        roots = np.roots([-np.pi / 3, np.pi * (0.495 - film), 0.0, -coat["surplus_m3"]])
        deepest = max(deepest, film + min(h.real for h in roots if abs(h.imag) < 1e-12 and h.real > 0))
    assert fill["thickest_coat_m"] == pytest.approx(deepest, rel=0.1)
    hot = next(check for check in plan["checks"] if check["name"] == "time above scorch")
    assert hot["value"] > 0.0249 * deepest**2 / 3.5e-7
    assert "on both, with air under the piece" in hot["source"]


def test_a_lining_that_gets_too_thin_is_over_a_limit_unless_the_job_says_what_is_enough(lined):
    folder, _, plan = lined
    thin = next(check for check in plan["checks"] if "thinnest" in check["name"])
    assert thin["verdict"] == "ok"
    assert thin["value"] == pytest.approx(0.05 - plan["fill"]["thinnest_m"])
    assert thin["limit"] == pytest.approx(0.025)
    words = ("--set", "fill.least=45 mm", "--out", folder / "thin", "--quiet", "--no-pictures")
    assert run("plan", folder / "job.toml", *words) == 1
    held = json.loads((folder / "thin" / "plan.json").read_text())
    thin = next(check for check in held["checks"] if "thinnest" in check["name"])
    assert thin["verdict"] == "over"
    assert thin["limit"] == pytest.approx(0.005)
    assert "fill.least" in thin["source"]


def test_each_hollow_has_its_hose_drain_and_breather_where_they_are_due(lined):
    folder, _, plan = lined
    holes = {hole["use"]: hole for hole in plan["fill"]["holes"]}
    assert set(holes) == {"hose", "drain", "breather"}
    assert holes["drain"]["point_m"] == pytest.approx((0.0, 0.0, -0.5), abs=0.05)  # of a ball of 0.5 m
    assert holes["breather"]["point_m"] == pytest.approx((0.0, 0.0, 0.5), abs=0.05)
    assert all(hole["deep_m"] == pytest.approx(0.055, abs=0.012) and not hole["board"] for hole in holes.values())
    text = " ".join((folder / "plan" / "plan.md").read_text().split())
    assert "Drain, at the lowest point as it will stand or hang: drilled through skin and foam" in text


def test_a_cradle_that_cannot_turn_it_over_leaves_too_much_bare_and_is_no_plan_to_follow(lined):
    folder, _, plan = lined
    words = ("--set", "fill.turning=cradle", "--set", "fill.axis=+x", "--set", 'fill.stops=["45 deg", "-45 deg"]')
    code = run("plan", folder / "job.toml", *words, "--out", folder / "cradle", "--quiet", "--no-pictures")
    held = json.loads((folder / "cradle" / "plan.json").read_text())
    assert code == 1
    assert held["status"] == "over a limit: do not pour"
    assert held["fill"]["coverage"] < 0.6
    assert all(one["axis"] == pytest.approx((1.0, 0.0, 0.0)) for one in held["fill"]["sequence"])
    assert any("stays bare" in line for line in held["warnings"])
    assert plan["fill"]["coverage"] > held["fill"]["coverage"]


def test_a_lined_piece_floats_by_its_real_weight_and_floods_where_it_is_hollow(lined, capsys):
    folder, _, plan = lined
    fill = plan["fill"]
    capsys.readouterr()
    # a ball rights itself by how far its centre of mass lies from its middle; its foam lies thicker on one side, so let
    # go upright it turns over to that side (exit code 1)
    assert run("float", folder / "plan", "--json", "--no-pictures", "--no-files") == 1
    result = json.loads(capsys.readouterr().out)["result"]
    at_rest = next(state for state in result["states"] if state["water"] == "fresh")
    assert at_rest["gm_m"] == pytest.approx(math.hypot(*plan["outcome"]["centre_of_mass_m"]), rel=0.02)
    assert result["foam_m3"]["nominal"] == pytest.approx(fill["foam_m3"], rel=1e-6)
    states = {state["name"]: state for state in result["states"] if state["water"] == "fresh"}
    dry, leaking = (next(state for name, state in states.items() if word in name) for word in ("dry", "leak"))
    taken = leaking["kg"]["nominal"] - dry["kg"]["nominal"]
    assert taken >= 0.98 * 998.0 * fill["hollow_m3"]


def test_the_foam_of_a_lining_has_the_density_of_its_coats(lined):
    """Its weight over its own volume; over all of the cavity foam would seem light, and carry more in water."""
    folder, _, plan = lined
    foam = piece_of(read_plan_json(folder / "plan" / "plan.json")).foam
    assert foam.density_kg_m3.nominal == pytest.approx(plan["foam"]["open_density_kg_m3"]["nominal"], rel=0.01)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        (["fill.style=ribs"], "give bottom and top of each rib"),
        (["fill.style=lining"], "give it for a lining"),
        (["fill.style=lining", "fill.thickness=200 mm"], "leaves no hollow"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_one_sentence(tmp_path, capsys, settings, said):
    trimesh.creation.icosphere(3, 0.15).export(tmp_path / "ball.ply")
    words = [word for one in settings for word in ("--set", one)]
    base = (
        "plan",
        tmp_path / "ball.ply",
        "--unit",
        "m",
        "--wall",
        "5 mm",
        "--foam",
        "rigid-3",
        "--set",
        "grid.cell=8 mm",
    )
    code = run(*base, *words)
    told = capsys.readouterr().err
    assert code != 0
    assert said in " ".join(told.split())
    assert "Traceback" not in told


def test_a_thin_neck_and_a_bare_place_are_warned_of(tmp_path, two_balls, capsys):
    from pourwright.findings import Code

    assert {Code.FILLED_SOLID, Code.STAYS_BARE}
    two_balls(0.06).export(tmp_path / "two.ply")
    words = (
        "--set",
        "fill.style=lining",
        "--set",
        "fill.thickness=40 mm",
        "--set",
        "grid.cell=8 mm",
        "--set",
        "fill.turning=cradle",
    )
    run("plan", tmp_path / "two.ply", "--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--json", *words)
    plan = json.loads(capsys.readouterr().out)
    assert len(plan["fill"]["chambers"]) == 2
    assert any("coats would meet there" in line for line in plan["warnings"])
    bare = [line for line in plan["warnings"] if "stays bare" in line]
    assert bool(bare) == (plan["fill"]["coverage"] < 0.98)


def test_a_push_that_no_lining_holds_is_not_passed_over(tmp_path):
    """A flat side of 4 m by 3 m under 100 kPa: half a metre of foam would not hold it, so it is not known."""
    trimesh.creation.box([4.0, 0.4, 3.0]).export(tmp_path / "slab.ply")
    (tmp_path / "job.toml").write_text(
        '[piece]\nshell = "slab.ply"\nunit = "m"\n[wall]\nthickness = "2 mm"\n[foam]\ngrade = "rigid-3"\n'
        '[fill]\nstyle = "lining"\nthickness = "50 mm"\nleast = "10 mm"\n[grid]\ncell = "50 mm"\n'
        '[structure]\nside = "100 kPa"\n[heat]\nscorch = "6 h"\n'
    )
    assert run("plan", tmp_path / "job.toml", "--out", tmp_path / "plan", "--quiet", "--no-pictures") == 3
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text())
    assert plan["fill"]["least_m"] is None
    (push,) = [check for check in plan["checks"] if check["name"] == "lining that a push asks for"]
    assert push["verdict"] == "unknown"


def test_an_insert_that_ends_in_the_hollow_is_not_taken_as_safe(tmp_path, capsys):
    trimesh.creation.icosphere(4, 0.4).export(tmp_path / "ball.ply")
    (tmp_path / "job.toml").write_text(
        '[piece]\nshell = "ball.ply"\nunit = "m"\n[wall]\nthickness = "5 mm"\n[foam]\ngrade = "rigid-3"\n'
        '[fill]\nstyle = "lining"\nthickness = "50 mm"\n[grid]\ncell = "12 mm"\n[hang]\nout = "+y"\nup = "+z"\n'
        '[[anchor]]\nname = "one"\nat = ["0 mm", "-390 mm", "100 mm"]\nshear = "5 kN"\npull = "5 kN"\n'
        'insert = { diameter = "60 mm", depth = "180 mm", head = "120 mm" }\n'
    )
    assert run("plan", tmp_path / "job.toml", "--out", tmp_path / "plan", "--quiet", "--no-pictures") == 3
    capsys.readouterr()
    run("hang", tmp_path / "plan", "--json", "--no-files", "--no-pictures")
    said = json.loads(capsys.readouterr().out)
    assert any("foam bearing round the insert" in line for line in said["not_known"])
    run("float", tmp_path / "plan", "--no-files", "--no-pictures")
    out = " ".join(capsys.readouterr().out.split())
    assert "foam crushes under" in out  # its strength is known whatever the insert ends in
    assert "nan" not in out.split()
    assert "The hollow that stays in it" in out


def test_solid_legs_are_planned_by_themselves_as_their_check_says(tmp_path):
    """Two square legs under a body: the foam of that plan is theirs, two boxes less the wall."""
    legs = [trimesh.creation.box((0.16, 0.16, 0.65)).apply_translation([x, 0, 0.325]) for x in (-0.2, 0.2)]
    body = trimesh.creation.box((0.7, 0.5, 0.5)).apply_translation([0, 0, 0.85])
    trimesh.boolean.union([body, *legs]).export(tmp_path / "table.ply")
    (tmp_path / "job.toml").write_text(
        '[piece]\nshell = "table.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "5 mm"\n'
        '[foam]\ngrade = "rigid-3"\n[grid]\ncell = "20 mm"\n[fill]\nstyle = "lining"\nthickness = "40 mm"\n'
        '[[fill.part]]\nname = "legs"\nto = "590 mm"\nstyle = "solid"\n'
    )
    assert run("plan", tmp_path / "job.toml", "--out", tmp_path / "plan", "--quiet", "--no-pictures") in (1, 3)
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text())
    (check,) = [one for one in plan["checks"] if one["name"] == "pours of the solid parts"]
    assert check["verdict"] == "unknown"
    settings = shlex.split(check["remedy"].partition("same job with ")[2].partition(" has lifts")[0])
    fine = ("--set", "grid.cell=5 mm", "--quick", "--quiet")
    run("plan", tmp_path / "job.toml", *settings, *fine, "--out", tmp_path / "legs")
    alone = json.loads((tmp_path / "legs" / "plan.json").read_text())
    assert alone["fill"]["foam_m3"] == pytest.approx(2 * 0.15**2 * 0.585, rel=0.002)
    asked = sum(one["volume_m3"] for one in plan["fill"]["solid"])  # on cells of 20 mm in legs of 150
    assert asked == pytest.approx(alone["fill"]["foam_m3"], rel=0.02)
    pours = [pour for lift in alone["lifts"] for pour in lift["pours"]]
    assert max(pour["top_m"] for pour in pours) == pytest.approx(0.59, abs=0.006)
    assert all(check["verdict"] != "unknown" for check in alone["checks"])


def test_a_lining_is_weighed_when_its_last_coat_is_in(lined, tmp_path, capsys):
    """Coats were no lifts, so a piece with all of them was taken for empty."""
    shutil.copytree(lined[0] / "plan", tmp_path / "plan")
    plan, weights = tmp_path / "plan", ("--no-files", "--json")
    capsys.readouterr()
    assert run("weights", plan, "--no-files") == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "after the last coat" in out
    assert "lift" not in out
    run("weights", plan, *weights)
    kg = [stage["kg"]["nominal"] for stage in json.loads(capsys.readouterr().out)["result"]["stages"]]
    coats = [coat["number"] for coat in lined[2]["fill"]["coats"]]
    job = ("--job", lined[0] / "job.toml")
    assert run("record", plan, *job, "--pour", "coat 1", "--as-planned", "--later", "-q") == 0
    said = ("--weighed", f"{1.02 * kg[-1]:.3f} kg")
    assert run("record", plan, *job, *said) == 2
    assert "when its last coat is in" in capsys.readouterr().err
    for number in coats[1:]:
        assert run("record", plan, *job, "--pour", f"coat {number}", "--as-planned", "--later", "-q") == 0
    assert run("record", plan, *job, *said) == 0
    assert "Weighing 1: finished" in capsys.readouterr().out
    run("weights", plan, *weights)
    learnt = json.loads(capsys.readouterr().out)["result"]["stages"][-1]["kg"]["nominal"]
    assert learnt == pytest.approx(1.02 * kg[-1], rel=0.01)
