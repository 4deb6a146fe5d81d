"""Which definitions of the program each command reaches, read from the source: imports, and names that bodies use.

Read in favour of reaching: a class that is used reaches all its methods, and a name counts wherever it stands. What
this graph does not reach is therefore reached by nothing.

python docs/call_graph.py           # public definitions in physics/ that no command reaches
python docs/call_graph.py --all     # definitions anywhere that no command reaches
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[1] / "src"
PACKAGE = "pourwright"

Definition = tuple[str, str]
"""Module and name, as in ("pourwright.physics.gas", "head_pressure")."""


class Module:
    """One file: what it defines, what it imports, and the names that each definition uses."""

    def __init__(self, name: str, path: Path, package: bool):
        self.name = name
        self.imported: dict[str, tuple[str, str | None]] = {}  # local name: module, and the name in it
        self.uses: dict[str, list[ast.AST]] = {}  # definition: statements that make it
        self._package = name if package else name.rpartition(".")[0]
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            self._import(node)
        for node in tree.body:
            for defined in _defined(node):
                self.uses.setdefault(defined, []).append(node)

    def _import(self, node: ast.AST) -> None:
        if isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                base = ".".join([*self._package.split(".")[: len(self._package.split(".")) - node.level + 1], base])
            for alias in node.names:
                self.imported[alias.asname or alias.name] = (base.rstrip("."), alias.name)
        elif isinstance(node, ast.Import):
            for alias in node.names:
                self.imported[alias.asname or alias.name.split(".")[0]] = (
                    alias.name if alias.asname else alias.name.split(".")[0],
                    None,
                )


def _defined(node: ast.stmt) -> Iterator[str]:
    """Names that a statement of a module defines; other statements run when the module does: they belong to ''."""
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
        yield node.name
    elif isinstance(node, (ast.Assign, ast.AnnAssign, ast.AugAssign)):
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        yield from (name.id for target in targets for name in ast.walk(target) if isinstance(name, ast.Name))
    elif not isinstance(node, (ast.Import, ast.ImportFrom)):
        yield ""


@cache
def modules() -> dict[str, Module]:
    """Every module of the program by its name."""
    out = {}
    for path in sorted((SOURCE / PACKAGE).rglob("*.py")):
        parts = path.relative_to(SOURCE).with_suffix("").parts
        package = parts[-1] == "__init__"
        name = ".".join(parts[:-1] if package else parts)
        out[name] = Module(name, path, package)
    return out


def resolve(module: str, name: str | None) -> Definition | None:
    """The definition behind a name of a module, through what packages offer; (module, '') for a module itself."""
    for _ in range(20):
        known = modules()
        if name is None:
            return (module, "") if module in known else None
        if module not in known:
            return None
        if name in known[module].uses:
            return module, name
        if name in known[module].imported:
            module, name = known[module].imported[name]
            if f"{module}.{name}" in known and name not in getattr(known.get(module), "uses", {}):
                module, name = f"{module}.{name}", None
            continue
        return (f"{module}.{name}", "") if f"{module}.{name}" in known else None
    return None


def named_in(tree: ast.AST, imported: dict[str, tuple[str, str | None]], own: str = "") -> set[Definition]:
    """Definitions of the program that a piece of source names, given what its names stand for."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            chain = _chain(node)
            found |= _followed(chain, imported) if chain else set()
        elif isinstance(node, ast.Name):
            if node.id in imported:
                found |= _followed([node.id], imported)
            elif own and node.id in modules()[own].uses:
                found.add((own, node.id))
    return found


def _chain(node: ast.expr) -> list[str]:
    names: list[str] = []
    while isinstance(node, ast.Attribute):
        names.insert(0, node.attr)
        node = node.value
    return [node.id, *names] if isinstance(node, ast.Name) else []


def _followed(chain: list[str], imported: dict[str, tuple[str, str | None]]) -> set[Definition]:
    if chain[0] not in imported:
        return set()
    module, name = imported[chain[0]]
    at = resolve(module, name) if name is None or module.split(".")[0] == PACKAGE else None
    for more in chain[1:]:
        if at is None or at[1]:
            break
        at = resolve(at[0], more)
    return {at} if at is not None and at[0].split(".")[0] == PACKAGE else set()


@cache
def uses(definition: Definition) -> frozenset[Definition]:
    """What a definition names; a module that is imported runs the statements of its own."""
    module = modules()[definition[0]]
    found: set[Definition] = set()
    for node in module.uses.get(definition[1], []):
        found |= named_in(node, module.imported, module.name)
    return frozenset(found - {definition})


def reached(roots: Iterable[Definition]) -> frozenset[Definition]:
    """Everything that the roots reach, themselves among it."""
    found: set[Definition] = set()
    left = list(roots)
    while left:
        one = left.pop()
        if one in found:
            continue
        found.add(one)
        left += uses(one)
        if one[1]:
            left.append((one[0], ""))
    return frozenset(found)


@cache
def commands() -> dict[str, frozenset[Definition]]:
    """By name of the command: the definitions it reaches."""
    out = {}
    for name, module in modules().items():
        if name.startswith(f"{PACKAGE}.cli.") and {"NAME", "run"} <= set(module.uses):
            (said,) = (node.value.value for node in module.uses["NAME"])  # type: ignore[attr-defined]
            out[said] = reached([(name, "run")])
    return dict(sorted(out.items()))


@cache
def reached_by_any() -> frozenset[Definition]:
    """Everything that a command or the entry point reaches."""
    return frozenset().union(
        reached([(f"{PACKAGE}.cli.app", "main"), (f"{PACKAGE}.cli.app", "run")]), *commands().values()
    )


def unreached(room: str = "") -> list[Definition]:
    """Definitions of a room (all of them where left out) that no command reaches; without dunder names."""
    under = f"{PACKAGE}.{room}".rstrip(".")
    return sorted(
        (name, defined)
        for name, module in modules().items()
        if name == under or name.startswith(f"{under}.")
        for defined in module.uses
        if defined and not defined.startswith("__") and (name, defined) not in reached_by_any()
    )


def tests_of(path: Path) -> dict[str, frozenset[Definition]]:
    """By name of a test of a file: the definitions it names, by itself or by helpers and fixtures."""
    module = Module(path.stem, path, False)
    return {name: frozenset(_named_by(module, name, set())) for name in module.uses if name.startswith("test_")}


def used_by(named: frozenset[Definition]) -> tuple[str, ...]:
    """Commands that reach all that a test names of the program, or any of it where none reaches all."""
    told = {one for one in named if one[1]} & reached_by_any()
    whole = tuple(name for name, there in commands().items() if told and told <= there)
    return whole or tuple(name for name, there in commands().items() if told & there)


@cache
def _helpers() -> dict[str, Module]:
    """What tests share: ``tests/reference``, and the fixtures of ``tests/conftest.py``."""
    tests = SOURCE.parent / "tests"
    return {
        path.stem: Module(path.stem, path, False) for path in [*tests.glob("reference/*.py"), tests / "conftest.py"]
    }


def _named_by(module: Module, name: str, seen: set[tuple[str, str]]) -> set[Definition]:
    seen.add((module.name, name))
    found: set[Definition] = set()
    for node in module.uses[name]:
        found |= named_in(node, module.imported)
        for home, word in _words(module, node):
            if (home.name, word) not in seen:
                found |= _named_by(home, word, seen)
    return found


def _words(module: Module, node: ast.AST) -> list[tuple[Module, str]]:
    """Helpers that a piece of a test names: of its own file, of a module of helpers, or as a fixture."""
    found = []
    for one in ast.walk(node):
        if isinstance(one, ast.Attribute) and isinstance(one.value, ast.Name):
            helper = _helpers().get(module.imported.get(one.value.id, ("", None))[0])
            found += [(helper, one.attr)] if helper and one.attr in helper.uses else []
        word = one.id if isinstance(one, ast.Name) else one.arg if isinstance(one, ast.arg) else ""
        home, there = module.imported.get(word, ("", None))
        if word and word in module.uses:
            found.append((module, word))
        elif there and there in getattr(_helpers().get(home), "uses", {}):
            found.append((_helpers()[home], there))
        elif isinstance(one, ast.arg) and word in _helpers()["conftest"].uses:
            found.append((_helpers()["conftest"], word))
    return found


if __name__ == "__main__":
    for module, name in unreached("" if "--all" in sys.argv[1:] else "physics"):
        print(f"{module}.{name}")
