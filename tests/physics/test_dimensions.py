"""Every public formula is called with quantities built from its own docstring's units.

The docstring's form is described in ``pourwright.physics``. A module that somebody adds is picked up by itself.
"""

from __future__ import annotations

import importlib
import inspect
import json
import pkgutil
import re
import sys
from dataclasses import dataclass
from types import FunctionType, ModuleType

import numpy as np
import pytest

import pourwright.physics
from pourwright.units import ureg

PARAMETER = re.compile(
    r"^(?P<name>\w+(?:, \w+)*) : (?P<kind>[^\[]+?)(?: \[(?P<unit>.+?)\])?(?: e\.g\. (?P<value>\S+))?$"
)
RESULT = re.compile(r"^(?:\w+ : )?(?P<kind>[^\[:]+?) \[(?P<unit>.+?)\]$")
WORD_RESULT = re.compile(r"^\w+ : str$")  # a word beside the numbers, nothing to check
CONSTANT = re.compile(r"^(?P<name>[A-Z][A-Z0-9_]*)\b.*# \[(?P<unit>.+?)\]", re.MULTILINE)
# One unit of each base dimension in the second system of units; odd factors, so that they cannot cancel by chance.
SCALE = {"[length]": 2.3, "[mass]": 3.7, "[time]": 0.61, "[temperature]": 1.9, "[substance]": 5.3}


@dataclass(frozen=True)
class Argument:
    name: str
    unit: str | None
    value: float | np.ndarray | None


def section(doc: str, title: str) -> list[str]:
    """The unindented lines of a docstring's section."""
    lines = doc.splitlines()
    rules = [i for i, line in enumerate(lines) if line and set(line) == {"-"}]
    starts = [i + 1 for i in rules if lines[i - 1] == title]
    if not starts:
        return []
    out = []
    for i in range(starts[0], len(lines)):
        if i + 1 < len(lines) and lines[i + 1] and set(lines[i + 1]) == {"-"}:
            break
        if lines[i] and not lines[i].startswith(" "):
            out.append(lines[i])
    return out


def unit_of(text: str) -> str:
    return "" if text == "-" else text


def arguments(function: FunctionType) -> list[Argument]:
    out = []
    for line in section(inspect.getdoc(function) or "", "Parameters"):
        match = PARAMETER.match(line)
        assert match, f"{function.__qualname__}: {line!r} is not `name : float [unit]`"
        for name in match["name"].split(", "):
            value = match["value"]
            number = None
            if value and match["unit"]:  # "[[0,0],[2,0]]" for an array
                number = np.array(json.loads(value), float) if value.startswith("[") else float(value)
            out.append(Argument(name, match["unit"], number))
    return out


def results(function: FunctionType) -> list[str | None]:
    """Units of what comes back, None for a word."""
    out: list[str | None] = []
    for line in section(inspect.getdoc(function) or "", "Returns"):
        if WORD_RESULT.match(line):
            out.append(None)
            continue
        match = RESULT.match(line)
        assert match, f"{function.__qualname__}: {line!r} under Returns is not `float [unit]`"
        out.append(unit_of(match["unit"]))
    return out


def modules() -> list[ModuleType]:
    return [
        importlib.import_module(info.name)
        for info in pkgutil.walk_packages(pourwright.physics.__path__, "pourwright.physics.")
    ]


def formulas() -> list[tuple[ModuleType, FunctionType]]:
    out = []
    for module in modules():
        for name, thing in vars(module).items():
            function = inspect.unwrap(thing) if callable(thing) and not inspect.isclass(thing) else None
            if (
                isinstance(function, FunctionType)
                and not name.startswith("_")
                and function.__module__ == module.__name__
            ):
                out.append((module, function))
    return out


def constant_units() -> dict[str, str]:
    units: dict[str, str] = {}
    for module in modules():
        for match in CONSTANT.finditer(inspect.getsource(module)):
            assert units.setdefault(match["name"], match["unit"]) == match["unit"], f"two units for {match['name']}"
    return units


def factor(unit: str) -> float:
    """How many units of the second system one SI ``unit`` is."""
    quantity = ureg.Quantity(1.0, unit_of(unit)).to_base_units()
    assert quantity.magnitude == pytest.approx(1.0), f"[{unit}] is not a coherent SI unit"
    out = 1.0
    for dimension, power in quantity.dimensionality.items():
        out *= SCALE[dimension] ** -float(power)
    return out


def as_tuple(result: object) -> tuple[object, ...]:
    return tuple(result) if isinstance(result, tuple) else (result,)


# Functions that stop at quantities (series, solvers, comparisons): their dimension is told by scaling every unit.
BY_SCALING = {
    "anchor_reactions", "clamped_rectangle", "dent_stiffness", "foundation", "inner_face_peak_over_air",
    "level_flotation_load", "level_persons_foam", "panel_deflection_and_stress", "panel_gain", "panel_pressure",
    "pulls_with_wall", "share_below", "skin_over_air", "slab_share", "supported_rectangle_on_springs", "thinning",
    "tip_angle",
}  # fmt: skip

CASES = formulas()
IDS = [f"{m.__name__.rsplit('.', 1)[1]}.{f.__name__}" for m, f in CASES]


@pytest.mark.parametrize(("module", "function"), CASES, ids=IDS)
def test_result_has_the_dimension_its_docstring_says(module, function, monkeypatch):
    listed = arguments(function)
    signature = inspect.signature(function)
    assert [a.name for a in listed] == list(signature.parameters), "docstring and signature differ"
    units = results(function)
    assert units, f"{function.__qualname__} says nothing under Returns"
    physical = [a for a in listed if a.unit is not None]
    values = {a.name: 0.5 if a.value is None else a.value for a in physical}
    constants = {n: u for n, u in constant_units().items() if isinstance(vars(module).get(n), int | float)}

    if function.__name__ in BY_SCALING:
        first = as_tuple(function(**values))
        for name, unit in constants.items():
            monkeypatch.setattr(module, name, getattr(module, name) * factor(unit))
        second = as_tuple(function(**{a.name: values[a.name] * factor(a.unit or "-") for a in physical}))
        assert len(first) == len(units)
        for one, two, unit in zip(first, second, units, strict=True):
            if unit is None:
                assert one == two
                continue
            np.testing.assert_allclose(two, np.asarray(one) * factor(unit), rtol=1e-6)
        return

    for name, unit in constants.items():
        monkeypatch.setattr(module, name, ureg.Quantity(getattr(module, name), unit_of(unit)))
    result = as_tuple(function(**{a.name: ureg.Quantity(values[a.name], unit_of(a.unit or "-")) for a in physical}))
    assert len(result) == len(units)
    for value, unit in zip(result, units, strict=True):
        if unit is None:
            assert isinstance(value, str)
            continue
        expected = ureg.Quantity(1.0, unit).dimensionality
        given = value.dimensionality if hasattr(value, "dimensionality") else ureg.Quantity(1.0, "").dimensionality
        assert given == expected, f"{given} where the docstring says {unit or 'no unit'}"


def test_a_wrong_unit_is_caught(monkeypatch):
    """The check itself can fail: a formula that adds a length to an area is refused."""

    def wrong(a, b):
        """x

        Parameters
        ----------
        a : float [m] e.g. 2
        b : float [m^2]

        Returns
        -------
        float [m]
        """
        return a + b

    module = ModuleType("wrong")
    with pytest.raises(Exception, match=r"convert|dimension"):
        test_result_has_the_dimension_its_docstring_says(module, wrong, monkeypatch)
    monkeypatch.setattr(sys.modules[__name__], "BY_SCALING", {"wrong"})
    with pytest.raises(AssertionError):
        test_result_has_the_dimension_its_docstring_says(module, wrong, monkeypatch)


def test_formulas_are_found():
    assert len(CASES) > 20
