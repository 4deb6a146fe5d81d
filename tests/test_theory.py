"""docs/theory.md says what a plan does: each function it names runs when a piece is planned and a pour recorded."""

import importlib
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
THEORY = (ROOT / "docs" / "theory.md").read_text(encoding="utf-8")
IN_TEXT = re.compile(r"`([a-z_]+\.[a-z_]+)`")
IN_CODE = re.compile(r"\b([a-z_]+\.[a-z_]+)\(")


def named():
    """Dotted names in the text and in the worked lines, but for those of the package itself."""
    code = [line for line in THEORY.splitlines() if line.lstrip().startswith(">>>")]
    text = [name for name in IN_TEXT.findall(THEORY) if name != "pourwright.physics"]
    return sorted({*text, *(name for line in code for name in IN_CODE.findall(line))})


def home_of(name):
    """(module, function), the function empty where a module is named."""
    first, last = name.split(".")
    for parent in ("pourwright", "pourwright.physics", "pourwright.physics.elastic"):
        try:
            module = importlib.import_module(f"{parent}.{first}")
        except ModuleNotFoundError:
            continue
        if hasattr(module, last) and callable(getattr(module, last)):
            found = getattr(module, last)
            return found.__module__, found.__name__
        try:
            return importlib.import_module(f"{parent}.{first}.{last}").__name__, ""
        except ModuleNotFoundError:
            continue
    raise AssertionError(f"docs/theory.md names {name}, which is not in the package")


def test_enough_is_named_to_be_worth_a_look():
    assert len(named()) > 20
    assert {"gas.density_at_pressure", "heat.simulate", "structure.balance", "yields.mixed_density"} <= set(named())


@pytest.mark.parametrize("name", named())
def test_what_the_theory_names_is_there(name):
    home_of(name)


@pytest.fixture(scope="module")
def called(tmp_path_factory):
    folder = tmp_path_factory.mktemp("trace")
    subprocess.run([sys.executable, Path(__file__).parent / "trace_of_a_plan.py", folder], check=True)
    said = json.loads((folder / "called.json").read_text())
    assert said["codes"] == [0, 0, 1, 0]  # one of them is over a limit of heat, and a lining is looked for
    return {tuple(line.split(":")) for line in said["called"]}


@pytest.mark.slow
@pytest.mark.parametrize("name", named())
def test_what_the_theory_names_runs_in_a_plan(called, name):
    module, function = home_of(name)
    assert any(where == module and (not function or what == function) for where, what in called), name
