"""Puts one deliberate fault after another into a copy of the program and runs tests against it.

One process imports the libraries and no module of the program; each run is a fork of it, which imports the program from
the copy with the fault in it. Loops of a faulty file, and of files that import it, are compiled anew.

python tests/mutation/workbench.py              # every fault, and the score
python tests/mutation/workbench.py ROOM ...     # those of these files, or single ones by their names
python tests/mutation/workbench.py -v NAME      # with what the tests say
"""

from __future__ import annotations

import ast
import compileall
import contextlib
import importlib
import os
import re
import shutil
import signal
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
PACKAGE = "pourwright"
OUTSIDE = ("tests/validation/", "tests/properties/")
LOOPS = re.compile(r"^@(njit|kernel)\b", re.MULTILINE)
"""Marks a loop that is compiled and kept."""
LONGEST_S = 300
"""A run that takes longer is ended: a fault that hangs is not caught."""
LIBRARIES = (
    "_pytest.assertion.rewrite _pytest.doctest contourpy edt ezdxf fast_simplification filelock fontTools.ttLib "
    "hypothesis hypothesis.strategies hypothesis.extra.numpy jinja2 lxml.etree manifold3d mapbox_earcut "
    "matplotlib.figure networkx numba numba.core.typed_passes numpy PIL.Image pint pyacvd pydantic pytest pyvista "
    "rich.console rslab scipy.fft scipy.integrate scipy.interpolate scipy.linalg scipy.ndimage scipy.optimize "
    "scipy.signal scipy.sparse.csgraph scipy.sparse.linalg scipy.spatial scipy.special scipy.stats shapely "
    "shapely.ops skfem trimesh typer "
)
"""Imported once for all runs; what is missing here is imported by each run."""


@dataclass(frozen=True)
class Fault:
    """One change of the source, and the test that has to fail for it."""

    name: str
    file: str  # below src/pourwright
    old: str  # stands once in the file
    new: str
    breaks: str  # what is wrong then, in words
    by: str  # the test under tests/validation or tests/properties that catches it; empty where none does
    also: str = ""  # the test that catches it where no test from outside does

    @property
    def test(self) -> str:
        """The test that has to fail."""
        return self.by or self.also


def read_faults() -> dict[str, tuple[Fault, ...]]:
    """Faults by room, in the order of their files."""
    out = {}
    for path in sorted((HERE / "faults").glob("*.toml")):
        entries = tomllib.loads(path.read_text(encoding="utf-8"))
        out[path.stem] = tuple(Fault(name=name, **values) for name, values in entries.items())
    return out


def score(faults: list[Fault]) -> tuple[int, int]:
    """How many are caught by tests from outside alone, and how many there are."""
    return sum(fault.by.startswith(OUTSIDE) for fault in faults), len(faults)


class Copy:
    """A copy of the source with what is compiled of it, in which faults are put and taken out again."""

    def __init__(self, folder: Path):
        self.source = folder / "src"
        shutil.copytree(ROOT / "src", self.source)
        compileall.compile_dir(self.source, quiet=2)
        self._kernels = {path for path in self._files() if LOOPS.search(path.read_text(encoding="utf-8"))}

    def _files(self) -> list[Path]:
        return sorted((self.source / PACKAGE).rglob("*.py"))

    @contextlib.contextmanager
    def broken(self, fault: Fault) -> Iterator[None]:
        """The copy with a fault in it."""
        path = self.source / PACKAGE / fault.file
        text = path.read_text(encoding="utf-8")
        kept = path.with_suffix(".kept")
        aside = [(loop, loop.with_name(loop.name + ".aside")) for loop in self._compiled_from(path)]
        os.replace(path, kept)
        for loop, away in aside:
            os.replace(loop, away)
        path.write_text(text.replace(fault.old, fault.new, 1), encoding="utf-8")
        try:
            yield
        finally:
            os.replace(kept, path)
            for loop in self._compiled_from(path):
                loop.unlink()
            for loop, away in aside:
                os.replace(away, loop)

    def _compiled_from(self, path: Path) -> list[Path]:
        """Kept machine code of a file, and of every file with loops that imports it, directly or by another."""
        if path not in self._kernels:
            return []
        found = {path}
        while True:
            names = {_module(self.source, one) for one in found}
            more = {one for one in self._kernels - found if names & set(_imports(one))}
            if not more:
                break
            found |= more
        return sorted(
            kept for one in found for kept in (one.parent / "__pycache__").glob(f"{one.stem}.*.nb?") if one.exists()
        )


def _module(source: Path, path: Path) -> str:
    return ".".join(path.relative_to(source).with_suffix("").parts)


def _imports(path: Path) -> list[str]:
    out = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            out += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return out


def warm_up() -> None:
    """Import the libraries, and nothing of the program."""
    sys.dont_write_bytecode = True
    for name in LIBRARIES.split():
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    assert not any(name.split(".")[0] == PACKAGE for name in sys.modules)


def run_tests(source: Path, tests: list[str], shown: bool = False) -> int:
    """Exit code of pytest on tests of this tree against the program in ``source``, run in a fork."""
    sys.stdout.flush()
    child = os.fork()
    if not child:
        code = 99
        signal.alarm(LONGEST_S)
        try:
            code = _run_here(source, tests, shown)
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _run_here(source: Path, tests: list[str], shown: bool) -> int:
    import hypothesis
    import pytest

    os.chdir(ROOT)
    sys.path.insert(0, str(source))
    os.environ["PYTHONPATH"] = str(source)
    hypothesis.settings.register_profile("still", derandomize=True, database=None)
    hypothesis.settings.load_profile("still")
    if not shown:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)
    program = importlib.import_module(PACKAGE)
    assert Path(program.__file__).is_relative_to(source), f"{PACKAGE} came from {program.__file__}"
    options = ["-x", "-q", "-m", "", "-p", "no:cacheprovider", "-p", "no:xdist"]
    return int(pytest.main([*options, *(["--tb=line"] if shown else ["--tb=no"]), *tests]))


def bench(faults: tuple[Fault, ...], shown: bool = False) -> dict[str, str]:
    """What is amiss by the name of the fault, "" for the tests as they are: nothing where every fault is caught."""
    warm_up()
    amiss = {}
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy(Path(folder))
        tests = sorted({fault.test for fault in faults})
        if run_tests(copy.source, tests, shown):
            amiss[""] = "the tests named do not pass without a fault"
        for fault in faults:
            with copy.broken(fault):
                code = run_tests(copy.source, [fault.test], shown)
            if code != 1:  # 1: tests ran, and one failed
                amiss[fault.name] = f"not caught by {fault.test}" if not code else f"pytest ended with {code}"
    return amiss


def main(arguments: list[str]) -> int:
    """Run what is named, everything where nothing is; print what survives, and the score."""
    shown = "-v" in arguments
    names = [name for name in arguments if name != "-v"]
    rooms = read_faults()
    chosen = [
        fault for room, faults in rooms.items() for fault in faults if not names or {room, fault.name} & set(names)
    ]
    amiss = bench(tuple(chosen), shown)
    for name, what in amiss.items():
        print(f"{name or 'without a fault'}: {what}")
    caught, _ = score([fault for fault in chosen if fault.name not in amiss])
    left = len(chosen) - len([name for name in amiss if name])
    print(
        f"{caught} of {len(chosen)} faults are caught by tests/validation and tests/properties alone, {left} by a test"
    )
    return 1 if amiss or not chosen else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
