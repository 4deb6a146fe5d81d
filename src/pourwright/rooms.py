"""What a room of the code offers is loaded when first asked for, so that no command loads what it does not use."""

from __future__ import annotations

import ast
import importlib
import sys
from collections.abc import Callable
from types import ModuleType
from typing import Any


def offered(room: str) -> Callable[[str], Any]:
    """The ``__getattr__`` of a package whose ``__init__`` imports under ``if TYPE_CHECKING:`` what it offers.

    A name that is also a module of the package stands for what is offered, whether or not that module is loaded.

    Parameters
    ----------
    room : name of the package.

    >>> offered("pourwright.fem")("UNKNOWNS")
    6
    """
    where = _listed(room)
    package = sys.modules[room]
    inside = {place.rpartition(".")[2]: place for place, _ in where.values()}
    doubled = {name: _kept(room, name, where[name]) for name in where if name in inside and where[name][0] != room}
    if doubled:
        package.__class__ = type("Room", (ModuleType,), doubled)

    def found(name: str) -> Any:
        if name not in where:
            raise AttributeError(f"module {room!r} has no attribute {name!r}")
        value = _loaded(where[name], room)
        setattr(package, name, value)
        return value

    return found


def _listed(room: str) -> dict[str, tuple[str, str]]:
    """Module and name there of everything that a package imports for type checkers."""
    spec = sys.modules[room].__spec__
    source = spec.loader.get_source(room) if spec is not None and spec.loader is not None else None  # type: ignore[attr-defined]
    if source is None:
        raise ImportError(f"{room} is installed without its source: install Pourwright again")
    out: dict[str, tuple[str, str]] = {}
    for branch in ast.parse(source).body:
        if isinstance(branch, ast.If) and isinstance(branch.test, ast.Name) and branch.test.id == "TYPE_CHECKING":
            for line in branch.body:
                if isinstance(line, ast.ImportFrom) and line.module is not None:
                    out |= {one.asname or one.name: (line.module, one.name) for one in line.names}
    return out


def _loaded(at: tuple[str, str], room: str) -> Any:
    place, name = at
    return (
        importlib.import_module(f"{place}.{name}") if place == room else getattr(importlib.import_module(place), name)
    )


def _kept(room: str, name: str, at: tuple[str, str]) -> property:
    """A name that the import of the module of the same name does not take over."""

    def get(package: ModuleType) -> Any:
        if name not in vars(package):
            vars(package)[name] = _loaded(at, room)
        return vars(package)[name]

    def put(package: ModuleType, value: Any) -> None:
        if not (isinstance(value, ModuleType) and value.__name__ == f"{room}.{name}"):
            vars(package)[name] = value

    return property(get, put)
