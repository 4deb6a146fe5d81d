"""What the program needs is what it declares, no more and no less, and what it carries has its licence beside it."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import trimesh
from fontTools.ttLib import TTFont

import pourwright
from pourwright.draw import ink as pictures_ink

ROOT = Path(__file__).resolve().parents[1]
TEXT = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
PROJECT = tomllib.loads(TEXT)["project"]
TOOLS = {"import-linter", "mypy", "pytest-xdist", "ruff"}
"""Run by developers, imported by nothing."""


def key(name):
    """A distribution's name as package indexes compare it, without version and extras."""
    return re.sub(r"[-_.]+", "-", re.match(r"[\w.-]+", name)[0]).lower()


def modules():
    """Importable names of each installed distribution, from the list of its files (compiled modules have no other)."""
    out = {}
    for one in importlib.metadata.distributions():
        first = {(path.parts[0], len(path.parts) > 1) for path in one.files or ()}
        names = {name if folder else name.partition(".")[0] for name, folder in first if folder or "." in name}
        out[key(one.metadata["Name"])] = {name for name in names if name.isidentifier()}
    return out


def imported(folder):
    """First parts of all that the files in a folder import, at the top or in a function."""
    out = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                out |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                out.add(node.module.partition(".")[0])
    return out


def by_name():
    """Distributions beside which the project file says that trimesh needs them."""
    return {key(found[1]) for found in re.finditer(r'^ +"([^"]+)", # trimesh ', TEXT, re.MULTILINE)}


def trimesh_asks_for(module):
    folder = Path(trimesh.__file__).parent
    asks = re.compile(rf"^\s*(import|from) {module}\b|has_module\(\"{module}\"\)", re.MULTILINE)
    return any(asks.search(path.read_text(encoding="utf-8")) for path in folder.rglob("*.py"))


def test_every_dependency_is_imported_or_said_to_be_needed_by_trimesh():
    there, used, named = modules(), imported(ROOT / "src"), by_name()
    for name in map(key, PROJECT["dependencies"]):
        if name in named:
            assert not there[name] & used, f"{name} is imported: the remark beside it is not needed"
            assert any(trimesh_asks_for(module) for module in there[name]), f"trimesh does not ask for {name}"
        else:
            assert there[name] & used, f"{name} is imported nowhere"


def test_every_test_dependency_is_imported_by_a_test_or_is_a_tool():
    there, used, named = modules(), imported(ROOT / "tests"), by_name()
    for name in map(key, PROJECT["optional-dependencies"]["test"]):
        if name in named:
            assert any(trimesh_asks_for(module) for module in there[name]), f"trimesh does not ask for {name}"
        elif name not in TOOLS:
            assert there[name] & used, f"{name} is imported by no test"


def test_everything_imported_is_declared():
    there = modules()
    declared = set().union(*(there[key(name)] for name in PROJECT["dependencies"]))
    known = declared | set(sys.stdlib_module_names) | {"pourwright", "vtkmodules"}  # pyvista is made of vtk
    assert imported(ROOT / "src") <= known


def needed():
    """Importable names of the declared dependencies and of all that those ask for."""
    there, seen, left = modules(), set(), [key(name) for name in PROJECT["dependencies"]]
    while left:
        name = left.pop()
        if name in seen or name not in there:
            continue
        seen.add(name)
        asked = importlib.metadata.requires(name) or ()
        left += [key(line) for line in asked if "extra ==" not in line]
    return set().union(*(there[name] for name in seen))


ONLY_DECLARED = """
import sys
barred = set(sys.argv[1].split(","))
class Bar:  # what is barred is not found, as where it is not installed
    def __init__(self, finder):
        self.finder = finder
    def __getattr__(self, name):
        return getattr(self.finder, name)
    def find_spec(self, name, path=None, target=None):
        return None if name.partition(".")[0] in barred else self.finder.find_spec(name, path, target)
sys.meta_path[:] = [Bar(finder) for finder in sys.meta_path]
from pourwright.cli import main
sys.exit(main(sys.argv[2:]))
"""


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["stl", "3mf"])
def test_a_plan_is_made_with_nothing_but_what_is_declared(tmp_path, kind):
    trimesh.creation.capsule(0.3, 0.1).export(tmp_path / f"shell.{kind}")
    barred = set().union(*modules().values()) - needed() - {"pourwright"}
    assert {"rtree", "pytest"} <= barred
    job = [
        str(tmp_path / f"shell.{kind}"),
        "--unit",
        "m",
        "--wall",
        "5 mm",
        "--foam",
        "rigid-3",
        "--quick",
        "--pictures",
        "--drawings",
    ]
    done = subprocess.run(
        [sys.executable, "-c", ONLY_DECLARED, ",".join(sorted(barred)), "plan", *job, "--out", str(tmp_path / "plan")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stdout + done.stderr  # 1: over a limit, and still written
    written = {path.name for path in (tmp_path / "plan").iterdir()}
    assert {"plan.json", "piece.html", "overview.png", "outlines.dxf"} <= written, done.stderr


def test_letters_of_the_pictures_are_carried_with_their_licence():
    """What the font file says of itself (OpenType name table, ids 0 and 13) is what the licence beside it says."""
    for face in ("plain", "bold"):
        path = Path(pictures_ink.font_file(face))
        assert Path(pourwright.__file__).parent in path.parents
        names = TTFont(path)["name"]
        assert "SIL Open Font License, Version 1.1" in names.getDebugName(13)
        licence = path.with_name("LICENSE.SourceSansPro").read_text(encoding="utf-8")
        assert "SIL OPEN FONT LICENSE Version 1.1" in licence
        assert "Adobe Systems Incorporated" in names.getDebugName(0)
        assert "Adobe Systems Incorporated" in licence
        assert "Reserved Font Name 'Source'" in licence


@pytest.mark.parametrize(("arguments", "code"), [(["grades"], 0), (["--version"], 0), (["grade"], 2)])
def test_python_m_runs_the_commands(arguments, code):
    run = [sys.executable, "-m", "pourwright", *arguments]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == code
    assert "Traceback" not in done.stderr
    assert "python -m" not in done.stderr + done.stdout  # usage names the program, however it is started
    assert (done.stdout if code == 0 else done.stderr).strip()
