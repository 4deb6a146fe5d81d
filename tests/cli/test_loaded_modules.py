"""A command loads no library that it has no use for, as the list of loaded modules tells."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

DEMO = Path(__file__).resolve().parents[2] / "demo_shells" / "ram" / "job.toml"
ASKED = """
import sys
from pourwright.cli import main
code = main(sys.argv[1:])
import json
print("\\n" + json.dumps([code, sorted(sys.modules)]))
"""
CHARTS = {"matplotlib"}
PICTURES = {"pyvista", "vtkmodules"}
MESHES = {"trimesh", "networkx", "manifold3d", "edt", "fast_simplification", "pyacvd", "contourpy", "lxml"}
LOOPS = {"numba", "llvmlite"}
UNITS = {"pint", "flexparser"}
SOLVERS = {"rslab", "scipy.integrate", "scipy.optimize", "scipy.sparse", "scipy.spatial", "scipy.special"}


def _loaded(*arguments: str, **environment: str) -> tuple[int, set[str]]:
    done = subprocess.run(
        [sys.executable, "-c", ASKED, *arguments], capture_output=True, text=True, check=True,
        env={**os.environ, **environment},
    )  # fmt: skip
    code, modules = json.loads(done.stdout.splitlines()[-1])
    return code, set(modules)


@pytest.fixture(scope="module")
def planned(tmp_path_factory) -> tuple[Path, set[str]]:
    folder = tmp_path_factory.mktemp("planned")
    trimesh.creation.box((0.3, 0.3, 0.4)).export(folder / "box.stl")
    asked = (
        "plan",
        str(folder / "box.stl"),
        "--material",
        "grp",
        "--unit",
        "m",
        "--wall",
        "5 mm",
        "--foam",
        "rigid-3",
        "--quick",
        "--no-pictures",
        "--quiet",
    )
    _, modules = _loaded(*asked, "--set", 'grid.cell="15 mm"', "--out", str(folder / "made"))
    return folder / "made", modules


@pytest.mark.parametrize(
    ("arguments", "unused"),
    [
        (["grades"], CHARTS | PICTURES | MESHES | LOOPS | SOLVERS | UNITS | {"shapely", "PIL"}),
        (["materials"], CHARTS | PICTURES | MESHES | LOOPS | SOLVERS | UNITS | {"shapely", "PIL"}),
        (["cup", str(DEMO)], CHARTS | PICTURES | MESHES | LOOPS | {"rslab", "shapely", "PIL"}),
        (["check", str(DEMO.with_name("ram.ply")), "--unit", "mm"], CHARTS | PICTURES | {"rslab", "jinja2"}),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else "",
)
def test_commands_without_a_plan(arguments, unused):
    code, modules = _loaded(*arguments)
    assert code in (0, 1)
    assert not unused & modules


@pytest.mark.parametrize("asked", ["weights", "stand"])
def test_answers_of_a_made_plan(planned, asked):
    code, modules = _loaded(asked, str(planned[0]), *(["--no-pictures"] if asked == "stand" else []))
    assert code == 0
    assert not (CHARTS | PICTURES | MESHES | LOOPS | SOLVERS | UNITS | {"PIL", "ezdxf", "jinja2"}) & modules
    assert not any(name.startswith(("pourwright.plan", "pourwright.report.machine")) for name in modules)


@pytest.mark.parametrize("asked", ["weights", "stand"])
def test_a_plan_that_was_asked_before_needs_no_schema(planned, asked, tmp_path):
    where = {"POURWRIGHT_KEPT": "", "XDG_CACHE_HOME": str(tmp_path)}
    words = []
    for _ in range(2):
        _, modules = _loaded(asked, str(planned[0]), *(["--no-pictures"] if asked == "stand" else []), **where)
        words.append((planned[0] / f"{asked}.md").read_bytes())
    assert not {"pourwright.document.model", "pourwright.record.model", "pourwright.document.read_plan"} & modules
    assert words[0] == words[1]


def test_a_plan_without_pictures_loads_nothing_that_draws(planned):
    folder, modules = planned
    assert (folder / "plan.json").is_file()
    assert not (CHARTS | {"pyvista", "fontTools", "ezdxf", "pyacvd", "fast_simplification"}) & modules


def test_a_quick_plan_that_is_only_printed_loads_neither_what_writes_nor_what_draws(planned):
    box = planned[0].parent / "box.stl"
    code, modules = _loaded(
        "plan", str(box), "--material", "grp", "--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--quick", "--set",
        'grid.cell="15 mm"',
    )  # fmt: skip
    assert code in (0, 1, 3)
    unused = CHARTS | PICTURES | {"fontTools", "ezdxf", "pyacvd", "fast_simplification", "jinja2"}
    assert not unused & modules
    assert not any(name.startswith(("pourwright.document", "pourwright.draw")) for name in modules)


def test_a_quick_plan_of_a_shell_that_was_read_before_loads_neither_readers_of_meshes_nor_other_ways(planned, tmp_path):
    box = planned[0].parent / "box.stl"
    asked = ("plan", str(box), "--material", "grp", "--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--quick")
    where = {"POURWRIGHT_KEPT": "", "XDG_CACHE_HOME": str(tmp_path)}
    for _ in range(2):
        _, modules = _loaded(*asked, "--set", 'grid.cell="15 mm"', "--out", str(tmp_path / "made"), **where)
    others = ("lining.make", "lining.surface", "fem.factor", "shot.flow", "cores.courses", "banded.told")
    unused = {"trimesh", "networkx", "lxml", "scipy.ndimage", *(f"pourwright.{name}" for name in others)}
    assert unused & modules == set()


def test_a_check_of_a_shell_that_was_read_before_loads_neither_readers_of_meshes_nor_compiled_loops(tmp_path):
    where = {"POURWRIGHT_KEPT": "", "XDG_CACHE_HOME": str(tmp_path)}
    for _ in range(2):
        code, modules = _loaded("check", str(DEMO.with_name("ram.ply")), "--unit", "mm", **where)
    assert code == 0
    assert not (MESHES | LOOPS | SOLVERS) & modules
