"""``record`` believes no figure that cannot be, none that is unlikely without ``--yes``, and says what has changed."""

import json
import re
import shutil

import pytest
import trimesh

from pourwright.cli import main
from pourwright.document.read_json import read_plan_json
from pourwright.record import OFF_RATIO, OFF_YIELD, TOO_LIGHT, read_record

JOB = """
[piece]
name = "Trestle"
shell = "trestle.stl"
unit = "m"
[wall]
thickness = "5 mm"
[foam]
grade = "rigid-3"
[grid]
cell = "12 mm"
[heat]
computed = false
[day]
least_mix = "10 mL"
[limits]
lift = "120 mm"
lift_reference = "sheet of the test"
"""


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """A plan of a beam on two legs: two pours in each lift of the legs."""
    folder = tmp_path_factory.mktemp("trestle")
    legs = [trimesh.creation.box((0.12, 0.15, 0.4)), trimesh.creation.box((0.12, 0.15, 0.4))]
    legs[0].apply_translation((0.06, 0, 0.2))
    legs[1].apply_translation((0.44, 0, 0.2))
    beam = trimesh.creation.box((0.5, 0.15, 0.2))
    beam.apply_translation((0.25, 0, 0.4))
    trimesh.boolean.union([*legs, beam]).export(folder / "trestle.stl")
    (folder / "job.toml").write_text(JOB)
    assert main(["plan", str(folder / "job.toml"), "-o", str(folder / "plan"), "--no-pictures", "-q"]) in (0, 1)
    return folder


@pytest.fixture
def planned(first, tmp_path):
    shutil.copytree(first, tmp_path / "shop")
    return tmp_path / "shop" / "plan"


def pours(folder):
    return {pour.name: pour for lift in read_plan_json(folder).lifts for pour in lift.pours}


def amounts(pour, times_a=1.0, times_b=None):
    b = pour.part_b_kg * (times_a if times_b is None else times_b)
    return "--a", f"{1e3 * pour.part_a_kg * times_a:.3f} g", "--b", f"{1e3 * b:.3f} g"


def held(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name[0] != "."}


def refused(call, folder, *arguments):
    before = held(folder)
    said = call("record", folder, "--pour", *arguments)
    assert said.code == 2, said
    assert len(said.err.splitlines()) == 1
    assert "nothing was recorded" in said.err
    assert held(folder) == before
    return said.err


def recorded(call, folder, *arguments):
    said = call("record", folder, "--pour", *arguments, "--no-pictures")
    assert said.code in (0, 1), said
    return said.out


def test_a_few_grams_that_rose_through_the_piece_cannot_be(call, planned):
    said = refused(call, planned, "1a", "--a", "20 g", "--b", "5 g", "--reached", "480 mm", "--yes")
    assert "4 to 1 by weight" in said
    assert "372 mm" in said
    assert "25 g (" in said
    assert "kg/m³" in said


def test_a_pour_typed_wrong_by_ten_is_refused(call, planned):
    pour = pours(planned)["1a"]
    height = f"{pour.top_m * 1e3} mm"
    heavy = refused(call, planned, "1a", *amounts(pour, 10.0), "--reached", height)
    assert "foam of 49" in heavy
    assert "give or take 30%" in heavy
    assert "--yes" in heavy
    assert "cannot be" in refused(call, planned, "1a", *amounts(pour, 0.1), "--reached", height, "--yes")
    assert "cannot be" in refused(call, planned, "1a", *amounts(pour, 30.0), "--reached", height, "--yes")
    refused(call, planned, "1a", *amounts(pour, 10.0), "--full")
    assert TOO_LIGHT.value > 0.1


@pytest.mark.parametrize("off", [1.0 + 0.9 * OFF_YIELD.value, 1.0 - 0.9 * OFF_YIELD.value])
def test_a_yield_within_the_limit_needs_no_word(call, planned, off):
    pour = pours(planned)["1a"]
    recorded(call, planned, "1a", *amounts(pour, off), "--reached", f"{pour.top_m * 1e3} mm", "--later")
    assert read_record(planned).entries[0].insisted == ()


@pytest.mark.parametrize("off", [1.0 + 1.1 * OFF_YIELD.value, 1.0 - 1.1 * OFF_YIELD.value])
def test_a_yield_beyond_it_is_refused_with_the_numbers(call, planned, off):
    pour = pours(planned)["1a"]
    said = refused(call, planned, "1a", *amounts(pour, off), "--reached", f"{pour.top_m * 1e3} mm")
    found = [float(value) for value in re.findall(r"([\d.]+) kg/m³", said)]
    assert found[0] / found[1] == pytest.approx(off, rel=0.02)


def test_a_ratio_off_by_more_than_its_limit_is_refused(call, planned):
    pour = pours(planned)["1a"]
    height = f"{pour.top_m * 1e3} mm"
    share = OFF_RATIO.value
    said = refused(call, planned, "1a", *amounts(pour, 1.0, 1.0 / (1.1 * share + 1.0)), "--reached", height)
    assert "to 1 by weight" in said
    refused(call, planned, "1a", *amounts(pour, 1.0, 0.0), "--reached", height)
    recorded(call, planned, "1a", *amounts(pour, 1.0, 1.0 / (0.9 * share + 1.0)), "--reached", height, "--later")


def test_a_height_over_the_lift_is_refused_beyond_what_the_foam_explains(call, planned):
    pour = pours(planned)["1a"]
    said = refused(call, planned, "1a", *amounts(pour, 1.25), "--reached", f"{pour.top_m * 1e3 + 40:.0f} mm")
    assert "over the" in said
    recorded(call, planned, "1a", *amounts(pour), "--reached", f"{pour.top_m * 1e3 + 12:.0f} mm", "--later")


def test_a_lift_before_the_one_below_it_is_refused(call, planned):
    said = refused(call, planned, "2a", "--as-planned", "--full")
    assert "1a, 1b are not recorded" in said
    recorded(call, planned, "1a", "--as-planned", "--full", "--later")
    assert "1b is not recorded" in refused(call, planned, "2a", "--as-planned", "--full")


def test_what_is_insisted_on_is_recorded_and_marked_everywhere(call, planned):
    said = recorded(call, planned, "2a", "--as-planned", "--full", "--yes")
    assert "insisted on" in said
    (entry,) = read_record(planned).entries
    assert "1a, 1b are not recorded" in entry.insisted[0]
    assert "INSISTED ON: pour 2a is of lift 2" in (planned / "sheet.html").read_text(encoding="utf-8").replace(
        "\u00a0", " "
    )
    found = pours(planned)
    assert found["2a"].poured
    assert not found["1a"].poured
    assert not found["1b"].poured
    density = (found["2a"].part_a_kg + found["2a"].part_b_kg) / found["2a"].volume_m3
    assert density == pytest.approx(read_plan_json(planned).foam.open_density_kg_m3.nominal, rel=0.15)


def test_a_mix_off_its_ratio_tells_nothing_of_the_yield(call, planned):
    pour = pours(planned)["1a"]
    arguments = ("1a", *amounts(pour, 1.2, 0.8), "--reached", f"{pour.top_m * 1e3} mm", "--yes", "--json")
    assert json.loads(recorded(call, planned, *arguments))["yield"]["readings"] == 0


def test_a_strike_never_leaves_a_top_up_without_its_pour(call, planned):
    recorded(call, planned, "1a", "--as-planned", "--full", "--later")
    recorded(call, planned, "1a", "--top-up", "--a", "3 g", "--b", "2.6 g", "--later")
    said = call("record", planned, "--strike", "1")
    assert said.code == 2
    assert "--strike 2" in said.err


def shown(planned, name):
    text = (planned / "plan.md").read_text(encoding="utf-8")
    return re.search(rf"^\| {name} .*", text, re.MULTILINE)[0]


def test_every_wait_hole_verdict_and_amount_that_changed_is_told(call, planned):
    before = read_plan_json(planned)
    was = pours(planned)
    rows = {name: shown(planned, name) for name in was}
    out = recorded(call, planned, "1a", *amounts(was["1a"], 1.2), "--reached", f"{was['1a'].top_m * 1e3} mm", "--json")
    changes = json.loads(out)["changes"]
    after = read_plan_json(planned)
    told = 0
    for name, pour in pours(planned).items():
        if pour.poured:
            continue
        (mine,) = [line for line in changes if re.match(rf"Pour {name} ", line)] or [""]
        if name not in was:
            assert "is new" in mine
            continue
        if shown(planned, name) != rows[name]:  # top, both amounts, cups, wait and limit, as a person reads them
            assert mine, name
            told += 1
        verdicts = {check.name: check.verdict for check in was[name].checks}
        for check in pour.checks:
            if verdicts.get(check.name, "ok") != check.verdict:
                assert f"{check.name} is {check.verdict}" in mine
        if {x.port for x in pour.landings} != {x.port for x in was[name].landings}:
            assert "goes in at" in mine
    assert told > 3
    for hole in [*after.ports, *after.vents]:
        if hole.name not in {h.name for h in [*before.ports, *before.vents]}:
            assert any(f"{hole.name}: it is new" in line for line in changes)
    assert any("Liquids to have" in line for line in changes)


def test_an_entry_of_an_older_record_is_still_read(call, planned):
    recorded(call, planned, "1a", "--as-planned", "--full", "--later")
    path = planned / "record.json"
    tree = json.loads(path.read_bytes())
    for entry in tree["entries"]:
        for key in ("insisted", "off_ratio"):
            del entry[key]
        for key in ("volume_m3", "nodes", "shares"):
            del entry["planned"][key]
    tree["holes"] = [{"name": p.name, "point_m": p.point_m} for p in read_plan_json(planned).ports]
    del tree["names"]
    path.write_text(json.dumps(tree))
    recorded(call, planned, "1b", "--as-planned", "--full")
    found = pours(planned)
    assert found["1a"].poured
    assert found["1b"].poured
    assert read_record(planned).holes[0].hole_m > 0


def test_what_was_weighed_of_one_cup_is_shared_out_among_its_pours(call, first, tmp_path):
    """The sheet has one pair of boxes for such a cup: both pours are recorded with what stands in them."""
    folder = tmp_path / "plan"
    least = "day.least_mix=100 mL"
    assert call("plan", first / "job.toml", "-o", folder, "--no-pictures", "-q", "--set", least).code in (0, 1)
    sheet = pours(folder)
    assert sheet["1a"].one_cup == ["1a", "1b"]
    a_kg, b_kg = (sum(getattr(sheet[name], part) for name in ("1a", "1b")) for part in ("part_a_kg", "part_b_kg"))
    cup = ("--a", f"{1e3 * a_kg:.3f} g", "--b", f"{1e3 * b_kg:.3f} g")
    height = f"{sheet['1a'].top_m * 1e3} mm"
    tenfold = ("--a", f"{1e4 * a_kg:.3f} g", "--b", f"{1e4 * b_kg:.3f} g")
    assert "--yes" in refused(call, folder, "1a", *tenfold, "--reached", height)
    for name in ("1a", "1b"):
        recorded(call, folder, name, *cup, "--reached", height, "--later")
    for entry in read_record(folder).entries:
        assert entry.part_a_kg == pytest.approx(sheet[entry.pour].part_a_kg, rel=1e-3)
        assert entry.part_b_kg == pytest.approx(sheet[entry.pour].part_b_kg, rel=1e-3)
