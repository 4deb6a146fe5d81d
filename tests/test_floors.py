"""The floors hold: imports go down only, and across packages only through what a package offers."""

import ast
import subprocess
import sys
from collections import Counter
from pathlib import Path

import call_graph
import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "pourwright"
FILES = sorted(PACKAGE.rglob("*.py"))
LONGEST_FILE = 400
LARGEST_ROOM = 4000
LONGEST_BODY, MOST_PARAMETERS = 60, 8
COMPILED = {"njit", "kernel", "inner"}
"""Decorators of compiled loops."""
OPEN = {"physics", "divide", "wording", "document", "draw", "report", "answers"}
"""Rooms of modules that are each a door: formulae are called by module, and a command loads only what it writes."""
ROOMS = {"elastic", "drawn", "maps", "places"}
"""Rooms within those."""


def test_import_linter_keeps_the_contracts():
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_other_packages_are_used_through_their_front_door(path):
    parts = path.relative_to(PACKAGE).parts
    own = parts[0] if len(parts) > 1 else None
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [node.module]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            steps = name.split(".")
            if steps[0] == "pourwright" and len(steps) > 2:
                assert steps[1] == own or (steps[1] in OPEN and len(steps) <= 3 + (steps[2] in ROOMS)), (
                    f"{path} imports {name}"
                )


def test_loops_are_compiled_in_one_way():
    """Through `pourwright.compiled`, which runs where no cache can be written."""
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if any(name.split(".")[0] == "numba" for name in names):
                assert path.name == "compiled.py", f"{path} imports numba itself"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_file_is_longer_than_a_person_reads(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def test_no_file_of_tests_is_longer_either():
    long = [
        path.name for path in (ROOT / "tests").rglob("*.py") if len(path.read_text("utf-8").splitlines()) > LONGEST_FILE
    ]
    assert long == []


def test_no_room_is_larger_than_a_person_keeps_in_mind():
    lines = Counter()
    for path in FILES:
        lines[path.parent.relative_to(PACKAGE)] += len(path.read_text(encoding="utf-8").splitlines())
    assert {str(room): count for room, count in lines.items() if count > LARGEST_ROOM} == {}


def _bodies(path):
    """Functions of a file that are no compiled loops: name, lines of the body without docstring, parameters."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.FunctionDef) or COMPILED & {
            ast.unparse(d).split("(")[0] for d in node.decorator_list
        }:
            continue
        body = node.body[1:] if ast.get_docstring(node) is not None else node.body
        named = [one.arg for one in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
        lines = body[-1].end_lineno - body[0].lineno + 1 if body else 0
        yield node.name, lines, len([name for name in named if name not in ("self", "cls")])


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_function_is_longer_or_wider_than_a_person_follows(path):
    assert [one for one in _bodies(path) if one[1] > LONGEST_BODY or one[2] > MOST_PARAMETERS] == []


def test_a_formula_is_imported_without_the_heavy_libraries():
    code = (
        "import sys, pourwright.physics; print([m for m in ('pyvista', 'trimesh', 'pint', 'vtk') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_help_is_shown_without_the_heavy_libraries():
    code = (
        "import sys; from pourwright.cli import main; main(['--help']); "
        "print([m for m in ('pyvista', 'trimesh', 'numba', 'vtk') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]")


def test_every_public_formula_is_reached_by_a_command():
    """By the call graph, read in favour of reaching: what it does not reach nothing does."""
    rooms = ("physics", "fem", "foam")
    unused = [f"{where}.{name}" for room in rooms for where, name in call_graph.unreached(room) if name[0] != "_"]
    assert unused == []


def test_the_call_graph_knows_every_command():
    from pourwright.cli.app import app

    assert set(call_graph.commands()) == {command.name for command in app.registered_commands}
    there = call_graph.reached([("pourwright.cli.plan", "run")])
    assert ("pourwright.physics.gas", "packed_gauge_pressure") in there
    assert ("pourwright.physics.statics", "tip_angle") not in there
    assert ("pourwright.physics.statics", "tip_angle") in call_graph.commands()["stand"]
