"""Neither a program's folder that may not be written, nor a user without a home, stops a command."""

import ctypes
import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh

import pourwright
from pourwright import caches, compiled

CODE = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"
posix = pytest.mark.skipif(os.name != "posix", reason="rights as POSIX has them")


def _without_rights_of_root():
    """In the child: root too is held to the rights of files (Linux, CAP_DAC_OVERRIDE)."""
    if os.geteuid() == 0:
        ctypes.CDLL(None, use_errno=True).prctl(24, 1, 0, 0, 0)


def _read_only(folder):
    for place, _, files in os.walk(folder):
        for name in files:
            (Path(place) / name).chmod(0o444)
        Path(place).chmod(0o555)


@pytest.fixture
def installed(tmp_path):
    """Runs a command of a copy installed by somebody else, with a home that may not be written."""
    source = Path(pourwright.__file__).parent
    copy, home, temporary, work = (tmp_path / name for name in ("lib", "home", "tmp", "work"))
    shutil.copytree(source, copy / "pourwright", ignore=shutil.ignore_patterns("__pycache__"))
    for folder in (home, temporary, work):
        folder.mkdir()
    _read_only(copy)
    home.chmod(0o555)
    env = {name: value for name, value in os.environ.items() if not name.startswith(("XDG_", "NUMBA_", "MPL", "MESA"))}
    env |= {"HOME": str(home), "TMPDIR": str(temporary), "PYTHONPATH": str(copy)}

    def run(*arguments, code=CODE, **changes):
        return subprocess.run(
            [sys.executable, "-c", code, *map(str, arguments)],
            env=env | changes,
            cwd=work,
            preexec_fn=_without_rights_of_root,
            capture_output=True,
            text=True,
            check=False,
        )

    probe = run(code=f"import os; open({str(home / 'x')!r}, 'w')")
    if probe.returncode == 0:
        pytest.skip("rights do not bind this user here")
    yield run
    for place, _, _ in os.walk(tmp_path):
        Path(place).chmod(0o755)


@posix
def test_without_a_writable_cache_a_command_runs_and_says_nothing_of_it(installed, tmp_path):
    done = installed("grades")
    assert (done.returncode, done.stderr) == (0, "")
    assert "rigid-3" in done.stdout
    assert [entry.name for entry in (tmp_path / "tmp").iterdir()] == [f"pourwright-{os.geteuid()}"]


@posix
def test_with_no_place_at_all_the_loops_run_uncached(installed):
    code = (
        "from pourwright import caches; caches.temporary = lambda: None\n"
        "import numpy as np; from pourwright.compiled import njit\n"
        "from pourwright.shell.bucket import by_two_keys as loop\n"
        "print(type(loop._cache).__name__, loop(np.array([1, 0]), np.array([0, 1]), 2).tolist())"
    )
    done = installed(code=code)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.split(" ", 1)[0] == "NullCache"


@posix
def test_where_nothing_can_be_written_that_is_said(installed):
    code = "from pourwright import caches; caches.temporary = lambda: None\n" + CODE
    done = installed("grades", code=code)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == f"pourwright: {caches.NO_PLACE}\n"


@posix
@pytest.mark.slow
def test_without_a_writable_cache_a_piece_is_planned_and_drawn(installed, tmp_path):
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(tmp_path / "work" / "ball.stl")
    given = (
        "--unit",
        "mm",
        "--wall",
        "5 mm",
        "--foam",
        "rigid-3",
        "--set",
        "grid.cell=12 mm",
        "--quick",
        "--pictures",
        "-q",
        "--out",
    )
    done = installed("plan", "ball.stl", *given, "out")
    assert done.returncode in (0, 1)
    assert "wrong in pourwright" not in done.stderr
    assert "atplotlib" not in done.stderr
    assert (tmp_path / "work" / "out" / "overview.png").is_file()
    again = installed("weights", "out")
    assert (again.returncode, again.stderr) == (0, "")


@posix
def test_a_temporary_folder_that_others_could_have_filled_is_not_taken(tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    (tmp_path / f"pourwright-{os.geteuid()}").mkdir()
    (tmp_path / f"pourwright-{os.geteuid()}").chmod(0o777)
    caches.temporary.cache_clear()
    try:
        found = caches.temporary()
        assert found.parent == tmp_path
        assert found.name != f"pourwright-{os.geteuid()}"
        assert stat.S_IMODE(found.stat().st_mode) == 0o700
    finally:
        caches.temporary.cache_clear()


def _two(x):
    return x + 2.0


def test_a_full_disk_under_the_cache_is_no_error(monkeypatch):
    loop = compiled.njit(cache=True)(_two)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("numba.core.caching.IndexDataCacheFile.save", full)
    monkeypatch.setattr("numba.core.caching.IndexDataCacheFile.load", full)
    assert loop(np.float64(1.0)) == 3.0


UNITS = "from pourwright import units; print(f'{1e3 * units.read(\"1 in\", units.LENGTH):.1f} mm')"


def _units_with(cache):
    done = subprocess.run(
        [sys.executable, "-c", UNITS],
        env=os.environ | {"XDG_CACHE_HOME": str(cache)},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


@posix
def test_units_read_once_are_kept_and_spoilt_ones_are_read_anew(tmp_path):
    told = _units_with(tmp_path)
    kept = [file for file in tmp_path.rglob("*") if file.is_file() and file.parent.name.startswith("units-")]
    assert kept
    assert stat.S_IMODE((tmp_path / "pourwright").stat().st_mode) == 0o700
    assert _units_with(tmp_path) == told
    for file in kept:
        file.write_bytes(b"spoilt")
    assert _units_with(tmp_path) == told


@posix
def test_units_are_not_read_from_a_folder_that_others_could_have_filled(tmp_path):
    (tmp_path / "pourwright").mkdir()
    (tmp_path / "pourwright").chmod(0o777)
    assert "25.4 mm" in _units_with(tmp_path)
    assert not list((tmp_path / "pourwright").iterdir())


LOOPS = """
import numpy as np
from pourwright.compiled import njit


@njit(cache=True)
def inner(x):
    out = np.zeros(len(x))
    for i in range(len(x)):
        out[i] = x[i] * x[i]
    return out


@njit(cache=True)
def outer(x):
    return inner(x).sum()
"""
COMPILER = "numba.np.npyimpl"
"""Told to numba only where something is to be compiled."""


def _squares(folder, *calls):
    code = (
        f"import sys; sys.path.insert(0, {str(folder)!r}); import numpy as np, loops; x = np.arange(4.0)\n"
        + "".join(f"print(np.sum(loops.{call}(x)), {COMPILER!r} in sys.modules)\n" for call in calls)
    )  # fmt: skip
    env = os.environ | {"NUMBA_CACHE_DIR": str(folder / "kept")}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    return [tuple(line.split()) for line in done.stdout.splitlines()]


def test_a_loop_read_back_runs_without_the_compiler_and_into_one_that_is_compiled(tmp_path):
    (tmp_path / "loops.py").write_text(LOOPS)
    assert _squares(tmp_path, "inner") == [("14.0", "True")]
    assert _squares(tmp_path, "inner") == [("14.0", "False")]  # read back
    assert _squares(tmp_path, "inner", "outer") == [("14.0", "False"), ("14.0", "True")]  # the second is compiled on it
    assert _squares(tmp_path, "outer", "inner") == [("14.0", "False"), ("14.0", "False")]
