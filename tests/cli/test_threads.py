"""Linear algebra runs on one thread in a command, as threadpoolctl tells, unless the user says otherwise."""

import json
import os
import subprocess
import sys

import pytest

ASKED = """
import json, sys
from pourwright.cli import main
main(["grades"])
from threadpoolctl import threadpool_info
print("\\n" + json.dumps([pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"]))
"""


@pytest.mark.parametrize(("said", "threads"), [(None, 1), ("2", 2)])
def test_linear_algebra_has_one_thread_unless_told(said, threads):
    env = {name: value for name, value in os.environ.items() if name != "OPENBLAS_NUM_THREADS"}
    env |= {"OPENBLAS_NUM_THREADS": said} if said else {}
    done = subprocess.run([sys.executable, "-c", ASKED], env=env, capture_output=True, text=True, check=True)
    pools = json.loads(done.stdout.splitlines()[-1])
    if not pools or (os.cpu_count() or 1) < 2:
        pytest.skip("no linear algebra with threads here")
    assert set(pools) == {threads}
