"""``pourwright record PLAN`` asks through the next pour; a dip, one weight, a phone's file; slips are refused."""

import io
import json

import pytest

from pourwright.document.read_json import read_plan_json
from pourwright.record import read_record
from pourwright.wording.rim import rim_of


@pytest.fixture
def planned(call, job, tmp_path):
    folder = tmp_path / "plan"
    said = call(
        "plan", job, "--quick", "--no-pictures", "-q", "-o", folder, "--set", "limits.lift=100 mm",
        "--set", "limits.lift_reference=sheet of the test",
    )  # fmt: skip
    assert said.code in (0, 1), said
    return folder


@pytest.fixture
def answered(call, planned, monkeypatch):
    """``answered("", "130", ...)`` -> what ``record`` with no option but the folder says to those answers."""

    def run(*answers):
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in answers)))
        return call("record", planned, "--no-pictures")

    return run


def first(folder):
    return next(pour for lift in read_plan_json(folder).lifts for pour in lift.pours)


def entries(folder):
    record = read_record(folder)
    return [] if record is None else list(record.entries)


def test_enter_alone_records_the_next_pour_as_planned(answered, planned):
    pour = first(planned)
    said = answered(*[""] * 10)
    assert said.code in (0, 1), said
    (entry,) = entries(planned)
    assert entry.pour == pour.name
    assert (entry.part_a_kg, entry.part_b_kg) == (pour.part_a_kg, pour.part_b_kg)
    assert entry.full
    assert entry.reached_m is None  # nobody measured it: it tells nothing of the yield
    assert "Which pour?" in said.out
    assert first(planned).poured


def test_who_is_asked_for_a_pour_is_told_of_a_cup_that_failed(answered, call, planned):
    """The sheet on the bench may still say that it is planned."""
    call("record", planned, "--no-pictures", "--later", "--cup", "failed")
    said = answered(*[""] * 10)
    assert "A cup failed: pour no more until one passes" in said.out.split("Which pour?")[0]


def test_a_dip_from_the_rim_and_bare_numbers_in_the_unit_asked_for(answered, planned):
    pour = first(planned)
    rim = rim_of(pour, read_plan_json(planned))
    dip = 1e3 * (rim.height_m - pour.top_m) + 7.0
    said = answered("", f"{1e3 * pour.part_a_kg:.0f}", f"{1e3 * pour.part_b_kg:.1f} g", f"{dip:.1f}")
    assert said.code == 2  # the answers end in the middle
    assert entries(planned) == []
    said = answered(
        "", f"{1e3 * pour.part_a_kg:.0f}", f"{1e3 * pour.part_b_kg:.1f} g", f"{dip:.1f}", "no", "19", "", "", "", "",
        "09:40", "by hand", "no",
    )  # fmt: skip
    assert said.code in (0, 1), said
    (entry,) = entries(planned)
    assert entry.reached_m == pytest.approx(pour.top_m - 0.007, abs=1e-4)
    assert entry.parts_k == pytest.approx(292.15)
    assert (entry.at, entry.note) == ("09:40", "by hand")


@pytest.mark.parametrize("factor", [10.0, 0.1])
def test_a_weight_wrong_by_ten_is_refused_and_asked_again(answered, planned, factor):
    pour = first(planned)
    kg = [f"{factor * part:.5f} kg" for part in (pour.part_a_kg, pour.part_b_kg)]
    dip = f"{1e3 * (rim_of(pour, read_plan_json(planned / 'plan.json')).height_m - pour.top_m):.0f}"
    wrong = ["", *kg, dip, "", "", "", "", ""]
    refused = answered(*wrong)
    assert refused.code == 2
    assert entries(planned) == []
    said = answered(*wrong, "", "", "", *[""] * 8)
    assert said.code in (0, 1), said
    assert "NOT recorded" in said.out
    (entry,) = entries(planned)
    assert entry.part_a_kg == pour.part_a_kg
    assert not entry.insisted


def test_one_wrong_weight_of_two_is_refused_too(answered, planned):
    pour = first(planned)
    assert answered("", f"{10 * pour.part_a_kg:.5f} kg", *[""] * 7).code == 2
    assert entries(planned) == []


def test_what_is_really_so_can_be_insisted_on(answered, planned):
    pour = first(planned)
    said = answered("", f"{1.1 * pour.part_a_kg:.5f} kg", *[""] * 7, "yes", "")
    assert said.code in (0, 1), said
    (entry,) = entries(planned)
    assert entry.insisted


def test_nobody_there_is_no_entry_and_again_asks_nothing(answered, call, planned):
    said = answered()
    assert said.code == 2
    assert "nothing is recorded" in said.err
    assert entries(planned) == []
    assert call("record", planned, "--pour", "1a", "--as-planned", "--full", "--no-pictures").code in (0, 1)
    said = call("record", planned, "--again", "--no-pictures")
    assert said.code in (0, 1)
    assert "Which pour?" not in said.out


def test_a_dip_and_one_weight_as_options(call, planned):
    pour = first(planned)
    rim = rim_of(pour, read_plan_json(planned))
    both = pour.part_a_kg + pour.part_b_kg
    dip = f"{1e3 * (rim.height_m - pour.top_m) + 4.0:.4f} mm"
    said = call("record", planned, "--pour", "1a", "--both", f"{both:.6f} kg", "--dip", dip, "--no-pictures")
    assert said.code in (0, 1), said
    (entry,) = entries(planned)
    assert entry.part_a_kg == pytest.approx(pour.part_a_kg, rel=1e-4)
    assert entry.part_b_kg == pytest.approx(pour.part_b_kg, rel=1e-4)
    assert entry.reached_m == pytest.approx(pour.top_m - 0.004, abs=1e-5)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--as-planned", "--both", "1 kg"), "give either"),
        (("--both", "1 L"), "--both"),
        (("--as-planned", "--dip", "9 m"), "the rim of"),
        (("--as-planned", "--dip", "100 mm", "--reached", "1 mm"), "not both"),
        (("--as-planned", "--dip", "100"), "--dip '100'"),
    ],
)
def test_a_dip_or_a_weight_that_cannot_be_is_refused(call, planned, arguments, words):
    said = call("record", planned, "--pour", "1a", *arguments)
    assert said.code == 2
    assert words in said.err
    assert entries(planned) == []


def bench(planned, *pours, sha=None):
    sha = sha or read_plan_json(planned).shell.sha256
    path = planned.parent / "bench.json"
    path.write_text(json.dumps({"schema": "pourwright.bench/1", "shell_sha256": sha, "pours": list(pours)}))
    return path


def test_a_phones_file_is_recorded_whole_or_not_at_all(call, planned):
    sheet = [pour for lift in read_plan_json(planned).lifts for pour in lift.pours]
    good = {"pour": "1a", "as_planned": True, "full": True}
    slip = {"pour": sheet[1].name, "a": f"{10 * sheet[1].part_a_kg:.6f} kg", "b": f"{10 * sheet[1].part_b_kg:.6f} kg"}
    slip |= {"reached": f"{sheet[1].top_m:.6f} m"}
    assert call("record", planned, "--from", bench(planned, good, slip)).code == 2
    assert entries(planned) == []
    right = {**slip, "a": f"{sheet[1].part_a_kg:.6f} kg", "b": f"{sheet[1].part_b_kg:.6f} kg"}
    said = call("record", planned, "--from", bench(planned, good, right), "--no-pictures")
    assert said.code in (0, 1), said
    assert [entry.pour for entry in entries(planned)] == ["1a", sheet[1].name]
    assert call("record", planned, "--from", bench(planned, good)).code == 2  # nothing new


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"schema": "pourwright.bench/1", "pours": []}', "[" * 100_000])
def test_a_file_that_is_none_of_the_sheets_is_refused(call, planned, text):
    path = planned.parent / "bench.json"
    path.write_text(text)
    said = call("record", planned, "--from", path)
    assert said.code == 2
    assert len(said.err.splitlines()) == 1
    assert entries(planned) == []


def test_a_file_of_another_shell_is_refused(call, planned):
    said = call("record", planned, "--from", bench(planned, {"pour": "1a"}, sha="0" * 64))
    assert said.code == 2
    assert "another shell" in said.err


def test_a_refused_weight_is_said_without_powers_of_ten(call, planned):
    pour = first(planned)
    kg = [f"{40 * part:.3f} kg" for part in (pour.part_a_kg, pour.part_b_kg)]
    said = call("record", planned, "--pour", "1a", "--a", kg[0], "--b", kg[1], "--full")
    assert said.code == 2
    assert "e+" not in said.err
    assert " kg (" in said.err
