"""A plan with light cores, from the command line to what it weighs."""

import json

import numpy as np
import pytest
import trimesh

from pourwright.cli import main
from pourwright.plan import cored as cored_module


def run(*words):
    return main([str(word) for word in words])


@pytest.fixture(scope="module")
def tub(tmp_path_factory):
    """A tub of 1.0 x 0.8 x 0.6 m, open on top."""
    folder = tmp_path_factory.mktemp("tub")
    mesh = trimesh.creation.box((1.0, 0.8, 0.6))
    mesh.update_faces(~(mesh.vertices[mesh.faces][:, :, 2] > 0.2999).all(axis=1))
    mesh.export(folder / "tub.ply")
    (folder / "job.toml").write_text(
        '[piece]\nshell = "tub.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "4 mm"\n[foam]\n'
        'grade = "rigid-3"\n[fill]\nstyle = "core"\nsize = ["300 mm", "200 mm", "150 mm"]\ndensity = "20 kg/m^3"\n'
        '[grid]\ncell = "20 mm"\n[day]\nsearch = false\n'
    )
    return folder


@pytest.fixture(scope="module")
def cored(tub):
    code = run("plan", tub / "job.toml", "--out", tub / "plan", "--quick", "--quiet", "--no-pictures")
    return code, json.loads((tub / "plan" / "plan.json").read_text())


def test_cores_take_their_room_and_weigh_what_they_are(tub, cored):
    code, plan = cored
    fill, cores = plan["fill"], plan["fill"]["cores"]
    assert code == 3  # their heat is not computed by formulas
    assert fill["style"] == "core"
    count = len(cores["laid"])
    assert count == 16
    assert cores["volume_m3"] == pytest.approx(count * 0.3 * 0.2 * 0.15)
    inside = 0.992 * 0.792 * (0.6 - 0.004)
    assert fill["foam_m3"] == pytest.approx(inside - cores["volume_m3"], rel=0.01)
    items = [item for item in plan["site"]["items"] if item["name"].startswith("core ")]
    assert sum(item["kg"]["nominal"] for item in items) == pytest.approx(count * 0.009 * 20.0)
    density = plan["foam"]["closed_density_kg_m3"]["nominal"]
    assert cores["saved_kg"] == pytest.approx(cores["volume_m3"] * (density - 20.0), rel=1e-6)


def test_every_core_lies_under_its_cover(cored):
    cores = cored[1]["fill"]["cores"]
    low = np.array([one["low_m"] for one in cores["laid"]])
    high = np.array([one["high_m"] for one in cores["laid"]])
    size = np.array(cored[1]["shell"]["size_m"]) if "size_m" in cored[1]["shell"] else np.array([1.0, 0.8, 0.6])
    assert low.min() >= 0.05 + 0.004 - 1e-9
    assert (size - high).min() >= 0.05 - 1e-9


def test_plan_and_sheet_tell_how_cores_are_laid_and_held(tub):
    text = " ".join((tub / "plan" / "plan.md").read_text().split())
    sheet = (tub / "plan" / "sheet.html").read_text()
    assert "Cores, to be laid before the first pour" in text
    assert "Cores, to be laid before the first pour" in sheet
    assert "tie each down" in text
    assert "core 16" in sheet


def test_cores_that_stand_less_than_the_foams_heat_are_over_a_limit(tub):
    words = ("--set", "heat.cells=3000", "--set", "structure.computed=false")
    code = run("plan", tub / "job.toml", *words, "--out", tub / "hot", "--quiet", "--no-pictures")
    plan = json.loads((tub / "hot" / "plan.json").read_text())
    hot = next(check for check in plan["checks"] if check["name"] == "surface of the cores")
    assert hot["limit"] == pytest.approx(343.15)  # 70 degC, the low end of what suppliers print
    assert "from memory" in hot["source"]
    assert any("70 °C" in line and "expanded polystyrene" in line for line in plan["assumed"])
    assert hot["value"] > hot["limit"]
    assert hot["verdict"] == "over"
    assert code == 1


def test_cores_that_go_through_no_mouth_are_over_a_limit(tub, tmp_path):
    """A ball of 1 m with a round hole of 0.34 m on top, measured outside: 0.33 m between its walls of 5 mm."""
    turn = np.linspace(-0.5 * np.pi, np.arccos(0.34), 60)
    trimesh.creation.revolve(0.5 * np.column_stack([np.cos(turn), np.sin(turn)]), sections=96).export(
        tmp_path / "jar.ply"
    )
    words = ["--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--quick", "--quiet", "--no-pictures"]
    for one in (
        "fill.style=core",
        'fill.size=["300 mm","300 mm","300 mm"]',
        "fill.density=15 kg/m^3",
        "grid.cell=25 mm",
    ):
        words += ["--set", one]
    assert run("plan", tmp_path / "jar.ply", *words, "--set", "day.search=false", "--out", tmp_path / "p") == 1
    plan = json.loads((tmp_path / "p" / "plan.json").read_text())
    mouth = next(check for check in plan["checks"] if check["name"] == "cores through the mouth")
    assert mouth["value"] == pytest.approx(0.3 * 2**0.5)
    assert mouth["limit"] == pytest.approx(0.33, rel=0.005)
    assert mouth["verdict"] == "over"
    assert "necks and reach are not computed" in mouth["source"]
    text = " ".join((tmp_path / "p" / "plan.md").read_text().split())
    assert "DOES NOT PASS" in text


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        (["fill.style=core"], "three edges of a core"),
        (["fill.style=core", 'fill.size=["300 mm","200 mm","100 mm"]'], "fill.density"),
        (["fill.density=20 kg/m^3"], "goes with fill.style"),
        (["fill.core=blocks"], "fill.core = 'blocks': goes with fill.style"),
        (["fill.cover=60 mm"], "fill.cover = '60 mm': goes with fill.style"),
        (["fill.gap=40 mm"], "fill.gap = '40 mm': goes with fill.style"),
        (
            ["fill.style=core", 'fill.size=["300 mm","200 mm","90 mm"]', "fill.density=20 kg/m^3"],
            "shortest edge of a core, 90 mm (3.54 in), is less than 4 cells of 25 mm",
        ),
        (
            ["fill.style=core", 'fill.size=["900 mm","700 mm","600 mm"]', "fill.density=20 kg/m^3"],
            "lies anywhere under 50 mm",
        ),
    ],
)
def test_what_is_no_core_is_refused_in_one_sentence(tub, capsys, settings, said):
    words = [word for one in settings for word in ("--set", one)]
    base = ["--unit", "m", "--wall", "4 mm", "--foam", "rigid-3", "--set", "grid.cell=25 mm"]
    assert run("plan", tub / "tub.ply", *base, *words) in (1, 2)
    told = capsys.readouterr().err
    assert said in " ".join(told.split())
    assert "Traceback" not in told


def test_a_record_goes_on_with_the_cores_in_their_place(tub, tmp_path, monkeypatch):
    plan = tmp_path / "plan"
    for name in ("tub.ply", "job.toml"):
        (tmp_path / name).write_bytes((tub / name).read_bytes())
    assert run("plan", tmp_path / "job.toml", "--out", plan, "--quick", "--quiet", "--no-pictures") == 3
    before = json.loads((plan / "plan.json").read_text())
    top = next(pour["top_m"] for lift in before["lifts"] for pour in lift["pours"] if pour["name"] == "1a")
    words = ("--pour", "1a", "--as-planned", "--reached", f"{1e3 * top:.0f} mm", "--yes")
    laid, real = [], cored_module.laid_in
    monkeypatch.setattr(cored_module, "laid_in", lambda *args: laid.append(args) or real(*args))
    assert run("record", plan, *words) in (0, 1, 3)
    assert len(laid) == 1  # they are laid once, not again for the plan of what is left
    after = json.loads((plan / "plan.json").read_text())
    assert after["fill"]["style"] == "core"
    assert len(after["fill"]["cores"]["laid"]) == 16
    assert after["cavity"]["volume_m3"] == pytest.approx(before["cavity"]["volume_m3"], rel=1e-9)
    assert after["fill"]["foam_m3"] == pytest.approx(before["fill"]["foam_m3"], rel=0.01)
    mouth = [
        [c["verdict"] for c in plan["checks"] if c["name"] == "cores through the mouth"] for plan in (before, after)
    ]
    assert mouth == [["ok"], ["ok"]]
    hot = [[c["verdict"] for c in plan["checks"] if c["name"] == "surface of the cores"] for plan in (before, after)]
    assert hot == [["unknown"], ["unknown"]]


@pytest.mark.slow
def test_cores_that_are_over_a_limit_stay_so_after_a_record(tub, tmp_path):
    plan = tmp_path / "plan"
    for name in ("tub.ply", "job.toml"):
        (tmp_path / name).write_bytes((tub / name).read_bytes())
    with (tmp_path / "job.toml").open("a") as job:
        job.write(
            '[heat]\ncells = 3000\n[structure]\ncomputed = false\n[[item]]\nname = "rod"\nshape = "rod"\n'
            'when = "before"\nweight = "2 kg"\ndiameter = "12 mm"\nstart = { at = ["-470 mm", "-370 mm", "-250 mm"] }\n'
            'end = { at = ["-470 mm", "-370 mm", "200 mm"] }\n'
        )
    assert run("plan", tmp_path / "job.toml", "--out", plan, "--quiet", "--no-pictures") == 1
    before = json.loads((plan / "plan.json").read_text())
    top = next(pour["top_m"] for lift in before["lifts"] for pour in lift["pours"] if pour["name"] == "1a")
    words = ("--pour", "1a", "--as-planned", "--reached", f"{1e3 * top:.0f} mm", "--yes")
    assert run("record", plan, *words) == 1
    after = json.loads((plan / "plan.json").read_text())
    hot = [next(c for c in plan["checks"] if c["name"] == "surface of the cores") for plan in (before, after)]
    assert [one["verdict"] for one in hot] == ["over", "over"]
    rods = [[line for line in plan["cautions"] if "rod" in line] for plan in (before, after)]
    assert len(rods[0]) == 1
    assert rods[1] == rods[0]
