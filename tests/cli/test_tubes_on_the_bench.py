"""What stays in a tube is in the weights of the card, not in the piece; tubes are on the list of what to have."""

from __future__ import annotations

import json
import re

import pytest
import trimesh

from pourwright.record import read_record
from pourwright.units import MASS, read


@pytest.fixture
def planned(call, tmp_path):
    """An upright pipe, 1.1 m deep and 50 mm wide inside: nothing falls straight down it."""
    shell, folder = tmp_path / "pipe.stl", tmp_path / "plan"
    trimesh.creation.cylinder(radius=30.0, height=1100.0, sections=48).export(shell)
    said = call(
        "plan", shell, "--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--quick", "--no-pictures", "-q",
        "-o", folder, "--set", "grid.cell=5 mm", "--set", "day.search=false", "--set", "holes.side=false",
    )  # fmt: skip
    assert said.code in (0, 1, 3), said
    return folder


def first(folder):
    tree = json.loads((folder / "plan.json").read_text())
    return next(
        pour for lift in tree["lifts"] for pour in lift["pours"] if any(one["tube"] for one in pour["landings"])
    )


def sheet(folder):
    return " ".join(re.sub(r"<[^>]*>", " ", (folder / "sheet.html").read_text()).replace("\xa0", " ").split())


def left_kg(pour):
    return sum(one["tube"]["left_kg"] for one in pour["landings"] if one["tube"])


def test_the_weights_on_the_card_are_all_that_is_weighed(planned):
    pour, text = first(planned), sheet(planned)
    shown = re.search(rf"Pour {pour['name']} .*?Part A ([\d.]+ k?g) \(.*?Part B ([\d.]+ k?g) \(", text)
    both = sum(read(weight, MASS) for weight in shown.groups())
    assert left_kg(pour) > 0.005 * both
    assert both == pytest.approx(pour["part_a_kg"] + pour["part_b_kg"] + left_kg(pour), rel=0.006)
    assert "stay in it" in text
    assert " more, once" not in text


def test_the_tubes_are_among_what_to_have_at_hand(planned):
    pours = [pour for lift in json.loads((planned / "plan.json").read_text())["lifts"] for pour in lift["pours"]]
    tubes = [one["tube"] for pour in pours for one in pour["landings"] if one["tube"]]
    listed = re.search(r"To pour through, each with a funnel on top and used once: (.*?) long", sheet(planned))
    assert sum(int(count) for count in re.findall(r"(\d+) (?:tube|hose)s? of", listed[0])) <= len(tubes)
    assert f"{1e3 * tubes[0]['bore_m']:.0f} mm" in listed[0]


def test_what_is_recorded_as_weighed_by_the_card_is_in_the_piece_as_planned(call, planned):
    pour = first(planned)
    share = 1.0 + left_kg(pour) / (pour["part_a_kg"] + pour["part_b_kg"])
    weights = [f"{1e3 * share * pour[part]:.3f} g" for part in ("part_a_kg", "part_b_kg")]
    said = call(
        "record", planned, "--pour", pour["name"], "--a", weights[0], "--b", weights[1], "--full", "--no-pictures"
    )  # fmt: skip
    assert said.code in (0, 1, 3), said
    (entry,) = read_record(planned).entries
    assert entry.part_a_kg == pytest.approx(pour["part_a_kg"], abs=2e-6)
    assert entry.part_b_kg == pytest.approx(pour["part_b_kg"], abs=2e-6)


def test_no_more_weighed_than_stays_in_the_tube_is_refused(call, planned):
    pour = first(planned)
    weight = f"{1e3 * 0.2 * left_kg(pour):.3f} g"
    said = call("record", planned, "--pour", pour["name"], "--a", weight, "--b", weight, "--full", "--yes")
    assert said.code == 2
    assert "stays in the tube" in said.err
    assert read_record(planned) is None


def test_what_stays_in_tubes_is_bought(planned):
    tree = json.loads((planned / "plan.json").read_text())
    stays = sum(left_kg(pour) for lift in tree["lifts"] for pour in lift["pours"])
    outcome = tree["outcome"]
    buy = outcome["liquids"]
    foam = outcome["foam_kg"]["high"] / (1.0 - buy["loss_share"])
    assert stays > 0.01 * foam
    assert buy["part_a_kg"] + buy["part_b_kg"] == pytest.approx(foam + stays, rel=1e-4)
