"""A plan with ribs, from the command line to its dams, its record and what floats by it."""

import json
import re

import ezdxf
import pytest
import trimesh

from pourwright.cli import main
from pourwright.intake import read_job
from pourwright.plan.make import space_of
from pourwright.plan.ribbed import rib_space

WALL, BOARD = 0.005, 0.009
INNER = 0.49 * 0.39
BANDS = ((0.0, 0.15), (0.5, 0.65))


def run(*words):
    return main([str(word) for word in words])


def job_text(shell, more=""):
    return (
        f'[piece]\nshell = "{shell}"\nunit = "m"\nmaterial = "grp"\nsupport = "held"\n[wall]\nthickness = "5 mm"\n'
        '[foam]\ngrade = "rigid-3"\n[grid]\ncell = "10 mm"\n[day]\nsearch = false\n'
        f'[fill]\nstyle = "ribs"\nbands = [["0 mm", "150 mm"], ["500 mm", "650 mm"]]\n{more}'
    )


@pytest.fixture(scope="module")
def ribbed(tmp_path_factory):
    """A tower of 0.5 m by 0.4 m by 1.2 m, open at the top."""
    folder = tmp_path_factory.mktemp("ribs")
    tower = trimesh.creation.box((0.5, 0.4, 1.2))
    tower.update_faces(tower.face_normals[:, 2] < 0.5)
    tower.export(folder / "tower.ply")
    (folder / "job.toml").write_text(job_text("tower.ply"))
    code = run("plan", folder / "job.toml", "--out", folder / "plan", "--quiet")
    return folder, code, json.loads((folder / "plan" / "plan.json").read_text())


def test_foam_stands_in_the_bands_and_nowhere_else(ribbed):
    _, _, plan = ribbed
    fill = plan["fill"]
    deep = (0.15 - WALL) + 0.15
    assert fill["style"] == "ribs"
    assert fill["foam_m3"] == pytest.approx(INNER * deep, rel=0.005)
    assert fill["foam_m3"] + fill["hollow_m3"] == pytest.approx(INNER * (1.2 - WALL), rel=0.005)
    assert fill["coverage"] == pytest.approx((0.5 * 0.4 + 1.8 * 0.3) / (0.5 * 0.4 + 1.8 * 1.2), rel=0.01)
    pours = [pour for lift in plan["lifts"] for pour in lift["pours"]]
    for pour in pours:
        assert any(low - 0.011 <= pour["bottom_m"] and pour["top_m"] <= high + 0.011 for low, high in BANDS)
        assert not pour["closes"]  # a rib is open at its top
    assert sum(pour["volume_m3"] for pour in pours) == pytest.approx(fill["foam_m3"], rel=1e-6)
    assert all(vent["way"] == "opening" for vent in plan["vents"])
    assert all(hole["closing_force_n"] is None for hole in plan["ports"] + plan["vents"])  # a dam lies between ribs


def test_weight_is_that_of_the_whole_skin_and_of_the_foam_that_is_there(ribbed):
    _, _, plan = ribbed
    outcome, density = plan["outcome"], plan["foam"]["open_density_kg_m3"]["nominal"]
    wall_m3 = 0.5 * 0.4 * 1.2 - INNER * (1.2 - WALL)
    grp = plan["shell"]["material"]["values"]["density_kg_m3"]["value"]
    assert outcome["skin_kg"]["nominal"] == pytest.approx(wall_m3 * grp, rel=0.02)
    assert outcome["foam_kg"]["nominal"] == pytest.approx(plan["fill"]["foam_m3"] * density, rel=0.01)
    assert outcome["skin_kg"]["high"] < 1.5 * outcome["skin_kg"]["nominal"]


def test_the_dam_fits_the_inside_and_bears_its_foam(ribbed):
    _, _, plan = ribbed
    (dam,) = plan["fill"]["ribs"]["dams"]  # the lower rib stands on the bottom
    assert dam["rib"] == 2
    assert dam["height_m"] == pytest.approx(0.5)
    assert 0.97 * INNER < dam["area_m2"] < INNER
    foam_kg = 0.15 * INNER * plan["foam"]["open_density_kg_m3"]["nominal"]
    push = dam["pressure_pa"]["nominal"] * dam["area_m2"]
    assert dam["force_n"]["nominal"] == pytest.approx(push + 9.81 * foam_kg, rel=0.03)
    assert dam["force_n"]["low"] < dam["force_n"]["nominal"] < dam["force_n"]["high"]
    assert dam["mouth"] == "opening 1"
    assert dam["mouth_m"] == pytest.approx(0.39, rel=0.01)  # its rim is a wall thick
    assert dam["strips"] == 1  # 0.384 m of board pass
    assert dam["kg"]["nominal"] == pytest.approx(dam["area_m2"] * BOARD * 600.0)


def test_what_hands_cannot_reach_is_over_a_limit(ribbed):
    """From the rim at 1.2 m to the corner of a board at 0.5 m it is 0.77 m, more than an arm."""
    _, code, plan = ribbed
    checks = {check["name"]: check for check in plan["checks"]}
    assert checks["reach to the dams"]["value"] == pytest.approx((0.7**2 + 0.242**2 + 0.192**2) ** 0.5, rel=0.01)
    assert checks["reach to the dams"]["verdict"] == "over"
    assert checks["dams through the mouth"]["verdict"] == "ok"
    assert code == 1


def test_the_drawing_is_at_full_size_and_says_how_to_check_it(ribbed):
    folder, _, plan = ribbed
    (dam,) = plan["fill"]["ribs"]["dams"]
    text = (folder / "plan" / "dam_1.svg").read_text()
    path = re.search(r'<path d="(M[^"]*)Z"', text)[1]
    at = [float(v) for v in re.findall(r"-?\d+\.\d+", path)]
    assert max(at[::2]) - min(at[::2]) == pytest.approx(484, abs=3)
    assert max(at[1::2]) - min(at[1::2]) == pytest.approx(384, abs=3)
    assert "check them on the print" in text
    drawing = ezdxf.readfile(folder / "plan" / "dams.dxf")
    (line,) = drawing.modelspace().query("LWPOLYLINE")
    assert len(line) == len(dam["outline_m"][0]) - 1
    (check,) = drawing.modelspace().query("LINE")
    assert check.dxf.end.x - check.dxf.start.x == pytest.approx(100.0)


def test_sheet_and_plan_speak_of_dams_and_of_what_stays_hollow(ribbed):
    folder, _, plan = ribbed
    for name in ("plan.md", "sheet.html"):
        said = " ".join((folder / "plan" / name).read_text().split())
        for words in ("dams to be set before the first pour", "dam 2, under rib 2", "Hollow 1", "Drain", "Breather"):
            assert words in said
    assert len(plan["fill"]["ribs"]["hollows"]) == 2
    for hollow in plan["fill"]["ribs"]["hollows"]:
        low, high = (at + 0.6 for at in (hollow["drain_m"][2], hollow["breather_m"][2]))
        assert hollow["bottom_m"] - 0.02 <= low < high <= hollow["top_m"] + 0.02


def test_a_rib_is_poured_again_from_its_record(ribbed, capsys):
    folder, _, plan = ribbed
    name = plan["lifts"][0]["pours"][0]["name"]
    assert run("record", folder / "plan", "--pour", name, "--as-planned", "--full", "--no-pictures", "--quiet") == 1
    after = json.loads((folder / "plan" / "plan.json").read_text())
    assert after["fill"]["style"] == "ribs"
    assert after["fill"]["foam_m3"] == pytest.approx(plan["fill"]["foam_m3"])
    assert len(after["fill"]["ribs"]["dams"]) == 1
    assert [pour["poured"] for lift in after["lifts"] for pour in lift["pours"] if pour["name"] == name] == [True]


def test_it_floats_by_its_real_weight_and_floods_where_it_is_hollow(ribbed, capsys):
    folder, _, plan = ribbed
    capsys.readouterr()
    run("float", folder / "plan", "--json", "--no-pictures", "--no-files")
    result = json.loads(capsys.readouterr().out)["result"]
    assert result["foam_m3"]["nominal"] == pytest.approx(plan["fill"]["foam_m3"], rel=1e-6)
    assert result["foam_m3"]["high"] >= 0.99 * INNER * (1.2 - WALL)  # water takes the hollow at that end


def test_answers_take_anchors_measured_on_the_wall_alone(ribbed, capsys):
    """They have no depth: each command ended in an internal error."""
    folder, _, plan = ribbed
    insert = 'insert = { diameter = "30 mm", depth = "60 mm" }\n'
    (folder / "hung.toml").write_text(
        job_text("tower.ply", '[hang]\nout = "-y"\nup = "+z"\n')
        + f'[[anchor]]\nname = "one"\nfrom_left = "100 mm"\nfrom_base = "575 mm"\n{insert}'
        + f'[[anchor]]\nname = "two"\nfrom_right = "100 mm"\nfrom_base = "575 mm"\n{insert}'
    )
    capsys.readouterr()
    job = ("--job", folder / "hung.toml", "--json", "--no-files")
    kg = []
    for command in ("weights", "stand"):
        assert run(command, folder / "plan", *job) in (0, 1), command
        kg.append(json.loads(capsys.readouterr().out)["result"]["stages"][-1]["kg"]["nominal"])
    assert kg == pytest.approx([plan["outcome"]["total_kg"]["nominal"]] * 2, rel=1e-6)
    assert run("hang", folder / "plan", *job) in (1, 3)
    told = json.loads(capsys.readouterr().out)["not_known"]
    assert any("one: foam bearing round the insert" in line for line in told)
    assert run("hang", folder / "plan", *job[:2], "--no-files") in (1, 3)
    out = " ".join(capsys.readouterr().out.split())
    assert "This piece is NOT SOLID" in out
    assert "put it in a rib" in out


def test_stiffness_does_not_take_a_hollow_for_foam(ribbed, capsys):
    folder, _, _ = ribbed
    assert run("stiffness", folder / "plan") == 2
    assert "filled in ribs only" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (['fill.bands=[["500 mm","400 mm"]]'], "pairs of heights"),
        (['fill.bands=[["1300 mm","1400 mm"]]'], "misses the piece"),
        (['fill.bands=[["500 mm","520 mm"]]'], "thinner than four cells"),
        (["fill.style=solid"], 'goes with fill.style = "ribs"'),
    ],
)
def test_bands_that_cannot_be_filled_are_refused_in_one_sentence(ribbed, capsys, words, said):
    folder, _, _ = ribbed
    given = [word for one in words for word in ("--set", one)]
    assert run("plan", folder / "job.toml", *given, "--out", folder / "none") in (1, 2)
    told = " ".join(capsys.readouterr().err.split())
    assert said in told
    assert "Traceback" not in told
    assert not (folder / "none").exists()


def test_into_a_closed_shell_no_dam_is_brought_and_that_is_not_taken_as_safe(tmp_path):
    trimesh.creation.box((0.5, 0.4, 1.2)).export(tmp_path / "shut.ply")
    (tmp_path / "job.toml").write_text(job_text("shut.ply"))
    assert run("plan", tmp_path / "job.toml", "--out", tmp_path / "plan", "--quiet", "--no-pictures") == 3
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text())
    checks = {check["name"]: check["verdict"] for check in plan["checks"]}
    assert checks["dams through the mouth"] == checks["reach to the dams"] == "unknown"
    assert "closed tube or bag" in " ".join((tmp_path / "plan" / "plan.md").read_text().split())


def test_the_wall_of_a_piece_with_ribs_is_known_as_well_as_without(ribbed):
    """The room behind it, foam and hollow together, is between the same ends: the wall is the same wall."""
    job = read_job(ribbed[0] / "job.toml")
    whole = space_of(job)
    own = rib_space(job, whole).cavity
    taken = whole.cavity.volume_m3 - own.volume_m3
    assert own.room_low_m3 + taken == pytest.approx(whole.cavity.volume_low_m3, rel=1e-6)
    assert own.room_high_m3 + taken == pytest.approx(whole.cavity.volume_high_m3, rel=1e-6)
