"""Makes the list of loops that ``pourwright warm`` compiles: run it after changing what a loop is called with.

python docs/make_loops.py

Runs commands on the demo pieces, each in a process of its own and in a temporary folder, and writes down which loops
Python called with which types. Takes a few minutes.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import trimesh

ROOT = Path(__file__).resolve().parents[1]
DEMOS = ROOT / "demo_shells"
LIST = ROOT / "src" / "pourwright" / "loops.txt"
HEAD = "# Loops that Python calls, and with which types. Made by docs/make_loops.py.\n"
EVEN = ("--set", "day.search=false")
SHELL = ("--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=10 mm")
COMMANDS = (
    ("plan", "{demos}/ram/job.toml", "--set", "grid.cell=12 mm", "--out", "{work}/ram", "--drawings", "--film", "-q"),
    ("plan", "{demos}/heron/job.toml", *EVEN, "--out", "{work}/heron", "-q"),
    ("plan", "{demos}/tender/job.toml", *EVEN, "--out", "{work}/tender", "-q"),
    ("plan", "{demos}/float/job.toml", *EVEN, "--no-pictures", "--out", "{work}/float", "-q"),
    ("plan", "{demos}/ram/job.toml", *EVEN, "--set", "fill.style=lining", "--set", "fill.thickness=40 mm", "--out",
     "{work}/lined", "-q"),
    ("record", "{work}/heron", "--pour", "1a", "--as-planned", "--full", "--no-pictures"),
    ("check", "{demos}/heron/heron.stl", "--unit", "mm", "--picture", "{work}/check.png"),
    ("turn", "{demos}/ram/job.toml", "--confirm", "1", "--out", "{work}/turn", "-q"),
    ("check", "{work}/scan.stl", "--unit", "m"),
    ("plan", "{work}/scan.stl", *SHELL, "--quick", "--no-pictures", "-q"),
    ("plan", "{work}/thick.stl", *SHELL, "--kind", "both-faces", "--quick", "--no-pictures", "-q"),
    ("hang", "{work}/ram"),
    ("stand", "{work}/heron"),
    ("float", "{work}/tender"),
    ("stiffness", "{work}/ram", "-q"),
)  # fmt: skip
RUN = """
import sys
from pourwright.cli import main
code = main(sys.argv[2:])
from pourwright import compiled
open(sys.argv[1], "a", encoding="utf-8").write("\\n".join(compiled.called()) + "\\n")
sys.exit(code)
"""


def make_shells(work: Path) -> None:
    """A scan of two balls in one another with holes, and a ball drawn with both faces."""
    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.2)
    other = ball.copy().apply_translation((0.15, 0.02, 0.01))
    scan = trimesh.util.concatenate([ball, other])
    scan.update_faces(np.arange(len(scan.faces)) % 500 != 0)
    scan.export(work / "scan.stl")
    inner = trimesh.creation.icosphere(subdivisions=4, radius=0.19)
    inner.invert()
    trimesh.util.concatenate([ball, inner]).export(work / "thick.stl")


def main() -> None:
    found: set[str] = set()
    with tempfile.TemporaryDirectory() as work:
        make_shells(Path(work))
        told = Path(work) / "loops"
        for command in COMMANDS:
            words = [word.format(demos=DEMOS, work=work) for word in command]
            done = subprocess.run(
                [sys.executable, "-c", RUN, str(told), *words],
                env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
                stdout=subprocess.DEVNULL,
                check=False,
            )
            if done.returncode not in (0, 1, 3):
                raise SystemExit(f"pourwright {' '.join(words)} ended with exit code {done.returncode}")
            found |= set(told.read_text(encoding="utf-8").split("\n")) - {""}
            print(f"{len(found):4d} after pourwright {' '.join(words[:2])}", flush=True)
    LIST.write_text(HEAD + "\n".join(sorted(found)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
