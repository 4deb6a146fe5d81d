"""Broken files by the hundred: a sentence or a skin, never a traceback, a hang or memory without bound.

Every file comes from a numbered seed (tests/meshes/fuzz.py), so that one that fails can be made again. The cases below
the fuzzers are what they once found.
"""

import importlib.util
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from pourwright.errors import PourwrightError, ShellError
from pourwright.panels import panels
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.shell.columns import others_around, wrapped_volumes
from pourwright.shell.read import read_shell

FUZZ = Path(__file__).parents[1] / "meshes" / "fuzz.py"


def fuzzer():
    spec = importlib.util.spec_from_file_location("pourwright_fuzz", FUZZ)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def try_file(path):
    """Load and look for panels; only the project's own errors may come out, and in one line."""
    bands = (WallBand("", -np.inf, np.inf, 0.005),)
    try:
        skin = load_skin(path, unit="m", material=skin_material("grp"), bands=bands)
    except PourwrightError as error:
        text = str(error)
        assert "\n" not in text
        assert len(text) < 1000
        return type(error).__name__
    assert skin.enclosed_m3 > 0
    assert np.isfinite(skin.vertices_m).all()
    panels(skin, 2)
    return skin.kind.value


def run(first, last, folder):
    fuzz = fuzzer()
    seeds = fuzz.seeds()
    ends = {}
    for number in range(first, last):
        ending, data = fuzz.mutate(np.random.default_rng(number), *seeds[number % len(seeds)])
        path = Path(folder) / f"a.{ending}"
        path.write_bytes(data)
        start = time.perf_counter()
        try:
            end = try_file(path)
        except Exception as error:
            raise AssertionError(f"file {number} (.{ending})") from error
        assert time.perf_counter() - start < 10.0, f"file {number} (.{ending})"
        ends[end] = ends.get(end, 0) + 1
    return ends


def test_a_hundred_broken_files(tmp_path):
    try_file(tmp_path / "compiled.stl")  # so that no file pays for compiling
    ends = run(0, 108, tmp_path)
    assert ends["ShellError"] > 30
    assert sum(ends.values()) - ends["ShellError"] > 3  # some damage does no harm, and the mesh is met


@pytest.mark.slow
def test_two_thousand_broken_files_in_three_gigabytes(tmp_path):
    # in a process whose memory is held, so that one file cannot take the machine
    code = (
        "import importlib.util, resource, sys\n"
        "resource.setrlimit(resource.RLIMIT_AS, (6_000_000_000,) * 2)\n"
        f"spec = importlib.util.spec_from_file_location('t', {str(Path(__file__))!r})\n"
        "t = importlib.util.module_from_spec(spec); spec.loader.exec_module(t)\n"
        f"print(t.run(0, 60, {str(tmp_path)!r}), t.run(1000, 3000, {str(tmp_path)!r}))\n"
        "peak = 1024 * int(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])\n"
        "assert peak < 3_000_000_000, peak\n"
    )
    done = subprocess.run([sys.executable, "-W", "error::RuntimeWarning", "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-3000:]


# found by the fuzzers


@pytest.mark.parametrize(
    "row",
    [b"3 0 1 +", b"3 0 1 2 x", b"3 0 1 0x2", b"3 0 1 1e", b"3 0 1 --2", b"3 0 1 nan", b"3 0 1 1e999", b"3 0 1 -1"],
)
def test_words_that_are_nearly_numbers(tmp_path, row):
    head = (
        b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
        b"element face 2\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n"
    )
    path = tmp_path / "a.ply"
    path.write_bytes(head + row + b"\n3 0 1 2\n")
    with pytest.raises(ShellError, match=r"a\.ply"):
        read_shell(path)


def test_a_line_that_enters_one_body_many_times(odd):
    # teeth of a comb above a point: the count of a body goes to nothing and back once a tooth
    teeth = [odd.box((1.0, 1.0, 0.02), middle=(0, 0, 0.1 * k)) for k in range(1, 40)]
    v, f = odd.join(*teeth, odd.sphere(0.05, 1))
    piece = np.repeat([0, 1], [39 * 12, len(odd.sphere(0.05, 1)[1])])
    points = np.array([[0.01, 0.003, -1.0], [0.01, 0.003, 0.1], [0.01, 0.003, 0.15], [0.0, 0.003, 0.01]])
    buried, inner, outer, count = others_around(points, np.array([1, 1, 1, -1]), v, f, piece)
    assert buried.tolist() == [False, True, False, True]
    assert (inner.tolist(), outer.tolist(), count.tolist()) == ([1, -1], [0, 1], [1, 1])


def test_many_faces_that_each_span_the_piece():
    # an index of faces over columns must not grow with both
    rng = np.random.default_rng(0)
    v = rng.uniform(-1, 1, (30_000, 3))
    f = np.arange(30_000).reshape(-1, 3)
    wrapped, again, inverted, _, _ = wrapped_volumes(v, f)
    assert np.isfinite([wrapped, again, inverted]).all()
