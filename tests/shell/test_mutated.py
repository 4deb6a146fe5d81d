"""Mutated shells of each format through ``check`` and ``plan --quick``: no internal error, no hang, no flood.

Every file comes from its number (tests/meshes/fuzz.py). The test tries a few of each format; by hand as many as wanted:

    python tests/shell/test_mutated.py FOLDER FIRST COUNT
"""

import contextlib
import importlib.util
import io
import json
import re
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

FUZZ = Path(__file__).parents[1] / "meshes" / "fuzz.py"
FORMATS = ("stl", "stl text", "obj", "off", "ply", "ply text", "glb", "3mf")
"""In the order of ``fuzz.seeds``, which repeats it for each body (with glTF as the ninth)."""
START = 100_000  # numbers that no other test uses
SECONDS, BYTES = 60.0, 2_000_000_000
PLAN = ("--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--quick", "--no-pictures", "--quiet")


def mutated(fuzz, seeds, kind, number):
    """(ending, bytes) of one file."""
    rng = np.random.default_rng(START + 10_000 * FORMATS.index(kind) + number)
    return fuzz.mutate(rng, *seeds[FORMATS.index(kind) + 9 * (number % 3)])


def tried(arguments):
    """Exit code, standard error and processor seconds of one command in this process."""
    from pourwright.cli import main

    out, err = io.StringIO(), io.StringIO()
    start = time.process_time()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([str(word) for word in arguments])
    return code, err.getvalue(), time.process_time() - start


def run(folder, first, count):
    """What came of ``count`` files of each format: exit codes, the longest and the largest, and what was wrong."""
    spec = importlib.util.spec_from_file_location("pourwright_fuzz", FUZZ)
    fuzz = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(fuzz)
    seeds = fuzz.seeds()
    found = {"codes": {}, "longest_s": 0.0, "longest": "", "wrong": []}
    for kind in FORMATS:
        for number in range(first, first + count):
            ending, data = mutated(fuzz, seeds, kind, number)
            path = folder / f"a.{ending}"
            path.write_bytes(data)
            for command in (("check", path, "--unit", "m"), ("plan", path, *PLAN)):
                code, err, seconds = tried(command)
                name = f"{command[0]} {kind} {number}"
                key = f"{command[0]} {kind}: {code}"
                found["codes"][key] = found["codes"].get(key, 0) + 1
                if seconds > found["longest_s"]:
                    found["longest_s"], found["longest"] = seconds, name
                if "pourwright itself" in err or "Traceback" in err or seconds > SECONDS or len(err.splitlines()) > 1:
                    found["wrong"].append(f"{name} ({seconds:.1f} s): {err[:300]}")
            path.unlink()
    # not ru_maxrss: that counts the memory of the process that started this one
    most = re.search(r"VmHWM:\s*(\d+) kB", Path("/proc/self/status").read_text())
    found["peak_bytes"] = int(most.group(1)) * 1024
    return found


@pytest.mark.slow
def test_mutated_shells_are_answered_within_a_minute_and_two_gigabytes(tmp_path):
    done = subprocess.run(
        [sys.executable, __file__, tmp_path, "0", "6"], capture_output=True, text=True, check=False, timeout=1800
    )
    assert done.returncode == 0, done.stderr[-2000:]
    found = json.loads(done.stdout)
    assert found["wrong"] == []
    assert found["peak_bytes"] < BYTES
    assert sum(found["codes"].values()) == 2 * 6 * len(FORMATS)
    assert any(key.endswith(": 0") for key in found["codes"]), "some damage does no harm, and the mesh is met"


if __name__ == "__main__":
    place, begin, many = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    place.mkdir(parents=True, exist_ok=True)
    resource.setrlimit(resource.RLIMIT_AS, (6_000_000_000,) * 2)
    print(json.dumps(run(place, begin, many), indent=1))
