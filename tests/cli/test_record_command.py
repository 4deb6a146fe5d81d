"""The command line of the record: what is ordinary at a bench, what is refused, and that nothing is lost."""

import json

import pytest

from pourwright.document.read_json import read_plan_json


@pytest.fixture
def planned(call, job, tmp_path):
    """A quick plan of the ball with at least three lifts."""
    folder = tmp_path / "plan"
    said = call(
        "plan", job, "--quick", "--no-pictures", "-q", "-o", folder, "--set", "limits.lift=100 mm",
        "--set", "limits.lift_reference=sheet of the test",
    )  # fmt: skip
    assert said.code in (0, 1), said
    assert len(read_plan_json(folder).lifts) >= 3
    return folder


def again(call, planned, *arguments):
    said = call("record", planned, "--no-pictures", *arguments)
    assert said.code in (0, 1), said
    return said


def pours(folder):
    return {pour.name: pour for lift in read_plan_json(folder).lifts for pour in lift.pours}


def parts(folder, name):
    pour = pours(folder)[name]
    return pour.part_a_kg, pour.part_b_kg


def whole(folder):
    plan = read_plan_json(folder)
    return sum(p.volume_m3 for lift in plan.lifts for p in lift.pours) + sum(u.volume_m3 for u in plan.unfilled)


def test_a_short_fill_moves_what_is_left_down(call, planned):
    before = pours(planned)
    said = again(call, planned, "--pour", "1a", "--as-planned", "--reached", f"{before['1a'].top_m * 1e3 - 12} mm")
    after = pours(planned)
    assert after["1a"].poured
    assert not after["2a"].poured
    assert after["2a"].bottom_m == pytest.approx(before["1a"].top_m - 0.012, abs=0.006)
    assert whole(planned) == pytest.approx(read_plan_json(planned).cavity.volume_m3, rel=1e-6)
    assert "Foam in place weighs 1.0" in said.out  # denser than expected
    sheet = (planned / "sheet.html").read_text(encoding="utf-8")
    assert "Sheet 2, made again" in sheet
    assert '<span class="tag">changed' in sheet


def test_denser_foam_asks_for_more_liquid_an_overfill_for_less(call, planned):
    before = pours(planned)
    height = before["1a"].top_m * 1e3
    again(call, planned, "--pour", "1a", "--as-planned", "--reached", f"{height - 10} mm")
    dense = pours(planned)["2a"]
    again(call, planned, "--strike", "1", "--later")
    plan = read_plan_json(planned)
    assert plan.provenance["issue"] == "2"
    again(call, planned)
    assert not any(pour.poured for pour in pours(planned).values())
    again(call, planned, "--pour", "1a", "--as-planned", "--reached", f"{height + 15} mm")
    light = pours(planned)["2a"]
    per_m3 = [(p.part_a_kg + p.part_b_kg) / p.volume_m3 for p in (dense, before["2a"], light)]
    assert per_m3[0] > per_m3[1] > per_m3[2]


def test_a_void_topped_up_and_a_colder_day(call, planned):
    height = pours(planned)["1a"].top_m * 1e3
    again(call, planned, "--pour", "1a", "--as-planned", "--reached", f"{height} mm", "--at", "Monday")
    kg = read_plan_json(planned).outcome.foam_kg.nominal
    said = again(
        call, planned, "--pour", "1a", "--top-up", "--a", "30 g", "--b", "26 g", "--note", "<b>void</b> at the back",
        "--parts", "14 degC", "--air", "12 degC",
    )  # fmt: skip
    assert read_plan_json(planned).outcome.foam_kg.nominal > kg + 0.05
    assert "Taken from here on: air 12 °C" in said.out
    assert read_plan_json(planned).foam.parts_c == pytest.approx(14)
    sheet = (planned / "sheet.html").read_text(encoding="utf-8")
    assert "topped up with 56.0 g" in sheet.replace("\u00a0", " ")
    assert "<b>void" not in sheet


def test_full_to_the_top_there_is_nothing_left(call, planned):
    plan = read_plan_json(planned)
    size = plan.frame.size_m[2] * 1e3
    amounts = [
        f"{part * plan.cavity.volume_m3 / pours(planned)['1a'].volume_m3:.4f} kg" for part in parts(planned, "1a")
    ]
    full = ("--pour", "1a", "--a", amounts[0], "--b", amounts[1], "--reached", f"{size} mm")
    assert call("record", planned, *full).code == 2
    said = again(call, planned, *full, "--yes", "--json")
    assert json.loads(said.out)["left_m3"] == pytest.approx(0.0, abs=1e-4)
    assert all(pour.poured for pour in pours(planned).values())


def test_holes_keep_their_names(call, planned):
    before = {hole.name: hole.point_m for hole in read_plan_json(planned).vents}
    again(call, planned, "--pour", "1a", "--as-planned", "--full")
    for vent in read_plan_json(planned).vents:
        if vent.name in before:
            assert vent.point_m == pytest.approx(before[vent.name], abs=0.016)


def test_the_folder_can_be_moved_with_its_shell(call, planned, tmp_path):
    moved = tmp_path / "elsewhere"
    planned.rename(moved)
    again(call, moved, "--pour", "1a", "--as-planned", "--full")


def test_the_day_and_the_warnings_name_only_what_is_left(call, planned):
    again(call, planned, "--pour", "1a", "--as-planned", "--full")
    plan = read_plan_json(planned)
    left = {pour.name for lift in plan.lifts for pour in lift.pours if not pour.poured}
    text = (planned / "plan.md").read_text(encoding="utf-8")
    day = text.split("## The day")[1].split("##")[0]
    assert "lift 1," not in day
    assert all(f"lift {lift.number}," in day for lift in plan.lifts[1:])
    assert not [words for words in plan.warnings if "1a" in words]
    assert "1a" not in left


def test_json_holds_record_yield_and_changes(call, planned):
    tree = json.loads(again(call, planned, "--pour", "1a", "--as-planned", "--full", "--json").out)
    assert tree["record"]["entries"][0]["pour"] == "1a"
    assert tree["yield"]["readings"] == 0
    assert tree["changes"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--pour", "9z", "--as-planned", "--full"), "the sheet names 1a"),
        (("--pour", "1a", "--full"), "say what went in"),
        (("--pour", "1a", "--as-planned"), "say how high it came"),
        (("--pour", "1a", "--as-planned", "--reached", "4 kg"), "--reached '4 kg'"),
        (("--pour", "1a", "--as-planned", "--reached", "9 m"), "measure from its base"),
        (("--pour", "1a", "--a", "1 bar", "--b", "1 kg", "--full"), "--a '1 bar'"),
        (("--pour", "1a", "--a", "0 kg", "--b", "0 kg", "--full"), "nothing went in"),
        (("--pour", "1a", "--as-planned", "--full", "--parts", "300 degC"), "no shop is that cold or hot"),
        (("--pour", "1a", "--top-up", "--a", "1 kg", "--b", "1 kg"), "not recorded yet"),
        (("--reached", "100 mm"), "which pour"),
        (("--strike", "3"), "there is no such entry"),
        ((), "nothing is recorded"),
    ],
)
def test_refusals_write_nothing(call, planned, arguments, words):
    before = {path: path.read_bytes() for path in planned.iterdir() if not path.name.startswith(".")}
    said = call("record", planned, *arguments)
    assert said.code == 2, said
    assert words in said.err
    assert "Traceback" not in said.err
    assert {path: path.read_bytes() for path in planned.iterdir() if not path.name.startswith(".")} == before


def test_the_same_pour_twice_is_refused(call, planned):
    again(call, planned, "--pour", "1a", "--as-planned", "--full", "--later")
    said = call("record", planned, "--pour", "1a", "--as-planned", "--full", "--later")
    assert said.code == 2
    assert "is entry 1 already" in said.err
