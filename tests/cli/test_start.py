"""How a command begins and ends: Ctrl-C while it still loads, and an output that nothing more goes into."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest

LOADING = """
import sys, time
class Slow:
    def find_spec(self, name, path, target=None):
        if name == "typer":
            print("loading", flush=True)
            time.sleep(1.0)
sys.meta_path.insert(0, Slow())
from pourwright.cli import main
sys.exit(main(["grades"]))
"""


@pytest.mark.skipif(os.name != "posix", reason="signals as POSIX has them")
def test_ctrl_c_while_the_program_loads_is_one_sentence():
    run = subprocess.Popen([sys.executable, "-c", LOADING], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert run.stdout.readline() == "loading\n"
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert (run.returncode, out) == (130, "")
    assert err == "pourwright: broken off; nothing was left behind\n"


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
@pytest.mark.parametrize("arguments", [["grades"], ["grades", "--json"], ["--help"], ["--version"]])
def test_a_full_output_is_said_in_one_sentence(arguments):
    code = "import sys; from pourwright.cli import main; sys.exit(main(sys.argv[1:]))"
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert done.stderr == (
        "pourwright: standard output cannot be written (No space left on device): send it to another place\n"
    )


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
def test_errors_that_nobody_can_be_told_keep_their_exit_code():
    code = "import sys; from pourwright.cli import main; sys.exit(main(['plan', 'nowhere.stl']))"
    with open("/dev/full", "w") as full:
        assert subprocess.run([sys.executable, "-c", code], stderr=full, check=False).returncode == 2
