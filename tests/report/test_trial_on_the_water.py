"""The tests of flotation as a list: weights to hang worked by hand from 33 CFR 183.105, and the water line."""

import numpy as np
import pytest

from pourwright.answers.trial import trial_section
from pourwright.outcome import Boat, Spot
from pourwright.ranges import Range
from pourwright.water import FloatState, swamped_loads


class Result:
    def __init__(self, states, frame=None):
        self.states, self.frame = states, frame


def state(name, floats=True, heel=0.0, capsizes=False):
    return FloatState(
        name=f"{name}, swamped and leaking", water="fresh", kg=Range.exact(200.0), held_m3=0.0,
        draft_m=Range.exact(0.2), displaced_m3=0.2, buoyancy_m=np.zeros(3), bow_m=0.25, stern_m=0.31, trim_rad=0.0,
        heel_rad=heel, gm_m=0.1, gm_along_m=0.5, freeboard_m=0.1, floats=floats, capsizes=capsizes,
        end_capsizes=False, lolls=False, upright_asked=True,
        plane=(0.0, 0.0, 1.0, 0.25), words="",
    )  # fmt: skip


BOAT = Boat(persons_kg=150.0, capacity_kg=190.0, load_at=Spot(at_m=(0.0, 0.0, 0.0)))


def cells(section):
    return {row[0]: row[1:] for row in section.table.rows}


def test_weights_to_hang_are_those_of_the_regulation_under_water_and_as_steel_in_air(monkeypatch):
    """By hand: 2/15 x 150 + 40 / 4 = 30 kg under water; of steel 30 / (1 - 999.552 / 7850) = 34.4 kg in air."""
    import pourwright.answers.trial as trial

    monkeypatch.setattr(trial, "place", lambda point: "the middle")
    monkeypatch.setattr(Spot, "standing", lambda self, frame: np.zeros(3))
    section = trial_section(Result([state("basic test load")]), BOAT)
    hang, steel, bow, stern, _, expected = cells(section)["basic test load"]
    assert hang.startswith("30.0 kg")
    assert steel.startswith("34.4 kg")
    assert bow.startswith("250 mm")
    assert stern.startswith("310 mm")
    assert expected == "floats"
    assert any("hang it at the middle" in line for line in section.lines)


def test_the_level_test_without_persons_keeps_a_quarter_of_what_else_the_plate_allows():
    """By hand: 0.25 x (190 - 150) = 10 kg; the motor, 20 kg under water, stays in all of them."""
    loads = dict(swamped_loads(Boat(persons_kg=150.0, capacity_kg=190.0, propulsion_kg=20.0)))
    assert loads["level test load without persons"] == pytest.approx(30.0)
    assert loads["basic test load"] == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        ({"floats": False}, "SINKS"),
        ({"heel": np.radians(9.9)}, "within 10"),
        ({"heel": -np.radians(10.1)}, "MORE than 10"),
        ({"capsizes": True}, "CAPSIZES"),
    ],
)
def test_what_a_test_expects_is_said(monkeypatch, seen, words):
    monkeypatch.setattr(Spot, "standing", lambda self, frame: np.zeros(3))
    name = "level test load without persons"
    assert words in cells(trial_section(Result([state(name, **seen)]), BOAT))[name][-1]


def test_without_a_place_of_the_load_nothing_is_expected():
    section = trial_section(Result([]), Boat(persons_kg=150.0))
    assert all(row[-1].startswith("NOT COMPUTED") for row in section.table.rows)
    assert any("boat.load_at" in line for line in section.lines)
