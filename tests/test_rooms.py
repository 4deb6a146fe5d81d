"""What a room offers is what it lists, whether or not the modules in it are loaded already."""

import importlib
import subprocess
import sys
from types import ModuleType

import pytest

import pourwright.outcome
from pourwright.rooms import offered

ROOMS = [
    "cavity", "day", "fem", "foam", "heat", "intake", "lifts", "outcome", "plan", "record", "rise", "shell",
    "sanitising", "panels", "hanging", "water", "moving", "sources", "structure", "turn", "units",
]  # fmt: skip


@pytest.mark.parametrize("room", ROOMS)
def test_every_listed_name_is_there(room):
    package = importlib.import_module(f"pourwright.{room}")
    for name in package.__all__:
        assert getattr(package, name) is not None


def test_a_function_keeps_its_name_where_its_module_has_the_same():
    importlib.import_module("pourwright.outcome.predict")
    assert callable(pourwright.outcome.predict)
    ask = "import pourwright.outcome.predict, pourwright.outcome as room; assert callable(room.predict)"
    subprocess.run([sys.executable, "-c", ask], check=True)


def test_names_can_be_put_in_their_place_for_a_test(monkeypatch):
    before = pourwright.outcome.predict
    monkeypatch.setattr(pourwright.outcome, "predict", 3)
    assert pourwright.outcome.predict == 3
    monkeypatch.undo()
    assert pourwright.outcome.predict is before


def test_a_name_that_is_not_offered_is_an_error():
    with pytest.raises(AttributeError, match="has no attribute 'nothing'"):
        offered("pourwright.fem")("nothing")
    assert isinstance(importlib.import_module("pourwright.lifts").judged, ModuleType)
