"""Prints the n-th command of README.md (its n-th ``sh`` block): CI runs what the README says and nothing else."""

import re
import sys
from pathlib import Path

README = Path(__file__).resolve().parents[1] / "README.md"


def commands(text):
    """Every ``sh`` block of a page, in order, without line continuations."""
    return [block.replace("\\\n", " ").strip() for block in re.findall(r"^```sh\n(.*?)^```", text, re.M | re.S)]


if __name__ == "__main__":
    print(commands(README.read_text(encoding="utf-8"))[int(sys.argv[1]) - 1])
