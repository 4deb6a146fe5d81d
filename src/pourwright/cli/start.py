"""The first step of every command: Ctrl-C cannot get lost from here on, and libraries find a place for their caches."""

from __future__ import annotations

import atexit
import contextlib
import gc
import os
import sys
from collections.abc import Sequence

from pourwright import caches
from pourwright.cli.interrupts import BROKEN_OFF, INTERRUPTS

LINEAR_ALGEBRA = "OPENBLAS_NUM_THREADS"  # that of numpy and scipy: matrices here are small, and its threads wait busily
CYCLES = 50_000, 20, 20  # new objects before cycles are looked for, our judgement; at 700 loading looks some 400 times
BROKEN_OFF_WORDS = "broken off; nothing was left behind"


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line.

    Parameters
    ----------
    argv : sequence of str, optional
        Arguments after the program's name; those of the process if left out.

    Returns
    -------
    int
        Exit code: 0 planned, 1 refused by a limit or a bad shell, 2 bad usage, 3 not all known, 130 broken off.
    """
    arguments = list(sys.argv[1:] if argv is None else argv)
    os.environ.setdefault(
        LINEAR_ALGEBRA, "1"
    )  # before numpy is loaded; a sum's last bits then hang on no thread either
    gc.set_threshold(*CYCLES)
    atexit.register(gc.freeze)  # the process ends: nobody needs a last look through all that it holds, 0.6 s of a plan
    with INTERRUPTS as interrupts:
        try:
            if not caches.settle():
                return _say(caches.NO_PLACE, 2)
            from pourwright.cli import app  # only now: it takes a while, and Ctrl-C may come meanwhile

            interrupts.check()
            return app.run(arguments)
        except KeyboardInterrupt:
            return _say(BROKEN_OFF_WORDS, BROKEN_OFF)


def _say(words: str, code: int) -> int:
    with contextlib.suppress(OSError):
        print(f"pourwright: {words}", file=sys.stderr)
    return code
